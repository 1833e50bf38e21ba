"""Blocks of parts whose designators were all shifted by one offset.

Under an offset, each part that meets equal data tells something: as much as that data is rare in its class,
-log2(share), the information of the coincidence. A run of neighbours is believed when together they tell
more than chance would somewhere in the class under some offset (log2 of the number of places and offsets
tried, and a margin).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import log2
from typing import Literal, TypeAlias

from revdiff.compare.part_class import PartClass

Reach: TypeAlias = Literal["near", "alike", "far", "end"]

_NEAREST = 32  # partners of equal data looked at on either side when offsets are voted for
_VOTERS = 400  # parts that vote, those of the rarest data first
_OFFSETS = 24  # offsets tried
_MARGIN = 3.0  # bits beyond chance
_LEAST = 1.0  # bits of a weak block
_AGAINST = -3.0  # bits: a part that has no place under either number
_AT_HOME = -4.0  # bits: a part that fits only under its own number


@dataclass(frozen=True, slots=True)
class Block:
    """A run of parts shifted by ``offset``. ``pairs``: equal data; ``changed``: in or next to it, other data.

    ``weak``: chance could explain it.
    """

    offset: int
    pairs: tuple[tuple[str, str], ...]
    changed: tuple[tuple[str, str], ...]
    weak: bool = False


def shifted_blocks(
    parts: PartClass, left: set[str], right: set[str], weak: int = 0, reach: Reach = "near"
) -> Iterator[Block]:
    """The blocks of one class, the best supported first.

    ``weak``: how many to take that chance could explain. ``reach``: which parts next to a block, with other data now,
    went with it: those without a place of their own; those that changed as others of their row did; all that changed;
    or everything up to the end of the class, as after a removal or an insertion.

    ``left`` and ``right`` are the designators that have no equal part under their own number. They are
    updated: a part whose place a block takes joins ``left``, a new part that a block leaves joins ``right``.
    """
    return _Search(parts, left, right, reach).run(weak)


class _Search:
    def __init__(self, parts: PartClass, left: set[str], right: set[str], reach: Reach) -> None:
        self._parts = parts
        self._old, self._new = parts.old, parts.new
        self._number, self._at, self._order = parts.number, parts.at, parts.order
        self._index = {ref: index for index, ref in enumerate(parts.order)}
        self._reach = reach
        self._left, self._right = left, right
        self._open_old: list[tuple[int, str]] = []
        self._open_new: list[tuple[int, str]] = []
        self._done: set[str] = set()
        self._used: set[str] = set()

    def run(self, weak: int) -> Iterator[Block]:
        offsets = self._vote(1 if weak else 2)
        if not offsets:
            return
        needed = log2(len(self._order) * len(offsets)) + _MARGIN
        while True:
            number, new_number = self._number, self._parts.new_number
            self._open_old = [(number[ref], ref) for ref in self._left if ref in number]
            self._open_new = [(new_number[ref], ref) for ref in self._right if ref in new_number]
            runs = [(self._best_run(offset), offset) for offset in offsets]
            (bits, span), offset = max(runs, key=lambda item: (item[0][0], -abs(item[1]), item[1]))
            if bits < needed:
                if not weak or bits < _LEAST:
                    return
                weak -= 1
            yield replace(self._take(offset, span), weak=bits < needed)

    def _vote(self, least: int) -> list[int]:
        """The offsets that most parts without a place could have been shifted by."""
        wanted = {self._old[ref] for ref in self._left}
        places: dict[int, list[int]] = {}
        for number in sorted(self._at):
            kind = self._new[self._at[number]]
            if kind in wanted:
                places.setdefault(kind, []).append(number)
        voters = [ref for ref in self._left if ref in self._number and self._old[ref] in places]
        voters.sort(key=lambda ref: (len(places[self._old[ref]]), self._number[ref], ref))
        votes: dict[int, int] = {}
        for ref in voters[:_VOTERS]:
            own = self._number[ref]
            for number in _nearest(places[self._old[ref]], own, _NEAREST):
                if number != own:
                    votes[number - own] = votes.get(number - own, 0) + 1
        ranked = sorted(votes, key=lambda offset: (-votes[offset], abs(offset), offset))
        return [offset for offset in ranked[:_OFFSETS] if votes[offset] >= least]

    def _best_run(self, offset: int) -> tuple[float, tuple[int, int]]:
        """The run of neighbours that tells most for ``offset``: its bits and its span in the sorted parts.

        Only parts that tell something are visited, and the gaps between them until they speak too much against it.
        """
        best, span = 0.0, (0, 0)
        total, start, last = 0.0, 0, -1
        for index in self._telling(offset):
            if last >= 0:
                total = self._across(offset, last + 1, index, total)
            if last < 0 or total <= 0:
                total, start = 0.0, index
            total += self._parts.bits[self._old[self._order[index]]]
            if total > best:
                best, span = total, (start, index + 1)
            last = index
        return best, span

    def _telling(self, offset: int) -> list[int]:
        """The places in the order of parts that meet equal data under ``offset``, and need it or are needed there."""
        old, new, at, old_at = self._old, self._new, self._at, self._parts.old_at
        found = set()
        for number, ref in self._open_old:
            other = at.get(number + offset)
            if other is not None and new[other] == old[ref] and ref not in self._done and other not in self._used:
                found.add(self._index[ref])
        for number, other in self._open_new:
            source = old_at.get(number - offset)
            free = source is not None and source not in self._done and other not in self._used
            if source is not None and free and old[source] == new[other]:
                found.add(self._index[source])
        return sorted(found)

    def _across(self, offset: int, start: int, end: int, total: float) -> float:
        """The bits that are left after the parts in a gap have spoken; 0 where the run ends in it."""
        for index in range(start, end):
            ref = self._order[index]
            other = self._at.get(self._number[ref] + offset, "")
            if ref in self._done or other in self._used:
                return 0.0
            if self._new.get(other) != self._old[ref]:
                total += _AGAINST if ref in self._left else _AT_HOME
                if total <= 0:
                    return 0.0
        return total

    def _take(self, offset: int, span: tuple[int, int]) -> Block:
        pairs: list[tuple[str, str]] = []
        changed: list[tuple[str, str]] = []
        if self._reach == "end":
            span = (span[0], len(self._order))
        for ref in self._order[span[0] : span[1]]:
            other = self._at.get(self._number[ref] + offset)
            if other is None or ref in self._done or other in self._used:
                continue
            (pairs if self._new[other] == self._old[ref] else changed).append((ref, other))
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
        """Parts next to a run that would find a place under its offset.

        Parts without a place of their own always went with it; others as far as the search reaches.
        """
        found: list[tuple[str, str]] = []
        for index in indexes:
            ref = self._order[index]
            other = self._at.get(self._number[ref] + offset)
            if ref not in self._left or other is None or other not in self._right or ref in self._done:
                break
            if ref in self._right and self._reach not in ("far", "end") and not self._changed_alike(ref, other):
                break
            found.append((ref, other))
        return found

    def _changed_alike(self, ref: str, other: str) -> bool:
        """Whether other parts of the row changed in the same way, under their own numbers or under any shift."""
        if self._reach != "alike":
            return False
        before, after = self._old[ref], self._new[other]
        losing = sum(1 for item in self._left if self._old[item] == before)
        gaining = sum(1 for item in self._right if self._new[item] == after)
        return min(losing, gaining) >= 2


def _nearest(numbers: Sequence[int], around: int, count: int) -> Sequence[int]:
    """At most ``count`` numbers on either side of ``around``, in a sorted sequence."""
    middle = bisect_left(numbers, around)
    return numbers[max(0, middle - count) : middle + count]
