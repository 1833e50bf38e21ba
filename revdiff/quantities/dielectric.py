"""Ceramic dielectric codes (EIA-198): temperature range and how far the capacitance moves over it."""

from __future__ import annotations

from decimal import Decimal
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from msgspec import Struct

from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import clean


class Dielectric(Struct, frozen=True):
    """A ceramic dielectric.

    `low` and `high`: temperature range in °C. Class 2 and 3: `change` is the band of the capacitance over
    that range in per cent, low first. Class 1: `slope` and `slope_tolerance` in ppm/K, and `change` is
    worked out from them.
    """

    code: str
    low: Decimal
    high: Decimal
    change: tuple[Decimal, Decimal]
    slope: Decimal | None = None
    slope_tolerance: Decimal | None = None


# EIA-198 as the Holy Stone catalogue (page 53) and other published tables quote it. The third letter L, and
# the class 1 multipliers 4 and 5, are left out: published lists lack them or disagree.
_LOW: Final = MappingProxyType({"X": -55, "Y": -30, "Z": 10})
_HIGH: Final = MappingProxyType({"2": 45, "4": 65, "5": 85, "6": 105, "7": 125, "8": 150, "9": 200})
_CHANGE: Final = MappingProxyType(
    {
        letter: (f"-{band}", band)
        for letter, band in zip("ABCDEFPRS", ("1.0", "1.5", "2.2", "3.3", "4.7", "7.5", "10", "15", "22"), strict=True)
    }
    | {"T": ("-33", "22"), "U": ("-56", "22"), "V": ("-82", "22")}
)
_FIGURE: Final = MappingProxyType(
    {"C": "0.0", "B": "0.3", "L": "0.8", "A": "0.9", "M": "1.0", "P": "1.5"}
    | {"R": "2.2", "S": "3.3", "T": "4.7", "V": "5.6", "U": "7.5"}
)
_MULTIPLIER: Final = MappingProxyType({"0": -1, "1": -10, "2": -100, "3": -1000, "6": 10, "7": 100, "8": 1000})
_SLOPE_TOLERANCE: Final = MappingProxyType({"G": 30, "H": 60, "J": 120, "K": 250, "L": 500, "M": 1000, "N": 2500})
# The working range of class 1 parts isn't in their code: −55 to +125 °C is common practice, no source.
_CLASS_1_RANGE: Final = (Decimal(-55), Decimal(125))
_REFERENCE: Final = Decimal(25)
_SAME: Final = MappingProxyType({"NP0": "C0G", "NPO": "C0G", "COG": "C0G"})
_BOTH_NAMES = pattern(r"([A-Z0-9]{3}) ?[/(, ] ?([A-Z0-9]{3})\)?")


def read_dielectric(text: str) -> Dielectric | None:
    """Read a dielectric code (`X7R`, `C0G` = `COG` = `NP0`; `C0G (NP0)`), or None when the text is none."""
    cleaned = clean(text).upper()
    return _read(cleaned) if 3 <= len(cleaned) <= 12 else None


@lru_cache(maxsize=1024)
def _read(text: str) -> Dielectric | None:
    if found := _BOTH_NAMES.fullmatch(text):
        first, second = _read(found[1]), _read(found[2])
        return first if first == second else None
    code = _SAME.get(text, text)
    if len(code) != 3:
        return None
    first_letter, digit, last = code[0], code[1], code[2]
    if first_letter in _LOW and digit in _HIGH and last in _CHANGE:
        low, high = _CHANGE[last]
        return Dielectric(code, Decimal(_LOW[first_letter]), Decimal(_HIGH[digit]), (Decimal(low), Decimal(high)))
    if first_letter in _FIGURE and digit in _MULTIPLIER and last in _SLOPE_TOLERANCE:
        slope = Decimal(_FIGURE[first_letter]) * _MULTIPLIER[digit] or Decimal(0)
        return _class_1(code, slope, Decimal(_SLOPE_TOLERANCE[last]))
    return None


def _class_1(code: str, slope: Decimal, tolerance: Decimal) -> Dielectric:
    low, high = _CLASS_1_RANGE
    ends = [(end - _REFERENCE) * ppm / 10_000 for end in (low, high) for ppm in (slope - tolerance, slope + tolerance)]
    return Dielectric(code, low, high, (min(ends), max(ends)), slope, tolerance)


def not_worse(old: Dielectric, new: Dielectric) -> bool:
    """Whether `new` may stand for `old` by its code: range contains the old one, change inside the old band.

    Between class 1 parts the slope must stay, since it may compensate another part's drift; class 2 never
    replaces class 1. The codes say nothing of DC bias or ageing, so a yes covers temperature only.
    """
    if not (new.low <= old.low and new.high >= old.high):
        return False
    if old.slope is not None:
        return (
            new.slope == old.slope
            and new.slope_tolerance is not None
            and old.slope_tolerance is not None
            and new.slope_tolerance <= old.slope_tolerance
        )
    return new.change[0] >= old.change[0] and new.change[1] <= old.change[1]
