"""Runs of parts shifted by one offset.

What went and what came vote for offsets: by short sequences of data that are rare on either side, and by where runs
of equal parts start and end. A run then grows from its seed through parts that stayed, changed or went, and is taken
where the account gets shorter by it, the best one first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from heapq import heapify, heappop, heappush
from typing import NamedTuple, TypeAlias

from msgspec import Struct

from revdiff.compare.match.evidence import BELIEVED, Evidence
from revdiff.compare.match.growing import Grower, Reach, Run
from revdiff.compare.match.ledger import Ledger
from revdiff.compare.match.restless import Restless
from revdiff.compare.match.runs import Event, Pairs
from revdiff.compare.match.traded import Blocks, are_near, traded
from revdiff.compare.match.votes import candidates

_SEEDS = 24  # runs grown under one offset
_ALL_SEEDS = 600  # and under all of them
_ROUNDS = 3  # since what one run leaves free, another one can take
_NEIGHBOURS = 4  # pairs of runs that are weighed as blocks that traded places
_LEAST_TRADED = 5  # parts of a block that may have traded places with another one
_MOST_WEIGHED = 800  # that went or came, up to which it is weighed first what an offset promises
_PROMISED = 1 << 40  # by an offset that isn't weighed first
_ANY = -1 << 60  # in the place of a seed: all those of an offset


class _Found(NamedTuple):
    """A run that makes the account shorter, in the order in which such runs are taken."""

    worth: int
    distance: int
    offset: int
    seed: int
    run: Run


_NO_RUN = Run(0, 0, (), 0)


class _Known(Struct):
    """What was worked out after the same events: offsets and their seeds, and by offset what it promises and holds."""

    offsets: dict[int, list[int]]
    promises: dict[int, int] = {}
    runs: dict[int, tuple[int, list[_Found]]] = {}  # how many were tried, those that pay
    mates: list[_Found] = []  # runs that would pay together with another one only


# Since several plans begin alike: whether as far as all are equal, and the events.
Grown: TypeAlias = dict[tuple[bool, frozenset[Event]], _Known]


def take_blocks(ledger: Ledger, evidence: Evidence, alias: Mapping[int, int], reach: Reach, grown: Grown) -> None:
    """Takes every shifted run that makes the account shorter.

    ``alias``: what a kind of old parts became everywhere, where it did. ``reach``: ``far`` over parts that changed on
    the way, ``equal`` only as far as all are equal, ``certain``: far, and only what parts numbered at random don't
    hold. ``grown``: what searches of the same class found, added to.
    """
    for _ in range(_ROUNDS):
        taken = len(ledger.events)
        if (ledger.gone and ledger.come) or ledger.wiring is not None:
            _Search(ledger, evidence, alias, reach).run(grown)
        if len(ledger.events) == taken:
            break


def take_traded(ledger: Ledger, evidence: Evidence, alias: Mapping[int, int], grown: Grown) -> bool:
    """Takes neighbouring blocks that traded places, and that make the account shorter together; whether any do.

    ``alias`` and ``grown``: as for shifted runs.
    """
    for _ in range(_ROUNDS):
        taken = len(ledger.events)
        if ledger.gone and ledger.come:
            _Search(ledger, evidence, alias, "far").trade(grown)
        if len(ledger.events) == taken:
            break
    return bool(ledger.events)


class _Search:
    def __init__(self, ledger: Ledger, evidence: Evidence, alias: Mapping[int, int], reach: Reach) -> None:
        self._reach_of = reach
        self._ledger = ledger
        self._evidence = evidence
        self._tries = evidence.tries()
        self._restless = Restless(ledger, alias)
        self._grower = Grower(self._restless, evidence, self._tries, reach)
        self._is_small = len(self._restless.gone) + len(self._restless.come) <= _MOST_WEIGHED
        self._has_promise = ledger.wiring is None and self._is_small

    def run(self, grown: Grown) -> None:
        """Takes the best run first. An offset's runs are grown once nothing grown promises more than it does."""
        ledger = self._ledger
        known = self._known(grown)
        offsets = known.offsets = known.offsets or dict(candidates(self._restless))
        heap = [_Found(-self._promise(offset, known), abs(offset), offset, _ANY, _NO_RUN) for offset in offsets]
        heapify(heap)
        stamp, valued = 0, dict.fromkeys(((offset, _ANY) for offset in offsets), 0)
        left = _ALL_SEEDS
        while heap:
            worth, _, offset, seed, run = heappop(heap)
            if seed == _ANY:
                if valued[offset, seed] != stamp and self._has_promise:
                    valued[offset, seed] = stamp
                    worth = -self._promise(offset, known)
                    if worth < 0:
                        heappush(heap, _Found(worth, abs(offset), offset, seed, run))
                    continue
                if worth == 0 or left == 0:
                    continue
                if offset not in known.runs:
                    known.runs[offset] = self._grown(offset, offsets[offset], min(_SEEDS, left), known)
                tries, found = known.runs[offset]
                left = max(0, left - tries)
                for item in found:
                    if self._is_sure(item.run.pairs):
                        heappush(heap, item)
                        valued[offset, item.seed] = stamp
                continue
            if valued[offset, seed] != stamp:
                run = self._grower.grow(offset, seed)
                worth = self._worth(run)
                valued[offset, seed] = stamp
                if worth >= 0 or not self._is_sure(run.pairs):
                    continue
                if heap and worth > heap[0].worth:
                    heappush(heap, _Found(worth, abs(offset), offset, seed, run))
                    continue
            ledger.take("shifted", run.pairs, offset, self._evidence.of_block(run.pairs, self._tries))
            stamp += 1
            self._restless.refresh()
            known = self._known(grown)

    def trade(self, grown: Grown) -> None:
        """Takes the two runs that make the account shortest together, as blocks that traded places."""
        ledger = self._ledger
        if not self._is_small:
            return
        known = self._known(grown)
        known.offsets = known.offsets or dict(candidates(self._restless))
        left = _ALL_SEEDS
        for offset, seeds in known.offsets.items():
            if offset not in known.runs and left and self._promise(offset, known):
                known.runs[offset] = self._grown(offset, seeds, min(_SEEDS, left), known)
                left = max(0, left - known.runs[offset][0])
        best: tuple[int, _Found, _Found, Blocks] | None = None
        for one, two in self._neighbours(known):
            blocks = traded(ledger, one.run.pairs, two.run.pairs, self._restless.kind)
            if blocks is not None and (best is None or blocks[0] < best[0]):
                best = blocks[0], one, two, blocks[1]
        if best is not None and best[0] < ledger.total:
            _, one, two, both = best
            for pairs, offset in zip(both, (one.offset, two.offset), strict=True):
                ledger.take("shifted", pairs, offset, self._evidence.of_block(pairs, self._tries))

    def _neighbours(self, known: _Known) -> list[tuple[_Found, _Found]]:
        """Runs that may have traded places: those that are worth most by themselves."""
        runs = sorted([*known.mates, *(item for _, found in known.runs.values() for item in found)])
        pairs: dict[tuple[int, int], tuple[_Found, _Found]] = {}
        for one in (item for item in runs if item.offset > 0):
            for two in (item for item in runs if item.offset < 0):
                if are_near(one.run.pairs, two.run.pairs):
                    pairs.setdefault((one.offset, two.offset), (one, two))
        return sorted(pairs.values(), key=lambda pair: (pair[0].worth + pair[1].worth, pair))[:_NEIGHBOURS]

    def _known(self, grown: Grown) -> _Known:
        return grown.setdefault((self._reach_of == "equal", frozenset(self._ledger.events)), _Known({}))

    def _promise(self, offset: int, known: _Known) -> int:
        """More than the runs of an offset can save: twice what its equal parts could, as changed ones go along."""
        if not self._has_promise:
            return _PROMISED
        promise = known.promises.get(offset)
        if promise is None:
            ledger, kind, new = self._ledger, self._restless.kind, self._ledger.new
            free_old, free_new = ledger.free_old, ledger.free_new
            touched = {
                slot for slot in self._restless.gone if (two := slot + offset) in free_new and new[two] == kind[slot]
            }
            touched.update(
                slot for slot in self._restless.come if (one := slot - offset) in free_old and new[slot] == kind[one]
            )
            promise = known.promises[offset] = 2 * ledger.most_saved(touched)
        return promise

    def _grown(self, offset: int, seeds: Sequence[int], left: int, known: _Known) -> tuple[int, list[_Found]]:
        """How many runs were grown under an offset, and those that make the account shorter."""
        found: list[_Found] = []
        covered, tries = -1, 0
        for seed in seeds:
            if self._restless.place[seed] <= covered or tries == left:
                continue
            tries += 1
            run = self._grower.grow(offset, seed)
            covered = max(covered, run.last)
            worth = self._worth(run)
            if worth < 0:
                found.append(_Found(worth, abs(offset), offset, seed, run))
            elif run.worth >= 0 and len(run.pairs) >= _LEAST_TRADED:
                known.mates.append(_Found(run.worth, abs(offset), offset, seed, run))
        return tries, found

    def _worth(self, run: Run) -> int:
        """What the run is worth; nothing where it is one part, or where chance could explain it."""
        if len(run.pairs) < 2 or run.worth >= 0:
            return 0
        return run.worth if self._evidence.of_block(run.pairs, self._tries) >= BELIEVED else 0

    def _is_sure(self, pairs: Pairs) -> bool:
        """Whether a run is as certain as the search asks for."""
        return self._reach_of != "certain" or self._evidence.certain(pairs, self._tries)
