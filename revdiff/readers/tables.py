"""The tables that a manifest names, out of a revision: found, read, each distinct content once."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from fnmatch import fnmatchcase
from typing import TYPE_CHECKING, Any, TypeAlias

from revdiff.budget import Budget
from revdiff.design import Diagnostic, Origin
from revdiff.errors import DataFault
from revdiff.quantities.designator import natural_key
from revdiff.quantities.pattern import pattern
from revdiff.readers.columns import CONNECTORS, CONTACTS, JOINTS, NEEDS, PARTS, PINS, TableKind
from revdiff.readers.connectors import read_connectors, read_contacts
from revdiff.readers.faults import Faults
from revdiff.readers.files import read_grid
from revdiff.readers.joints import read_joints
from revdiff.readers.names import connector_named, stem
from revdiff.readers.parts import read_parts
from revdiff.readers.pins import read_needs, read_pins
from revdiff.readers.spec import TableSpec, one_of
from revdiff.readers.table import Table, find_table
from revdiff.sources import Revision

if TYPE_CHECKING:
    from revdiff.readers.netlist import Netlist

Outcome: TypeAlias = tuple[Any, tuple[Diagnostic, ...], bool]
Cache: TypeAlias = dict[tuple[str, TableSpec, str], Outcome]

MOST_FILES = 500  # that one pattern may stand for
_PLACE = pattern(r"(?::(\d{1,9}))?(?::(\d{1,9}))?: (.*)", re.DOTALL)
_READ: Mapping[str, Callable[[Table, TableSpec, Faults], Any]] = {
    PARTS.name: read_parts,
    PINS.name: read_pins,
    CONTACTS.name: read_contacts,
    CONNECTORS.name: read_connectors,
    NEEDS.name: read_needs,
    JOINTS.name: read_joints,
}


class Tables:
    """Reads the tables of one revision. ``sound`` is False as soon as one of them couldn't be read."""

    def __init__(self, cache: Cache, revision: Revision, budget: Budget) -> None:
        self._cache = cache
        self._revision = revision
        self._budget = budget
        self.found: list[Diagnostic] = []
        self.sound = True

    def records(self, spec: TableSpec, kind: TableKind, place: Origin) -> Iterator[Any]:
        """The records of the table, or of every table that a pattern stands for; a fault for what can't be read.

        ``place``: the line of the manifest that names the table.
        """
        chosen = self._chosen(spec, place)
        if chosen is None:
            return
        for each in self._files(chosen, kind, place) if chosen.is_glob else (chosen,):
            records, diagnostics, sound = self._one(each, kind, place)
            self.found.extend(diagnostics)
            self.sound &= sound
            if records:
                yield records

    def _chosen(self, spec: TableSpec, place: Origin) -> TableSpec | None:
        """The one of the files that the table may be which is there; None, after a fault, where none or several are."""
        if not spec.instead:
            return spec
        there = [item for item in spec.choices if is_there(self._revision, item.file)]
        if len(there) == 1:
            return there[0]
        named = ", ".join(item.file for item in there or spec.choices)
        message = (
            f"the manifest names these files for one table, and {len(there)} of them are there: {named}"
            if there
            else f"the manifest names these files for one table, but none is there: {named}"
        )
        remedy = f"Keep the one that is meant, or correct {place}."
        self.found.append(_missing(spec.file, message, remedy))
        self.sound = False
        return None

    def _one(self, spec: TableSpec, kind: TableKind, place: Origin) -> Outcome:
        try:
            blob = self._revision.find(spec.file)
            if blob is None:
                message = "the manifest names this file, but there is none"
                return None, (_missing(spec.file, message, f"Add it, or correct {place}."),), False
            key = (blob.digest, spec, kind.name)
            if key not in self._cache:
                self._cache[key] = read_records(self._revision.read(blob), spec, kind, self._budget)
            return self._cache[key]
        except DataFault as error:
            return None, (_located(error, spec.file),), False

    def netlist(self, files: Sequence[str], place: Origin) -> Netlist | None:
        """The netlist in the one of ``files`` that is there; None, after a fault, where it can't be read."""
        from revdiff.readers.netlists import read_netlist

        spec = self._chosen(one_of([TableSpec(item) for item in files]), place)
        if spec is None:
            return None
        file = spec.file
        try:
            blob = self._revision.find(file)
            if blob is None:
                message = "the manifest names this file, but there is none"
                self.found.append(_missing(file, message, f"Add it, or correct {place}."))
                return None
            key = (blob.digest, TableSpec(file), "netlist")
            if key not in self._cache:
                faults = Faults(self._budget)
                self._budget.spend("bytes", blob.size, file)
                read = read_netlist(self._revision.read(blob), file, faults)
                self._cache[key] = (read, tuple(faults.found), True)
            netlist, diagnostics, _ = self._cache[key]
        except DataFault as error:
            self.found.append(_located(error, file))
            return None
        self.found.extend(diagnostics)
        return netlist  # type: ignore[no-any-return]

    def _files(self, spec: TableSpec, kind: TableKind, place: Origin) -> Iterator[TableSpec]:
        """A spec for each file: the connector or the device is named by the file, where the manifest doesn't."""
        try:
            paths = [path for path in self._revision.paths() if matches(path, spec.file)]
            # What lies elsewhere is refused one by one when it is looked for; passed over, it would hide a table.
            paths += [path for path in self._revision.elsewhere() if _may_hold(path, spec.file)]
        except DataFault as error:
            self.found.append(_located(error, spec.file))
            self.sound = False
            return
        if not paths or len(paths) > MOST_FILES:
            message = f"the manifest names files by this pattern, which {len(paths) or 'no'} files have"
            remedy = f"Add them, or correct {place}." if not paths else f"At most {MOST_FILES} are read."
            self.found.append(_missing(spec.file, message, remedy))
            self.sound = False
            return
        for path in sorted(paths, key=natural_key):
            name = connector_named(stem(path))
            if kind is CONTACTS:
                yield replace(spec, file=path, connector=spec.connector or name)
            elif kind is PINS:
                yield replace(spec, file=path, device=spec.device or name)
            else:
                yield replace(spec, file=path)


def _may_hold(path: str, pattern: str) -> bool:
    """Whether a link or submodule stands for a file that matches, or for a folder of such files."""
    depth = path.count("/") + 1
    return matches(path, "/".join(pattern.split("/")[:depth]))


def is_there(files: Revision, path: str) -> bool:
    """Whether a revision has this file, or any that fits this pattern; also one that can't be read."""
    if "*" in path or "?" in path:
        return any(matches(item, path) for item in files.paths())
    try:
        return files.find(path) is not None
    except DataFault:
        return True  # it is there, and reading it will tell what is wrong with it


def matches(path: str, pattern: str) -> bool:
    """Folder by folder: a star stands for no slash."""
    steps, wanted = path.split("/"), pattern.split("/")
    return len(steps) == len(wanted) and all(map(fnmatchcase, steps, wanted))


def read_records(data: bytes, spec: TableSpec, kind: TableKind, budget: Budget) -> Outcome:
    """The records of one file, what is to be told about it, and whether it could be read.

    Raises DataFault, and LimitFault where the file takes more than ``budget`` has left.
    """
    faults = Faults(budget)
    budget.spend("bytes", len(data), spec.file)
    grid = read_grid(data, spec, kind, faults)
    budget.spend("cells", sum(len(cells) for _, cells in grid.rows), grid.file)
    budget.spend("records", len(grid.rows), grid.file)
    table = find_table(grid, kind, spec, faults)
    records = _READ[kind.name](table, spec, faults) if table is not None else None
    return records, tuple(faults.found), bool(records)


def _missing(file: str, message: str, remedy: str) -> Diagnostic:
    return Diagnostic(
        code="missing-file", severity="fault", message=message, origin=Origin(file, 1), found=file, remedy=remedy
    )


def _located(error: DataFault, file: str) -> Diagnostic:
    """A fault of a whole file as a diagnostic: the place stands at the start of its message."""
    text = str(error)
    sheet = text.partition(": ")[0] if text.startswith(f"{file}#") else ""
    name = re.sub(r"(?::\d{1,9}){0,2}$", "", sheet) if sheet else file
    place = _PLACE.fullmatch(text[len(name) :]) if text.startswith(name) else None
    if place is None:
        return Diagnostic(code="unreadable-file", severity="fault", message=text, origin=Origin(file, 1))
    origin = Origin(name, int(place[1] or 1), int(place[2] or 0))
    return Diagnostic(code="unreadable-file", severity="fault", message=place[3], origin=origin)
