"""Looks through a folder and tells which files are tables of a board design, by what is in them."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from contextlib import suppress
from typing import Any, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from revdiff.budget import Budget
from revdiff.design import Connector, Contact, Need, Pin
from revdiff.errors import DataFault
from revdiff.quantities.text import clean, fold, squeeze
from revdiff.readers.columns import CONNECTORS, CONTACTS, NEEDS, PARTS, PINS, TableKind, match_header
from revdiff.readers.entries import MANIFEST
from revdiff.readers.faults import Faults, counted
from revdiff.readers.files import read_grid
from revdiff.readers.grid import Grid
from revdiff.readers.header import find_header
from revdiff.readers.hints import stated_revision
from revdiff.readers.names import connector_of, speaks_of_connectors, stem
from revdiff.readers.netlist import looks_like
from revdiff.readers.source_fault import SourceFault
from revdiff.readers.spec import TableSpec
from revdiff.readers.table import Table, find_table
from revdiff.readers.tables import read_records
from revdiff.sources import Blob, Revision

_ENDINGS = frozenset({"csv", "tsv", "tab", "txt", "xlsx", "xlsm", "md", "markdown", "h", "hpp"})
_NETLISTS = frozenset({"ipc", "356", "d356", "net", "xml", "cvg"})
_LARGEST = 8 * 1024 * 1024  # a table beyond this is none that a person keeps
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
# What headers call a pin (common practice, no source).
_PATTERNS = ("PIN_{signal}", "{signal}_PIN", "GPIO_{signal}", "{signal}_GPIO", "{signal}")
_SOURCES = frozenset({"h", "hpp"})
TREES = frozenset({"dts", "dtsi", "overlay"})
_FITS = 3.0  # the least score of a table


class Sighting(Struct, frozen=True):
    """One file that is a table or a netlist: its kind, the records in it, and in words why it was taken for that.

    ``columns``: the fields that its header names. ``connector``: the one that the file's name stands for, where
    a contact table has no column for it; else empty. ``guessed``: the columns that were taken by what their cells
    hold, as the manifest would state them. ``texts``: of the header, none where there is none. ``revision``: that the
    lines above the table state. ``named``: of a C source, by each pattern for its names of pins, the letters and digits
    of the signals that it picks out, each with those of its pin; of a devicetree the same by one empty pattern.
    ``nets``: of a netlist, the folded nets at each part.
    ``lines``: those of its rows.
    """

    path: str
    kind: str
    records: Any
    why: str
    faults: int = 0
    columns: tuple[str, ...] = ()
    connector: str = ""
    guessed: tuple[tuple[str, str | int], ...] = ()
    texts: tuple[str, ...] = ()
    revision: str = ""
    named: tuple[tuple[str, Mapping[str, str]], ...] = ()
    nets: Mapping[str, frozenset[str]] = {}
    lines: frozenset[int] = frozenset()


Seen: TypeAlias = dict[tuple[str, str], tuple[Sighting, ...]]
"""What files of a path and a digest are."""


class Survey(Struct, frozen=True):
    """What was found in a folder, and the files of a fitting name that are no table, with the reason."""

    found: tuple[Sighting, ...]
    passed_over: tuple[tuple[str, str], ...] = ()
    paths: tuple[str, ...] = ()  # of all files of the folder


def survey(revision: Revision, budget: Budget | None = None, seen: Seen | None = None) -> Survey:
    """Looks at every file whose ending a table or netlist can have. Raises DataFault for too many of them.

    ``seen``: what was looked at already, in other revisions. LimitFault where that takes more than ``budget`` allows.
    """
    seen = {} if seen is None else seen
    found: list[Sighting] = []
    passed: list[tuple[str, str]] = []
    every = revision.paths()
    paths = [path for path in every if could_be_table(path) and path != MANIFEST]
    if len(paths) > _MOST_FILES:
        raise DataFault(f"found {len(paths)} files that could be tables, at most {_MOST_FILES} are looked at")
    for path in paths:
        try:
            blob = revision.find(path)
            if blob is not None and (path, blob.digest) not in seen:
                seen[path, blob.digest] = _sighted(revision, blob, budget)
        except DataFault as error:
            passed.append((path, str(error)))
            continue
        sighted = seen[path, blob.digest] if blob is not None else ()
        if sighted:
            found += sighted
        elif ending_of(path) in _NETLISTS:
            passed.append((path, "no netlist that is known here"))
        else:
            passed.append((path, "no header of a table that is known here"))
    return Survey(tuple(found), tuple(passed), every)


def could_be_table(path: str) -> bool:
    """Whether a file of this name could be a table, a netlist or a source of pins."""
    return ending_of(path) in _ENDINGS | _NETLISTS | TREES


def ending_of(path: str) -> str:
    return path.rpartition(".")[2].casefold()


def _sighted(revision: Revision, blob: Blob, budget: Budget | None) -> tuple[Sighting, ...]:
    """The tables of a file: one for most; of a page with several, the likeliest of each kind."""
    path, data = blob.path, revision.read(blob)
    if looks_like(data):
        from revdiff.readers.netlists import read_netlist

        faults = Faults(budget)
        netlist = read_netlist(data, path, faults)
        why = f"{counted(len(netlist.terminals), 'terminal')} in {looks_like(data).upper()}"
        nets: dict[str, set[str]] = {}
        for terminal in netlist.terminals:
            nets.setdefault(terminal.ref, set()).add(fold(terminal.net))
        number = sum(1 for item in faults.found if item.severity == "fault")
        each = {ref: frozenset(found) for ref, found in nets.items()}
        return (Sighting(path, "netlist", {}, why, number, nets=each),)
    if blob.size > _LARGEST or ending_of(path) in _NETLISTS:
        return ()
    taken: set[int] = set()
    chosen = []
    for sighting in sightings(revision, blob, budget):
        if taken.isdisjoint(sighting.lines):
            chosen.append(sighting)
            taken |= sighting.lines
    return tuple(chosen)


def sightings(revision: Revision, blob: Blob, budget: Budget | None = None, *, lenient: bool = False) -> list[Sighting]:
    """All kinds of table that a file may be, the likeliest first. Raises DataFault where it can't be read.

    ``lenient``: the header decides, whatever faults the rows have and even where no record can be made of them.
    """
    budget = Budget() if budget is None else budget
    data = revision.read(blob)
    found: list[tuple[float, Sighting]] = []
    for name, kind in _KINDS.items():
        spec = TableSpec(file=blob.path)
        try:
            grid = read_grid(data, spec, kind, Faults())
        except DataFault:
            if name == "parts":
                raise
            continue
        table = find_table(grid, kind, spec, Faults()) if not grid.fields else None
        texts, header = _header(grid, kind, spec, table)
        if not all(any(wanted in header for wanted in names) for names in kind.required):
            continue
        told, connector = False, ""
        if name == "contacts" and "connector" not in header:
            told = _tells_contacts(header["contact"], blob.path, grid, spec)
            if not told and not lenient:
                continue
            connector = connector_of(grid.title, blob.path)
            spec = dataclasses.replace(spec, connector=connector)
        records, diagnostics, sound = read_records(data, spec, kind, budget)
        count = _count(records)
        if not (sound and count) and not lenient:
            continue
        faults = sum(1 for item in diagnostics if item.severity == "fault")
        columns = tuple(header)
        faulty = 0.0 if lenient else faults / count
        score = _score(name, blob.path, columns, records, faulty) + (_FITS if told else 2 * _FITS if grid.fields else 0)
        why = f"{counted(count, _NOUNS[name])}; columns {', '.join(item.replace('_', ' ') for item in columns)}"
        guessed = tuple(table.guessed.items()) if table is not None else ()
        sighting = Sighting(blob.path, name, records, why, faults, columns, connector, guessed, texts)
        first = table.header_line if table is not None else 0
        above = stated_revision(cells for line, cells in grid.rows if line < first)
        named = _named(data, blob.path) if grid.fields else ()
        lines = frozenset(line for line, _ in grid.rows)
        found.append((score, replace(sighting, revision=above, named=named, lines=lines)))
    found.sort(key=lambda item: -item[0])
    return [sighting for score, sighting in found if score >= _FITS]


def _named(data: bytes, path: str) -> tuple[tuple[str, Mapping[str, str]], ...]:
    """By each pattern that a source may name its pins by, what is left of the names; a devicetree has but one way."""
    from revdiff.readers.c_pins import Patterns, pins_of_header
    from revdiff.readers.contract_needs import decoded
    from revdiff.readers.tree_pins import pins_of_devicetree

    found = []
    if ending_of(path) in TREES:
        with suppress(SourceFault, DataFault):
            pins = pins_of_devicetree(decoded(data, path), path)
            return (("", {squeeze(pin.signal): squeeze(pin.pin) for pin in pins}),)
    for pattern in _PATTERNS if ending_of(path) in _SOURCES else ():
        with suppress(SourceFault, DataFault):
            pins = pins_of_header(decoded(data, path), path, Patterns(pin=pattern))
            found.append((pattern, {squeeze(pin.signal): squeeze(pin.pin) for pin in pins}))
    return tuple(found)


def _tells_contacts(number: str, path: str, grid: Grid, spec: TableSpec) -> bool:
    """Whether the header of the numbers, a heading or the file's name can only mean the contacts of a connector."""
    if not any(match_header(number, kind)[0] for kind in (PINS, NEEDS)):
        return True
    _, pins = _header(grid, PINS, spec, find_table(grid, PINS, spec, Faults()))
    said = speaks_of_connectors(grid.title) or speaks_of_connectors(stem(path))
    return said and not {"device", "port"} & pins.keys()


_NOUNS = {"parts": "part", "pins": "pin", "connectors": "connector", "contacts": "contact", "needs": "signal"}


def _header(
    grid: Grid, kind: TableKind, spec: TableSpec, table: Table | None
) -> tuple[tuple[str, ...], dict[str, str]]:
    """The texts of the header, and the fields that have a column, in the order of these, each with its text.

    Of a table that can't be read, those that its header names.
    """
    if grid.fields:
        return (), {name: name for name in grid.fields}
    line = table.header_line if table is not None else 0
    index = (
        next((at for at, row in enumerate(grid.rows) if row[0] == line), None)
        if line
        else find_header(grid, kind, spec)
    )
    texts = tuple(map(clean, grid.rows[index][1])) if index is not None else ()
    if table is not None:
        headed = table.rows[:1] != grid.rows[index : index + 1] if index is not None else False
        texts = texts if headed else ()
        placed = sorted((at, name) for name, at in table.columns.items())
        return texts, {name: texts[at] if at < len(texts) else name for at, name in placed}
    found: dict[str, str] = {}
    for cell in texts:
        found.setdefault(match_header(cell, kind)[0], cell)
    found.pop("", None)
    return texts, found


def _count(records: Any) -> int:
    if not records:
        return 0
    return sum(len(item) if isinstance(item, list) else 1 for item in records.values())


def _score(name: str, path: str, columns: tuple[str, ...], records: Any, faulty: float) -> float:
    """How well a file fits a kind: columns of its own, its name, and whether the records look like it."""
    score = float(len(columns)) + 2 * sum(1 for column in _OWN[name] if column in columns) - 6 * faulty
    stem = path.casefold()
    score += 3 * any(word in stem for word in _NAMES[name])
    if name == "pins" and not {"device", "port"} & set(columns):
        score += 1 if columns[:1] == ("pin",) else -2
    if not records:
        return score
    sample = next(iter(records.values()))
    if name == "contacts":
        score += 2 if any(map(speaks_of_connectors, records)) else -2
    elif name == "pins" and isinstance(sample, Pin):
        if "device" in columns or "port" in columns:
            score += 2 if sample.device[:1] == "U" else -2
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
