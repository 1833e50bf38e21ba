"""Rows of a parts list to parts: who is named where, and what to make of the rows that name nobody."""

from __future__ import annotations

from dataclasses import replace

from revdiff.design import Origin, Part, PartData, Reading
from revdiff.errors import DataFault
from revdiff.quantities.designator import DesignatorFault, compress, expand
from revdiff.quantities.text import clean, fold
from revdiff.quantities.value_cell import is_unfitted
from revdiff.readers.cells import is_placeholder
from revdiff.readers.damage import damage_of
from revdiff.readers.designators import Designators, is_unnumbered
from revdiff.readers.faults import Faults, counted
from revdiff.readers.fitting import unfitted_heading
from revdiff.readers.guesses import begins_with_designator
from revdiff.readers.part_row import PartRowReader, with_alternates
from revdiff.readers.repeats import Repeats, unfits
from revdiff.readers.spec import TableSpec
from revdiff.readers.table import Table
from revdiff.readers.value_units import value_unit

_REMARK_CELLS = 2  # filled cells, up to which a row without designators may be a remark
_MOST = 200_000  # designators of one parts list, those named again too
# A word with nothing but a quantity or a cost beside it is the sum at the end of a list.
_SAYS = ("value", "package", "manufacturer", "part_number", "description")


def read_parts(table: Table, spec: TableSpec, faults: Faults) -> dict[str, Part]:
    """The parts of a parts list by reference designator. Raises DataFault for more than 200,000 designators."""
    return _PartsReader(table, spec, faults).read()


class _PartsReader:
    def __init__(self, table: Table, spec: TableSpec, faults: Faults) -> None:
        self._table = table
        self._faults = faults
        self._reader = PartRowReader(table, spec, faults)
        self._cell = self._reader.rows.cell
        self._designators = Designators(table, faults)
        self._repeats = Repeats(table, faults)
        self._parts: dict[str, Part] = {}
        self._above: tuple[str, ...] = ()  # the designators of the row above
        self._unfitted_from = 0  # the line of a heading that says that the parts below it aren't fitted
        self._unstated: dict[int, tuple[str, ...]] = {}  # by line, where nothing says whether they are fitted
        self._named_so_far = 0
        self._units: dict[str, str] = {}  # of values, by the letters of the designator

    def read(self) -> dict[str, Part]:
        rows = self._table.rows
        index = 0
        while index < len(rows):
            line, row = rows[index]
            refs, taken = self._named(line, row), 1
            if refs:
                refs, taken = self._designators.continued(rows, index, refs)
                self._count(line, refs)
                refs, none = self._designators.checked(line, row, refs)
                self._read_row(line, row, refs, none)
                self._above = refs
            index += taken
        if not self._parts:
            self._faults.fault(
                "empty-table",
                "the parts list names no parts",
                Origin(self._table.file, self._table.header_line),
                expected="rows with reference designators",
                remedy="Fill the file, or take it out of the manifest.",
            )
        self._reader.tell_ambiguous()
        self._tell_unstated()
        self._repeats.tell()
        return self._parts

    def _count(self, line: int, refs: tuple[str, ...]) -> None:
        """A few bytes can name thousands of parts by ranges, so that the size of the file limits nothing."""
        self._named_so_far += len(refs)
        self._faults.budget.spend("designators", len(refs), f"{self._table.file}:{line}")
        if self._named_so_far > _MOST:
            raise DataFault(
                f"{self._table.file}:{line}: found more than {_MOST} designators up to this row, "
                f"expected {_MOST} at most in one parts list. Correct the ranges, or split the list."
            )

    def _read_row(self, line: int, row: list[str], refs: tuple[str, ...], none: bool) -> None:
        key = self._reader.described(row)
        origin = self._table.origin(line, "designator")
        listed = self._unfitted_from and all(ref in self._parts for ref in refs)
        if not listed and not any(map(str.strip, key)):
            text = clean(self._designators.cell(row))
            self._faults.notice("bare-row", "this row names parts and says nothing else of them", origin, found=text)
        own_values = self._designators.own_values(row, refs)
        data: dict[str, PartData] = {}
        units, parts = self._units, self._parts
        for ref in refs:
            letters = ref.rstrip("0123456789")
            unit = units.get(letters)
            if unit is None:
                unit = units[letters] = value_unit(ref)
            said = data.get(unit)
            if said is None:
                said = self._reader.data(unit, line, row, key, none=none)
                if self._unfitted_from:
                    said = self._unfit(said, line)
                elif not data and said.fitted.unclear and is_placeholder(said.fitted.raw):
                    self._unstated[line] = refs
                data[unit] = said
            if own_values:
                said = self._reader.with_value(said, unit, own_values[ref], line)
            first = parts.get(ref)
            if first is None:
                parts[ref] = Part(ref, said, origin)
            elif unfits(first.data, said):
                parts[ref] = replace(first, data=replace(first.data, fitted=said.fitted))
                self._repeats.unfitted(ref, line)
            else:
                full = self._repeats.add(first, said, line, clean(self._designators.cell(row)))
                parts[ref] = first if full is first.data else replace(first, data=full)

    def _tell_unstated(self) -> None:
        if not self._unstated:
            return
        refs = [ref for named in self._unstated.values() for ref in named]
        are, rows = "are" if len(refs) > 1 else "is", counted(len(self._unstated), "row")
        self._faults.fault(
            "fitted-unstated",
            f"nothing says whether {len(refs)} of the parts {are} fitted ({rows}, first here), and the column says yes "
            "of others; taken as fitted",
            self._table.origin(min(self._unstated), "fitted"),
            found=compress(refs),
            expected="yes or no",
            remedy="Fill in the cells.",
        )

    def _named(self, line: int, row: list[str]) -> tuple[str, ...]:
        """The designators of a row; none, and told, where it is another kind of row."""
        raw = self._designators.cell(row)
        try:
            refs = expand(raw)
        except DesignatorFault as error:
            if is_placeholder(clean(raw)):
                self._without_designator(line, row)
            else:
                self._unreadable(line, row, clean(raw), str(error))
            return ()
        if not refs or is_placeholder(refs[0]):
            self._without_designator(line, row)
            return ()
        if len(refs) == 1 and refs[0].isalpha() and (self._says_nothing(row) or is_unfitted(raw)):
            self._remark(line, row)
            return ()
        return refs

    def _says_nothing(self, row: list[str]) -> bool:
        """Whether a word in the place of a designator stands alone, as a heading or the end of a list does."""
        return not any(self._cell(row, name).strip() for name in _SAYS)

    def _unreadable(self, line: int, row: list[str], text: str, error: str) -> None:
        if not any(map(str.isalnum, _text(row))):
            return  # a line of dashes only parts the rows
        damage = damage_of("designator", text)
        origin = self._table.origin(line, "designator")
        if is_unnumbered(text):
            self._faults.notice(
                "unnumbered-designator",
                "this row names no part by its number and was left out",
                origin,
                found=_text(row),
                expected="designators such as R1, R3-R7, C2",
            )
            return
        few = sum(1 for cell in row if cell.strip()) <= _REMARK_CELLS
        if damage is None and few and not begins_with_designator(text):
            self._remark(line, row)
            return
        self._faults.fault(
            "unreadable-designator",
            damage.message if damage is not None else "the designators can't be read, and the row was left out",
            origin,
            found=f"{text}, in the row {_text(row)}",
            expected=error.partition("expected ")[2] or "designators such as R1, R3-R7, C2",
            remedy="Correct the cell; if the table ends above it, say so in the manifest: "
            f"last_row = {max(line - 1, 1)}.",
        )

    # remarks, headings and lists of parts that aren't fitted

    def _remark(self, line: int, row: list[str]) -> None:
        """A heading or a remark. One that says `not fitted` speaks of the parts it lists, or of those below it."""
        text = _text(row)
        announces, rest = unfitted_heading(text)
        self._unfitted_from = 0
        if announces and rest and self._unfit_listed(line, rest):
            return
        if announces and not rest:
            self._unfitted_from = line
            message = "taken as a heading; the parts below it are not fitted"
        else:
            message = "taken as a remark and left out"
        self._faults.notice("remark-row", message, self._table.origin(line, "designator"), found=text)

    def _unfit_listed(self, line: int, text: str) -> bool:
        try:
            refs = expand(text)
        except DesignatorFault:
            return False
        self._count(line, refs)
        origin = self._table.origin(line, "designator")
        for ref in refs:
            part = self._parts.get(ref)
            if part is None:
                self._faults.fault(
                    "unknown-designator",
                    f"{ref} is said not to be fitted, but no row above names it",
                    origin,
                    found=ref,
                    remedy="Correct the designator, or add the part.",
                )
            else:
                self._parts[ref] = replace(part, data=self._unfit(part.data, line))
        self._faults.notice(
            "unfitted-list",
            "taken as a list of parts that are not fitted",
            origin,
            found=text,
            remedy='To be sure, give the table a column "Fitted".',
        )
        return True

    def _unfit(self, data: PartData, line: int) -> PartData:
        if data.fitted.meaning is False:
            return data
        if not is_placeholder(data.fitted.raw):
            self._faults.fault(
                "contradiction",
                "the part is said to be fitted in its row, and not to be in a list of parts that are not fitted",
                self._table.origin(line, "fitted"),
                found=data.fitted.raw,
                remedy="Correct whichever is wrong.",
            )
            return data
        return replace(data, fitted=Reading("not fitted", False))

    # rows without designators

    def _without_designator(self, line: int, row: list[str]) -> None:
        origin = self._table.origin(line, "designator")
        number = clean(self._cell(row, "part_number"))
        if self._above and number and self._may_be_alternate(row):
            for ref in self._above:
                data = self._parts[ref].data
                further = with_alternates(data.alternates, data.part_number, [number])
                self._parts[ref] = replace(self._parts[ref], data=replace(data, alternates=further))
            self._faults.notice(
                "alternate-row",
                f"this row names no designator and was taken as an alternate for {compress(self._above)} above it",
                origin,
                found=number,
                remedy="If it is a part of its own, give it a quantity.",
            )
            return
        if sum(1 for cell in row if cell.strip()) <= _REMARK_CELLS and unfitted_heading(_text(row))[0]:
            self._remark(line, row)
            return
        text = _text(row)
        if any(map(str.isalnum, text)):
            self._faults.notice(
                "no-designator",
                "this row names no designator; it is no part on the board and was left out",
                origin,
                found=text,
            )

    def _may_be_alternate(self, row: list[str]) -> bool:
        """No quantity of its own, and nothing that differs from the row above."""
        above = self._parts[self._above[0]].data
        quantity = self._cell(row, "quantity")
        same_value = fold(self._cell(row, "value")) in ("", fold(above.value.raw))
        same_package = fold(self._cell(row, "package")) in ("", fold(above.package.raw))
        return not quantity.strip() and same_value and same_package


def _text(row: list[str]) -> str:
    return clean(" ".join(filter(None, map(str.strip, row))))
