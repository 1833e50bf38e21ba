"""A formula over toleranced values: nominal, extreme values, and the root of the sum of squares (RSS).

The extreme values are the corners of the tolerances wherever the slopes prove that the extremes lie there; else the
ranges are split and an outer bound is given, and ``exact`` says so. RSS is √Σ(slope · tolerance)², the way of
A. Helfrick and W. Cooper, Modern Electronic Instrumentation (example 1-13 shows the extreme values).
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Context, Decimal, DivisionByZero, InvalidOperation, Overflow, localcontext
from typing import Final

from msgspec import Struct

from revdiff.quantities.dimension import Dimension, read_unit
from revdiff.quantities.formula import Formula, FormulaFault
from revdiff.quantities.interval import ZERO, Range, TooWide, Value, evaluate
from revdiff.quantities.quantity import Quantity
from revdiff.quantities.tolerance import Tolerance

MOST_NAMES: Final = 16
_DEEPEST_SPLIT: Final = 6
_CONTEXT: Final = Context(prec=34, traps=[DivisionByZero, InvalidOperation, Overflow])


class Term(Struct, frozen=True):
    """What a name stands for, in base units. ``fitted`` is false for a part that isn't placed."""

    nominal: Decimal
    low: Decimal
    high: Decimal
    dimension: Dimension
    fitted: bool = True


class Result(Struct, frozen=True):
    """``low`` and ``high`` are bounds that nothing within the tolerances exceeds; ``exact``: they are reached.

    ``rss`` is the half width by the root of the sum of squares. All in base units.
    """

    nominal: Decimal
    low: Decimal
    high: Decimal
    rss: Decimal
    dimension: Dimension
    exact: bool


def term(value: Quantity, tolerance: Tolerance | None = None, *, fitted: bool = True) -> Term:
    """The value with its tolerance, without one for None. Raises FormulaFault where a unit has no place in formulas."""
    unit = read_unit(value.unit) if value.unit else read_unit("")
    if unit is None:
        raise FormulaFault(f"a value in {value.unit} can't be used in a formula")
    with localcontext(_CONTEXT):
        nominal = value.magnitude * unit.factor
        if tolerance is None:
            return Term(nominal, nominal, nominal, unit.dimension, fitted)
        scale = _scale(tolerance.unit, value, nominal)
        if scale is None:
            raise FormulaFault(f"a tolerance in {tolerance.unit} doesn't fit a value in {value.unit or 'no unit'}")
        ends = (nominal + tolerance.low * scale, nominal + tolerance.high * scale)
        return Term(nominal, min(ends), max(ends), unit.dimension, fitted)


def _scale(unit: str, value: Quantity, nominal: Decimal) -> Decimal | None:
    if unit == "%":
        return nominal / 100
    if unit == "ppm":
        return nominal / 1_000_000
    known = read_unit(unit)
    return known.factor if known is not None and unit == value.unit else None


def worst_case(formula: Formula, terms: Mapping[str, Term]) -> Result:
    """Works the formula out. Raises FormulaFault for an unknown name, units that don't fit, or no defined result."""
    if len(formula.names) > MOST_NAMES:
        raise FormulaFault(f"the formula uses more than {MOST_NAMES} names")
    used = {name: item for name, item in terms.items() if name in formula.names}
    try:
        with localcontext(_CONTEXT):
            return _worst_case(formula, used)
    except TooWide as error:
        raise error.fault from None
    except (DivisionByZero, InvalidOperation, Overflow):
        raise FormulaFault("the result is undefined or too large") from None


def _worst_case(formula: Formula, terms: Mapping[str, Term]) -> Result:
    at_nominal = evaluate(formula.root, _values(terms, {name: (item.nominal,) * 2 for name, item in terms.items()}))
    box = {name: (item.low, item.high) for name, item in terms.items()}
    bounds = _Bounds(formula, terms)
    (low, high), exact = bounds.over(box, _DEEPEST_SPLIT)
    squares = Decimal(0)
    for name, item in terms.items():
        half = max(item.nominal - item.low, item.high - item.nominal)
        slope = at_nominal.slopes.get(name, ZERO)
        squares += (max(abs(slope[0]), abs(slope[1])) * half) ** 2
    return Result(at_nominal.range[0], low, high, squares.sqrt(), at_nominal.dimension, exact)


def _values(terms: Mapping[str, Term], box: Mapping[str, Range]) -> dict[str, Value]:
    one = (Decimal(1), Decimal(1))
    return {
        name: Value(box[name], item.dimension, {name: one} if item.fitted else {}, open=not item.fitted)
        for name, item in terms.items()
    }


class _Bounds:
    def __init__(self, formula: Formula, terms: Mapping[str, Term]) -> None:
        self._formula = formula
        self._terms = terms

    def _at(self, box: Mapping[str, Range]) -> Value:
        return evaluate(self._formula.root, _values(self._terms, box))

    def over(self, box: Mapping[str, Range], splits: int) -> tuple[Range, bool]:
        """The range of the formula over the box, and whether it is exact."""
        loose = [name for name, (low, high) in box.items() if low < high]
        try:
            value = self._at(box)
        except TooWide:
            if not splits or not loose:
                raise
            return self._split(box, loose, splits)
        repeated = [name for name in loose if self._formula.names[name] > 1]
        if not repeated:
            return value.range, True  # each name stands once: the range of the steps is the range of the formula
        rising = [name for name in loose if value.slopes.get(name, ZERO)[0] >= 0]
        falling = [name for name in loose if name not in rising and value.slopes.get(name, ZERO)[1] <= 0]
        lowest = {**box, **self._ends(box, rising, 0), **self._ends(box, falling, 1)}
        highest = {**box, **self._ends(box, rising, 1), **self._ends(box, falling, 0)}
        unproven = [name for name in repeated if name not in rising and name not in falling]
        if unproven and splits:
            return self._split(box, unproven, splits)
        return (self._at(lowest).range[0], self._at(highest).range[1]), not unproven

    @staticmethod
    def _ends(box: Mapping[str, Range], names: list[str], end: int) -> dict[str, Range]:
        return {name: (box[name][end],) * 2 for name in names}

    def _split(self, box: Mapping[str, Range], names: list[str], splits: int) -> tuple[Range, bool]:
        """Both halves of the widest of these names, measured against its size."""
        widest = max(names, key=lambda name: (box[name][1] - box[name][0]) / (abs(box[name][0]) + abs(box[name][1])))
        low, high = box[widest]
        middle = (low + high) / 2
        first, first_exact = self.over({**box, widest: (low, middle)}, splits - 1)
        second, second_exact = self.over({**box, widest: (middle, high)}, splits - 1)
        return (min(first[0], second[0]), max(first[1], second[1])), first_exact and second_exact
