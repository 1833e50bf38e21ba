"""Another order drawn anew part by part, where the account gets shorter by it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from revdiff.compare.assignment import best_pairs
from revdiff.compare.match.costs import ANOTHER, SCATTERED
from revdiff.compare.match.ledger import Ledger
from revdiff.compare.match.runs import Event, Pairs
from revdiff.compare.match.wiring import ClassWiring

_ROUNDS = 4  # since one trade makes way for another one
_EFFORT = 4_000  # trades that are weighed in one event
_WEIGHED = 9216  # pairs of equal parts whose nets are compared
_ALSO_TOLD = 10  # of a ledger's cost: a change of what else is said of a part
_RUN = 12  # parts of a run that may be there by chance
_FEW = 4  # the same of a part that changed
_NEAR = 64  # parts left over that are tried in the place of others

Trade = tuple[list[tuple[int, int]], list[tuple[int, int]]]  # pairs that leave the event, and those that enter it


def polish(ledger: Ledger, event: Event) -> Event:
    """Trades parts in and out of an event that carries them in another order, as long as that makes it shorter."""
    event = _rewired(ledger, event)
    left = _EFFORT
    for _ in range(_ROUNDS):
        total, pairs = ledger.total, set(event.pairs)
        for out, into in list(_trades(ledger, event)):
            if left <= 0:
                return event
            moved = [(one, two) for one, two in into if one != two]
            if _possible(ledger, pairs, out, moved):
                left -= 1
                drawn = ledger.redrawn(event, out, moved)
                if drawn is not event:
                    event, pairs = drawn, set(drawn.pairs)
        if ledger.total == total:
            break
    return event


def absorb(ledger: Ledger) -> None:
    """Lets each other order take in the runs that stand among its parts, where that is shorter."""
    for order in [event for event in ledger.events if event.shape == "order"]:
        slots = [slot for pair in order.pairs for slot in pair]
        low, high = min(slots), max(slots)
        drawn = order
        for run in [event for event in ledger.events if event is not drawn]:
            short = run.shape == "order" or len(run.pairs) <= _RUN
            beside = run.pairs[0][0] > high or max(two for _, two in run.pairs) < low
            if drawn not in ledger.events or not short or beside:
                continue
            total = ledger.total
            ledger.undo(run)
            wider = ledger.redrawn(drawn, (), run.pairs)
            if ledger.total < total:
                drawn = wider
                continue
            if wider is not drawn:
                ledger.undo(wider)
                ledger.take("order", drawn.pairs, confidence=drawn.confidence)
                drawn = ledger.events[-1]
            ledger.take(run.shape, run.pairs, run.offset, run.confidence)
        if drawn is not order:
            polish(ledger, drawn)


def _rewired(ledger: Ledger, event: Event) -> Event:
    """The equal parts of each kind under the numbers at which nets, or all else that is said of them, agree best.

    Those at home are among them where that may go better.
    """
    wiring, twins = ledger.wiring, ledger.twins
    if wiring is None and twins is None:
        return event
    kinds: dict[int, list[tuple[int, int]]] = {}
    for one, two in event.pairs:
        if ledger.old[one] == ledger.new[two]:
            kinds.setdefault(ledger.old[one], []).append((one, two))
    home: dict[int, list[int]] = {}
    low, high = event.pairs[0][0], event.pairs[-1][0]
    for slot in sorted(ledger.free_old & ledger.free_new):
        if ledger.old[slot] != ledger.new[slot]:
            continue
        if not low <= slot <= high and (wiring is None or wiring.agrees(slot, slot)):
            continue
        if wiring is not None or (twins is not None and not twins(slot, slot)):
            home.setdefault(ledger.old[slot], []).append(slot)
    for kind, pairs in kinds.items():
        stayed = home.get(kind, [])
        if wiring is not None:
            event = _with_nets(ledger, event, pairs, stayed, wiring)
            continue
        stayed = stayed if (len(pairs) + len(stayed)) ** 2 <= _WEIGHED else []
        if len(pairs) ** 2 > _WEIGHED:
            continue
        olds = sorted([*(one for one, _ in pairs), *stayed])
        news = sorted([*(two for _, two in pairs), *stayed])
        if twins is not None and not all(twins(one, two) for one, two in pairs + [(slot, slot) for slot in stayed]):
            event = _with_twins(ledger, event, pairs, (olds, news), twins)
    return event


def _with_nets(
    ledger: Ledger, event: Event, pairs: list[tuple[int, int]], stayed: list[int], wiring: ClassWiring
) -> Event:
    """Equal parts of one kind: those first all of whose nets agree, then the others by how far they do."""
    olds = {*(one for one, _ in pairs), *stayed}
    news = {*(two for _, two in pairs), *stayed}
    found = wiring.agreeing(sorted(olds), sorted(news))
    olds -= {one for one, _ in found}
    news -= {two for _, two in found}
    if len(olds) * len(news) > _WEIGHED:
        # As they are drawn already, as far as both are left; at home otherwise.
        found += [(one, two) for one, two in [*pairs, *zip(stayed, stayed, strict=True)] if one in olds and two in news]
    else:
        found += best_pairs(sorted(olds), sorted(news), _agreement(wiring))
    return ledger.redrawn(event, pairs, [(one, two) for one, two in found if one != two])


def _with_twins(
    ledger: Ledger,
    event: Event,
    pairs: list[tuple[int, int]],
    slots: tuple[list[int], list[int]],
    twins: Callable[[int, int], bool],
) -> Event:
    """Equal parts of one kind, drawn so that of as few as can be it changed what else is said of them."""
    found = best_pairs(*slots, lambda one, two: 100 + (20 if twins(one, two) else 0) + (SCATTERED if one == two else 0))
    stayed = set(slots[0]) - {one for one, _ in pairs}
    before = sum(twins(one, two) for one, two in [*pairs, *((slot, slot) for slot in stayed)])
    saved = sum(twins(one, two) for one, two in found) - before
    into = [(one, two) for one, two in found if one != two]
    return ledger.redrawn(event, pairs, into, allowed=_ALSO_TOLD * saved) if saved > 0 else event


def _agreement(wiring: ClassWiring) -> Callable[[int, int], int]:
    # Every pair has to gain something, so that all parts find a place; at home they need no event.
    return lambda one, two: 200 + wiring.worth(one, two) + (SCATTERED if one == two else 0)


def _possible(ledger: Ledger, pairs: set[tuple[int, int]], out: Pairs, into: Pairs) -> bool:
    """Whether the pairs are those of an event still, and what enters is free once they left it."""
    if any(pair not in pairs for pair in out):
        return False
    freed_old, freed_new = {one for one, _ in out}, {two for _, two in out}
    return all(
        (one in freed_old or one in ledger.free_old) and (two in freed_new or two in ledger.free_new)
        for one, two in into
    )


def _trades(ledger: Ledger, event: Event) -> Iterator[Trade]:
    step = dict(event.pairs)
    back = {two: one for one, two in event.pairs}
    yield from _left_over(ledger, event)
    changed = [(one, two) for one, two in event.pairs if ledger.old[one] != ledger.new[two]]
    for one, two in changed:
        for second, there in changed:
            if ledger.new[there] == ledger.old[one]:
                yield [(one, two), (second, there)], [(one, there), (second, two)]
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


def _swapped(ledger: Ledger, step: dict[int, int], one: int, other: int, there: int) -> Iterator[Trade]:
    """A part goes where another one stands or went, and that one where the first one went."""
    out = [(one, step[one])]
    if other in step:
        out.append((other, step[other]))
    into = [(one, there)]
    if other in ledger.old:
        into.append((other, step[one]))
    if there in ledger.new and _close(ledger, into):
        yield out, into


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
        if ledger.old[one] != ledger.new[two]:
            # Each of the two may be equal to a part that was left over.
            targets = _near(news.get(ledger.old[one], ()), two)[:_FEW]
            sources = _near(olds.get(ledger.new[two], ()), one)[:_FEW]
            for there in targets:
                yield [(one, two)], [(one, there)]
                for other in sources:
                    yield [(one, two)], [(one, there), (other, two)]
            for other in sources:
                yield [(one, two)], [(other, two)]
    for one, two in event.pairs:
        for other in _near(news.get(ledger.new[two], ()), two):
            yield [(one, two)], [(one, other)]
        for other in _near(olds.get(ledger.old[one], ()), one):
            yield [(one, two)], [(other, two)]


def _near(slots: Iterable[int], slot: int) -> list[int]:
    return sorted(slots, key=lambda other: (abs(other - slot), other))[:_NEAR]
