"""One account of what happened to the parts of a class: who is who, and which renumberings tell it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from revdiff.compare.assignment import best_pairs
from revdiff.compare.change import Match
from revdiff.compare.part_class import PartClass, by_number, number_of, offset_of
from revdiff.compare.part_cost import (
    APART,
    DISPLACED,
    EXCHANGE,
    LEFT_OVER,
    RENUMBERED,
    RENUMBERING,
    SAME_PLACE,
    STRAY_NUMBER,
)
from revdiff.compare.shifts import Block, Reach, shifted_blocks
from revdiff.quantities.designator import natural_key

SAME_REF = Match("exact", 0.95, "the same designator")

_REORDERED = 3  # parts that make a class renumbered in another order
_EXCHANGED = (
    "each has exactly the data that the other had; whether the designators or the parts traded places, "
    "the parts list alone can't tell"
)


class Event(NamedTuple):
    """A renumbering: its shape in words and the designators it covers, as (old, new)."""

    pattern: str
    pairs: list[tuple[str, str]]
    match: Match


class Account:
    """One way of telling what happened to the parts of a class."""

    def __init__(self, parts: PartClass, weak: int = 0, reach: Reach | None = "near") -> None:
        """``weak``: how many blocks are taken that chance could explain; the attribute: how many there were.

        ``reach``: over which changed parts a block reaches; None: no blocks are looked for, the class is taken for
        renumbered in another order.
        """
        # Without a partner so far: at the end, what was removed and what was added.
        self.left, self.right = set(parts.left), set(parts.right)
        self._parts = parts
        self._old, self._new = parts.old, parts.new
        self._difference = parts.difference
        self._expected: dict[str, tuple[str, Event]] = {}
        self.pairs: dict[str, tuple[str, Match]] = {}
        self.events: list[Event] = []
        self.weak = 0
        if not self.left or not self.right:
            return
        if reach is not None:
            for block in shifted_blocks(parts, self.left, self.right, weak, reach):
                self._take_block(block)
                self.weak += block.weak
        self._reordered_class(forced=reach is None)
        self._exchanges()
        if reach != "near":
            self._near_exchanges()
        self._rest()
        self._join_alike()

    def told(self) -> int:
        """How many changes a person would be told by this account."""
        changed = {(self._old[ref], self._new[other]) for ref, (other, _) in self.pairs.items()}
        kinds = sum(self._parts.changes_told(before, after) for before, after in changed)
        gone, come = {self._old[ref] for ref in self.left}, {self._new[ref] for ref in self.right}
        return len(self.events) + len(gone) + len(come) + kinds

    def _pair(self, ref: str, other: str, match: Match) -> None:
        self.pairs[ref] = (other, match)
        self.left.discard(ref)
        self.right.discard(other)

    def _take_block(self, block: Block) -> None:
        evidence = f"{len(block.pairs)} parts with the same data, all shifted by {block.offset:+d}"
        event = Event(f"shifted by {block.offset:+d}", list(block.pairs), Match("inferred", 0.95, evidence))
        for ref, other in block.pairs:
            self._pair(ref, other, event.match)
        for ref, other in block.changed:
            self._expected[ref] = (other, event)
        self.events.append(event)

    # a class renumbered in another order

    def _reordered_class(self, *, forced: bool) -> None:
        groups: dict[int, tuple[list[str], list[str]]] = {}
        for ref in sorted(self.left, key=natural_key):
            groups.setdefault(self._old[ref], ([], []))[0].append(ref)
        for ref in sorted(self.right, key=natural_key):
            if self._new[ref] in groups:
                groups[self._new[ref]][1].append(ref)
        pairs = [pair for before, after in groups.values() for pair in zip(before, after, strict=False)]
        if len(pairs) < (2 if forced else _REORDERED):
            return
        if not forced:
            left = self.left - {ref for ref, _ in pairs}
            right = self.right - {other for _, other in pairs}
            after = self._cost_in_place(left, right) + RENUMBERING + RENUMBERED * len(pairs)
            if self._cost_in_place(self.left, self.right, enough=after) <= after:
                return
        evidence = f"{len(pairs)} parts with the same data under other designators of the class"
        match = Match("identical", 0.9, evidence)
        for ref, other in pairs:
            self._pair(ref, other, match)
        changed = self._assign(LEFT_OVER)
        pairs += [pair for pair in changed if pair[0] != pair[1]]
        blocks = [pair for event in self.events for pair in event.pairs]
        if len(blocks) <= len(pairs):
            # Runs that stayed together in a class that was numbered anew are part of that one event.
            pairs += blocks
            self.events.clear()
        pairs.sort(key=lambda pair: natural_key(pair[0]))
        self.events.append(Event("renumbered in another order", pairs, match))

    def _cost_in_place(self, left: set[str], right: set[str], enough: int = 1 << 62) -> int:
        """What it costs to take every designator of both revisions for the same part, and the others for apart.

        Beyond ``enough`` it is counted no further.
        """
        cost = (len(left - right) + len(right - left)) * (APART // 2)
        for ref in left & right:
            if cost > enough:
                break
            cost += min(self._difference(self._old[ref], self._new[ref]), SAME_PLACE)
        return cost

    # two designators exchanged

    def _exchanges(self) -> None:
        both = sorted(self.left & self.right, key=natural_key)
        wanted: dict[tuple[int, int], list[str]] = {}
        for ref in both:
            partners = wanted.get((self._new[ref], self._old[ref]))
            if partners and 2 * min(self._difference(self._old[ref], self._new[ref]), SAME_PLACE) > EXCHANGE:
                other = partners.pop(0)
                match = Match("identical", 0.7, _EXCHANGED)
                self._pair(other, ref, match)
                self._pair(ref, other, match)
                self.events.append(Event("exchanged", [(other, ref), (ref, other)], match))
            else:
                wanted.setdefault((self._old[ref], self._new[ref]), []).append(ref)

    def _near_exchanges(self) -> None:
        """Exchanges where one of the two parts changed on the way."""
        both = sorted(self.left & self.right, key=natural_key)
        for ref in both:
            if ref not in self.left or ref not in self.right:
                continue
            for other in both:
                if other == ref or other not in self.left or other not in self.right:
                    continue
                if (
                    self._new[other] == self._old[ref]
                    and self._difference(self._old[other], self._new[ref]) <= DISPLACED
                ):
                    match = Match(
                        "inferred", 0.6, f"{other} has exactly the data that {ref} had, {ref} nearly those of {other}"
                    )
                    pairs = by_number([(ref, other), (other, ref)])
                    for one, two in pairs:
                        self._pair(one, two, match)
                    self.events.append(Event("exchanged", pairs, match))
                    break

    # what is left

    def _rest(self) -> None:
        pairs = self._assign(STRAY_NUMBER)
        pairs += self._changed_alike()
        pairs += self._displaced([(ref, other) for ref, other in pairs if other != self._home(ref)])
        strays = [(ref, other) for ref, other in pairs if other != self._home(ref)]
        for ref, other in pairs:
            if ref in self._expected and other == self._home(ref):
                event = self._expected[ref][1]
                event.pairs.append((ref, other))
                event.pairs.sort(key=lambda pair: natural_key(pair[0]))
        for run in _runs(strays):
            match = self.pairs[run[0][0]][1]
            offset = (number_of(run[0][1]) or 0) - (number_of(run[0][0]) or 0)
            self.events.append(Event(f"shifted by {offset:+d}" if len(run) > 1 else "", run, match))

    def _join_alike(self) -> None:
        """What was shifted by the same offset is one event, wherever in the class it stands."""
        events: list[Event] = []
        for event in self.events:
            if len(event.pairs) == 1:
                self._stretch(event)
            offset = offset_of(event.pairs)
            first = next((item for item in events if offset and offset_of(item.pairs) == offset), None)
            back = next((item for item in events if [(two, one) for one, two in item.pairs] == event.pairs), None)
            if first is not None:
                pairs = by_number([*first.pairs, *event.pairs])
                events[events.index(first)] = Event(f"shifted by {offset:+d}", pairs, first.match)
            elif back is not None and len(event.pairs) == 1:
                events[events.index(back)] = Event("exchanged", [*back.pairs, *event.pairs], back.match)
            else:
                events.append(event)
        self.events = events

    def _stretch(self, stray: Event) -> None:
        """A stray that jumps over parts just like itself, to where a block ends: the block goes on through them."""
        (ref, other) = stray.pairs[0]
        start, end = number_of(ref), number_of(other)
        data = self._old[ref]
        if start is None or end is None or data != self._new[other]:
            return
        prefix = ref[: len(ref) - len(str(start))]
        for offset in {offset_of(event.pairs) for event in self.events if event is not stray} - {0}:
            if (end - start) % offset or (end - start) // offset < 2:
                continue
            steps = [f"{prefix}{number}" for number in range(start, end + offset, offset)]
            if all(self._old.get(item) == data == self._new.get(item) for item in steps[1:-1]):
                stray.pairs[:] = list(pairwise(steps))
                for one, two in stray.pairs:
                    self._pair(one, two, stray.match)
                return

    def _changed_alike(self) -> list[tuple[str, str]]:
        """Parts with a stray number that changed just as others of their row did, which kept theirs."""
        seen: dict[int, list[int]] = {}
        for ref, (other, _) in self.pairs.items():
            if self._old[ref] != self._new[other]:
                seen.setdefault(self._old[ref], []).append(self._new[other])
        found = []
        for ref in sorted(self.left, key=natural_key):
            later = seen.get(self._old[ref], ())
            partner = next((it for it in sorted(self.right, key=natural_key) if self._new[it] in later), None)
            if partner is not None:
                self._pair(ref, partner, Match("inferred", 0.6, "changed as the other parts of its row did"))
                found.append((ref, partner))
        return found

    def _displaced(self, strays: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
        """Parts whose place a stray took, found again at the place that the stray left, with not too much changed."""
        found = []
        for ref, other in strays:
            if other in self.left and ref in self.right:
                before, after = self._old[other], self._new[ref]
                if self._difference(before, after) <= DISPLACED and not self._parts.another_thing(before, after):
                    self._pair(other, ref, Match("inferred", 0.6, f"traded places with {ref}"))
                    found.append((other, ref))
        return found

    def _home(self, ref: str) -> str:
        """The designator that the part should have by now: its own, or where its block was shifted to."""
        return self._expected[ref][0] if ref in self._expected else ref

    def _assign(self, number_cost: int) -> list[tuple[str, str]]:
        """Pairs what is left so that the sum of costs is least, and settles the pairs.

        ``number_cost``: what a designator that is not the expected one costs.
        """
        left = sorted(self.left, key=natural_key)
        right = sorted(self.right, key=natural_key)
        near: dict[object, list[str]] = {}
        for other in right:
            near.setdefault(self._name_of(self._new[other]), []).append(other)

        def gain(ref: str, other: str) -> int:
            cost = self._difference(self._old[ref], self._new[other])
            if other != self._home(ref):
                return APART - cost - number_cost
            if self._parts.another_thing(self._old[ref], self._new[other]):
                return 0
            return APART - min(cost, SAME_PLACE)

        def candidates(ref: str) -> list[str]:
            """Only partners that can be worth more than a removal and an addition."""
            home = self._home(ref)
            others = near.get(self._name_of(self._old[ref]), []) if number_cost >= STRAY_NUMBER else right
            return ([home] if home in self.right else []) + [other for other in others if other != home]

        pairs = best_pairs(left, right, gain, candidates)
        for ref, other in pairs:
            if other == self._home(ref):
                match = self._expected[ref][1].match if ref in self._expected else SAME_REF
            else:
                alike = "the same data" if self._old[ref] == self._new[other] else "nearly the same data"
                match = Match("inferred", 0.6, f"{alike} under another designator")
            self._pair(ref, other, match)
        return pairs

    def _name_of(self, kind: int) -> object:
        """Two parts that differ in any of these cost more than a stray number leaves room for."""
        data = self._parts.data[kind]
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
