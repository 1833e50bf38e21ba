"""Numbers closed up after removals, or opened for additions: the parts keep their order, and small offsets add up.

The shortest path through the numbers of a stretch, slot by slot, with the offset as its state, finds all pieces at
once (the Viterbi algorithm). A piece that fits by chance at either end can't hide another one between them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple, TypeAlias

from revdiff.compare.match.costs import ANOTHER, BLOCK, FEW, FOLLOWING, GONE, MOVED
from revdiff.compare.match.evidence import BELIEVED, Evidence
from revdiff.compare.match.ledger import Ledger
from revdiff.compare.match.order import stretches
from revdiff.compare.match.runs import goes_on

_BAND = 12  # the largest offset
_MOST = 400  # numbers in which something went or came, that are looked at together
_QUIET = 60  # neighbours that stayed, by which two stretches are parted: equal parts in a row seem to stay
_BEHIND = 400  # by how much an account may cost more than the cheapest one so far, to be followed on
_LEAST = 3  # the same, from which on it is worth looking


Run: TypeAlias = list[tuple[int, int]]


class _Path(NamedTuple):
    """The cheapest account of the numbers so far: its cost, the last target, and the pairs as a linked list."""

    cost: int
    target: int
    pairs: _Linked | None


_Linked: TypeAlias = "tuple[_Linked | None, tuple[int, int]]"
_Paths: TypeAlias = dict[tuple[int, int], _Path]  # by the offset, and by how many numbers went since the last pair


def take_closed(ledger: Ledger, evidence: Evidence) -> bool:
    """Takes the runs by which the numbers of a stretch were closed up or opened, where that is shorter, if any were."""
    tries = evidence.tries()
    for restless in stretches(ledger, _QUIET):
        if not _LEAST <= len(restless) <= _MOST:
            continue
        for chain in _chains(_runs(_aligned(ledger, _span(ledger, restless)))):
            total = ledger.total
            together = [pair for run in chain for pair in run]
            if len(chain) < 2 or (confidence := evidence.of_block(together, tries)) < BELIEVED:
                continue
            events = [ledger.take("shifted", run, run[0][1] - run[0][0], confidence) for run in chain]
            if ledger.total >= total:
                for event in events:
                    ledger.undo(event)
    return bool(ledger.events)


def _span(ledger: Ledger, restless: set[int]) -> list[int]:
    low, high = min(restless), max(restless)
    return sorted(slot for slot in ledger.free_old if low <= slot <= high)


def _aligned(ledger: Ledger, span: Sequence[int]) -> list[tuple[int, int]]:
    """Who is who where the order was kept, in place or not: a part costs what it differs by, or that it went and came.

    An offset begins with a part of equal data only.
    """
    old, new, free_new, difference = ledger.old, ledger.new, ledger.free_new, ledger.difference
    paths: _Paths = {(0, 0): _Path(0, -1, None)}
    for slot in span:
        kind = old[slot]
        found: _Paths = {}
        for (offset, lag), path in paths.items():  # it went
            _keep(found, (offset, min(lag + 1, FEW)), path._replace(cost=path.cost + GONE))
        for offset in range(-_BAND, _BAND + 1):
            target = slot + offset
            if target not in free_new:
                continue
            differs = 0 if kind == new[target] else difference(kind, new[target])
            if differs >= ANOTHER:
                continue
            cost = differs - GONE + (MOVED if offset else 0)
            for (other, _), path in paths.items():
                if path.target < target and (other == offset or not offset or not differs):
                    turned = path.cost + cost + _turn(other, offset)
                    _keep(found, (offset, 0), _Path(turned, target, (path.pairs, (slot, target))))
        least = min(path.cost for path in found.values())
        paths = {key: path for key, path in found.items() if path.cost <= least + _BEHIND}
    linked = min(paths.values(), key=lambda path: path.cost).pairs
    pairs: list[tuple[int, int]] = []
    while linked is not None:
        linked, pair = linked
        pairs.append(pair)
    return pairs[::-1]


def _keep(paths: _Paths, key: tuple[int, int], path: _Path) -> None:
    known = paths.get(key)
    if known is None or path.cost < known.cost:
        paths[key] = path


def _turn(one: int, two: int) -> int:
    """What it costs to go on with another offset."""
    if one == two or not two:
        return 0
    return FOLLOWING if one and (one > 0) == (two > 0) and abs(one - two) <= FEW else BLOCK


def _chains(runs: Iterable[Run]) -> list[list[Run]]:
    """The runs each of which goes on from the one before it, together."""
    chains: list[list[Run]] = []
    for run in runs:
        if chains and goes_on(chains[-1][-1][-1], run[0]):
            chains[-1].append(run)
        else:
            chains.append([run])
    return chains


def _runs(pairs: Sequence[tuple[int, int]]) -> Iterator[Run]:
    """The pieces of one offset, without what stays."""
    run: Run = []
    for one, two in pairs:
        if run and two - one != run[0][1] - run[0][0]:
            yield run
            run = []
        if one != two:
            run.append((one, two))
    if run:
        yield run
