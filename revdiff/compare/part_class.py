"""The parts of one class letter in both revisions, prepared for matching.

Boards repeat themselves, and comparing part data is slow: each distinct data gets a number, its kind, and the matching
works on kinds.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import log2
from typing import TypeAlias

from revdiff.compare.part_cost import another_thing, changed_kinds, difference
from revdiff.design import PartData
from revdiff.quantities.designator import natural_key, parse_designator

Refs: TypeAlias = Mapping[str, int]  # designator to kind


class Kinds:
    """Numbers for distinct part data; parts of one row share their data, so that most look-ups are by identity."""

    def __init__(self) -> None:
        self.data: list[PartData] = []
        self._known: dict[PartData, int] = {}
        self._seen: dict[int, int] = {}
        self._kept: list[PartData] = []

    def of(self, data: PartData) -> int:
        """The kind of ``data``: equal data have equal kinds."""
        kind = self._seen.get(id(data))
        if kind is None:
            kind = self._known.setdefault(data, len(self.data))
            if kind == len(self.data):
                self.data.append(data)
            self._seen[id(data)] = kind
            self._kept.append(data)  # an id means something only as long as its object lives
        return kind


@dataclass(frozen=True, slots=True)
class PartClass:
    """One class. ``old`` and ``new``: designator to kind.

    ``left`` and ``right``: those without an equal one under their number. ``order``: the old designators with a plain
    number, by number. ``number``, ``new_number``, ``old_at``, ``at``: old and new designators to numbers, and back.
    ``bits``: how much a coincidence of a kind tells, -log2 of its share of the new parts.
    """

    old: Refs
    new: Refs
    data: Sequence[PartData]
    passive: bool
    left: frozenset[str]
    right: frozenset[str]
    order: tuple[str, ...]
    number: Mapping[str, int]
    new_number: Mapping[str, int]
    old_at: Mapping[int, str]
    at: Mapping[int, str]
    bits: Mapping[int, float]
    _differences: dict[tuple[int, int], int] = field(default_factory=dict, repr=False)

    def difference(self, before: int, after: int) -> int:
        """How unlike two kinds are."""
        if before == after:
            return 0
        known = self._differences.get((before, after))
        if known is None:
            known = self._differences[before, after] = difference(self.data[before], self.data[after])
        return known

    def another_thing(self, before: int, after: int) -> bool:
        """Whether nothing that names a part stayed."""
        return another_thing(self.data[before], self.data[after], self.passive)

    def changes_told(self, before: int, after: int) -> int:
        """How many changes tell the difference of two kinds."""
        return 0 if before == after else len(changed_kinds(self.data[before], self.data[after]))

    def could_be_shorter(self) -> bool:
        """Whether any part without a place could be one of those that came, unchanged."""
        gone = {self.old[ref] for ref in self.left}
        return any(self.new[ref] in gone for ref in self.right)


def part_class(old: Refs, new: Refs, data: Sequence[PartData], *, passive: bool) -> PartClass:
    """Prepares one class. ``data``: the part data by kind."""
    number = {ref: value for ref in old if (value := number_of(ref)) is not None}
    new_number = {ref: value for ref in new if (value := number_of(ref)) is not None}
    counts: dict[int, int] = {}
    for kind in new.values():
        counts[kind] = counts.get(kind, 0) + 1
    return PartClass(
        old,
        new,
        data,
        passive,
        left=frozenset(ref for ref, kind in old.items() if new.get(ref) != kind),
        right=frozenset(ref for ref, kind in new.items() if old.get(ref) != kind),
        order=tuple(sorted(number, key=lambda ref: number[ref])),
        number=number,
        new_number=new_number,
        old_at={value: ref for ref, value in number.items()},
        at={value: ref for ref, value in new_number.items()},
        bits={kind: log2(len(new) / count) + 0.2 for kind, count in counts.items()},
    )


def number_of(ref: str) -> int | None:
    """The number of a designator without a suffix letter; None for anything else."""
    designator = parse_designator(ref)
    return None if designator is None or designator.suffix else designator.number


def by_number(pairs: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """Pairs in the natural order of their first designators."""
    return sorted(pairs, key=lambda pair: natural_key(pair[0]))


def offset_of(pairs: Sequence[tuple[str, str]]) -> int:
    """The offset by which all pairs are shifted; 0 where there is none."""
    numbers = [(number_of(one), number_of(two)) for one, two in pairs]
    offsets = {two - one if one is not None and two is not None else 0 for one, two in numbers}
    return offsets.pop() if len(offsets) == 1 else 0
