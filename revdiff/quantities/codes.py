"""Marking codes on parts: all-digit, EIA-96, letter codes with a tolerance letter (IEC 60062:2016).

They are decoded only where the data says that a column holds codes: `100` as a code is 10 Ω, typed by an
engineer 100 Ω.
"""

from __future__ import annotations

from decimal import Decimal
from functools import lru_cache
from types import MappingProxyType
from typing import Final, Literal

from revdiff.quantities.eseries import SERIES
from revdiff.quantities.pattern import pattern
from revdiff.quantities.quantity import DecimalMark, Quantity, plain_decimal, read_quantity
from revdiff.quantities.text import clean
from revdiff.quantities.tolerance import Tolerance, letter_tolerance

CodeUnit = Literal["Ω", "F"]

_DIGITS = pattern(r"[0-9]{3,4}")
_EIA96 = pattern(r"([0-9]{2})([ZYRXSABHCDEF])")
_EIA96_POWER: Final = MappingProxyType(
    {"Z": -3, "Y": -2, "R": -2, "X": -1, "S": -1, "A": 0, "B": 1, "H": 1, "C": 2, "D": 3, "E": 4, "F": 5}
)


def digit_code(text: str, unit: CodeUnit) -> Quantity | None:
    """Read an all-digit code; the last digit is the power of ten. Capacitors: three digits, in pF.

    `000` and `0000` are the 0 Ω link. Endings 8 and 9 aren't decoded (sources differ), nor codes that begin
    with 0, which are sizes (`0603`) more often than values.
    """
    code = clean(text)
    if not _DIGITS.fullmatch(code) or (unit == "F" and len(code) == 4):
        return None
    if not int(code):
        return Quantity(Decimal(0), "Ω") if unit == "Ω" else None
    if code[0] == "0" or code[-1] in "89":
        return None
    power = int(code[-1]) - (12 if unit == "F" else 0)
    return _exact(code[:-1], power, unit)


def eia96(text: str) -> Quantity | None:
    """Read a resistor's EIA-96 code: place in the E96 series 01 to 96 and a letter for the multiplier."""
    found = _EIA96.fullmatch(clean(text).upper())
    if not found or not 1 <= int(found[1]) <= 96:
        return None
    return _exact(str(SERIES["E96"][int(found[1]) - 1]), _EIA96_POWER[found[2]], "Ω")


def _exact(digits: str, power: int, unit: str) -> Quantity:
    return Quantity(plain_decimal(Decimal(f"{digits}e{power}")), unit)


def read_code(
    text: str, unit: CodeUnit, *, decimal: DecimalMark = "either"
) -> tuple[Quantity | None, Tolerance | None]:
    """Read a value as marked on a part, with its tolerance letter: `104K`, `4K7J`, `4p7C`, `01C`.

    The letter code goes before the rest: `100K` on a resistor is 100 kΩ, `30R` 30 Ω. `102F` on a capacitor
    has two readings (farad, or 1 nF ±1 %) and isn't read.
    """
    code = clean(text)
    return _read_code(code, unit, decimal) if 0 < len(code) <= 64 else (None, None)


def _letter_code(body: str, unit: CodeUnit, decimal: DecimalMark) -> Quantity | None:
    # A bare number before a tolerance letter (`47J`) is no code.
    return None if body.isdecimal() else read_quantity(body, unit, decimal=decimal)


@lru_cache(maxsize=4096)
def _read_code(code: str, unit: CodeUnit, decimal: DecimalMark) -> tuple[Quantity | None, Tolerance | None]:
    if _DIGITS.fullmatch(code):
        return digit_code(code, unit), None
    body, letter = code[:-1], code[-1]
    digits = _DIGITS.fullmatch(body)
    if unit == "F" and digits and letter == "F":
        return None, None
    value = read_quantity(code, unit, decimal=decimal)
    if value and value.unit == unit:
        return value, None
    marked = digit_code(body, unit) if digits else _letter_code(body, unit, decimal)
    if marked and marked.unit == unit and (tolerance := letter_tolerance(letter, marked)):
        return marked, tolerance
    return (eia96(code) if unit == "Ω" else None), None
