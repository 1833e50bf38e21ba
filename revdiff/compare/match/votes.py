"""Offsets that blocks may have been shifted by: what went and what came vote for them.

By short sequences of data that are rare on either side, by where runs of equal parts start and end, and by nets.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from heapq import nlargest

from revdiff.compare.match.restless import Restless

_FREQUENT = 6  # occurrences of a sequence on one side, from which on it votes for nothing
_RUNS = 48  # runs of one kind on each side that vote, the longest first
_OFFSETS = 96  # offsets tried

Seeds = dict[int, dict[int, int]]  # offset to old slot to weight


def candidates(restless: Restless) -> list[tuple[int, list[int]]]:
    """The offsets with most votes, each with the slots to grow from, in order."""
    seeds: Seeds = {}
    _vote_by_sequences(restless, seeds)
    _vote_by_runs(restless, seeds)
    _vote_by_nets(restless, seeds)
    seeds.pop(0, None)
    best = sorted(seeds, key=lambda offset: (-sum(seeds[offset].values()), abs(offset), offset))[:_OFFSETS]
    return [(offset, sorted(seeds[offset])) for offset in best]


def _vote_by_sequences(restless: Restless, seeds: Seeds) -> None:
    ledger = restless.ledger
    before = _sequences(restless.kind, restless.old_order)
    after = _sequences(ledger.new, restless.new_order)
    wanted = _touching(before, restless.gone, restless.place)
    wanted |= _touching(after, restless.come, {slot: index for index, slot in enumerate(restless.new_order)})
    olds, news = _occurrences(before, wanted), _occurrences(after, wanted)
    for key, slots in olds.items():
        others = news.get(key, ())
        if len(slots) <= _FREQUENT and len(others) <= _FREQUENT:
            weight = 6 // max(len(slots), len(others), 1)
            for one in slots:
                for two in others:
                    _vote(seeds, two - one, one, weight)


def _vote_by_runs(restless: Restless, seeds: Seeds) -> None:
    ledger = restless.ledger
    olds = _runs_by_kind(restless.gone, restless.kind, restless.old_order)
    news = _runs_by_kind(restless.come, ledger.new, restless.new_order)
    for kind, runs in olds.items():
        for start, end, length in runs:
            for other_start, other_end, other_length in news.get(kind, ()):
                weight = min(length, other_length) if length == other_length else 1
                _vote(seeds, other_start - start, start, weight)
                if other_end - end != other_start - start:
                    _vote(seeds, other_end - end, end, weight)


def _vote_by_nets(restless: Restless, seeds: Seeds) -> None:
    ledger, wiring = restless.ledger, restless.ledger.wiring
    if wiring is None:
        return
    for slot in ledger.free_old:
        if slot in restless.gone or wiring.displaced(slot):
            for other in wiring.partners(slot):
                if other in ledger.free_new and ledger.new[other] == restless.kind[slot]:
                    _vote(seeds, other - slot, slot, 1)


def _vote(seeds: Seeds, offset: int, slot: int, weight: int) -> None:
    slots = seeds.setdefault(offset, {})
    slots[slot] = slots.get(slot, 0) + weight


_Key = tuple[int, int, int, int, int]


def _sequences(kinds: Mapping[int, int], order: Sequence[int]) -> list[tuple[int, _Key]]:
    """Every three neighbours: their kinds and the gaps between them, with the first slot."""
    of = [kinds[slot] for slot in order]
    return [
        (one, (of[index], two - one, of[index + 1], three - two, of[index + 2]))
        for index, (one, two, three) in enumerate(zip(order, order[1:], order[2:], strict=False))
    ]


def _touching(sequences: list[tuple[int, _Key]], slots: Collection[int], place: Mapping[int, int]) -> set[_Key]:
    """The sequences that hold one of the slots. ``place``: of each slot, in the order of all."""
    return {
        sequences[index][1]
        for slot in slots
        for index in range(max(0, place[slot] - 2), min(place[slot] + 1, len(sequences)))
    }


def _occurrences(sequences: list[tuple[int, _Key]], wanted: Collection[_Key]) -> dict[_Key, list[int]]:
    found: dict[_Key, list[int]] = {}
    for slot, key in sequences:
        if key in wanted:
            found.setdefault(key, []).append(slot)
    return found


def _runs_by_kind(
    slots: Collection[int], kinds: Mapping[int, int], order: Sequence[int]
) -> dict[int, list[tuple[int, int, int]]]:
    """Runs of neighbours of one kind among ``slots``: first, last and how many; the longest ones of each kind."""
    found: dict[int, list[tuple[int, int, int]]] = {}
    for kind, start, end, length in _runs(slots, kinds, order):
        found.setdefault(kind, []).append((start, end, length))
    return {
        kind: runs if len(runs) <= _RUNS else nlargest(_RUNS, runs, key=lambda run: (run[2], -run[0]))
        for kind, runs in found.items()
    }


def _runs(
    slots: Collection[int], kinds: Mapping[int, int], order: Sequence[int]
) -> Iterator[tuple[int, int, int, int]]:
    start, end, length, last = 0, 0, 0, None
    for slot in order:
        kind = kinds[slot] if slot in slots else None
        if kind is not None and kind == last:
            end, length = slot, length + 1
            continue
        if last is not None:
            yield last, start, end, length
        start, end, length, last = slot, slot, 1, kind
    if last is not None:
        yield last, start, end, length
