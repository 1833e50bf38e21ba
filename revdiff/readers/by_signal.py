"""Tables with a row for each signal and a column for each connector or device, whose cells are contacts or pins."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from revdiff.design import Origin
from revdiff.quantities.designator import letters_of, parse_designator
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import clean
from revdiff.readers.cells import is_placeholder
from revdiff.readers.columns import CONTACTS, PINS, TableKind, match_header
from revdiff.readers.faults import Faults
from revdiff.readers.grid import Grid
from revdiff.readers.joined_names import CONNECTORS

_DEVICES = ("U", "IC")  # IEEE 315-1975 clause 22.4; IC is common practice, no source
_NUMBERED = frozenset({"pin", "port", "contact", "connector", "device"})
_CELL = pattern(r"[A-Za-z]{0,3}[0-9]{1,3}(?:[ ,;/+&]{1,3}[A-Za-z]{0,3}[0-9]{1,3}){0,20}")
_APART = pattern(r"[ ,;/+&]{1,3}")
_SEARCH = 60  # rows looked at for such a header
_MOST = 0.8  # share of the filled cells that have to be numbers


def one_row_each(grid: Grid, kind: TableKind, faults: Faults) -> Grid:
    """The grid with a row for each contact or pin; the same grid where no header is of that form."""
    if kind not in (PINS, CONTACTS) or grid.fields:
        return grid
    for index, (line, header) in enumerate(grid.rows[:_SEARCH]):
        if _fields(header, kind) & _NUMBERED and "signal" in _fields(header, kind):
            return grid  # the header of a table with a row for each number
        owners = _owners(header, kind)
        below = grid.rows[index + 1 :]
        cells = [clean(row[at]) for _, row in below for at in owners if at < len(row)]
        filled = [cell for cell in cells if not is_placeholder(cell)]
        if not filled or sum(map(bool, map(_CELL.fullmatch, filled))) < _MOST * len(filled):
            continue
        what = ("Connector", "Contact") if kind is CONTACTS else ("Device", "Pin")
        faults.notice(
            "column-for-each",
            f"the columns {', '.join(owners.values())} were read as one {what[0].lower()} each, their cells as its "
            f"{what[1].lower()}s",
            Origin(grid.file, line, min(owners) + 1),
            found=", ".join(filter(None, map(clean, header))),
        )
        rest = [at for at in range(len(header)) if at not in owners]
        titles = [header[at] for at in rest]
        if all(match_header(clean(title), kind)[0] != "signal" for title in titles):
            titles[0] = "Signal"
        rows: list[tuple[int, list[str]]] = [(line, [*what, *titles])]
        for at, owner in owners.items():
            for number, row in below:
                said = [row[place] if place < len(row) else "" for place in rest]
                cell = clean(row[at]) if at < len(row) else ""
                numbers = _APART.split(cell) if _CELL.fullmatch(cell) else ()
                if not numbers and not is_placeholder(cell):
                    faults.fault(
                        "unreadable-contact",
                        f"this cell names no {what[1].lower()} of {owner}, and was left out",
                        Origin(grid.file, number, at + 1),
                        found=f"{cell}, in the row {clean(' '.join(row))}",
                        expected=f"the {what[1].lower()} or several, such as 3 or 2, 4",
                    )
                surplus = row[len(header) :]
                rows += [(number, [owner, item, *said, *surplus]) for item in numbers]
        return replace(grid, rows=tuple(rows))
    return grid


def titled(cells: Sequence[str], kind: TableKind) -> list[str]:
    """The cells of a header, those that are a connector or device by itself as the numbers that stand below it."""
    owners = _owners(cells, kind)
    return [("Contact" if kind is CONTACTS else "Pin") if at in owners else cell for at, cell in enumerate(cells)]


def _owners(header: Sequence[str], kind: TableKind) -> Mapping[int, str]:
    """The connectors or devices that columns of a header are called after; none where another column has numbers.

    One alone needs a column that is called after signals; beside two the first other column is that of the signals.
    """
    texts = [clean(cell) for cell in header]
    fields = _fields(header, kind)
    if any(map(str.isdecimal, texts)):
        return {}  # a row of data
    letters = CONNECTORS if kind is CONTACTS else _DEVICES
    found = {
        at: text.upper()
        for at, text in enumerate(texts)
        if parse_designator(text) is not None and letters_of(text.upper()) in letters
    }
    enough = len(found) > ("signal" not in fields) and 0 < len(found) < len([text for text in texts if text])
    return found if enough and not fields & _NUMBERED and len(set(found.values())) == len(found) else {}


def _fields(header: Sequence[str], kind: TableKind) -> set[str]:
    return {match_header(clean(cell), kind)[0] for cell in header}
