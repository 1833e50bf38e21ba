"""Who is who among the parts of one class letter, and what was renumbered.

The cheapest account of what happened wins: parts that kept designator and data; blocks shifted by one
offset; a whole class renumbered in another order; two designators exchanged; and for what is left an
optimal assignment between the old and the new parts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from revdiff.compare.assignment import best_pairs
from revdiff.compare.change import Match
from revdiff.compare.part_cost import (
    APART,
    EXCHANGE,
    LEFT_OVER,
    RENUMBERED,
    RENUMBERING,
    SAME_PLACE,
    STRAY_NUMBER,
    another_thing,
    difference,
)
from revdiff.compare.shifts import Block, Refs, number_of, shifted_blocks
from revdiff.design import PartData
from revdiff.quantities.designator import natural_key

EXACT = Match("exact", 1.0, "the same designator and the same data")
SAME_REF = Match("exact", 0.95, "the same designator")

_REORDERED = 3  # parts that make a class renumbered in another order
_EXCHANGED = (
    "each has exactly the data that the other had; whether the designators or the parts traded places, "
    "the parts list alone can't tell"
)


class _Event(NamedTuple):
    pattern: str
    pairs: list[tuple[str, str]]
    match: Match


@dataclass(frozen=True, slots=True)
class Renumbering:
    """One event: its shape in words and the designators it covers, as (old, new)."""

    pattern: str
    pairs: tuple[tuple[str, str], ...]
    match: Match


@dataclass(frozen=True, slots=True)
class Pairing:
    """Who is who in one class: (old, new, why) for each pair, and the renumbering events among them."""

    pairs: tuple[tuple[str, str, Match], ...]
    renumberings: tuple[Renumbering, ...] = ()


def match_class(old: Refs, new: Refs, *, passive: bool) -> Pairing:
    """Matches the parts of one class letter. ``old`` and ``new``: designator to data, any order."""
    return _Matching(old, new, passive).run()


def match_names(old: Refs, new: Refs) -> Pairing:
    """Matches by designator alone."""
    names = sorted((ref for ref in old if ref in new), key=natural_key)
    return Pairing(tuple((ref, ref, EXACT if old[ref] == new[ref] else SAME_REF) for ref in names))


class _Matching:
    def __init__(self, old: Refs, new: Refs, passive: bool) -> None:
        self._old = old
        self._new = new
        self._passive = passive
        self._pairs: dict[str, tuple[str, Match]] = {}
        self._events: list[_Event] = []
        self._expected: dict[str, tuple[str, _Event]] = {}
        self._left = {ref for ref in old if old[ref] != new.get(ref)}
        self._right = {ref for ref in new if new[ref] != old.get(ref)}

    def run(self) -> Pairing:
        if self._left and self._right:
            for event in shifted_blocks(self._old, self._new, self._left, self._right):
                self._take_block(event)
            self._reordered_class()
            self._exchanges()
            self._rest()
        pairs = [(ref, ref, EXACT) for ref in self._old if ref not in self._left and ref not in self._pairs]
        pairs += [(ref, other, match) for ref, (other, match) in self._pairs.items()]
        pairs.sort(key=lambda item: natural_key(item[0]))
        events = [Renumbering(event.pattern, tuple(event.pairs), event.match) for event in self._events]
        return Pairing(tuple(pairs), tuple(events))

    def _pair(self, ref: str, other: str, match: Match) -> None:
        self._pairs[ref] = (other, match)
        self._left.discard(ref)
        self._right.discard(other)

    def _take_block(self, block: Block) -> None:
        evidence = f"{len(block.pairs)} parts with the same data, all shifted by {block.offset:+d}"
        event = _Event(f"shifted by {block.offset:+d}", list(block.pairs), Match("inferred", 0.95, evidence))
        for ref, other in block.pairs:
            self._pair(ref, other, event.match)
        for ref, other in block.changed:
            self._expected[ref] = (other, event)
        self._events.append(event)

    # a class renumbered in another order

    def _reordered_class(self) -> None:
        groups: dict[PartData, tuple[list[str], list[str]]] = {}
        for ref in sorted(self._left, key=natural_key):
            groups.setdefault(self._old[ref], ([], []))[0].append(ref)
        for ref in sorted(self._right, key=natural_key):
            if self._new[ref] in groups:
                groups[self._new[ref]][1].append(ref)
        pairs = [pair for before, after in groups.values() for pair in zip(before, after, strict=False)]
        if len(pairs) < _REORDERED:
            return
        kept = sum(min(difference(self._old[ref], self._new[ref]), SAME_PLACE) for ref in self._left & self._right)
        placeless = len(self._left - self._right) + len(self._right - self._left)
        before_cost = kept + placeless * (APART // 2)
        left = self._left - {ref for ref, _ in pairs}
        right = self._right - {other for _, other in pairs}
        kept = sum(min(difference(self._old[ref], self._new[ref]), SAME_PLACE) for ref in left & right)
        after_cost = kept + (len(left - right) + len(right - left)) * (APART // 2)
        if after_cost + RENUMBERING + RENUMBERED * len(pairs) >= before_cost:
            return
        evidence = f"{len(pairs)} parts with the same data under other designators of the class"
        match = Match("identical", 0.9, evidence)
        for ref, other in pairs:
            self._pair(ref, other, match)
        changed = self._assign(LEFT_OVER)
        pairs += [pair for pair in changed if pair[0] != pair[1]]
        blocks = [pair for event in self._events for pair in event.pairs]
        if len(blocks) <= len(pairs):
            # Runs that stayed together in a class that was numbered anew are part of that one event.
            pairs += blocks
            self._events.clear()
        pairs.sort(key=lambda pair: natural_key(pair[0]))
        self._events.append(_Event("renumbered in another order", pairs, match))

    # two designators exchanged

    def _exchanges(self) -> None:
        both = sorted(self._left & self._right, key=natural_key)
        wanted: dict[tuple[PartData, PartData], list[str]] = {}
        for ref in both:
            partners = wanted.get((self._new[ref], self._old[ref]))
            if partners and 2 * min(difference(self._old[ref], self._new[ref]), SAME_PLACE) > EXCHANGE:
                other = partners.pop(0)
                match = Match("identical", 0.7, _EXCHANGED)
                self._pair(other, ref, match)
                self._pair(ref, other, match)
                self._events.append(_Event("exchanged", [(other, ref), (ref, other)], match))
            else:
                wanted.setdefault((self._old[ref], self._new[ref]), []).append(ref)

    # what is left

    def _rest(self) -> None:
        pairs = self._assign(STRAY_NUMBER)
        strays = [(ref, other) for ref, other in pairs if other != self._home(ref)]
        for ref, other in pairs:
            if ref in self._expected and other == self._home(ref):
                event = self._expected[ref][1]
                event.pairs.append((ref, other))
                event.pairs.sort(key=lambda pair: natural_key(pair[0]))
        for run in _runs(strays):
            match = self._pairs[run[0][0]][1]
            offset = (number_of(run[0][1]) or 0) - (number_of(run[0][0]) or 0)
            self._events.append(_Event(f"shifted by {offset:+d}" if len(run) > 1 else "", run, match))

    def _home(self, ref: str) -> str:
        """The designator that the part should have by now: its own, or where its block was shifted to."""
        return self._expected[ref][0] if ref in self._expected else ref

    def _assign(self, number_cost: int) -> list[tuple[str, str]]:
        """Pairs what is left so that the sum of costs is least, and settles the pairs.

        ``number_cost``: what a designator that is not the expected one costs.
        """
        left = sorted(self._left, key=natural_key)
        right = sorted(self._right, key=natural_key)
        near: dict[object, list[str]] = {}
        for other in right:
            near.setdefault(_name_key(self._new[other]), []).append(other)

        def gain(ref: str, other: str) -> int:
            cost = difference(self._old[ref], self._new[other])
            if other != self._home(ref):
                return APART - cost - number_cost
            if another_thing(self._old[ref], self._new[other], self._passive):
                return 0
            return APART - min(cost, SAME_PLACE)

        def candidates(ref: str) -> list[str]:
            """Only partners that can be worth more than a removal and an addition."""
            home = self._home(ref)
            others = near.get(_name_key(self._old[ref]), []) if number_cost >= STRAY_NUMBER else right
            return ([home] if home in self._right else []) + [other for other in others if other != home]

        pairs = best_pairs(left, right, gain, candidates)
        for ref, other in pairs:
            if other == self._home(ref):
                match = self._expected[ref][1].match if ref in self._expected else SAME_REF
            else:
                alike = "the same data" if self._old[ref] == self._new[other] else "nearly the same data"
                match = Match("inferred", 0.6, f"{alike} under another designator")
            self._pair(ref, other, match)
        return pairs


def _name_key(data: PartData) -> object:
    """Two parts that differ in any of these cost more than a stray number leaves room for."""
    return (data.value.meaning, data.package.meaning, data.part_number.meaning)


def _runs(pairs: Sequence[tuple[str, str]]) -> list[list[tuple[str, str]]]:
    """Neighbours that were shifted alike, as one run each."""
    runs: list[list[tuple[str, str]]] = []
    last: tuple[int | None, int | None] = (None, None)
    for ref, other in pairs:
        before, after = number_of(ref), number_of(other)
        offset = None if before is None or after is None else after - before
        if runs and offset is not None and offset == last[1] and before == (last[0] or 0) + 1:
            runs[-1].append((ref, other))
        else:
            runs.append([(ref, other)])
        last = (before, offset)
    return runs
