"""``[derived.NAME]``: named formulas over part values, with their unit, their limits and who depends on them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Final

from revdiff.design import Design, Origin, Part
from revdiff.quantities.dimension import Unit, name_of, read_in_unit, read_unit
from revdiff.quantities.formula import Formula, FormulaFault, parse_formula
from revdiff.quantities.quantity import Quantity, read_quantity
from revdiff.quantities.tolerance import Tolerance, read_tolerance
from revdiff.quantities.worst_case import Result, Term, term, worst_case
from revdiff.readers.entries import MANIFEST
from revdiff.readers.faults import Faults
from revdiff.readers.manifest_values import Values

MOST: Final = 200
_KEYS: Final = ("board", "formula", "unit", "low", "high", "values", "firmware", "constant", "accept", "title")
_NUMBER_UNIT = read_unit("")


@dataclass(frozen=True, slots=True, kw_only=True)
class Derived:
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
    values: Mapping[str, Term | str] = field(default_factory=dict)
    firmware: str = ""
    constant: str = ""
    accept: Decimal | None = None
    origin: Origin


def read_derived(design: Design, values: Values | None = None) -> dict[str, Derived]:
    """Reads all of them; with ``values`` each fault is recorded at its line in the manifest."""
    return _Reader(design, values or Values("", Faults()), check=values is not None).all()


def work_out(item: Derived, design: Design) -> Result:
    """The quantity at this revision. Raises FormulaFault where a part or value is missing or the units don't fit."""
    terms = {name: _term(item, name, design) for name in item.formula.names}
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


def _term(item: Derived, name: str, design: Design) -> Term:
    given = item.values.get(name, "")
    if isinstance(given, Term):
        return given
    board, _, ref = given.rpartition(".") if given else (item.board, "", name)
    part = design.boards[board].parts.get(ref.upper()) if board in design.boards else None
    if part is None:
        raise FormulaFault(f"no part or value is called {given or name} on {board or 'any board'}")
    return part_term(part)


def part_term(part: Part) -> Term:
    """A part's value with its tolerance. Raises FormulaFault where it has no value that can be counted with."""
    value = part.data.value.quantity
    if value is None:
        raise FormulaFault(f"{part.ref} has no value to count with: {part.data.value.raw or 'nothing'}")
    tolerance = part.data.tolerance.meaning
    if part.data.tolerance and not isinstance(tolerance, Tolerance):
        raise FormulaFault(f"the tolerance of {part.ref} can't be read: {part.data.tolerance.raw}")
    return term(value, tolerance if isinstance(tolerance, Tolerance) else None, fitted=part.data.fitted.meaning is True)


def show_value(value: Decimal, unit: Unit) -> str:
    """Six figures in the unit as the manifest writes it."""
    figures = f"{float(value / unit.factor):.6g}"
    return f"{figures} {unit.text}".rstrip()


class _Reader:
    def __init__(self, design: Design, values: Values, *, check: bool) -> None:
        self._design = design
        self._values = values
        self._check = check

    def all(self) -> dict[str, Derived]:
        section = self._values.section(self._design.extra, "derived", Origin(MANIFEST, 1))
        if len(section) > MOST:
            self._wrong(f"there are more than {MOST} derived quantities", Origin(MANIFEST, 1), len(section), str(MOST))
            return {}
        found = {}
        for name in section:
            place = self._values.at(f"[derived.{name}]")
            data = self._values.section(section, name, place)
            self._values.near_miss(data, _KEYS, place, strict=f"[derived.{name}]")
            item = self._one(name, data, place)
            if item is not None:
                found[name] = item
        return found

    def _one(self, name: str, data: Mapping[str, Any], place: Origin) -> Derived | None:
        boards = self._design.boards
        board = self._values.text(data, "board", place) or (next(iter(boards)) if len(boards) == 1 else "")
        if board not in boards:
            self._wrong(f"{name} names a board that the design has not", place, board, ", ".join(boards))
            return None
        formula, unit = self._formula(name, data, place), self._unit(name, data, place)
        values = self._named_values(name, data, place)
        if formula is None or unit is None:
            return None
        limits = {}
        for key in ("low", "high"):
            text = self._values.text(data, key, place)
            limits[key] = read_in_unit(text, unit) if text else None
            if text and limits[key] is None:
                self._wrong(f"{name}: {key} can't be read", self._at(key, place), text, f"a value in {unit.text}")
        item = Derived(
            name=name,
            board=board,
            formula=formula,
            unit=unit,
            low=limits["low"],
            high=limits["high"],
            values=values,
            firmware=self._values.text(data, "firmware", place),
            constant=self._values.text(data, "constant", place),
            accept=self._accept(name, data, place),
            origin=place,
        )
        if not self._check:
            return item
        try:
            work_out(item, self._design)
        except FormulaFault as fault:
            self._wrong(f"{name} can't be worked out: {fault}", self._at("formula", place), formula.text, "")
        return item

    def _formula(self, name: str, data: Mapping[str, Any], place: Origin) -> Formula | None:
        text = self._values.text(data, "formula", place)
        try:
            return parse_formula(text)
        except FormulaFault as fault:
            expected = "such as R2 / (R1 + R2)"
            self._wrong(f"{name}: the formula can't be read: {fault}", self._at("formula", place), text, expected)
            return None

    def _unit(self, name: str, data: Mapping[str, Any], place: Origin) -> Unit | None:
        text = self._values.text(data, "unit", place)
        unit = read_unit(text)
        if unit is None:
            self._wrong(f"{name}: the unit can't be read", self._at("unit", place), text, "such as V, Hz, mV/A")
        return unit

    def _named_values(self, name: str, data: Mapping[str, Any], place: Origin) -> dict[str, Term | str]:
        found: dict[str, Term | str] = {}
        for key, text in self._values.texts(data, "values", place).items():
            board, _, _ = text.rpartition(".")
            if board in self._design.boards:
                found[key] = text
                continue
            value = read_value(text)
            if value is None:
                expected = '"0.8 V ±1 %", or a part of another board: "BOARD.R1"'
                self._wrong(f"{name}: the value {key} can't be read", self._at("values", place), text, expected)
            else:
                found[key] = value
        return found

    def _accept(self, name: str, data: Mapping[str, Any], place: Origin) -> Decimal | None:
        text = self._values.text(data, "accept", place)
        if not text:
            return None
        assert _NUMBER_UNIT is not None
        value = read_in_unit(text, _NUMBER_UNIT)
        if value is None or value < 0:
            self._wrong(f"{name}: accept can't be read", self._at("accept", place), text, "such as 0.5 %")
            return None
        return value

    def _at(self, key: str, place: Origin) -> Origin:
        return self._values.at(f"{key}=", place)

    def _wrong(self, message: str, place: Origin, found: object, expected: str) -> None:
        self._values.wrong("wrong-formula", message, place, found, expected)


def read_value(text: str) -> Term | None:
    """``0.8 V ±1 %``, ``3 pF``, ``4096``: a value with an optional tolerance behind it; None for anything else."""
    value, sign, tolerance = text.partition("±")
    if not sign:
        value, sign, tolerance = text.partition("+/-")
    quantity = read_quantity(value)
    limits = read_tolerance(f"±{tolerance.strip()}") if sign else None
    if quantity is None or (sign and limits is None):
        return None
    try:
        return term(Quantity(quantity.magnitude, quantity.unit), limits)
    except FormulaFault:
        return None
