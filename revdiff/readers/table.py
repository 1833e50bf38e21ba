"""Rows of cells to named fields: finds the header, matches its columns, tells what it took for what."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from revdiff.design import Origin
from revdiff.quantities.text import clean
from revdiff.readers.columns import CONTACTS, PARTS, PINS, TableKind
from revdiff.readers.faults import Faults
from revdiff.readers.grid import Grid, Rows
from revdiff.readers.guesses import designator_share, distinct, holds_port_names, pin_share, port_share
from revdiff.readers.header import Columns, find_header, match_columns
from revdiff.readers.spec import TableSpec
from revdiff.readers.strays import tell_strays

__all__ = ["Table", "TableSpec", "find_table"]

_FEW, _MOST = 0.3, 0.8  # shares of designators below which a column is hardly theirs, and above which it is
_HEADERLESS_WIDTH = 2
_RAGGED_TOLD = 10  # rows longer than the header that are told one by one


@dataclass(frozen=True, slots=True)
class Table:
    """Data rows below a header. ``columns`` and ``extra`` map to cell positions from 0, ``places`` from 1.

    ``names``: a list of names as firmware keeps it, in which one pin may have several.
    """

    file: str
    header_line: int
    columns: Mapping[str, int]
    extra: Mapping[str, int]
    units: Mapping[str, str]
    rows: Rows
    places: Mapping[str, int] = field(default_factory=dict)
    names: bool = False

    def origin(self, line: int, name: str = "") -> Origin:
        """The place of the field ``name`` in the row at ``line``."""
        return Origin(self.file, line, self.places.get(name, 0), self.places)


def find_table(grid: Grid, kind: TableKind, spec: TableSpec, faults: Faults) -> Table | None:
    """The table of ``kind`` in ``grid``; None, with a fault, where no header is found or the table is empty."""
    if not grid.rows:
        _tell_empty(faults, f"the {kind.name} is empty", Origin(grid.file, 1), "a header row and data rows")
        return None
    tell_strays(grid, faults)
    if grid.fields:
        return _of_fields(grid, kind)
    if not spec.header:
        return _without_header(grid, kind, spec, faults)
    index = find_header(grid, kind, spec)
    if index is None:
        guessed = None if spec.header_row else _guess_headerless(grid, kind, faults)
        if guessed is None:
            _tell_no_header(grid, kind, spec, faults)
        return guessed
    line, header = grid.rows[index]
    rows = _data_rows(grid, index, spec)
    origin = Origin(grid.file, line)
    found = match_columns(header, rows, kind, spec, faults, origin)
    if kind is PARTS and "designator" not in dict(spec.columns):
        _look_for_designators(found, header, rows, faults, origin)
    if kind is PINS and "port" not in found.columns:
        _look_for_ports(found, rows)
    if not _complete(found, header, kind, faults, origin):
        return None
    if not rows:
        _tell_empty(faults, f"the {kind.name} has a header but no rows", origin, "data rows below the header")
        return None
    _tell_ragged(found, header, rows, faults, origin)
    places = {name: position + 1 for name, position in found.columns.items()}
    return Table(grid.file, line, found.columns, found.extra, found.units, rows, places)


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


def _look_for_ports(found: Columns, rows: Rows) -> None:
    """Port names under the header "Pin" are known by sight; so are those under "Name", beside what they are for."""
    columns = found.columns
    if holds_port_names(rows, columns.get("pin", -1)):
        columns["port"] = columns.pop("pin")
    elif ("function" in columns or "purpose" in columns) and holds_port_names(rows, columns.get("signal", -1)):
        columns["port"] = columns.pop("signal")


def _look_for_designators(found: Columns, header: list[str], rows: Rows, faults: Faults, origin: Origin) -> None:
    """Mends a header that stands one column off its data, or that calls the designators something else."""
    own = found.columns.get("designator")
    if own is not None and designator_share(rows, own) >= _FEW:
        return
    if own is not None:
        for step in (1, -1):
            if _shifted(header, rows, own, step):
                for names in (found.columns, found.extra):
                    names.update({name: position + step for name, position in names.items()})
                faults.notice(
                    "shifted-header",
                    f"the header stands one column to the {'left' if step > 0 else 'right'} of its data; it was moved",
                    Origin(origin.file, origin.line, own + 1),
                    found=clean(header[own]),
                    remedy="Correct the header, or give the positions in the manifest: "
                    f"columns = {{ designator = {own + step + 1}, ... }}.",
                )
                return
    width = max((len(row) for _, row in rows), default=0)
    good = [at for at in range(width) if designator_share(rows, at) >= _MOST and distinct(rows, at)]
    if len(good) != 1:
        return
    text = clean(header[good[0]]) if good[0] < len(header) else ""
    for names in (found.columns, found.extra):
        for name in [name for name, position in names.items() if position == good[0]]:
            del names[name]
    if own is not None:
        found.extra[clean(header[own])] = own
    found.columns["designator"] = good[0]
    faults.notice(
        "guessed-column",
        f"column {good[0] + 1} ({text!r}) holds reference designators and was taken for them",
        Origin(origin.file, origin.line, good[0] + 1),
        found=text,
        remedy=f"If that is wrong, say so in the manifest: columns = {{ designator = {good[0] + 1} }}.",
    )


def _shifted(header: list[str], rows: Rows, own: int, step: int) -> bool:
    """Whether the data stand one column to the right (1) or left (-1) of the header: the column there is empty."""
    if designator_share(rows, own + step) < _MOST:
        return False
    if step < 0:
        return not header[0].strip()
    return all(not row[0].strip() for _, row in rows if row)


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
        faults.notice(
            "ragged-row",
            f"this row has {len(row)} cells, the header {width}; the cells beyond were left out{more}",
            Origin(origin.file, line, width + 1),
            found=clean(", ".join(row[width:])),
            remedy="If a delimiter belongs to the text of a cell, put that cell in quotation marks.",
        )


def _of_fields(grid: Grid, kind: TableKind) -> Table:
    known = {name: at for at, name in enumerate(grid.fields) if name in kind.fields}
    extra = {name: at for at, name in enumerate(grid.fields) if name not in kind.fields}
    return Table(grid.file, grid.rows[0][0], known, extra, {}, grid.rows, names=True)


def _without_header(grid: Grid, kind: TableKind, spec: TableSpec, faults: Faults) -> Table | None:
    columns = {name: at - 1 for name, at in spec.columns if isinstance(at, int)}
    origin = Origin(grid.file, grid.rows[0][0])
    if not _complete(Columns(columns), [], kind, faults, origin):
        return None
    rows = tuple(item for item in grid.rows if not spec.last_row or item[0] <= spec.last_row)
    width = max((len(row) for _, row in rows), default=0)
    extra = {f"column {at + 1}": at for at in range(width) if at not in columns.values()}
    places = {name: position + 1 for name, position in columns.items()}
    return Table(grid.file, origin.line, columns, extra, {}, rows, places, names=kind is PINS)


def _guess_headerless(grid: Grid, kind: TableKind, faults: Faults) -> Table | None:
    """A table of two columns without a header, as firmware keeps them: name and pin, or contact and signal."""
    rows = tuple([item for item in grid.rows if not item[1][0].lstrip().startswith(("#", "//"))])
    if kind not in (PINS, CONTACTS) or not rows or any(len(row) != _HEADERLESS_WIDTH for _, row in rows):
        return None
    shares = [max(port_share(rows, at), pin_share(rows, at)) for at in range(_HEADERLESS_WIDTH)]
    if shares[0] == shares[1] or max(shares) < _MOST:
        return None
    at = shares.index(max(shares))
    other = 1 - at
    key = "contact" if kind is CONTACTS else "pin" if pin_share(rows, at) > port_share(rows, at) else "port"
    columns = {key: at, "signal": other}
    stated = ", ".join(f"{name} = {position + 1}" for name, position in columns.items())
    line, row = rows[0]
    faults.notice(
        "no-header",
        f"the {kind.name} has no header; column {at + 1} was taken for the {key}, column {other + 1} for the signal",
        Origin(grid.file, line),
        found=", ".join(row),
        remedy=f"Say so in the manifest: header = false, columns = {{ {stated} }}.",
    )
    places = {name: place + 1 for name, place in columns.items()}
    return Table(grid.file, line, columns, {}, {}, rows, places, names=kind is PINS)
