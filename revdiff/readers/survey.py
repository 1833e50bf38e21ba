"""Looks through a folder and tells which files are tables of a board design, by what is in them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from revdiff.design import Connector, Contact, Need, Pin
from revdiff.errors import DataFault
from revdiff.readers.columns import CONNECTORS, CONTACTS, NEEDS, PARTS, PINS, TableKind, match_header
from revdiff.readers.entries import MANIFEST
from revdiff.readers.faults import Faults
from revdiff.readers.files import read_grid
from revdiff.readers.grid import Grid
from revdiff.readers.header import find_header
from revdiff.readers.spec import TableSpec
from revdiff.readers.tables import read_records
from revdiff.sources import Blob, Revision

_ENDINGS = frozenset({"csv", "tsv", "tab", "txt", "xlsx", "xlsm", "md", "markdown", "h", "hpp"})
_LARGEST = 8 * 1024 * 1024  # a file beyond this is no table that a person keeps
_MOST_FILES = 2_000
_KINDS: Mapping[str, TableKind] = {
    "parts": PARTS,
    "pins": PINS,
    "connectors": CONNECTORS,
    "contacts": CONTACTS,
    "needs": NEEDS,
}
# Words in a file's name that speak for a kind (common practice, no source).
_NAMES: Mapping[str, tuple[str, ...]] = {
    "parts": ("part", "bom", "component", "stück", "bill"),
    "pins": ("pin", "mcu", "gpio", "port"),
    "connectors": ("connectors", "connector_list", "headers"),
    "contacts": ("contact", "conn", "header", "plug", "harness"),
    "needs": ("need", "contract", "firmware", "require", "fw"),
}
# Columns that only this kind has in practice.
_OWN: Mapping[str, tuple[str, ...]] = {
    "parts": ("value", "package", "part_number", "quantity", "manufacturer"),
    "pins": ("device", "port"),
    "connectors": ("gender", "pitch", "rows", "role", "height"),
    "contacts": ("connector", "contact"),
    "needs": (),
}


@dataclass(frozen=True, slots=True)
class Sighting:
    """One file that is a table: its kind, the records in it, and in words why it was taken for that."""

    path: str
    kind: str
    records: Any
    why: str
    faults: int = 0


@dataclass(frozen=True, slots=True)
class Survey:
    """What was found in a folder, and the files of a fitting name that are no table, with the reason."""

    found: tuple[Sighting, ...]
    passed_over: tuple[tuple[str, str], ...] = field(default=())


def survey(revision: Revision) -> Survey:
    """Looks at every file whose ending a table can have. Raises DataFault for a folder of too many files."""
    found: list[Sighting] = []
    passed: list[tuple[str, str]] = []
    paths = [path for path in revision.paths() if path.rpartition(".")[2].casefold() in _ENDINGS]
    if len(paths) > _MOST_FILES:
        raise DataFault(f"found {len(paths)} files that could be tables, at most {_MOST_FILES} are looked at")
    for path in paths:
        if path == MANIFEST:
            continue
        try:
            blob = revision.find(path)
            sighting = None if blob is None or blob.size > _LARGEST else look_at(revision, blob)
        except DataFault as error:
            passed.append((path, str(error)))
            continue
        if sighting is not None:
            found.append(sighting)
        else:
            passed.append((path, "no header of a table that is known here"))
    return Survey(tuple(found), tuple(passed))


def look_at(revision: Revision, blob: Blob) -> Sighting | None:
    """What kind of table a file is; None where it is none. Raises DataFault where it can't be read."""
    data = revision.read(blob)
    best: tuple[float, Sighting] | None = None
    for name, kind in _KINDS.items():
        spec = TableSpec(file=blob.path)
        try:
            grid = read_grid(data, spec, kind, Faults())
        except DataFault:
            if name == "parts":
                raise
            continue
        columns = _columns(grid, kind, spec)
        if not all(any(wanted in columns for wanted in names) for names in kind.required):
            continue
        records, diagnostics, sound = read_records(data, spec, kind)
        count = _count(records)
        if not sound or not count:
            continue
        faults = sum(1 for item in diagnostics if item.severity == "fault")
        score = _score(name, blob.path, columns, records, faults / count)
        why = f"{count} {_NOUNS[name]}; columns {', '.join(item.replace('_', ' ') for item in columns)}"
        if best is None or score > best[0]:
            best = (score, Sighting(blob.path, name, records, why, faults))
    return best[1] if best is not None and best[0] >= 3 else None


_NOUNS = {"parts": "parts", "pins": "pins", "connectors": "connectors", "contacts": "contacts", "needs": "signals"}


def _columns(grid: Grid, kind: TableKind, spec: TableSpec) -> tuple[str, ...]:
    if grid.fields:
        return grid.fields
    index = find_header(grid, kind, spec)
    if index is None:
        return ()
    named = [match_header(cell, kind)[0] for cell in grid.rows[index][1]]
    return tuple(dict.fromkeys(name for name in named if name))


def _count(records: Any) -> int:
    if not records:
        return 0
    return sum(len(item) if isinstance(item, list) else 1 for item in records.values())


def _score(name: str, path: str, columns: tuple[str, ...], records: Any, faulty: float) -> float:
    """How well a file fits a kind: columns of its own, its name, and whether the records look like it."""
    score = float(len(columns)) + 2 * sum(1 for column in _OWN[name] if column in columns) - 6 * faulty
    stem = path.casefold()
    score += 3 * any(word in stem for word in _NAMES[name])
    sample = next(iter(records.values()))
    if name == "contacts":
        score += 2 if any(ref[:1] in "JPX" for ref in records) else -2
    elif name == "pins" and isinstance(sample, Pin):
        told = "device" in columns or "port" in columns
        score += 2 if told and sample.device[:1] == "U" else -2
    elif name == "connectors" and isinstance(sample, Connector):
        score += 2 if sample.count or sample.pitch else -3
    elif name == "needs" and isinstance(sample, Need):
        score += 1 if columns[:1] == ("signal",) else -1
    return score


def signals_of(sighting: Sighting) -> frozenset[str]:
    """The folded names of all signals in a pin map, a contact table or a list of needs."""
    found: set[str] = set()
    for record in sighting.records.values():
        for item in record if isinstance(record, list) else (record,):
            if isinstance(item, Pin | Contact | Need) and item.signal:
                found.add(item.signal.word)
    return frozenset(found)
