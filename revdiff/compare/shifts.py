"""Blocks of parts whose designators were all shifted by one offset.

Under an offset, each part that meets equal data tells something: as much as that data is rare in its class,
-log2(share), the information of the coincidence. A run of neighbours is believed when together they tell
more than chance would somewhere in the class under some offset (log2 of the number of places and offsets
tried, and a margin).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import log2
from typing import TypeAlias

from revdiff.design import PartData
from revdiff.quantities.designator import natural_key, parse_designator

Refs: TypeAlias = Mapping[str, PartData]

_NEAREST = 32  # partners of equal data looked at on either side when offsets are voted for
_OFFSETS = 24  # offsets tried
_MARGIN = 3.0  # bits beyond chance
_AGAINST = -3.0  # bits: a part that has no place under either number
_AT_HOME = -4.0  # bits: a part that fits only under its own number


@dataclass(frozen=True, slots=True)
class Block:
    """A run of parts shifted by ``offset``. ``pairs``: equal data; ``changed``: in or next to it, other data."""

    offset: int
    pairs: tuple[tuple[str, str], ...]
    changed: tuple[tuple[str, str], ...]


def number_of(ref: str) -> int | None:
    """The number of a designator without a suffix letter; None for anything else."""
    designator = parse_designator(ref)
    return None if designator is None or designator.suffix else designator.number


def shifted_blocks(old: Refs, new: Refs, left: set[str], right: set[str]) -> list[Block]:
    """The blocks of one class, the best supported first.

    ``left`` and ``right`` are the designators that have no equal part under their own number. They are
    updated: a part whose place a block takes joins ``left``, a new part that a block leaves joins ``right``.
    """
    return _Search(old, new, left, right).run()


class _Search:
    def __init__(self, old: Refs, new: Refs, left: set[str], right: set[str]) -> None:
        self._old = old
        self._new = new
        self._left = left
        self._right = right
        self._number = {ref: number for ref in old if (number := number_of(ref)) is not None}
        self._at = {number: ref for ref in new if (number := number_of(ref)) is not None}
        self._order = sorted(self._number, key=lambda ref: self._number[ref])
        counts: dict[PartData, int] = {}
        for data in new.values():
            counts[data] = counts.get(data, 0) + 1
        self._bits = {data: log2(len(new) / count) + 0.2 for data, count in counts.items()}
        self._done: set[str] = set()
        self._used: set[str] = set()

    def run(self) -> list[Block]:
        offsets = self._vote()
        if not offsets:
            return []
        needed = log2(len(self._order) * len(offsets)) + _MARGIN
        found: list[Block] = []
        while True:
            runs = [(self._best_run(offset), offset) for offset in offsets]
            (bits, span), offset = max(runs, key=lambda item: (item[0][0], -abs(item[1]), item[1]))
            if bits < needed:
                return found
            found.append(self._take(offset, span))

    def _vote(self) -> list[int]:
        """The offsets that most parts without a place could have been shifted by."""
        places: dict[PartData, list[int]] = {}
        for number in sorted(self._at):
            places.setdefault(self._new[self._at[number]], []).append(number)
        votes: dict[int, int] = {}
        for ref in sorted(self._left, key=natural_key):
            own = self._number.get(ref)
            if own is None:
                continue
            for number in _nearest(places.get(self._old[ref], []), own, _NEAREST):
                if number != own:
                    votes[number - own] = votes.get(number - own, 0) + 1
        ranked = sorted(votes, key=lambda offset: (-votes[offset], abs(offset), offset))
        return [offset for offset in ranked[:_OFFSETS] if votes[offset] >= 2]

    def _best_run(self, offset: int) -> tuple[float, tuple[int, int]]:
        """The run of neighbours that tells most for ``offset``: its bits and its span in the sorted parts."""
        best, span = 0.0, (0, 0)
        total, start = 0.0, 0
        for index, ref in enumerate(self._order):
            other = self._at.get(self._number[ref] + offset)
            if ref in self._done or other in self._used:
                total, start = 0.0, index + 1
                continue
            data = self._old[ref]
            if other is not None and self._new[other] == data:
                score = self._bits[data] if ref in self._left or other in self._right else 0.0
            else:
                score = _AGAINST if ref in self._left else _AT_HOME
            if total <= 0:
                total, start = 0.0, index
            total += score
            if total > best:
                best, span = total, (start, index + 1)
        return best, span

    def _take(self, offset: int, span: tuple[int, int]) -> Block:
        pairs, changed = [], []
        for ref in self._order[span[0] : span[1]]:
            other = self._at.get(self._number[ref] + offset)
            if other is None:
                continue
            if self._new[other] == self._old[ref]:
                pairs.append((ref, other))
            else:
                changed.append((ref, other))
        self._done.update(ref for ref, _ in pairs)
        self._used.update(other for _, other in pairs)
        for ref, other in pairs:
            if other in self._old and other not in self._done and self._old[other] == self._new[other]:
                self._left.add(other)
            if ref in self._new and ref not in self._used and self._old[ref] == self._new[ref]:
                self._right.add(ref)
        for ref, other in pairs:
            self._left.discard(ref)
            self._right.discard(other)
        changed += self._beyond(offset, range(span[1], len(self._order)))
        changed += self._beyond(offset, range(span[0] - 1, -1, -1))
        return Block(offset, tuple(pairs), tuple(changed))

    def _beyond(self, offset: int, indexes: range) -> list[tuple[str, str]]:
        """Parts next to a run that have no place of their own and would find one under its offset."""
        found = []
        for index in indexes:
            ref = self._order[index]
            other = self._at.get(self._number[ref] + offset)
            homeless = ref in self._left and ref not in self._right
            if not homeless or other not in self._right or ref in self._done:
                break
            found.append((ref, other))
        return found


def _nearest(numbers: Sequence[int], around: int, count: int) -> Sequence[int]:
    """At most ``count`` numbers on either side of ``around``, in a sorted sequence."""
    middle = bisect_left(numbers, around)
    return numbers[max(0, middle - count) : middle + count]
