"""Where one shifted run ends and the next one begins, weighed exactly once all runs are known."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from itertools import pairwise

from revdiff.compare.match.evidence import Evidence
from revdiff.compare.match.ledger import Ledger
from revdiff.compare.match.runs import Event
from revdiff.compare.match.spans import eligible, known_by_data
from revdiff.compare.match.traded import are_near, traded

_WINDOW = 10  # old slots on either side of a boundary, among which it is looked for
_ROUNDS = 4  # since a boundary moves no further than its window at once
_GAP = 400  # old slots between two runs of one offset, up to which they may be one
_MOST = 80  # runs whose boundaries are weighed

Run = list[tuple[int, int]]


def settle_bounds(ledger: Ledger, evidence: Evidence, alias: Mapping[int, int]) -> None:
    """Moves the boundaries of shifted runs to where the account is shortest."""
    for _ in range(_ROUNDS):
        total = ledger.total
        runs = [event for event in ledger.events if event.shape == "shifted"]
        if not runs or len(runs) > _MOST:
            return
        _Bounds(ledger, evidence, alias).settle(runs)
        if ledger.total >= total:
            return


class _Bounds:
    def __init__(self, ledger: Ledger, evidence: Evidence, alias: Mapping[int, int]) -> None:
        self._ledger = ledger
        self._evidence = evidence
        self._tries = evidence.tries()
        self._kinds = {slot: alias.get(kind, kind) for slot, kind in ledger.old.items()} if alias else ledger.old
        self._order = sorted(ledger.old)
        self._place = {slot: index for index, slot in enumerate(self._order)}

    def settle(self, runs: list[Event]) -> None:
        """Weighs the start of each run, against the run before it where that is near, and each end far from others."""
        ordered: list[Event | None] = [*sorted(runs, key=lambda event: event.pairs)]
        for index in range(len(ordered)):
            before = index - 1
            while before >= 0 and ordered[before] is None:
                before -= 1
            run, other = ordered[index], ordered[before] if before >= 0 else None
            if run is None:
                continue
            start = self._place[run.pairs[0][0]]
            if other is not None and start - self._place[other.pairs[-1][0]] <= _WINDOW:
                ordered[before], ordered[index] = self._weighed(other, run, start)
                continue
            if other is not None:
                ordered[before], _ = self._weighed(other, None, self._place[other.pairs[-1][0]] + 1)
            _, ordered[index] = self._weighed(None, run, start)
        self._last(ordered)
        left = [event for event in ordered if event is not None]
        for one, two in pairwise(left):
            if one in self._ledger.events and two in self._ledger.events:
                self._exchanged(one, two)
        self._join([event for event in left if event in self._ledger.events])

    def _exchanged(self, left: Event, right: Event) -> None:
        """Takes both runs for two neighbouring blocks that traded places, where that is shorter."""
        ledger = self._ledger
        if not are_near(left.pairs, right.pairs):
            return
        total = ledger.total
        ledger.undo(left)
        ledger.undo(right)
        best = traded(ledger, left.pairs, right.pairs, self._kinds)
        both = best[1] if best is not None and best[0] < total else (left.pairs, right.pairs)
        for event, pairs in zip((left, right), both, strict=True):
            self._taken(event, [*pairs])

    def _join(self, runs: list[Event]) -> None:
        """Draws neighbouring runs of one offset together, with what changed between them, where that is shorter."""
        ledger = self._ledger
        for left, right in pairwise(runs):
            if left.offset != right.offset or left not in ledger.events:
                continue
            start, end = self._place[left.pairs[-1][0]] + 1, self._place[right.pairs[0][0]]
            total = ledger.total
            ledger.undo(left)
            ledger.undo(right)
            between = (
                eligible(ledger, left.offset, self._order[start:end], self._kinds)[1] if end - start <= _GAP else []
            )
            pairs = [*left.pairs, *between, *right.pairs]
            joined = ledger.take("shifted", pairs, left.offset, self._evidence.of_block(pairs, self._tries))
            if ledger.total >= total:
                ledger.undo(joined)
                self._again(left)
                self._again(right)

    def _last(self, ordered: list[Event | None]) -> None:
        index = max((index for index, event in enumerate(ordered) if event is not None), default=-1)
        if index >= 0 and (last := ordered[index]) is not None:
            ordered[index], _ = self._weighed(last, None, self._place[last.pairs[-1][0]] + 1)

    def _weighed(self, left: Event | None, right: Event | None, start: int) -> tuple[Event | None, Event | None]:
        """Two neighbouring runs, or one and what stayed beside it, parted where that is shortest."""
        ledger, total = self._ledger, self._ledger.total
        low, high = max(0, start - _WINDOW), min(len(self._order), start + _WINDOW)
        span = self._order[low:high]
        first, last = span[0], span[-1]
        if self._is_plain(left, span) and self._is_plain(right, span):
            return left, right
        for event in (left, right):
            if event is not None:
                ledger.undo(event)
        before = [pair for pair in left.pairs if pair[0] < first] if left is not None else []
        after = [pair for pair in right.pairs if pair[0] > last] if right is not None else []
        beyond = [pair for pair in left.pairs if pair[0] > last] if left is not None else []
        ahead = [pair for pair in right.pairs if pair[0] < first] if right is not None else []
        cores = [
            ledger.take("shifted", pairs, event.offset)
            for event, pairs in ((left, [*before, *beyond]), (right, [*ahead, *after]))
            if event is not None and pairs
        ]
        one, two = self._best(left, right, span)
        for core in reversed(cores):
            ledger.undo(core)
        halves = self._taken(left, [*before, *one, *beyond]), self._taken(right, [*ahead, *two, *after])
        if ledger.total < total:
            return halves
        for half in reversed(halves):
            if half is not None:
                ledger.undo(half)
        return self._again(left), self._again(right)

    def _is_plain(self, event: Event | None, span: Sequence[int]) -> bool:
        """Whether nothing in a span could go better along with a run, or better without it."""
        if event is None:
            return True
        ledger = self._ledger
        old, new, restless, offset = ledger.old, ledger.new, (ledger.gone, ledger.come), event.offset
        if ledger.wiring is not None or any(
            slot in some or slot + offset in some for slot in span for some in restless
        ):
            return False
        pairs = event.pairs[bisect_left(event.pairs, (span[0],)) : bisect_left(event.pairs, (span[-1] + 1,))]
        return all(
            old[one] == new[two] and (old[one] != new.get(one) or old.get(two) != new[two]) for one, two in pairs
        )

    def _best(self, left: Event | None, right: Event | None, span: Sequence[int]) -> tuple[Run, Run]:
        """What of the span goes with the run on its left and with the one on its right."""
        least = 0
        best: tuple[Run, Run] = [], []
        sure = [
            eligible(self._ledger, event.offset, span, self._kinds)[0] if event is not None else []
            for event in (left, right)
        ]
        for cut in range(len(span) + 1):
            edge = span[cut] if cut < len(span) else span[-1] + 1
            beside = [pair for pair in sure[1] if pair[0] >= edge], [pair for pair in sure[0] if pair[0] < edge]
            for one in self._choices(left, span[:cut], -1, beside[0]):
                for two in self._choices(right, span[cut:], 0, beside[1]):
                    pairs = [*one, *two]
                    if len({target for _, target in pairs}) < len(pairs):
                        continue
                    worth = self._ledger.worth("joined", pairs)
                    if worth < least:
                        least, best = worth, (one, two)
        return best

    def _choices(self, event: Event | None, span: Sequence[int], outer: int, beside: Run) -> list[Run]:
        """What of the span goes with a run. ``outer``: the index at which it ends; ``beside``: what another takes."""
        if event is None:
            return [[]]
        # Its other end stays where it is.
        first, last = event.pairs[0][0], event.pairs[-1][0]
        span = [slot for slot in span if (first <= slot if outer else slot <= last)]
        if not span:
            return [[]]
        sure, wide = eligible(self._ledger, event.offset, span, self._kinds, beside)
        while wide and not known_by_data(self._ledger, wide[outer], self._kinds):
            wide.pop(outer)
        return [sure, wide] if len(wide) > len(sure) else [sure]

    def _taken(self, event: Event | None, pairs: Run) -> Event | None:
        if event is None or not pairs:
            return None
        confidence = self._evidence.of_block(pairs, self._tries)
        return self._ledger.take("shifted", pairs, event.offset, confidence)

    def _again(self, event: Event | None) -> Event | None:
        if event is None:
            return None
        return self._ledger.take("shifted", event.pairs, event.offset, event.confidence)
