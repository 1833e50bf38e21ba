"""In how many stretches of a class the slots of an event are, kept up to date while its pairs are traded."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable, Mapping
from itertools import pairwise

from revdiff.compare.match.costs import QUIET
from revdiff.compare.match.runs import Pairs


def count_stretches(places: Mapping[int, int], pairs: Pairs) -> int:
    """In how many places of the class the slots of some pairs are, with many others between them."""
    return Stretches(places, pairs).count


class Stretches:
    """``count`` of one event. ``places``: of every slot of the class its place in the order of all."""

    def __init__(self, places: Mapping[int, int], pairs: Pairs) -> None:
        self._places = places
        self._times = Counter(slot for pair in pairs for slot in pair)
        self._at = sorted(map(places.__getitem__, self._times))
        self.count = 1 + sum(two - one > QUIET for one, two in pairwise(self._at))

    def trade(self, out: Pairs, into: Pairs) -> int:
        """The count with ``into`` in the place of ``out``, which is traded back by the same the other way round."""
        times = self._times
        before = {slot for pair in (*out, *into) for slot in pair if times[slot]}
        times.subtract(slot for pair in out for slot in pair)
        times.update(slot for pair in into for slot in pair)
        for slot in {slot for pair in (*out, *into) for slot in pair}:
            if times[slot] and slot not in before:
                self._enter(self._places[slot])
            elif not times[slot] and slot in before:
                self._leave(self._places[slot])
        return self.count

    def _enter(self, place: int) -> None:
        index = bisect_left(self._at, place)
        self.count += _gaps(self._at[max(index - 1, 0) : index], place, self._at[index : index + 1])
        self._at.insert(index, place)

    def _leave(self, place: int) -> None:
        index = bisect_left(self._at, place)
        del self._at[index]
        self.count -= _gaps(self._at[max(index - 1, 0) : index], place, self._at[index : index + 1])


def _gaps(below: Iterable[int], place: int, above: Iterable[int]) -> int:
    """How many more wide gaps there are with a place between its neighbours than without it."""
    around = [*below, place, *above]
    parted = sum(two - one > QUIET for one, two in pairwise(around))
    return parted - (len(around) == 3 and around[2] - around[0] > QUIET)
