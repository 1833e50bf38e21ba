"""One row of a parts list to what it says of every part it names."""

from __future__ import annotations

from revdiff.design import EMPTY, PartData, Reading
from revdiff.design.model import readings_of
from revdiff.design.reading import compare_readings
from revdiff.quantities.quantity import ambiguous_number, read_quantity, show
from revdiff.quantities.size_code import Package, system_of
from revdiff.quantities.text import clean, fold
from revdiff.quantities.tolerance import show_tolerance
from revdiff.quantities.value_cell import ValueCell, read_value_cell
from revdiff.readers import cells
from revdiff.readers.columns import MORE_SOURCES, PARTS
from revdiff.readers.faults import Faults
from revdiff.readers.fitting import Fitting
from revdiff.readers.rows import RowReader
from revdiff.readers.spec import TableSpec
from revdiff.readers.table import Table

_CHIPS = ("Ω", "F", "H")
_OTHER = {"inch": "metric", "metric": "inch"}


class PartRowReader:
    """Reads rows; equal rows of one unit become one and the same record."""

    def __init__(self, table: Table, spec: TableSpec, faults: Faults) -> None:
        self._table = table
        self._spec = spec
        self._faults = faults
        self.rows = RowReader(table, spec, PARTS, faults)
        self._fitting = Fitting(table, self.rows, faults)
        self._known: dict[tuple[str, bool, tuple[str, ...]], PartData] = {}
        self._ambiguous: dict[str, int] = {}
        self._packages: dict[str, Package] = {}
        apart = {table.columns.get("designator"), table.columns.get("quantity")}
        self._described = sorted({*table.columns.values(), *table.extra.values()} - apart)
        self._more = [
            (table.columns[name], name)
            for name in (f"part_number_{number}" for number in range(2, MORE_SOURCES + 1))
            if name in table.columns
        ]
        self._codes = [at for name, at in table.columns.items() if name.startswith("order_code")]

    def described(self, row: list[str]) -> tuple[str, ...]:
        """The cells of a row that say anything of its parts."""
        size = len(row)
        return tuple([row[at] if at < size else "" for at in self._described])

    def data(self, unit: str, line: int, row: list[str], key: tuple[str, ...], *, none: bool = False) -> PartData:
        """What the row says of its parts whose value is in ``unit``. ``none``: the row's quantity is 0."""
        known = self._known.get((unit, none, key))
        if known is None:
            known = self._known[unit, none, key] = self._read(unit, line, row, none)
        return known

    def with_value(self, data: PartData, unit: str, text: str, line: int) -> PartData:
        """The same part with the value that its own entry in a list of values gives it."""
        found = {**readings_of(data), "value": EMPTY}
        self._read_value_text(found, unit, line, text, "value", code=self._spec.value_code)
        return PartData(**found, extra=data.extra)

    def tell_ambiguous(self) -> None:
        """Tells, once for the table, the package codes that are sizes in both systems, unless others settle them."""
        if not self._ambiguous:
            return
        system = system_of(self._packages.items())
        shown = ", ".join(sorted(self._ambiguous))
        place = self._table.origin(min(self._ambiguous.values()), "package")
        if system:
            self._faults.notice(
                "package-system",
                f"{shown} taken for {system} codes, since others of this list are sizes in that system only",
                place,
                remedy=f'If that is wrong, say so in the manifest: package_code = "{_OTHER[system]}".',
            )
            return
        self._faults.notice(
            "ambiguous-package",
            f"these package codes are sizes in both the inch and the metric system: {shown}",
            place,
            remedy='Settle it in the manifest: package_code = "inch" or package_code = "metric".',
        )

    def _read(self, unit: str, line: int, row: list[str], none: bool) -> PartData:
        found = self.rows.readings(line, row)
        sign = self._read_value(found, unit, line, row)
        fitted, emptied = self._fitting.of(line, row, sign, none)
        for name in emptied:
            found.pop(name, None)
        found["fitted"] = fitted
        self._read_cost(found, line, row)
        if self._more:
            self._read_more_sources(found, row)
        codes = cells.codes_reading(row[at] for at in self._codes if at < len(row))
        if codes:
            found["order_code"] = codes
        pattern = cells.land_pattern_of(self.rows.cell(row, "land_pattern") or found.get("package", EMPTY).raw)
        if pattern:
            found["land_pattern"] = pattern
        package = found.get("package", EMPTY)
        if isinstance(package.meaning, Package) and package.meaning.sizes:
            if unit in _CHIPS:  # crystals and LEDs have metric codes in every list: common practice, no source
                self._packages.setdefault(package.raw, package.meaning)
            if len(package.meaning.sizes) > 1:
                self._ambiguous.setdefault(package.raw, line)
        return PartData(**found, extra=self.rows.extra(row))

    def _read_value(self, found: dict[str, Reading], unit: str, line: int, row: list[str]) -> str:
        """Fills the value and what its cell says besides; gives the cell where it says that the part isn't fitted."""
        raw = self.rows.cell(row, "value")
        code = self.rows.cell(row, "value_code")
        if clean(code) and not clean(raw):
            return self._read_value_text(found, unit, line, code, "value_code", code=True)
        return self._read_value_text(found, unit, line, raw, "value", code=self._spec.value_code)

    def _read_value_text(
        self, found: dict[str, Reading], unit: str, line: int, raw: str, name: str, *, code: bool
    ) -> str:
        text = clean(raw)
        if cells.is_placeholder(text):
            return ""
        if self.rows.tell_damage(line, name, text):
            found["value"] = Reading(text, fold(text), unclear=True)
            return ""
        decimal = self.rows.context.decimal
        plain = cells.without_thousands(self._with_unit(text, name), decimal)
        cell = read_value_cell(plain, unit, decimal=decimal, code=code)
        sign = text if cell.fitted is False else ""
        if cell.value is None or (not unit and not cell.value.unit):
            rest = cell.rest or ("" if sign else text)
            if rest:
                found["value"] = Reading(text, fold(rest), unclear=ambiguous_number(rest))
                if found["value"].unclear:
                    self.rows.tell_ambiguous(line, name, text)
            return sign
        found["value"] = Reading(text, cell.value)
        self._fill_from(found, cell, line)
        return sign

    def _with_unit(self, text: str, name: str) -> str:
        unit = self._table.units.get(name, "")
        bare = unit and text[-1].isdigit() and read_quantity(text, "", decimal=self.rows.context.decimal) is not None
        return f"{text} {unit}" if bare else text

    def _fill_from(self, found: dict[str, Reading], cell: ValueCell, line: int) -> None:
        context = self.rows.context
        for name, piece in (("voltage", cell.voltage), ("power", cell.power), ("current", cell.current)):
            if piece is not None:
                self._fill(found, name, Reading(show(piece), piece), line)
        if cell.tolerance is not None:
            self._fill(found, "tolerance", Reading(show_tolerance(cell.tolerance), cell.tolerance), line)
        if cell.dielectric:
            self._fill(found, "dielectric", cells.dielectric_reading(cell.dielectric, context), line)
        if cell.package:
            self._fill(found, "package", cells.package_reading(cell.package, context), line)

    def _fill(self, found: dict[str, Reading], name: str, reading: Reading, line: int) -> None:
        """A fact from inside the value cell fills its own field; where both speak and differ, that is a fault."""
        own = found.get(name, EMPTY)
        if not own:
            found[name] = reading
        elif compare_readings(own, reading) == "different":
            comparable = type(own.meaning) is type(reading.meaning) and not (
                isinstance(own.meaning, Package)
                and isinstance(reading.meaning, Package)
                and not (own.meaning.sizes and reading.meaning.sizes)
            )
            (self._faults.fault if comparable else self._faults.notice)(
                "contradiction",
                f"the value cell and the column for the {name.replace('_', ' ')} disagree; the column was taken",
                self._table.origin(line, name),
                found=f"{own.raw} against {reading.raw}",
                remedy="Correct whichever is wrong.",
            )

    def _read_cost(self, found: dict[str, Reading], line: int, row: list[str]) -> None:
        raw = self.rows.cell(row, "cost")
        if not raw.strip():
            return
        try:
            reading, currency = cells.cost_reading(raw, self.rows.context)
        except cells.UnreadableCell as error:
            self._faults.fault(
                "unreadable-value",
                "the cost can't be read",
                self._table.origin(line, "cost"),
                found=clean(raw),
                expected=str(error),
                remedy="Correct the cell, or leave it empty.",
            )
            return
        if reading.unclear:
            self.rows.tell_ambiguous(line, "cost", reading.raw)
        if reading:
            found["cost"] = reading
        currency = currency or (self._table.units.get("cost", "") if reading else "")
        if currency and "currency" not in found:
            found["currency"] = Reading(currency, fold(currency))

    def _read_more_sources(self, found: dict[str, Reading], row: list[str]) -> None:
        """The part numbers of numbered columns are alternates of the first one."""
        numbers = [clean(row[at]) for at, _ in self._more if at < len(row)]
        further = with_alternates(found.get("alternates", EMPTY), found.get("part_number", EMPTY), numbers)
        if further:
            found["alternates"] = further


def with_alternates(alternates: Reading, own: Reading, numbers: list[str]) -> Reading:
    """The alternates and further part numbers, those left out that are there already or are the part's own."""
    before = alternates.meaning if isinstance(alternates.meaning, tuple) else ()
    further = {fold(text): text for text in numbers if not cells.is_placeholder(text)}
    new = {key: text for key, text in further.items() if key not in before and key != own.meaning}
    if not new:
        return alternates
    raw = "; ".join(filter(None, (alternates.raw, *new.values())))
    return Reading(raw, tuple(sorted({*map(str, before), *new})))
