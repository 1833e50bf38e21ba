"""A value with its unit, read from every notation the trade uses for it, and shown in one.

Letter codes such as `4K7` follow IEC 60062:2016 (RKM code); prefixes follow the SI. Nothing is guessed: a
text with two readings isn't read.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Context, Decimal
from functools import lru_cache
from types import MappingProxyType
from typing import Final, Literal, NamedTuple

from msgspec import Struct

from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import clean

DecimalMark = Literal["either", "point", "comma"]

_EXACT: Final = Context(prec=120)  # enough digits that no text of 64 characters is ever rounded
_LONGEST: Final = 64
_SMALLEST: Final = Decimal("1e-18")
_LARGEST: Final = Decimal("1e15")


class Quantity(Struct, frozen=True):
    """An exact value in a base unit: `Ω`, `F`, `H`, `V`, `A`, `W`, `Hz`, `s`, `m`, `°C`, `%`, `ppm`, `Ah`, …

    The unit is empty for a bare number. Equal by value: 1.0 V is 1.00 V.
    """

    magnitude: Decimal
    unit: str


# The prefixes (as powers of ten) that the trade uses with each unit. The rest is refused: `10 MF` on an old
# drawing is microfarad, `500 MA` from an upper-case export is milliampere, and reading them as mega would
# be wrong in silence.
_PREFIXES: Final = MappingProxyType(
    {
        "Ω": (-6, -3, 0, 3, 6, 9, 12),
        "F": (-15, -12, -9, -6, -3, 0),
        "H": (-12, -9, -6, -3, 0),
        "V": (-9, -6, -3, 0, 3),
        "A": (-12, -9, -6, -3, 0, 3),
        "W": (-12, -9, -6, -3, 0, 3),
        "Hz": (-3, 0, 3, 6, 9, 12),
        "s": (-12, -9, -6, -3, 0),
        "m": (-9, -6, -3, 0),
        "Ah": (-6, -3, 0, 3),
        "Wh": (-6, -3, 0, 3),
        "": (-12, -9, -6, -3, 0, 3, 6, 9, 12),
    }
)
_LETTERS: Final = MappingProxyType(
    {"f": -15, "p": -12, "n": -9, "µ": -6, "u": -6, "m": -3, "k": 3, "K": 3, "M": 6, "G": 9, "T": 12}
    | {"meg": 6, "Meg": 6, "MEG": 6}
)
# Upper-case exports; no SI prefix of these letters is in use with farad or henry.
_CAPITALS: Final = MappingProxyType({"P": -12, "N": -9, "U": -6})
_SPELLINGS: Final = MappingProxyType(
    {
        "Ω": ("Ω", "R", "r", "ohm", "ohms", "Ohm", "Ohms", "OHM", "OHMS"),
        "F": ("F", "f"),
        "H": ("H", "h"),
        "V": ("V", "v", "VDC", "Vdc", "volt", "volts"),
        "A": ("A", "a", "amp", "amps"),
        "W": ("W", "w", "watt", "watts"),
        "Hz": ("Hz", "HZ", "hz"),
        "s": ("s", "sec"),
        "m": ("m",),
        "Ah": ("Ah", "ah", "AH"),
        "Wh": ("Wh", "wh", "WH"),
    }
)
_UNPREFIXED: Final = MappingProxyType(
    {"%": "%", "percent": "%", "pct": "%", "ppm": "ppm", "PPM": "ppm"}
    | {"°C": "°C", "ºC": "°C", "℃": "°C", "degC": "°C", "°": "°", "deg": "°", "dB": "dB", "dBm": "dBm"}
)
_INCH: Final = Decimal("0.0254")  # exactly, by the international yard and pound agreement of 1959
_LENGTHS: Final = MappingProxyType(
    {"in": _INCH, "inch": _INCH, "inches": _INCH, '"': _INCH, "″": _INCH}
    | {"mil": _INCH / 1000, "mils": _INCH / 1000, "thou": _INCH / 1000, "cm": Decimal("0.01")}
)


class _Tail(NamedTuple):
    power: int
    unit: str
    factor: Decimal | None = None


def _tails() -> Iterator[tuple[str, _Tail]]:
    for unit, spellings in _SPELLINGS.items():
        letters = _LETTERS | _CAPITALS if unit in "FH" else _LETTERS
        for spelling in spellings:
            if spelling not in ("f", "h", "ah", "wh"):  # `10f` may be femto, `10h` hours
                yield spelling, _Tail(0, unit)
            for letter, power in letters.items():
                # `mhz` in lower case is meant as mega as often as milli: two readings, so none.
                if power in _PREFIXES[unit] and (letter, spelling) != ("m", "hz"):
                    yield letter + spelling, _Tail(power, unit)
    for spelling, unit in _UNPREFIXED.items():
        yield spelling, _Tail(0, unit)
    for spelling, factor in _LENGTHS.items():
        yield spelling, _Tail(0, "m", factor)


_TAILS: Final = MappingProxyType(dict(_tails()))
_UNIT_MARKS: Final = MappingProxyType({"F": "F", "H": "H", "A": "A", "W": "W"})
# Letters that may stand for the decimal point with no figure before them (IEC 60062: R47, n33).
_LEADING: Final = MappingProxyType({"Ω": "RrKkM", "F": "pnµum", "H": "nµum"})

_PLAIN = pattern(
    r"(\+/-|\+-|[-+−–±])? ?(?:([0-9]{1,40})(?:([.,])([0-9]{1,40}))?|([.,])([0-9]{1,40})) ?([^0-9\s.,+−–-]*)"
)
_MARKED = pattern(r"([-+−–])? ?([0-9]{1,24})([A-Za-zµ])([0-9]{1,24}) ?([^0-9\s.,+−–-]*)")
_LEAD = pattern(r"([A-Za-zµ])([0-9]{1,24})")
_FRACTION = pattern(r"([1-9])/([0-9]{1,3}) ?([^0-9\s.,+−–-]*)")
_NEGATIVE = "-−–"
_EITHER_SIGN = ("±", "+/-", "+-")


def read_quantity(text: str, unit: str = "", *, decimal: DecimalMark = "either") -> Quantity | None:
    """Read one quantity in any trade notation, or None when the text is none or has two readings.

    `unit` is what the column or the kind of part says; a text without a unit takes it, a text with a unit
    of its own keeps its own. `m` is milli and `M` mega, always. `decimal` says which mark the file uses;
    with `either` a comma is read as the decimal mark unless it may separate thousands (`1,000`). Scientific
    notation (`1E3`) is refused: it is the trace a spreadsheet leaves when it has spoiled a code. So are
    bare numbers with zeros lost or kept in front (`0603`), which are codes. The range is 1e-18 to 1e15.
    """
    cleaned = clean(text)
    if not cleaned or len(cleaned) > _LONGEST:
        return None
    return _read(cleaned, unit, decimal)


@lru_cache(maxsize=8192)
def _read(text: str, unit: str, decimal: DecimalMark) -> Quantity | None:
    if found := _PLAIN.fullmatch(text):
        return _read_plain(found, unit, decimal)
    if found := _MARKED.fullmatch(text):
        sign, whole, mark, part, tail = found.groups()
        return _read_marked(sign, whole, mark, part, tail, unit)
    if found := _LEAD.fullmatch(text):
        mark, part = found.groups()
        return _read_marked(None, "0", mark, part, "", unit) if mark in _LEADING.get(unit, "") else None
    if found := _FRACTION.fullmatch(text):
        return _read_fraction(found, unit)
    return None


def _read_plain(found: re.Match[str], unit: str, decimal: DecimalMark) -> Quantity | None:
    sign, whole, mark, part, lone_mark, lone_part, tail = found.groups()
    mark, part = mark or lone_mark, part or lone_part or ""
    meaning = _tail(tail, unit)
    if meaning is None or not _mark_is_clear(whole or "", mark, part, decimal):
        return None
    if sign in _EITHER_SIGN and meaning.unit not in ("%", "ppm"):
        return None
    if not tail and not mark and len(whole) > 2 and whole[0] == "0":
        return None
    return _quantity(sign, whole or "0", part, meaning)


def _mark_is_clear(whole: str, mark: str | None, part: str, decimal: DecimalMark) -> bool:
    if mark == "," and decimal == "point":
        return False
    thousands = len(part) == 3 and 1 <= len(whole) <= 3 and whole[0] != "0"
    if mark == ",":
        return decimal == "comma" or not thousands
    return not (mark == "." and decimal == "comma" and thousands)


def _tail(tail: str, unit: str) -> _Tail | None:
    """What stands after the number: unit with or without prefix, prefix alone, nothing."""
    if not tail:
        return _Tail(0, unit)
    if tail == "m" and unit != "m":
        return _Tail(-3, unit) if -3 in _PREFIXES.get(unit, ()) else None
    if own := _TAILS.get(tail):
        return own
    if tail == "C":
        return _Tail(0, "°C") if unit == "°C" else None
    power = _power(tail, unit)
    return None if power is None else _Tail(power, unit)


def _power(letter: str, unit: str) -> int | None:
    power = _LETTERS.get(letter)
    if power is None and unit in ("F", "H"):
        power = _CAPITALS.get(letter)
    if power is None or power == -15:  # a lone f may be the farad in lower case
        return None
    return power if power in _PREFIXES.get(unit, ()) else None


def _read_marked(sign: str | None, whole: str, mark: str, part: str, tail: str, unit: str) -> Quantity | None:
    """Letter for the decimal point: 4k7, 4R7, 3V3."""
    own = _TAILS.get(tail) if tail else None
    if tail and (own is None or own.power or own.factor):
        return None
    within = own.unit if own else unit
    meaning = _mark_meaning(mark, within)
    if meaning is None or (own and meaning.unit != own.unit):
        return None
    return _quantity(sign, whole, part, meaning)


def _mark_meaning(mark: str, unit: str) -> _Tail | None:
    if mark in "Rr":
        # On an inductor the R marks microhenry in some makers' codes: two readings.
        return None if unit == "H" else _Tail(0, "Ω")
    if mark == "L":
        return _Tail(-3, "Ω") if unit == "Ω" else None
    if mark in "Vv":
        return _Tail(0, "V")
    if _UNIT_MARKS.get(mark) == unit or (mark == "m" and unit == "m"):
        return _Tail(0, unit)
    power = _power(mark, unit)
    return None if power is None else _Tail(power, unit)


def _read_fraction(found: re.Match[str], unit: str) -> Quantity | None:
    """Power and inches only (1/4 W): `10/16V` is two fields, not a fraction."""
    above, below, tail = found.groups()
    meaning = _tail(tail, unit)
    divisor = int(below)
    if meaning is None or meaning.unit not in ("W", "m") or divisor <= int(above):
        return None
    if (meaning.unit == "m" and meaning.factor is None) or 10**9 % divisor:
        return None  # a third has no exact decimal
    decimal = _EXACT.divide(Decimal(above), divisor)
    whole, _, part = f"{decimal:f}".partition(".")
    return _quantity(None, whole, part, meaning)


def _quantity(sign: str | None, whole: str, part: str, meaning: _Tail) -> Quantity | None:
    value = Decimal(f"{whole}.{part}e{meaning.power}" if part else f"{whole}e{meaning.power}")
    if meaning.factor is not None:
        value = _EXACT.multiply(value, meaning.factor)
    if value and not _SMALLEST <= value <= _LARGEST:
        return None
    if sign and sign in _NEGATIVE and value:
        value = value.copy_negate()  # unary minus would round to the current context
    return Quantity(plain_decimal(value), meaning.unit)


def plain_decimal(value: Decimal) -> Decimal:
    """The same number in one representation: no trailing zeros, no positive exponent."""
    return Decimal(f"{_EXACT.normalize(value):f}")


def ambiguous_number(text: str) -> bool:
    """Whether a piece of the text has a comma that may be decimal or may separate thousands: `1,000`."""
    if "," not in text or len(text) > 4 * _LONGEST:
        return False
    return any(
        _read(piece, "", "comma") is not None and _read(piece, "", "either") is None
        for piece in clean(text).split(" ")
        if "," in piece and len(piece) <= _LONGEST
    )


_NAMES: Final = MappingProxyType({-12: "p", -9: "n", -6: "µ", -3: "m", 0: "", 3: "k", 6: "M", 9: "G", 12: "T"})
# What is usual on paper: lengths of a board in millimetres, counts and ratios in plain figures.
_SHOWN: Final = MappingProxyType(dict(_PREFIXES) | {"m": (-3, 0), "": (0,), "F": (-12, -9, -6, -3, 0)})


def show(q: Quantity) -> str:
    """The quantity for people: exact, engineering prefix, no trailing zeros: `4.7 kΩ`, `100 nF`, `−40 °C`."""
    value = q.magnitude
    if not value.is_finite() or abs(value.adjusted()) > 60:
        return f"{value} {q.unit}".rstrip()
    powers = _SHOWN.get(q.unit, (0,))
    wanted = value.adjusted() if value else 0
    power = max((p for p in powers if p <= wanted), default=powers[0])
    figures = format(_EXACT.scaleb(value.copy_abs(), -power), "f")
    if "." in figures:
        figures = figures.rstrip("0").rstrip(".")
    sign = "−" if value < 0 else ""
    return f"{sign}{figures or '0'} {_NAMES[power]}{q.unit}".rstrip()
