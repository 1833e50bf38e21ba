"""What says which part it is, as against what is said of it: price, life cycle and remarks never decide who is who.

Boards repeat themselves, and comparing part data is slow: each distinct data gets a number, its kind, at two levels,
and all further work is done on kinds.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import NamedTuple

from revdiff.design import EMPTY, Part, PartData, Reading

FIELDS = (
    "value",
    "package",
    "manufacturer",
    "part_number",
    "tolerance",
    "voltage",
    "power",
    "current",
    "dielectric",
    "fitted",
)


class Identity(NamedTuple):
    """The cells by which a part is found again. ``description``: only where nothing else names the part."""

    value: Reading = EMPTY
    package: Reading = EMPTY
    manufacturer: Reading = EMPTY
    part_number: Reading = EMPTY
    tolerance: Reading = EMPTY
    voltage: Reading = EMPTY
    power: Reading = EMPTY
    current: Reading = EMPTY
    dielectric: Reading = EMPTY
    fitted: Reading = EMPTY
    description: Reading = EMPTY

    @property
    def blank(self) -> bool:
        """Whether the row says nothing of the part but perhaps that it isn't fitted."""
        return not any(self[:9]) and not self.description


class Kinds:
    """Numbers for distinct part data; the parts of a row share their data, so that most look-ups are by object."""

    def __init__(self, columns: Collection[str] = FIELDS) -> None:
        """``columns``: those of ``FIELDS`` that both revisions know; one that only one has makes no part another."""
        self.identities: list[Identity] = []
        self.words: list[set[str]] = []  # of the descriptions of each kind
        self._columns = [name for name in FIELDS if name in columns]
        self._known: dict[tuple[object, ...], int] = {}
        self._full: dict[PartData, int] = {}
        self._seen: dict[int, tuple[int, int]] = {}
        self._kept: list[PartData] = []

    def of(self, data: PartData) -> tuple[int, int]:
        """The kind of ``data`` by what the part is, and its kind by all that is said of it."""
        kinds = self._seen.get(id(data))
        if kinds is None:
            full = self._full.setdefault(data, len(self._full))
            kinds = self._seen[id(data)] = self._identity(data), full
            self._kept.append(data)  # an id means something only as long as its object lives
        return kinds

    def _identity(self, data: PartData) -> int:
        cells = {name: getattr(data, name) for name in self._columns}
        named = any(cell for name, cell in cells.items() if name != "fitted")
        if not named and data.description:
            cells["description"] = data.description
        key = tuple(cells.items())
        kind = self._known.setdefault(key, len(self.identities))
        if kind == len(self.identities):
            self.identities.append(Identity(**cells))
            self.words.append(set())
        self.words[kind].update(data.description.word.split())
        return kind


def known_columns(old: Iterable[Part], new: Iterable[Part]) -> frozenset[str]:
    """The columns of ``FIELDS`` that say anything in both revisions."""
    return frozenset({"fitted"} | (_filled(old) & _filled(new)))


def _filled(parts: Iterable[Part]) -> set[str]:
    found: set[str] = set()
    for data in {id(part.data): part.data for part in parts}.values():
        found.update(name for name in FIELDS if name not in found and getattr(data, name))
        if len(found) == len(FIELDS):
            break
    return found
