"""Tables with lists beside one another, as pinouts of double-row headers have them, brought below each other."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from revdiff.design import Origin
from revdiff.quantities.designator import parse_designator
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import clean
from revdiff.readers.columns import CONTACTS, PINS, TableKind, match_header
from revdiff.readers.faults import Faults
from revdiff.readers.grid import Grid

_OWNED = pattern(r"([A-Za-z]{1,4}[0-9]{1,4}[A-Za-z]?)[ _:.-]+([^ _:.-].{0,40})")
_KEYS = ("pin", "port", "contact", "signal")
_SEARCH = 60  # rows looked at for such a header
_LEAST = 2  # columns of one sort that make lists beside one another


def below_each_other(grid: Grid, kind: TableKind, faults: Faults) -> Grid:
    """The grid with one list below the other; the same grid where no header repeats its columns.

    A header such as `J1 pin` names the connector or the device besides, which gets a column of its own.
    """
    if kind not in (PINS, CONTACTS) or grid.fields:
        return grid
    for index, (line, header) in enumerate(grid.rows[:_SEARCH]):
        named = [_named(cell, kind) for cell in header]
        groups = _groups([name for _, name, _ in named])
        if not groups:
            continue
        owners = [min((named[at][0] for at in group if named[at][0]), default="") for group in groups]
        if len(groups) < _LEAST and not any(owners):
            return grid
        if len(groups) > 1:
            faults.notice(
                "lists-side-by-side",
                f"{len(groups)} lists stand beside one another; they were read one below the other",
                Origin(grid.file, line, groups[1][0] + 1),
                found=", ".join(filter(None, map(clean, header))),
            )
        keys: dict[str, str] = {}
        for at in (at for group in groups for at in group):
            keys.setdefault(named[at][1] or named[at][2], named[at][2])
        places = [{named[at][1] or named[at][2]: at for at in group} for group in groups]
        title = ["Connector" if kind is CONTACTS else "Device"] if any(owners) else []
        below: list[tuple[int, list[str]]] = [(line, [*title, *keys.values()])]
        for owner, columns in zip(owners, places, strict=True):
            for number, cells in grid.rows[index + 1 :]:
                said = [cells[columns[key]] if columns.get(key, len(cells)) < len(cells) else "" for key in keys]
                if any(said):
                    surplus = cells[len(header) :] if columns is places[-1] else []
                    below.append((number, [*([owner] if title else []), *said, *surplus]))
        return replace(grid, rows=tuple(below))
    return grid


def _named(cell: str, kind: TableKind) -> tuple[str, str, str]:
    """The connector or device that a header cell names, the field, and the text that names the field."""
    text = clean(cell)
    field = match_header(text, kind)[0]
    owned = _OWNED.fullmatch(text) if not field else None
    if owned is not None and parse_designator(owned[1]) is not None:
        field = match_header(owned[2], kind)[0]
        if field:
            return owned[1].upper(), field, owned[2]
    return "", field, text


def _groups(fields: list[str]) -> list[list[int]]:
    """The positions of each list; empty where the header names no number beside a signal."""
    places = {name: [at for at, field in enumerate(fields) if field == name] for name in _KEYS}
    number = next((name for name in ("pin", "port", "contact") if places[name]), "")
    if not number or not places["signal"]:
        return []
    count = len(places[number])
    if count != len(places["signal"]):
        return []
    starts = [0, *(min(places[number][item], places["signal"][item]) for item in range(1, count))]
    groups = [list(range(start, end)) for start, end in zip(starts, [*starts[1:], len(fields)], strict=True)]
    whole = all({number, "signal"} <= {fields[at] for at in group} for group in groups)
    return groups if whole else []


def unowned(cells: Sequence[str], kind: TableKind) -> list[str]:
    """The cells of a row, those that name a field of one connector or device by the field alone."""
    return [_named(cell, kind)[2] for cell in cells] if kind in (PINS, CONTACTS) else list(cells)
