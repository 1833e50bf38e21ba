"""Another order drawn anew part by part, where the account gets shorter by it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from revdiff.compare.match.costs import ANOTHER
from revdiff.compare.match.ledger import Event, Ledger, Pairs

_ROUNDS = 4  # since one trade makes way for another one
_EFFORT = 200_000  # parts times trades that are weighed in one event
_NEAR = 64  # parts left over that are tried in the place of others

Trade = tuple[list[tuple[int, int]], list[tuple[int, int]]]  # pairs that leave the event, and those that enter it


def polish(ledger: Ledger, event: Event) -> Event:
    """Trades parts in and out of an event that carries them in another order, as long as that makes it shorter."""
    left = _EFFORT // max(len(event.pairs), 1)
    for _ in range(_ROUNDS):
        total = ledger.total
        for out, into in list(_trades(ledger, event)):
            if left <= 0:
                return event
            if _possible(ledger, event, out, into):
                left -= 1
                event = ledger.redrawn(event, out, into)
        if ledger.total == total:
            break
    return event


def _possible(ledger: Ledger, event: Event, out: Pairs, into: Pairs) -> bool:
    """Whether the pairs are those of the event still, and what enters is free once they left it."""
    if not set(out) <= set(event.pairs):
        return False
    freed_old, freed_new = {one for one, _ in out}, {two for _, two in out}
    return all(
        (one in freed_old or one in ledger.free_old) and (two in freed_new or two in ledger.free_new)
        for one, two in into
    )


def _trades(ledger: Ledger, event: Event) -> Iterator[Trade]:
    step = dict(event.pairs)
    back = {two: one for one, two in event.pairs}
    for one, two in event.pairs:
        if ledger.old[one] != ledger.new[two] or ledger.wiring is not None:
            # The part that stood there, and the one that came from here, may trade places with this one.
            for other in (two, back.get(one)):
                if other is not None and other in ledger.old:
                    yield from _swapped(ledger, step, one, other, step.get(other, other))
        if ledger.wiring is not None:
            for there in ledger.wiring.partners(one):
                if there != two and ledger.new.get(there) == ledger.old[one]:
                    yield from _swapped(ledger, step, one, back.get(there, there), there)
    yield from _left_over(ledger, event)


def _swapped(ledger: Ledger, step: dict[int, int], one: int, other: int, there: int) -> Iterator[Trade]:
    """A part goes where another one stands or went, and that one where the first one went."""
    out = [(one, step[one])]
    if other in step:
        out.append((other, step[other]))
    into = [(one, there)]
    if other in ledger.old:
        into.append((other, step[one]))
    pairs = [(first, second) for first, second in into if first != second]
    if there in ledger.new and _close(ledger, pairs):
        yield out, pairs


def _close(ledger: Ledger, pairs: Iterable[tuple[int, int]]) -> bool:
    return all(ledger.difference(ledger.old[one], ledger.new[two]) < ANOTHER for one, two in pairs)


def _left_over(ledger: Ledger, event: Event) -> Iterator[Trade]:
    """Parts that went or came beside the event, each joining it or in the place of an equal one within it."""
    olds: dict[int, list[int]] = {}
    news: dict[int, list[int]] = {}
    for slot in sorted(ledger.gone):
        olds.setdefault(ledger.old[slot], []).append(slot)
    for slot in sorted(ledger.come):
        news.setdefault(ledger.new[slot], []).append(slot)
    low, high = event.pairs[0][0], event.pairs[-1][0]
    for one in (slot for slot in sorted(ledger.gone) if low <= slot <= high):
        for two in (slot for slot in news.get(ledger.old[one], ()) if low <= slot <= high):
            yield [], [(one, two)]
            if two in ledger.gone and ledger.old[two] == ledger.new.get(one):
                yield [], [(one, two), (two, one)]
    for one, two in event.pairs:
        for other in _near(news.get(ledger.new[two], ()), two):
            yield [(one, two)], ([(one, other)] if one != other else [])
        for other in _near(olds.get(ledger.old[one], ()), one):
            yield [(one, two)], ([(other, two)] if other != two else [])


def _near(slots: Iterable[int], slot: int) -> list[int]:
    return sorted(slots, key=lambda other: (abs(other - slot), other))[:_NEAR]
