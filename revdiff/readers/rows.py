"""The cells of one row to the readings of one record, with every fault told at its own cell."""

from __future__ import annotations

from revdiff.design import EMPTY, Reading
from revdiff.design.fields import Field
from revdiff.design.model import Extra
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import clean, fold
from revdiff.readers import words
from revdiff.readers.cells import CellContext, CellReader, Decimals, UnreadableCell, own_reading, reader_of
from revdiff.readers.columns import TableKind
from revdiff.readers.damage import REMEDY, damage_of
from revdiff.readers.faults import Faults
from revdiff.readers.spec import TableSpec
from revdiff.readers.table import Table

_COMMA_NUMBER = pattern(r"\s*[-+]?(\d+,\d{1,2}|\d+,\d{4,}|0,\d+)(?!\d)")
_POINT_NUMBER = pattern(r"\s*[-+]?\d*\.\d+")
_EITHER_NUMBER = pattern(r"\s*[-+]?[1-9]\d{0,2},\d{3}(?!\d)")
_BARE_NUMBER = pattern(r"[-+]?[0-9]+([.,][0-9]+)?")


class RowReader:
    """Reads the rows of one table: every column of its kind that is read by itself.

    The same text in the same column is read once: boards repeat themselves.
    """

    def __init__(self, table: Table, spec: TableSpec, kind: TableKind, faults: Faults) -> None:
        self._table = table
        self._faults = faults
        self._context = CellContext(_decimals(table, spec, faults), spec.package_code)
        self._fields: list[tuple[Field, int, CellReader, dict[str, Reading]]] = [
            (item, table.columns[item.name], reader_of(item), {})
            for item in kind.columns
            if item.name in table.columns and item.cell != "own"
        ]
        names = sorted((fold(name), name, position) for name, position in table.extra.items())
        self._extra = [(clean(name), position) for _, name, position in names]
        self._texts: dict[str, Reading] = {}

    @property
    def context(self) -> CellContext:
        """What was decided about reading this table."""
        return self._context

    def cell(self, cells: list[str], name: str) -> str:
        """The raw text of a field; empty where the column or the cell is missing."""
        position = self._table.columns.get(name)
        return cells[position] if position is not None and position < len(cells) else ""

    def readings(self, line: int, cells: list[str]) -> dict[str, Reading]:
        """The readings of all fields that the table has a column for and the row a cell in."""
        found: dict[str, Reading] = {}
        size = len(cells)
        for item, position, read, seen in self._fields:
            if position < size:
                raw = cells[position]
                reading = seen.get(raw)
                if reading is None:
                    reading = seen[raw] = self._read(line, item, raw, read) if raw else EMPTY
                if reading.raw or reading.meaning is not None:
                    found[item.name] = reading
        return found

    def extra(self, cells: list[str]) -> Extra:
        """The cells of the columns that the program has no name for, blank ones left out."""
        if not self._extra:
            return ()
        size = len(cells)
        found: list[tuple[str, Reading]] = []
        for name, position in self._extra:
            raw = cells[position] if position < size else ""
            if raw:
                reading = self._texts.get(raw)
                if reading is None:
                    reading = self._texts[raw] = own_reading(raw, self._context)
                if reading.meaning is not None:
                    found.append((name, reading))
        return tuple(found)

    def tell_damage(self, line: int, name: str, text: str) -> bool:
        """Tells the trace of a spreadsheet in a cell; whether there is one."""
        damage = damage_of(name, text)
        if damage is None:
            return False
        self._faults.notice(
            damage.code,
            damage.message,
            self._table.origin(line, name),
            found=text,
            expected=damage.expected,
            remedy=REMEDY if damage.code != "letter-for-digit" else "Type the cell again, with figures.",
        )
        return True

    def tell_ambiguous(self, line: int, name: str, text: str) -> None:
        """Tells a number that may be thousands or a decimal."""
        self._faults.notice(
            "ambiguous-number",
            "this number could be thousands or a decimal; it is compared as text",
            self._table.origin(line, name),
            found=text,
            remedy='Settle it in the manifest: decimal = "comma" or decimal = "point".',
        )

    def _read(self, line: int, field: Field, raw: str, read: CellReader) -> Reading:
        name = field.name
        unit = self._table.units.get(name, "")
        text = f"{raw} {unit}" if unit and _BARE_NUMBER.fullmatch(raw.strip()) else raw
        try:
            reading = read(text, self._context)
        except UnreadableCell as error:
            self._faults.fault(
                "unreadable-value",
                f"the {name.replace('_', ' ')} can't be read",
                self._table.origin(line, name),
                found=clean(raw),
                expected=str(error),
                remedy="Correct the cell, or leave it empty.",
            )
            return Reading(clean(raw), fold(raw))
        if text is not raw:
            reading = Reading(clean(raw), reading.meaning, reading.unclear)
        if self.tell_damage(line, name, reading.raw):
            return Reading(reading.raw, fold(reading.raw), unclear=True)
        known = words.KNOWN.get(field.cell)
        if known is not None and reading.word and reading.word not in known:
            self._faults.notice(
                "unknown-word",
                f"this {name} is none of the words known here; it is compared as text and no rule can judge it",
                self._table.origin(line, name),
                found=reading.raw,
                expected=", ".join(sorted(known)),
            )
        if reading.unclear:
            self.tell_ambiguous(line, name, reading.raw)
        return reading


def _decimals(table: Table, spec: TableSpec, faults: Faults) -> Decimals:
    """The manifest's word, or a decimal comma where the file has such numbers and none with a point."""
    if spec.decimal:
        return spec.decimal
    commas: tuple[int, str] | None = None
    either: tuple[int, str] | None = None
    for line, cells in table.rows:
        for cell in cells:
            if "." in cell and _POINT_NUMBER.match(cell):
                return "either"
            if "," in cell:
                if commas is None and _COMMA_NUMBER.match(cell):
                    commas = (line, cell)
                if either is None and _EITHER_NUMBER.match(cell):
                    either = (line, cell)
    if commas is None:
        return "either"
    if either is not None:
        faults.notice(
            "decimal-comma",
            f"the comma was taken for the decimal mark, as in {clean(commas[1])!r} (line {commas[0]})",
            table.origin(either[0]),
            found=clean(either[1]),
            remedy='If it separates thousands, say so in the manifest: decimal = "point".',
        )
    return "comma"
