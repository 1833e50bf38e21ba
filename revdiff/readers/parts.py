"""Rows of a parts list to parts: who is named where, and what to make of the rows that name nobody."""

from __future__ import annotations

import re
from dataclasses import replace

from revdiff.design import Origin, Part, PartData, Reading
from revdiff.quantities.designator import DesignatorFault, compress, expand
from revdiff.quantities.quantity import read_quantity
from revdiff.quantities.text import clean, fold
from revdiff.readers import words
from revdiff.readers.damage import damage_of
from revdiff.readers.faults import Faults
from revdiff.readers.fitting import unfitted_heading
from revdiff.readers.part_row import PartRowReader, contradictions, value_unit, with_alternates
from revdiff.readers.spec import TableSpec
from revdiff.readers.table import Table

_REMARK_CELLS = 2  # filled cells, up to which a row without designators may be a remark
_SAYS = ("value", "package", "manufacturer", "part_number", "description", "quantity")
_OWN_VALUE = re.compile(r"([A-Za-z]{1,4}[0-9]{1,5}[A-Za-z]?)\s*[=:]\s*([^,;\n=:]{1,60})")
_SHOWN = 6


def read_parts(table: Table, spec: TableSpec, faults: Faults) -> dict[str, Part]:
    """The parts of a parts list by reference designator."""
    return _PartsReader(table, spec, faults).read()


class _PartsReader:
    def __init__(self, table: Table, spec: TableSpec, faults: Faults) -> None:
        self._table = table
        self._faults = faults
        self._reader = PartRowReader(table, spec, faults)
        self._cell = self._reader.rows.cell
        self._designators_at = table.columns["designator"]
        self._parts: dict[str, Part] = {}
        self._above: tuple[str, ...] = ()  # the designators of the row above
        self._again: dict[str, int] = {}  # named twice with equal data, and where
        self._unfitted_from = 0  # the line of a heading that says that the parts below it aren't fitted
        self._units: dict[str, str] = {}  # of values, by the letters of the designator
        self._bare: dict[str, int] = {}  # rows that name parts and say nothing of them

    def read(self) -> dict[str, Part]:
        rows = self._table.rows
        index = 0
        while index < len(rows):
            line, row = rows[index]
            refs, taken = self._designators(line, row), 1
            if refs:
                refs, taken = self._continued(index, refs)
                self._read_row(line, row, refs)
            index += taken
            if refs:
                self._above = refs
        if not self._parts:
            self._faults.fault(
                "empty-table",
                "the parts list names no parts",
                Origin(self._table.file, self._table.header_line),
                expected="rows with reference designators",
            )
        self._reader.tell_ambiguous()
        self._tell_repeated()
        self._tell_bare()
        return self._parts

    def _read_row(self, line: int, row: list[str], refs: tuple[str, ...]) -> None:
        none = self._check_quantity(line, row, refs)
        key = self._reader.described(row)
        if not any(map(str.strip, key)):
            self._bare[", ".join(refs[:_SHOWN])] = line
        own_values = self._own_values(row, refs)
        origin = self._table.origin(line, "designator")
        data: dict[str, PartData] = {}
        units = self._units
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
                data[unit] = said
            if own_values:
                said = self._reader.with_value(said, unit, own_values[ref], line)
            first = self._parts.get(ref)
            if first is None:
                self._parts[ref] = Part(ref, said, origin)
            else:
                self._named_twice(first, said, line, row)

    # designators

    def _designators(self, line: int, row: list[str]) -> tuple[str, ...]:
        raw = row[self._designators_at] if self._designators_at < len(row) else ""
        text = clean(raw)
        if fold(text) in words.PLACEHOLDERS:
            self._without_designator(line, row)
            return ()
        try:
            refs = expand(raw)
        except DesignatorFault as error:
            self._unreadable(line, row, text, str(error))
            return ()
        if len(refs) == 1 and not refs[0][-1].isdigit() and refs[0].isalpha() and self._is_heading(row):
            self._remark(line, row)
            return ()
        return refs

    def _is_heading(self, row: list[str]) -> bool:
        """Whether a word in the place of a designator stands alone, as a heading or the end of a list does."""
        return not any(self._cell(row, name).strip() for name in _SAYS)

    def _unreadable(self, line: int, row: list[str], text: str, error: str) -> None:
        damage = damage_of("designator", text)
        filled = sum(1 for cell in row if cell.strip())
        if damage is None and filled <= _REMARK_CELLS:
            self._remark(line, row)
            return
        self._faults.fault(
            "unreadable-designator",
            damage.message if damage is not None else error,
            self._table.origin(line, "designator"),
            found=text,
            expected="designators such as R1, R3-R7, C2",
            remedy="Correct the cell; if the table ends above it, say so in the manifest: "
            f"last_row = {max(line - 1, 1)}.",
        )

    def _remark(self, line: int, row: list[str]) -> None:
        """A heading or a remark. One that says `not fitted` speaks of the parts it lists, or of those below it."""
        text = clean(" ".join(filter(None, map(str.strip, row))))
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
            f"taken as a list of {len(refs)} parts that are not fitted",
            origin,
            found=text,
            remedy='To be sure, give the table a column "Fitted".',
        )
        return True

    def _unfit(self, data: PartData, line: int) -> PartData:
        if data.fitted.meaning is False:
            return data
        if data.fitted.raw:
            self._faults.fault(
                "contradiction",
                "the part is said to be fitted in its row, and not to be in a list of parts that are not fitted",
                self._table.origin(line, "fitted"),
                found=data.fitted.raw,
                remedy="Correct whichever is wrong.",
            )
            return data
        return replace(data, fitted=Reading("not fitted", False))

    def _continued(self, index: int, refs: tuple[str, ...]) -> tuple[tuple[str, ...], int]:
        """A long list of designators that runs on in rows of its own, as the quantity proves."""
        wanted = self._quantity(self._table.rows[index][1])
        taken, together = 1, refs
        while wanted is not None and len(together) < wanted and index + taken < len(self._table.rows):
            row = self._table.rows[index + taken][1]
            at = self._designators_at
            if at >= len(row) or not row[at].strip() or any(cell.strip() for cell in (*row[:at], *row[at + 1 :])):
                break
            try:
                together += expand(row[at])
            except DesignatorFault:
                break
            taken += 1
        if taken == 1 or len(together) != wanted:
            return refs, 1
        self._faults.notice(
            "continued-row",
            "the designators run on below their row, as its quantity says",
            self._table.origin(self._table.rows[index + 1][0], "designator"),
            found=clean(self._table.rows[index + 1][1][self._designators_at]),
        )
        return together, taken

    def _own_values(self, row: list[str], refs: tuple[str, ...]) -> dict[str, str]:
        """The value of each part where the value cell lists them by designator: `R1=10k, R2=22k`."""
        text = self._cell(row, "value")
        if "=" not in text and ":" not in text:
            return {}
        listed = {ref.upper(): value.strip() for ref, value in _OWN_VALUE.findall(text)}
        return listed if set(refs) <= set(listed) else {}

    # quantity

    def _quantity(self, row: list[str]) -> int | None:
        quantity = read_quantity(self._cell(row, "quantity"), "")
        if quantity is None or quantity.unit or quantity.magnitude % 1 or not 0 <= quantity.magnitude <= 10**6:
            return None
        return int(quantity.magnitude)

    def _check_quantity(self, line: int, row: list[str], refs: tuple[str, ...]) -> bool:
        """Compares the quantity with the designators, which are the truth. Whether the quantity is 0."""
        raw = clean(self._cell(row, "quantity"))
        if raw == str(len(refs)) or fold(raw) in words.PLACEHOLDERS:
            return False
        quantity = self._quantity(row)
        if quantity == len(refs):
            return False
        origin = self._table.origin(line, "quantity")
        if quantity is None:
            self._faults.fault(
                "unreadable-value",
                "the quantity can't be read",
                origin,
                found=raw,
                expected="a whole number",
                remedy="Correct the cell, or leave it empty.",
            )
        elif quantity == 0:
            return True
        elif quantity != len(set(refs)):
            self._faults.fault(
                "quantity-mismatch",
                f"the quantity is {raw}, but the row names {len(refs)} designators; the designators were taken",
                origin,
                found=clean(row[self._designators_at]),
                expected=f"{raw} designators, or the quantity {len(refs)}",
                remedy="Correct whichever is wrong.",
            )
        return False

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
        text = clean(" ".join(filter(None, map(str.strip, row))))
        if sum(1 for cell in row if cell.strip()) <= _REMARK_CELLS and unfitted_heading(text)[0]:
            self._remark(line, row)
            return
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

    # parts named twice

    def _named_twice(self, first: Part, said: PartData, line: int, row: list[str]) -> None:
        differ = contradictions(first.data, said)
        if not differ and first.origin.line != line:
            self._again.setdefault(first.ref, line)
            return
        where = f"the first one, at {first.origin}, was taken"
        if differ:
            message = f"{first.ref} is named twice, with another {', '.join(differ).replace('_', ' ')}; {where}"
        else:
            message = f"{first.ref} is named twice in this row"
        self._faults.fault(
            "duplicate-designator",
            message,
            self._table.origin(line, "designator"),
            found=clean(row[self._designators_at]),
            expected="each designator once",
            remedy="Remove it from one of the two rows." if differ else "Remove one of them.",
        )

    def _tell_repeated(self) -> None:
        if self._again:
            line = min(self._again.values())
            self._faults.notice(
                "repeated-designator",
                f"{len(self._again)} designators are named again in other rows, which say nothing different",
                self._table.origin(line, "designator"),
                found=compress(self._again),
                expected="each designator once",
            )

    def _tell_bare(self) -> None:
        for refs, line in self._bare.items():
            self._faults.notice(
                "bare-row",
                "this row names parts and says nothing else of them",
                self._table.origin(line, "designator"),
                found=refs,
            )
