"""Parts of a class numbered in another order: chains and cycles of equal data among what went and what came."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from revdiff.compare.assignment import best_pairs
from revdiff.compare.match.costs import ANOTHER, GONE, QUIET, REUSED, SCATTERED
from revdiff.compare.match.evidence import BELIEVED, Evidence
from revdiff.compare.match.ledger import Ledger
from revdiff.compare.match.polish import polish

_LEAST = 3  # parts that make another order
_SHARE = 45  # of a ledger's cost that a chain must save for each part
_CHOICES = 64  # chains that are weighed one by one
_TRADED = 115  # the most that a part may differ to have changed on the way
_CONSERVED = 0.8  # share of what went and of what came that must be found again on numbers of its own
_LEFT = 4096  # pairs weighed of what is left of a class in another order
_WHOLE = 0.4  # share of a stretch, from which on all of it is taken for renumbered


class _Chain(NamedTuple):
    pairs: tuple[tuple[int, int], ...]
    saves: int
    sound: bool


def take_order(ledger: Ledger, evidence: Evidence) -> None:
    """Takes the parts that are found under other numbers, stretch by stretch of the class, and then anywhere in it."""
    parted = stretches(ledger, QUIET)
    for stretch in parted if len(parted) > 1 else ():
        _take(ledger, evidence, stretch)
    _take(ledger, evidence, ledger.gone | ledger.come)


def stretches(ledger: Ledger, least: int) -> list[set[int]]:
    """What went and what came, parted where so many neighbours in a row stayed."""
    restless = ledger.gone | ledger.come
    found: list[set[int]] = []
    quiet = least
    for slot in sorted({*ledger.old, *ledger.new}):
        if slot not in restless:
            quiet += 1
            continue
        if quiet >= least:
            found.append(set())
        found[-1].add(slot)
        quiet = 0
    return found


def _take(ledger: Ledger, evidence: Evidence, slots: set[int]) -> None:
    if len(slots) < _LEAST or not ledger.gone or not ledger.come:
        return
    chains = [chain for chain in _chains(ledger, slots) if chain.sound]
    plain = [chain for chain in chains if len(chain.pairs) == 1]
    if len(plain) < _CONSERVED * max(
        len(slots & ledger.gone - ledger.free_new), len(slots & ledger.come - ledger.free_old)
    ):
        # Some of many that went are like some of many that came: that is no order, and no evidence.
        chains = [chain for chain in chains if len(chain.pairs) > 1]
    chosen = _best(ledger, chains)
    pairs = [pair for chain in chosen for pair in chain.pairs]
    if len(pairs) < _LEAST or ledger.worth("order", pairs) >= 0:
        return
    confidence = evidence.of_order(pairs)
    if confidence < BELIEVED:
        return
    whole = len(pairs) >= _WHOLE * len(slots & ledger.old.keys())
    event = ledger.take("order", pairs, confidence=confidence)
    changed = _changed_on_the_way(ledger, slots, whole=whole)
    if changed:
        ledger.undo(event)
        wider = sorted([*pairs, *changed])
        better = ledger.worth("order", wider) < ledger.worth("order", pairs)
        event = ledger.take("order", wider if better else pairs, confidence=confidence)
    polish(ledger, event)


def _best(ledger: Ledger, chains: list[_Chain]) -> list[_Chain]:
    """The chains that are worth most together: all, without those that are better left out."""
    chosen = list(chains)
    if len(chains) > _CHOICES:
        return chosen

    def worth(items: Iterable[_Chain]) -> int:
        pairs = [pair for chain in items for pair in chain.pairs]
        return ledger.worth("order", pairs) if pairs else 0

    least = worth(chosen)
    for chain in sorted(chains, key=lambda chain: (chain.saves, chain.pairs)):
        rest = [item for item in chosen if item is not chain]
        if rest and (without := worth(rest)) < least:
            chosen, least = rest, without
    return chosen


def _chains(ledger: Ledger, slots: set[int]) -> list[_Chain]:
    """Where each part that went is found again, followed from number to number."""
    step = dict(_equal_pairs(ledger, slots))
    back = {two: one for one, two in step.items()}
    chains: list[_Chain] = []
    seen: set[int] = set()
    for start in sorted(step, key=lambda slot: (slot in back, slot)):  # the heads of chains first, then cycles
        if start in seen:
            continue
        pairs, slot = [], start
        while slot in step and slot not in seen:
            seen.add(slot)
            pairs.append((slot, step[slot]))
            slot = step[slot]
        chains.append(_weighed(ledger, tuple(pairs), cycle=slot == start))
    return chains


def _weighed(ledger: Ledger, pairs: tuple[tuple[int, int], ...], *, cycle: bool) -> _Chain:
    """What a chain saves, told apart from all others, and whether it may enter.

    A chain that only turns "changed in place, and one added" into "renumbered" doesn't: that is the plainer account.
    """
    head, tail = pairs[0][0], pairs[-1][1]
    inner = [slot for slot, _ in pairs[0 if cycle else 1 :]]
    saves = sum(_in_place(ledger, slot) for slot in inner)
    if cycle:
        return _Chain(pairs, saves, saves >= _SHARE * len(pairs))
    head_stays, tail_stays = head in ledger.free_new, tail in ledger.free_old
    saves += (_in_place(ledger, head) - GONE - REUSED) if head_stays else GONE
    saves += (_in_place(ledger, tail) - GONE - REUSED) if tail_stays else GONE
    sound = saves >= _SHARE * len(pairs) and (len(inner) >= 2 or not (head_stays or tail_stays))
    return _Chain(pairs, saves, sound)


def _in_place(ledger: Ledger, slot: int) -> int:
    return ledger.difference(ledger.old[slot], ledger.new[slot])


def _equal_pairs(ledger: Ledger, slots: set[int]) -> list[tuple[int, int]]:
    """Equal parts that went and came, in the order of their numbers, those first that hang on the same nets."""
    olds: dict[int, list[int]] = {}
    news: dict[int, list[int]] = {}
    for slot in sorted(ledger.gone & slots):
        olds.setdefault(ledger.old[slot], []).append(slot)
    for slot in sorted(ledger.come & slots):
        news.setdefault(ledger.new[slot], []).append(slot)
    pairs: list[tuple[int, int]] = []
    for kind, before in olds.items():
        after = news.get(kind, [])
        if ledger.wiring is not None and after:
            wired = ledger.wiring.agreeing(before, after)
            before, after = _without(before, after, wired)
            pairs += wired
            if len(before) * len(after) <= _LEFT:
                wired = best_pairs(before, after, ledger.wiring.of)
                before, after = _without(before, after, wired)
                pairs += wired
        pairs += _by_number(ledger, before, after)
    return [(one, two) for one, two in pairs if one != two]


def _without(before: list[int], after: list[int], pairs: list[tuple[int, int]]) -> tuple[list[int], list[int]]:
    """What is left of two sides in order."""
    return sorted(set(before) - {one for one, _ in pairs}), sorted(set(after) - {two for _, two in pairs})


def _by_number(ledger: Ledger, before: list[int], after: list[int]) -> list[tuple[int, int]]:
    """Equal parts by their numbers, but those first of which all else is the same, too."""
    pairs: list[tuple[int, int]] = []
    if ledger.twins is not None and len(before) * len(after) <= _LEFT:
        rest = list(after)
        for one in before:
            two = next((two for two in rest if ledger.twins(one, two)), None)
            if two is not None:
                pairs.append((one, two))
                rest.remove(two)
        before = [one for one in before if one not in {first for first, _ in pairs}]
        after = rest
    return [*pairs, *zip(before, after, strict=False)]


def _changed_on_the_way(ledger: Ledger, slots: set[int], *, whole: bool) -> list[tuple[int, int]]:
    """Of what is left, the pairs of least difference: renumbered with the others, and changed.

    ``whole``: all of the stretch was renumbered, so that what stands under its own number need not be the same part.
    """
    before = sorted(slot for slot in ledger.gone & slots if whole or slot not in ledger.free_new)
    after = sorted(slot for slot in ledger.come & slots if whole or slot not in ledger.free_old)
    if not before or not after or len(before) * len(after) > _LEFT:
        return []

    def gain(one: int, two: int) -> int:
        difference = ledger.difference(ledger.old[one], ledger.new[two])
        if difference > _TRADED or difference >= ANOTHER:
            return 0
        # The scale keeps near numbers together where the data say nothing more.
        return (2 * GONE - difference - (SCATTERED if one != two else 0)) * 1000 - min(abs(one - two), 999)

    return [(one, two) for one, two in best_pairs(before, after, gain) if one != two]
