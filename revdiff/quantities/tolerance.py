"""Tolerances in per cent or in the unit of the value, and the tolerance letters of IEC 60062:2016."""

from __future__ import annotations

import re
from decimal import Decimal
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from msgspec import Struct

from revdiff.quantities.pattern import pattern
from revdiff.quantities.quantity import DecimalMark, Quantity, read_quantity, show
from revdiff.quantities.text import clean


class Tolerance(Struct, frozen=True):
    """How far the real value may lie from the nominal one: `low` is negative or 0; unit `%`, `ppm`, `F`, …"""

    low: Decimal
    high: Decimal
    unit: str


# IEC 60062:2016 letters; E, L, P and W are left out because published lists disagree on them.
_SYMMETRICAL: Final = MappingProxyType(
    {
        "B": "0.1",
        "C": "0.25",
        "D": "0.5",
        "F": "1",
        "G": "2",
        "H": "3",
        "J": "5",
        "K": "10",
        "M": "20",
        "N": "30",
    }
)
_SKEWED: Final = MappingProxyType({"Q": (10, 30), "T": (10, 50), "S": (20, 50), "Z": (20, 80)})
_PICOFARAD: Final = MappingProxyType({"B": "0.1e-12", "C": "0.25e-12", "D": "0.5e-12", "F": "1e-12", "G": "2e-12"})
_TEN_PICOFARAD: Final = Decimal("10e-12")

_SIGN = r"(\+|-|−|–)"
_TWO_SIDED = pattern(rf"{_SIGN} ?([0-9][0-9.,]*) ?([^\W\d]+|%)? ?[/,;]? ?{_SIGN} ?([0-9][0-9.,]*) ?([^\W\d]+|%)")
_EITHER = pattern(r"(?:±|\+/-|\+-|\+/−|\+−) ?")


def symmetrical(half: Decimal, unit: str) -> Tolerance:
    return Tolerance(half.copy_abs().copy_negate() if half else Decimal(0), half.copy_abs(), unit)


def letter_tolerance(letter: str, value: Quantity | None = None) -> Tolerance | None:
    """The meaning of a tolerance letter. Below 10 pF the letters B to G mean picofarads, not per cent."""
    if value and value.unit == "F" and value.magnitude < _TEN_PICOFARAD and letter in _PICOFARAD:
        return symmetrical(Decimal(_PICOFARAD[letter]), "F")
    if letter in _SYMMETRICAL:
        return symmetrical(Decimal(_SYMMETRICAL[letter]), "%")
    if letter in _SKEWED:
        low, high = _SKEWED[letter]
        return Tolerance(Decimal(-low), Decimal(high), "%")
    return None


def read_tolerance(text: str) -> Tolerance | None:
    """Read `1%`, `±1 %`, `+/-1%`, `J`, `+80/-20 %`, `10 ppm`, `±0.5pF`; None for anything else.

    A number without a unit isn't read: `0.01` may be one per cent or a hundredth of one.
    """
    return read_tolerance_in(text, "either")


def read_tolerance_in(text: str, decimal: DecimalMark) -> Tolerance | None:
    """As `read_tolerance`, with the decimal mark of the file."""
    cleaned = clean(text)
    return _read(cleaned, decimal) if 0 < len(cleaned) <= 40 else None


@lru_cache(maxsize=2048)
def _read(text: str, decimal: DecimalMark) -> Tolerance | None:
    if len(text) == 1:
        return letter_tolerance(text)
    if found := _TWO_SIDED.fullmatch(text):
        return _two_sided(found, decimal)
    signed = _EITHER.match(text)
    number = text[signed.end() :] if signed else text
    if not number[:1].isdigit() and number[:1] not in (".", ","):
        return None
    half = read_quantity(number, decimal=decimal)
    # Without a unit there is no telling what the number means; a prefix alone (`10k`) is a value.
    return symmetrical(half.magnitude, half.unit) if half and half.unit else None


def _two_sided(found: re.Match[str], decimal: DecimalMark) -> Tolerance | None:
    first_sign, first, first_unit, second_sign, second, unit = found.groups()
    if (first_sign == "+") == (second_sign == "+"):
        return None
    one = read_quantity(f"{first} {first_unit or unit}", decimal=decimal)
    other = read_quantity(f"{second} {unit}", decimal=decimal)
    if one is None or other is None or one.unit != other.unit or not one.unit:
        return None
    high, low = (one, other) if first_sign == "+" else (other, one)
    return Tolerance(low.magnitude.copy_negate() if low.magnitude else low.magnitude, high.magnitude, one.unit)


def show_tolerance(t: Tolerance) -> str:
    """The tolerance for people: `±1 %`, `−20 % +80 %`."""
    low, high = show(Quantity(t.low.copy_abs(), t.unit)), show(Quantity(t.high, t.unit))
    return f"±{high}" if t.low.copy_abs() == t.high else f"−{low} +{high}"
