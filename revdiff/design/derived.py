"""``[derived.NAME]``: named formulas over part values, with their unit, their limits and who depends on them."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING

from msgspec import Struct

from revdiff.design.origin import Origin
from revdiff.quantities.dimension import Unit, name_of
from revdiff.quantities.formula import Formula, FormulaFault, PartFault
from revdiff.quantities.tolerance import Tolerance
from revdiff.quantities.worst_case import Result, Term, term, worst_case

if TYPE_CHECKING:
    from revdiff.design.model import Board, Part


class Derived(Struct, frozen=True, kw_only=True):
    """One derived quantity. ``low`` and ``high``: limits in base units. ``values``: names that are no parts of it.

    ``constant`` of ``firmware`` (any firmware of the board where empty) is what a release takes it to be; ``accept``
    is how far that may lie from the nominal value, as a ratio; None: anywhere within the worst case.
    """

    name: str
    board: str
    formula: Formula
    unit: Unit
    low: Decimal | None = None
    high: Decimal | None = None
    values: Mapping[str, Term | str] = {}
    firmware: str = ""
    constant: str = ""
    accept: Decimal | None = None
    origin: Origin


def work_out(item: Derived, boards: Mapping[str, Board]) -> Result:
    """The quantity with the parts of these boards.

    Raises FormulaFault where a part or value is missing or the units don't fit, PartFault where only the board's parts
    don't let it be worked out.
    """
    terms = {name: _term(item, name, boards) for name in item.formula.names}
    result = worst_case(item.formula, terms)
    if result.dimension != item.unit.dimension:
        raise FormulaFault(f"the result is in {name_of(result.dimension)}, not in {item.unit.text or 'no unit'}")
    return result


def parts_of(item: Derived) -> tuple[tuple[str, str], ...]:
    """(board, designator) of every part that the formula uses."""
    found = []
    for name in item.formula.names:
        given = item.values.get(name, "")
        if not isinstance(given, Term):
            board, _, ref = given.rpartition(".") if given else (item.board, "", name)
            found.append((board, ref.upper()))
    return tuple(found)


def _term(item: Derived, name: str, boards: Mapping[str, Board]) -> Term:
    given = item.values.get(name, "")
    if isinstance(given, Term):
        return given
    board, _, ref = given.rpartition(".") if given else (item.board, "", name)
    part = boards[board].parts.get(ref.upper()) if board in boards else None
    if part is None:
        raise FormulaFault(f"no part or value is called {given or name} on {board or 'any board'}")
    return part_term(part)


def part_term(part: Part) -> Term:
    """A part's value with its tolerance. Raises PartFault where it has no value that can be counted with."""
    value = part.data.value.quantity
    if value is None:
        raise PartFault(f"{part.ref} has no value to count with: {part.data.value.raw or 'nothing'}")
    tolerance = part.data.tolerance.meaning
    if part.data.tolerance and not isinstance(tolerance, Tolerance):
        raise PartFault(f"the tolerance of {part.ref} can't be read: {part.data.tolerance.raw}")
    return term(
        value, tolerance if isinstance(tolerance, Tolerance) else None, fitted=part.data.fitted.meaning is not False
    )


def show_value(value: Decimal, unit: Unit) -> str:
    """Six figures in the unit as the manifest writes it."""
    figures = f"{float(value / unit.factor):.6g}"
    return f"{figures} {unit.text}".rstrip()
