"""The section of one derived quantity: formula, unit, limits, named values."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any, Final

from revdiff.design import Board
from revdiff.design.derived import Derived, work_out
from revdiff.quantities.dimension import Unit, read_in_unit, read_unit
from revdiff.quantities.formula import FormulaFault, PartFault, parse_formula
from revdiff.quantities.quantity import Quantity, read_quantity
from revdiff.quantities.tolerance import read_tolerance
from revdiff.quantities.worst_case import Term, term
from revdiff.readers.schema import MISSING, Place, record, table, text

MOST_DERIVED: Final = 200
_NUMBER: Final = read_unit("")


def derived(boards: Mapping[str, Board], given: object, place: Place) -> Any:
    """One derived quantity, worked out once with the parts of these boards to see whether it can be."""
    if isinstance(given, dict) and "formula" not in given:
        return place.wrong(given, 'formula = "R2 / (R1 + R2)"', "it has no formula")
    return record(
        partial(_make, boards, not (isinstance(given, dict) and "unit" in given)),
        board=text,
        formula=_formula,
        unit=_unit,
        low=text,
        high=text,
        values=table(partial(_value, boards)),
        firmware=text,
        constant=text,
        accept=_accept,
        title=text,
    )(given, place)


def _make(boards: Mapping[str, Board], plain_number: bool, place: Place, **given: Any) -> Any:
    board = given.pop("board", "") or (next(iter(boards)) if len(boards) == 1 else "")
    if board not in boards:
        return place.at("board").wrong(board or "nothing", ", ".join(boards), "the design has no such board")
    given.pop("title", None)
    if "formula" not in given or not ("unit" in given or plain_number):
        return MISSING
    assert _NUMBER is not None
    unit: Unit = given.setdefault("unit", _NUMBER)
    for key in ("low", "high"):
        if key in given:
            given[key] = _limit(given[key], unit, place.at(key))
    item = Derived(name=place.path[-1], board=board, origin=place.origin, **given)
    try:
        work_out(item, boards)
    except PartFault:
        pass  # the judge tells what the board lacks
    except FormulaFault as fault:
        place.at("formula").wrong(item.formula.text, "a formula that can be worked out", str(fault))
    return item


def _formula(given: object, place: Place) -> Any:
    try:
        return parse_formula(given if isinstance(given, str) else "")
    except FormulaFault as fault:
        return place.wrong(given, "such as R2 / (R1 + R2)", str(fault))


def _unit(given: object, place: Place) -> Any:
    return (read_unit(given) if isinstance(given, str) else None) or place.wrong(given, "such as V, Hz, mV/A")


def _limit(given: str, unit: Unit, place: Place) -> Any:
    found = read_in_unit(given, unit)
    if found is None:
        place.wrong(given, f"a value in {unit.text or 'no unit'}")
    return found


def _accept(given: object, place: Place) -> Any:
    assert _NUMBER is not None
    found = read_in_unit(str(given), _NUMBER)
    return found if found is not None and found >= 0 else place.wrong(given, "such as 0.5 %")


def _value(boards: Mapping[str, Board], given: object, place: Place) -> Any:
    written = text(given, place)
    if written is MISSING or written.rpartition(".")[0] in boards:
        return written
    return read_term(written) or place.wrong(given, '"0.8 V ±1 %", or a part of another board: "BOARD.R1"')


def read_term(written: str) -> Term | None:
    """``0.8 V ±1 %``, ``3 pF``, ``4096``: a value with an optional tolerance behind it; None for anything else."""
    value, sign, tolerance = written.partition("±")
    if not sign:
        value, sign, tolerance = written.partition("+/-")
    quantity = read_quantity(value)
    limits = read_tolerance(f"±{tolerance.strip()}") if sign else None
    if quantity is None or (sign and limits is None):
        return None
    try:
        return term(Quantity(quantity.magnitude, quantity.unit), limits)
    except FormulaFault:
        return None
