"""Units as powers of base units, so that ohms plus farads is noticed and a compound unit (V/A) can be read.

The electrical units of the SI brochure (9th edition, table 4) are products of volt, ampere and second:
Ω = V/A, F = A·s/V, H = V·s/A, W = V·A, Hz = 1/s.
"""

from __future__ import annotations

import re
from decimal import Decimal
from functools import lru_cache

from msgspec import Struct

from revdiff.quantities.pattern import pattern
from revdiff.quantities.quantity import read_quantity

# Twice the powers of volt, ampere, second and metre: halves appear under a square root (V/√Hz).
Dimension = tuple[int, int, int, int]

NUMBER: Dimension = (0, 0, 0, 0)
_OF_UNIT: dict[str, tuple[int, int, int, int]] = {
    "": (0, 0, 0, 0),
    "%": (0, 0, 0, 0),
    "ppm": (0, 0, 0, 0),
    "V": (1, 0, 0, 0),
    "A": (0, 1, 0, 0),
    "s": (0, 0, 1, 0),
    "m": (0, 0, 0, 1),
    "Ω": (1, -1, 0, 0),
    "F": (-1, 1, 1, 0),
    "H": (1, -1, 1, 0),
    "W": (1, 1, 0, 0),
    "Hz": (0, 0, -1, 0),
    "Ah": (0, 1, 1, 0),
    "Wh": (1, 1, 1, 0),
}
_FACTORS = {"%": Decimal("0.01"), "ppm": Decimal("1e-6"), "Ah": Decimal(3600), "Wh": Decimal(3600)}
_LONGEST = 40
_NUMBER = pattern(r"([-+−]?[0-9]+(?:[.,][0-9]+)?)\s*(.*)")


class Unit(Struct, frozen=True):
    """A unit: ``factor`` times the product of base units that ``dimension`` gives. ``text`` as it was written."""

    text: str
    factor: Decimal
    dimension: Dimension


def product(one: Dimension, two: Dimension, sign: int = 1) -> Dimension:
    """The dimension of a product; with ``sign`` −1 of a quotient."""
    return (one[0] + sign * two[0], one[1] + sign * two[1], one[2] + sign * two[2], one[3] + sign * two[3])


@lru_cache(maxsize=256)
def read_unit(text: str) -> Unit | None:
    """A unit with or without prefix, also a product or quotient: ``Ω``, ``kHz``, ``mV/A``, ``A·s``; None for others.

    Degrees are no unit of a formula: a temperature in °C has no zero to multiply from.
    """
    if len(text) > _LONGEST:
        return None
    factor, dimension = Decimal(1), NUMBER
    if not text.strip():
        return Unit(text, factor, dimension)
    for index, side in enumerate(text.split("/")):
        if index == 0 and side.strip() == "1":
            continue
        for piece in re.split(r"[·*]", side):
            one = _single(piece.strip())
            if one is None:
                return None
            sign = -1 if index else 1
            factor = factor * one.factor if index == 0 else factor / one.factor
            dimension = product(dimension, one.dimension, sign)
    return Unit(text, factor, dimension)


def _single(text: str) -> Unit | None:
    """One unit with its prefix, through the reader of quantities: what the trade writes is known there."""
    one = read_quantity(f"1 {text}")
    if not text or one is None or (not one.unit and text not in ("%", "ppm")):
        return None
    powers = _OF_UNIT.get(one.unit)
    if powers is None:
        return None
    twice = (2 * powers[0], 2 * powers[1], 2 * powers[2], 2 * powers[3])
    return Unit(text, one.magnitude * _FACTORS.get(one.unit, Decimal(1)), twice)


def read_in_unit(text: str, unit: Unit) -> Decimal | None:
    """A value in base units: a bare number is taken in ``unit``; one with a unit of its own must be of its kind."""
    own = read_quantity(text)
    if own is not None:
        given = read_unit(own.unit) if own.unit else unit
        if given is None or given.dimension != unit.dimension:
            return None
        return own.magnitude * given.factor
    found = _NUMBER.fullmatch(text.strip())
    if found is None:
        return None
    number, compound = read_quantity(found[1].replace("−", "-")), read_unit(found[2].strip())
    if number is None or compound is None or compound.dimension != unit.dimension:
        return None
    return number.magnitude * compound.factor


def name_of(dimension: Dimension) -> str:
    """The unit of a dimension for a message: ``Ω``, or a product such as ``V²·s``; ``1`` for a plain number."""
    if dimension == NUMBER:
        return "a plain number"
    for text, powers in _OF_UNIT.items():
        if text not in ("%", "ppm", "Ah", "Wh", "") and tuple(2 * power for power in powers) == dimension:
            return text
    parts = []
    for symbol, twice in zip("VAsm", dimension, strict=True):
        if twice:
            power = str(twice // 2) if twice % 2 == 0 else f"{twice}/2"
            parts.append(symbol if power == "1" else f"{symbol}^{power}")
    return "·".join(parts)
