"""Blocks that may as well have come from, or gone to, another place: a tie stays put, and is told as ambiguous."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from revdiff.compare.match.ledger import Ledger
from revdiff.compare.match.loose import Doubt
from revdiff.compare.match.runs import Event

_LEAST = 2  # parts of a block; of lone parts, those are taken only that have no other partner
_MOST = 80  # blocks that are looked at


def take_back_ties(ledger: Ledger) -> list[Doubt]:
    """Takes back each block for which another reading is as short: as many equal parts elsewhere, in the same order."""
    blocks = [event for event in ledger.events if event.shape == "shifted" and len(event.pairs) >= _LEAST]
    found: list[Doubt] = []
    for event in blocks if len(blocks) <= _MOST else ():
        total = ledger.total
        ledger.undo(event)
        others = [
            pairs
            for pairs in _others(ledger, event)
            if ledger.total + ledger.worth("shifted", pairs, _by(pairs)) <= total
        ]
        if not others:
            ledger.take(event.shape, event.pairs, event.offset, event.confidence)
            continue
        olds = {one for pairs in (event.pairs, *others) for one, _ in pairs}
        news = {two for pairs in (event.pairs, *others) for _, two in pairs}
        found.append(Doubt(tuple(sorted(olds)), tuple(sorted(news)), event.confidence, tie=True))
    return found


def _others(ledger: Ledger, event: Event) -> Iterator[list[tuple[int, int]]]:
    """The same block from other numbers whose parts went, or to other numbers that hold a part of no old one."""
    sources, targets = [one for one, _ in event.pairs], [two for _, two in event.pairs]
    for slots in _alike(ledger.old, ledger.gone, sources):
        yield list(zip(slots, targets, strict=True))
    for slots in _alike(ledger.new, ledger.come, targets):
        yield list(zip(sources, slots, strict=True))


def _alike(kinds: Mapping[int, int], loose: set[int], slots: list[int]) -> Iterator[list[int]]:
    """Where else among the loose slots the same kinds stand in the same order."""
    wanted, first = [kinds[slot] for slot in slots], slots[0]
    for start in sorted(slot for slot in loose if kinds[slot] == wanted[0]):
        other = [slot + start - first for slot in slots]
        if loose.issuperset(other) and [kinds[slot] for slot in other] == wanted and not set(other) & set(slots):
            yield other


def _by(pairs: list[tuple[int, int]]) -> int:
    return pairs[0][1] - pairs[0][0]
