"""Runs of parts shifted by one offset, and what they cost to tell.

All runs of one offset are told together. One that goes on from another, as numbers close up or open, costs little.
What they cost together depends on which they are alone, not on the order in which they were entered.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property
from itertools import pairwise
from typing import Literal, TypeAlias

from msgspec import Struct

from revdiff.compare.match.costs import ALONG, BLOCK, FEW, FOLLOWING, HOLE, MOVED, STRAY, TRADED

Pairs: TypeAlias = Sequence[tuple[int, int]]
Shape: TypeAlias = Literal["shifted", "exchanged", "order", "joined"]

_NONE = -1


class Event(Struct, frozen=True):
    """Parts carried from slot to slot. ``offset``: by which all were shifted; 0 for other shapes."""

    shape: Shape
    pairs: tuple[tuple[int, int], ...]
    offset: int = 0
    confidence: float = 1.0


class ShiftedRuns:
    """The shifted runs of one class. ``old`` and ``new``: the slots that hold a part."""

    def __init__(self, old: Iterable[int], new: Iterable[int]) -> None:
        self._old, self._new = old, new
        self._offsets: dict[int, tuple[int, int]] = {}  # runs and parts, but for runs that follow another one
        self._runs: dict[int, Event] = {}  # by their first and last old slots
        self._sources: dict[int, int] = {}  # of the first and last new slots of runs
        self._following: set[Event] = set()

    def cost(self, pairs: Pairs, offset: int) -> int:
        """What one more run costs."""
        told = self._chained(pairs, offset)[0] - TRADED * self._traded(pairs, offset)
        return told + MOVED * len(pairs) + HOLE * self.holes(pairs)

    def holes(self, pairs: Pairs) -> int:
        """Where a run leaves out numbers that hold something else in both revisions."""
        olds, news = self._neighbours[1], self._neighbours[3]
        return sum(olds.get(one) != other and news.get(two) != there for (one, two), (other, there) in pairwise(pairs))

    def is_alone(self, pairs: Pairs) -> bool:
        """Whether a run that isn't entered neither goes on from another one nor is followed by one."""
        return not self._follows(pairs[0]) and not self._after(pairs[-1])

    def at_the_end(self, one: int, two: int) -> bool:
        """Whether two slots are the last ones of their revisions, or the first ones."""
        before, after, earlier, later = self._neighbours
        return (one not in before and two not in earlier) or (one not in after and two not in later)

    def told(self) -> int:
        """What the shifted runs cost so far, apart from the parts in them: no account that keeps them is shorter."""
        alone = sum(_group_cost(runs, parts) for runs, parts in self._offsets.values())
        return alone - TRADED * len(self._offsets)

    def _chained(self, pairs: Pairs, offset: int) -> tuple[int, bool, list[Event]]:
        """What one more run costs, whether it follows another one, and the runs on their own that would follow it."""
        follows = self._follows(pairs[0])
        after = self._after(pairs[-1])
        groups: dict[int, tuple[int, int]] = {}
        cost = FOLLOWING * (follows + len(after))
        if not follows:
            groups[offset] = (1, len(pairs))
        for run in after:
            runs, parts = groups.get(run.offset, (0, 0))
            groups[run.offset] = (runs - 1, parts - len(run.pairs))
        for group, (runs, parts) in groups.items():
            had = self._offsets.get(group, (0, 0))
            cost += _group_cost(had[0] + runs, had[1] + parts) - _group_cost(*had)
        return cost, follows, after

    def _follows(self, first: tuple[int, int]) -> bool:
        """Whether a run with this first pair goes on from another: next to it on either side, a few numbers apart."""
        one, two = first
        for slot in (self._neighbours[0].get(one), self._sources.get(self._neighbours[2].get(two, _NONE))):
            run = self._runs.get(slot) if slot is not None else None
            if run is not None and run.pairs[-1][0] == slot and goes_on(run.pairs[-1], first):
                return True
        return False

    def _after(self, last: tuple[int, int]) -> list[Event]:
        """The runs, on their own so far, that would go on from one with this last pair."""
        one, two = last
        found: list[Event] = []
        for slot in (self._neighbours[1].get(one), self._sources.get(self._neighbours[3].get(two, _NONE))):
            run = self._runs.get(slot) if slot is not None else None
            if run is None or run.pairs[0][0] != slot or run in self._following or run in found:
                continue
            if goes_on(last, run.pairs[0]):
                found.append(run)
        return found

    def _traded(self, pairs: Pairs, offset: int) -> bool:
        """Whether a run traded places with another one: side by side before and after, the other way round."""
        (first, target), (last, end) = pairs[0], pairs[-1]
        if offset > 0:
            other = self._runs.get(self._neighbours[1].get(last, _NONE))
            return other is not None and other.offset < 0 and self._neighbours[3].get(other.pairs[-1][1]) == target
        other = self._runs.get(self._neighbours[0].get(first, _NONE))
        return other is not None and other.offset > 0 and self._neighbours[3].get(end) == other.pairs[0][1]

    @cached_property
    def _neighbours(self) -> tuple[dict[int, int], dict[int, int], dict[int, int], dict[int, int]]:
        """Of every old slot the one before and the one after, and the same of new slots."""
        old, new = sorted(self._old), sorted(self._new)
        return (
            dict(zip(old[1:], old, strict=False)),
            dict(pairwise(old)),
            dict(zip(new[1:], new, strict=False)),
            dict(pairwise(new)),
        )

    def enter(self, event: Event) -> None:
        _, follows, after = self._chained(event.pairs, event.offset)
        if follows:
            self._following.add(event)
        else:
            self._count_run(event, 1)
        for run in after:
            self._following.add(run)
            self._count_run(run, -1)
        for one, two in (event.pairs[0], event.pairs[-1]):
            self._runs[one] = event
            self._sources[two] = one

    def leave(self, event: Event) -> None:
        for one, two in (event.pairs[0], event.pairs[-1]):
            self._runs.pop(one, None)
            self._sources.pop(two, None)
        if event in self._following:
            self._following.discard(event)
        else:
            self._count_run(event, -1)
        for run in list(self._following):
            if not self._follows(run.pairs[0]):
                self._following.discard(run)
                self._count_run(run, 1)

    def _count_run(self, event: Event, step: int) -> None:
        runs, parts = self._offsets.get(event.offset, (0, 0))
        self._offsets[event.offset] = runs + step, parts + step * len(event.pairs)


def goes_on(last: tuple[int, int], first: tuple[int, int]) -> bool:
    """Whether a run with this first pair is of one closing up or opening of numbers with a run that ends before it.

    Both stand in the same order in both revisions, and were shifted the same way, by a few parts more or less.
    """
    one, two = last[1] - last[0], first[1] - first[0]
    ordered = last[0] < first[0] and last[1] < first[1]
    return ordered and one != two and (one > 0) == (two > 0) and abs(one - two) <= FEW


def _group_cost(runs: int, parts: int) -> int:
    """What is told of all that was shifted by one offset, however many runs it makes."""
    return ((STRAY if parts == 1 else BLOCK) + ALONG * (runs - 1)) if runs else 0
