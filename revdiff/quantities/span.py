"""A range as people write it: ``9-36 V``, ``4.75 to 5.25 V``, ``5 V ±5 %``, or one nominal value."""

from __future__ import annotations

import re
from decimal import Decimal

from msgspec import Struct

from revdiff.quantities.pattern import pattern
from revdiff.quantities.quantity import read_quantity
from revdiff.quantities.text import clean

_ENDS = pattern(r"\bto\b|\.\.\.?|…|–|−|-")
_EITHER_WAY = pattern(r"±|\+/-|\+-")
_WIDTH = pattern(r"([0-9.,]{1,20})\s{0,3}(%|[a-zA-Zµ]{1,10})?")
_LONGEST = 200  # characters


class Span(Struct, frozen=True):
    """Lowest and highest value in base units. ``nominal``: where one value with or without tolerance is stated."""

    low: Decimal
    high: Decimal
    nominal: Decimal | None = None

    @property
    def exact(self) -> bool:
        """Whether only a nominal value is stated."""
        return self.low == self.high


def read_span(text: str, unit: str) -> Span | None:
    """The range that a text states in ``unit``; None where it states none."""
    given = clean(text)
    if len(given) > _LONGEST:
        return None
    single = read_quantity(given, unit)
    if single is not None:
        return Span(single.magnitude, single.magnitude, single.magnitude) if single.unit == unit else None
    nominal, *widths = (item.strip() for item in _EITHER_WAY.split(given, maxsplit=1))
    if widths and nominal and (found := _WIDTH.fullmatch(widths[0])):
        middle = read_quantity(nominal, unit)
        if middle is None or middle.unit != unit:
            return None
        mark = found[2] or "%"
        width = read_quantity(found[1] if mark == "%" else f"{found[1]} {mark}", "" if mark == "%" else unit)
        if width is None or width.magnitude < 0:
            return None
        half = middle.magnitude * width.magnitude / 100 if mark == "%" else width.magnitude
        return Span(middle.magnitude - half, middle.magnitude + half, middle.magnitude)
    ends = [item.strip() for item in _ENDS.split(given)]
    if len(ends) != 2:
        return None
    high = read_quantity(ends[1], unit)
    if high is None or high.unit != unit:
        return None
    shared = re.sub(r"^[0-9.,\s]+", "", ends[1])
    low = read_quantity(ends[0] if re.search(r"[^\W\d]", ends[0]) else f"{ends[0]} {shared}", unit)
    if low is None or low.unit != unit or low.magnitude > high.magnitude:
        return None
    return Span(low.magnitude, high.magnitude)
