"""Rows of cells to named fields: finds the header, matches its columns, tells what it took for what."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from revdiff.design import Origin
from revdiff.quantities.text import clean
from revdiff.readers.columns import PARTS, PINS, TableKind
from revdiff.readers.faults import Faults
from revdiff.readers.grid import Grid, Rows
from revdiff.readers.header import Columns, find_header, match_columns
from revdiff.readers.sight import (
    guess_headerless,
    header_by_content,
    look_for_designators,
    look_for_ports,
    settle_by_content,
)
from revdiff.readers.spec import TableSpec
from revdiff.readers.strays import tell_strays, without_conflict_marks

__all__ = ["Table", "TableSpec", "find_table"]

_RAGGED_TOLD = 10  # rows longer than the header that are told one by one


class Table(Struct, frozen=True):
    """Data rows below a header. ``columns`` and ``extra`` map to cell positions from 0, ``places`` from 1.

    ``names``: a list of names as firmware keeps it, in which one pin may have several. ``guessed``: the columns
    that were taken by what their cells hold, as the manifest would state them. ``title``: the heading above the table.
    ``numbers``: as of the grid.
    """

    file: str
    header_line: int
    columns: Mapping[str, int]
    extra: Mapping[str, int]
    units: Mapping[str, str]
    rows: Rows
    places: Mapping[str, int] = {}
    names: bool = False
    guessed: Mapping[str, str | int] = {}
    title: str = ""
    numbers: tuple[tuple[str, str, int], ...] = ()

    def origin(self, line: int, name: str = "") -> Origin:
        """The place of the field ``name`` in the row at ``line``."""
        return Origin(self.file, line, self.places.get(name, 0), self.places)


def find_table(grid: Grid, kind: TableKind, spec: TableSpec, faults: Faults) -> Table | None:
    """The table of ``kind`` in ``grid``; None, with a fault, where no header is found or the table is empty."""
    if not grid.rows:
        _tell_empty(faults, f"the {kind.name} is empty", Origin(grid.file, 1), "a header row and data rows")
        return None
    tell_strays(grid, faults)
    grid = without_conflict_marks(grid, faults)
    if grid.fields:
        return _of_fields(grid, kind)
    if not spec.header:
        return _without_header(grid, kind, spec, faults)
    index = find_header(grid, kind, spec)
    if index is None and not spec.header_row:
        index = header_by_content(grid, kind)
    if index is None:
        guessed = None if spec.header_row else guess_headerless(grid, kind, faults)
        if guessed is None:
            _tell_no_header(grid, kind, spec, faults)
            return None
        return _headerless(grid, kind, *guessed, guessed=True)
    line, header = grid.rows[index]
    rows = _data_rows(grid, index, spec)
    origin = Origin(grid.file, line)
    found = match_columns(header, rows, kind, spec, faults, origin)
    if kind is PARTS and "designator" not in dict(spec.columns):
        look_for_designators(found, header, rows, faults, origin)
    if kind is PINS and "port" not in found.columns:
        look_for_ports(found, rows)
    settle_by_content(found, header, rows, kind, faults, origin)
    if not _complete(found, header, kind, faults, origin):
        return None
    if not rows:
        _tell_empty(faults, f"the {kind.name} has a header but no rows", origin, "data rows below the header")
        return None
    _tell_ragged(found, header, rows, faults, origin)
    places = {name: position + 1 for name, position in found.columns.items()}
    return Table(
        grid.file, line, found.columns, found.extra, found.units, rows, places, guessed=found.guessed, title=grid.title
    )


def _tell_empty(faults: Faults, message: str, origin: Origin, expected: str) -> None:
    faults.fault(
        "empty-table", message, origin, expected=expected, remedy="Fill the file, or take it out of the manifest."
    )


def _tell_no_header(grid: Grid, kind: TableKind, spec: TableSpec, faults: Faults) -> None:
    line, cells = grid.rows[0]
    if spec.header_row:
        faults.fault(
            "no-header",
            f"the {kind.name} has no cells in row {spec.header_row}, where the manifest puts its header",
            Origin(grid.file, spec.header_row),
            remedy="Correct header_row in the manifest.",
        )
        return
    faults.fault(
        "no-header",
        f"no header row of a {kind.name} was found (read as {grid.how})",
        Origin(grid.file, line),
        found=", ".join(filter(None, map(clean, cells))),
        expected="a row that names " + ", ".join(_says(names) for names in kind.required),
        remedy=f"Say in the manifest which row and columns they are: header_row = ..., columns = {{ "
        f'{kind.required[0][0]} = "..." }}; or header = false, columns = {{ {kind.required[0][0]} = 1, ... }}.',
    )


def _says(names: tuple[str, ...]) -> str:
    return " or ".join(name.replace("_", " ") for name in names)


def _data_rows(grid: Grid, index: int, spec: TableSpec) -> Rows:
    """The rows below the header, as far as the manifest says; the header repeated on a new page is no row."""
    header = grid.rows[index][1]
    rows = grid.rows[index + 1 :]
    if spec.last_row:
        rows = tuple(item for item in rows if item[0] <= spec.last_row)
    return tuple([item for item in rows if item[1] != header])


def _complete(found: Columns, header: list[str], kind: TableKind, faults: Faults, origin: Origin) -> bool:
    """Whether every required field has a column; where another field can stand in for it, that is told."""
    for names in kind.required:
        if any(name in found.columns for name in names):
            continue
        stand_in = next(
            ((name, other) for name in names for other in kind.stand_ins.get(name, ()) if other in found.columns), None
        )
        if stand_in is None:
            faults.fault(
                "missing-column",
                f"the {kind.name} has no column for {_says(names)}",
                origin,
                found=", ".join(filter(None, map(clean, header))),
                expected=f"a column for {_says(names)}",
                remedy=f'Say in the manifest which one it is: columns = {{ {names[0]} = "..." }}.',
            )
            return False
        name, other = stand_in
        position = found.columns.pop(other)
        found.columns[name] = position
        faults.notice(
            "guessed-column",
            f"no column is named {name.replace('_', ' ')}; {clean(header[position])!r} was taken for it",
            Origin(origin.file, origin.line, position + 1),
            remedy=f'If that is wrong, say so in the manifest: columns = {{ {name} = "..." }}.',
        )
    return True


def _tell_ragged(found: Columns, header: list[str], rows: Rows, faults: Faults, origin: Origin) -> None:
    """Cells beyond the header: a column without a name, or a delimiter within a cell that isn't quoted."""
    width = len(header)
    known = {*found.columns.values(), *found.extra.values()}
    nameless = [at for at, cell in enumerate(header) if not cell.strip() and at not in known]
    long = [(line, row) for line, row in rows if len(row) > width and any(map(str.strip, row[width:]))]
    if long and len(long) * 2 > len(rows):
        nameless += [at for at in range(width, max(len(row) for _, row in long)) if at not in known]
        long = []
    for at in nameless:
        place = next(((line, row[at]) for line, row in rows if at < len(row) and row[at].strip()), None)
        if place is not None:
            found.extra[f"column {at + 1}"] = at
            faults.notice(
                "nameless-column",
                f"column {at + 1} has no header; its cells are compared as text",
                Origin(origin.file, place[0], at + 1),
                found=clean(place[1]),
                remedy="Give the column a header.",
            )
    stray = [
        (line, row) for line, row in long if any(row[at].strip() for at in range(width, len(row)) if at not in known)
    ]
    for line, row in stray[:_RAGGED_TOLD]:
        more = f" ({len(stray)} such rows)" if len(stray) > _RAGGED_TOLD else ""
        faults.fault(
            "ragged-row",
            f"this row has {len(row)} cells, the header {width}; the cells beyond were left out{more}",
            Origin(origin.file, line, width + 1),
            found=clean(", ".join(row[width:])),
            remedy="If a delimiter belongs to the text of a cell, put that cell in quotation marks.",
        )


def _of_fields(grid: Grid, kind: TableKind) -> Table:
    known = {name: at for at, name in enumerate(grid.fields) if name in kind.fields}
    extra = {name: at for at, name in enumerate(grid.fields) if name not in kind.fields}
    return Table(grid.file, grid.rows[0][0], known, extra, {}, grid.rows, names=True, numbers=grid.numbers)


def _without_header(grid: Grid, kind: TableKind, spec: TableSpec, faults: Faults) -> Table | None:
    columns = {name: at - 1 for name, at in spec.columns if isinstance(at, int)}
    if not _complete(Columns(columns), [], kind, faults, Origin(grid.file, grid.rows[0][0])):
        return None
    rows = tuple(item for item in grid.rows if not spec.last_row or item[0] <= spec.last_row)
    return _headerless(grid, kind, columns, rows)


def _headerless(grid: Grid, kind: TableKind, columns: Mapping[str, int], rows: Rows, *, guessed: bool = False) -> Table:
    width = max((len(row) for _, row in rows), default=0)
    extra = {f"column {at + 1}": at for at in range(width) if at not in columns.values()}
    places = {name: position + 1 for name, position in columns.items()}
    return Table(grid.file, grid.rows[0][0], columns, extra, {}, rows, places, kind is PINS, places if guessed else {})
