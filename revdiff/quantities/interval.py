"""Intervals with units and slopes: what a formula's steps are worked out in.

Each value carries its range and, for every name, the range of the slope towards that name (forward differentiation
in interval arithmetic: Moore, Kearfott and Cloud, Introduction to Interval Analysis, SIAM 2009; from memory). Where
a slope keeps its sign over the whole range, the extreme value lies at the end of that name's range.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal

from msgspec import Struct

from revdiff.quantities.dimension import NUMBER, Dimension, name_of, product
from revdiff.quantities.formula import FormulaFault, Node, PartFault

Range = tuple[Decimal, Decimal]
Slopes = Mapping[str, Range]
ZERO: Range = (Decimal(0), Decimal(0))


class TooWide(Exception):
    """The range holds a point where the step isn't defined; a part of the range may not. A signal to split it."""

    def __init__(self, message: str, column: int) -> None:
        self.fault = FormulaFault(message, column)
        super().__init__(message)


class Value(Struct, frozen=True):
    """A range in base units, its dimension, and the slopes towards each name. ``open``: not fitted."""

    range: Range
    dimension: Dimension
    slopes: Slopes
    open: bool = False


def evaluate(node: Node, terms: Mapping[str, Value]) -> Value:
    """Works out one step and all below it. Raises FormulaFault, or TooWide."""
    if node.operation == "number":
        return Value((node.number, node.number), NUMBER, {})
    if node.operation == "name":
        if node.name not in terms:
            raise FormulaFault(f"nothing is called {node.name}", node.column)
        return terms[node.name]
    below = [evaluate(item, terms) for item in node.below]
    if node.operation == "par":
        below = [item for item in below if not item.open]
    for item, value in zip(node.below, below, strict=False):
        if value.open:
            raise PartFault(f"{item.name} is not fitted; only par() can leave it out", item.column)
    if not below:
        raise PartFault("none of these is fitted", node.column)
    return _STEPS[node.operation](node, below)


def times(one: Range, two: Range) -> Range:
    """The product of two ranges."""
    corners = [first * second for first in one for second in two]
    return min(corners), max(corners)


def plus(one: Range, two: Range) -> Range:
    """The sum of two ranges."""
    return one[0] + two[0], one[1] + two[1]


def minus(one: Range) -> Range:
    """A range with the other sign."""
    return one[1].copy_negate(), one[0].copy_negate()


def hull(ranges: Sequence[Range]) -> Range:
    """The smallest range that holds all of these."""
    return min(low for low, _ in ranges), max(high for _, high in ranges)


def _power(one: Range, power: int) -> Range:
    if power == 0:
        return Decimal(1), Decimal(1)
    ends = (one[0] ** power, one[1] ** power)
    if power % 2 == 0 and one[0] < 0 < one[1]:
        return Decimal(0), max(ends)
    return min(ends), max(ends)


def _inverse(one: Range, column: int) -> Range:
    if one[0] <= 0 <= one[1]:
        raise TooWide("this is divided by zero", column)
    return 1 / one[1], 1 / one[0]


def _combined(parts: Sequence[tuple[Slopes, Range]]) -> dict[str, Range]:
    """The chain rule: the sum of each part's slopes, times the slope of the step towards that part."""
    found: dict[str, Range] = {}
    for slopes, outer in parts:
        for name, slope in slopes.items():
            found[name] = plus(found.get(name, ZERO), times(outer, slope))
    return found


_ONE: Range = (Decimal(1), Decimal(1))


def _same_kind(node: Node, below: Sequence[Value], doing: str) -> Dimension:
    first = below[0].dimension
    for item in below[1:]:
        if item.dimension != first:
            raise FormulaFault(
                f"{name_of(first)} and {name_of(item.dimension)} can't be {doing}", node.below[-1].column
            )
    return first


def _add(node: Node, below: Sequence[Value]) -> Value:
    one, two = below
    dimension = _same_kind(node, below, "added")
    return Value(plus(one.range, two.range), dimension, _combined([(one.slopes, _ONE), (two.slopes, _ONE)]))


def _subtract(node: Node, below: Sequence[Value]) -> Value:
    one, two = below
    dimension = _same_kind(node, below, "subtracted")
    slopes = _combined([(one.slopes, _ONE), (two.slopes, minus(_ONE))])
    return Value(plus(one.range, minus(two.range)), dimension, slopes)


def _multiply(_node: Node, below: Sequence[Value]) -> Value:
    one, two = below
    slopes = _combined([(one.slopes, two.range), (two.slopes, one.range)])
    return Value(times(one.range, two.range), product(one.dimension, two.dimension), slopes)


def _divide(node: Node, below: Sequence[Value]) -> Value:
    one, two = below
    inverse = _inverse(two.range, node.column)
    quotient = times(one.range, inverse)
    slopes = _combined([(one.slopes, inverse), (two.slopes, minus(times(quotient, inverse)))])
    return Value(quotient, product(one.dimension, two.dimension, -1), slopes)


def _raise(node: Node, below: Sequence[Value]) -> Value:
    one, power = below[0], int(node.number)
    slope = times((Decimal(power), Decimal(power)), _power(one.range, power - 1)) if power else ZERO
    a, b, c, d = one.dimension
    dimension = (a * power, b * power, c * power, d * power)
    return Value(_power(one.range, power), dimension, _combined([(one.slopes, slope)]))


def _negate(_node: Node, below: Sequence[Value]) -> Value:
    return Value(minus(below[0].range), below[0].dimension, _combined([(below[0].slopes, minus(_ONE))]))


def _absolute(_node: Node, below: Sequence[Value]) -> Value:
    one = below[0]
    low, high = one.range
    if low >= 0:
        return one
    if high <= 0:
        return _negate(_node, below)
    return Value((Decimal(0), max(-low, high)), one.dimension, _combined([(one.slopes, (Decimal(-1), Decimal(1)))]))


def _root(node: Node, below: Sequence[Value]) -> Value:
    one = below[0]
    low, high = one.range
    if low < 0 or any(twice % 2 for twice in one.dimension):
        raise TooWide("there is no root of a negative number, nor of a root's unit", node.column)
    ends = (low.sqrt(), high.sqrt())
    if ends[0] == 0 and any(slope != ZERO for slope in one.slopes.values()):
        raise TooWide("the root of zero is too steep to bound", node.column)
    slope = (1 / (2 * ends[1]), 1 / (2 * ends[0])) if ends[0] else ZERO
    a, b, c, d = one.dimension
    return Value(ends, (a // 2, b // 2, c // 2, d // 2), _combined([(one.slopes, slope)]))


def _chosen(node: Node, below: Sequence[Value], choose: Callable[[Sequence[Decimal]], Decimal]) -> Value:
    """The smallest or largest: one that can't be it over the whole range has no part in the slope."""
    dimension = _same_kind(node, below, "compared")
    result = (choose([item.range[0] for item in below]), choose([item.range[1] for item in below]))
    able = [item for item in below if item.range[0] <= result[1] and item.range[1] >= result[0]]
    names = {name for item in able for name in item.slopes}
    slopes = {name: hull([item.slopes.get(name, ZERO) for item in able]) for name in names}
    return Value(result, dimension, slopes)


def _parallel(node: Node, below: Sequence[Value]) -> Value:
    """1 / (1/a + 1/b + …), for values above zero: each end of the range comes from the same ends of all."""
    dimension = _same_kind(node, below, "put in parallel")
    if any(item.range[0] <= 0 for item in below):
        raise TooWide("par takes values above zero", node.column)
    result = (
        1 / sum((1 / item.range[0] for item in below), Decimal(0)),
        1 / sum((1 / item.range[1] for item in below), Decimal(0)),
    )
    parts = []
    for item in below:
        ratio = times(result, _inverse(item.range, node.column))
        parts.append((item.slopes, times(ratio, ratio)))
    return Value(result, dimension, _combined(parts))


_STEPS: Mapping[str, Callable[[Node, Sequence[Value]], Value]] = {
    "+": _add,
    "-": _subtract,
    "*": _multiply,
    "/": _divide,
    "**": _raise,
    "negate": _negate,
    "abs": _absolute,
    "sqrt": _root,
    "min": lambda node, below: _chosen(node, below, min),
    "max": lambda node, below: _chosen(node, below, max),
    "par": _parallel,
}
