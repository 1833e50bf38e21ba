"""Who is who in one class letter, as designators."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TypeVar

from msgspec import Struct

from revdiff.compare.change import Level, Match, OtherReading
from revdiff.compare.match.account import work_out
from revdiff.compare.match.costs import ANOTHER
from revdiff.compare.match.ledger import Ledger
from revdiff.compare.match.loose import Doubt
from revdiff.compare.match.runs import Event
from revdiff.compare.match.slots import plain_offset, slots_of
from revdiff.compare.match.wiring import ClassWiring, Terminals, in_slots
from revdiff.compare.stated import STATED
from revdiff.quantities.designator import letters_of, natural_key

EXACT = Match("exact", 1.0, "the same designator and the same data")
ORDER = "renumbered in another order"
EXCHANGED = "exchanged"
_TRADED = (
    "each has exactly the data that the other had; whether the designators or the parts traded places, "
    "the parts list alone can't tell"
)


class Renumbering(Struct, frozen=True):
    """One event: its shape in words and the designators it covers, as (old, new)."""

    pattern: str
    pairs: tuple[tuple[str, str], ...]
    match: Match


class Pairing(Struct, frozen=True):
    """Who is who in one class: (old, new, why) for each pair, the events among them, and what else could be meant.

    The other readings name no board yet.
    """

    pairs: tuple[tuple[str, str, Match], ...]
    renumberings: tuple[Renumbering, ...] = ()
    other_readings: tuple[OtherReading, ...] = ()


def match_class(
    old: Mapping[str, int],
    new: Mapping[str, int],
    difference: Callable[[int, int], int],
    blank: Callable[[int], bool],
    rank: Callable[[int], object],
    wires: tuple[Terminals, Terminals] | None = None,
    twins: Callable[[str, str], bool] | None = None,
) -> Pairing:
    """Matches the parts of one class letter. ``old`` and ``new``: designator to kind.

    ``difference``: the cost of a change from one kind to another. ``blank``: kinds that say nothing. ``rank``: an
    order of kinds that depends on their data alone. ``wires``: the nets of both revisions, where both
    have a netlist. ``twins``: whether all that is said of an old and a new part is the same.
    """
    slots = slots_of({**old, **new})
    before = {slots[ref]: kind for ref, kind in old.items()}
    after = {slots[ref]: kind for ref, kind in new.items()}
    old_refs, new_refs = {slots[ref]: ref for ref in old}, {slots[ref]: ref for ref in new}
    # Both directions are worked out in one of them, so that B to A tells the mirror image of A to B.
    turned = _turned(before, after, rank)
    nets = None
    if wires is not None:
        nets = (
            in_slots(wires[0], {ref: slots[ref] for ref in old}),
            in_slots(wires[1], {ref: slots[ref] for ref in new}),
        )
        turned = _turned(*nets, sorted) if before == after else turned
        nets = nets[::-1] if turned else nets
    if turned:
        before, after, old_refs, new_refs = after, before, new_refs, old_refs
    wiring = ClassWiring(*nets, size=max(len(old), len(new))) if nets is not None else None

    def same(one: int, two: int) -> bool:
        names = (old_refs[one], new_refs[two])
        return twins is None or twins(*(names[::-1] if turned else names))

    ledger, doubts = work_out(before, after, difference, blank, wiring, same)
    return _Telling(ledger, old_refs, new_refs, turned=turned).pairing(doubts)


_Said = TypeVar("_Said")


def _turned(before: Mapping[int, _Said], after: Mapping[int, _Said], rank: Callable[[_Said], object]) -> bool:
    """Whether the new side comes first in an order of the two sides that doesn't depend on which is called old."""
    differing = (slot for slot in {**before, **after} if before.get(slot) != after.get(slot))
    first = min(differing, default=None)
    if first is None or first not in after:
        return False
    return first not in before or repr(rank(after[first])) < repr(rank(before[first]))


class _Telling:
    """Slots back to designators, and the direction back to the one that was asked for."""

    def __init__(self, ledger: Ledger, old: Mapping[int, str], new: Mapping[int, str], *, turned: bool) -> None:
        self._ledger = ledger
        self._old, self._new = old, new
        self._is_turned = turned

    def pairing(self, doubts: list[Doubt]) -> Pairing:
        ledger = self._ledger
        pairs = [self._at_home(slot) for slot in ledger.old if ledger.paired_in_place(slot)]
        renumberings = [self._told(event) for event in self._joined()]
        for event in renumberings:
            pairs += [(one, two, event.match) for one, two in event.pairs]
        return Pairing(tuple(pairs), tuple(renumberings), tuple(self._doubt(item) for item in doubts))

    def _at_home(self, slot: int) -> tuple[str, str, Match]:
        ledger, (one, two) = self._ledger, self._names(slot, slot)
        difference = ledger.difference(ledger.old[slot], ledger.new[slot]) if slot in ledger.gone else 0
        if not difference:
            return one, two, EXACT
        return one, two, Match("exact", round(1 - difference / (2 * ANOTHER), 2), "the same designator")

    def _joined(self) -> list[Event]:
        """What was shifted by one offset, or put in another order, is one event, wherever in the class it stands."""
        events: dict[object, Event] = {}
        for event in self._ledger.events:
            key: object = event.offset if event.shape == "shifted" else event.shape
            if event.shape == "exchanged":
                key = event.pairs
            first = events.get(key)
            if first is not None:
                least = min(first.confidence, event.confidence)
                event = Event(event.shape, tuple(sorted((*first.pairs, *event.pairs))), event.offset, least)
            events[key] = event
        return list(events.values())

    def _told(self, event: Event) -> Renumbering:
        named = [self._names(one, two) for one, two in event.pairs]
        slots = [pair[::-1] if self._is_turned else pair for pair in event.pairs]
        pairs = tuple(names for _, names in sorted(zip(slots, named, strict=True)))
        offset = -event.offset if self._is_turned else event.offset
        same = sum(1 for one, two in event.pairs if self._ledger.old[one] == self._ledger.new[two])
        level: Level = "inferred"
        if event.shape == "exchanged":
            return Renumbering(EXCHANGED, pairs, Match(level, event.confidence, _TRADED))
        if event.shape == "order":
            evidence = f"{same} parts with the same data under other designators of the class"
            return Renumbering(ORDER, pairs, Match(level, event.confidence, evidence))
        if len(pairs) == 1:
            alike = "the same data" if same else "changed as the other parts of its row did"
            return Renumbering("", pairs, Match(level, event.confidence, f"{alike} under another designator"))
        pattern = f"shifted by {offset:+d}" if plain_offset(offset) else ""
        evidence = f"{same} parts with the same data, all {pattern}" if pattern else f"{same} parts with the same data"
        return Renumbering(pattern, pairs, Match(level, event.confidence, evidence))

    def _doubt(self, doubt: Doubt) -> OtherReading:
        old = tuple(self._old[slot] for slot in doubt.old)
        new = tuple(self._new[slot] for slot in doubt.new)
        one, two = (new, old) if self._is_turned else (old, new)
        return OtherReading("", one, two, doubt.confidence, doubt.tie)

    def _names(self, one: int, two: int) -> tuple[str, str]:
        names = self._old[one], self._new[two]
        return names[::-1] if self._is_turned else names


def named(pairs: Mapping[str, str]) -> Pairing:
    """The pairs that the user stated: one renumbering for each offset, in the order of their designators."""
    slots = slots_of({**pairs, **{two: one for one, two in pairs.items()}})
    groups: dict[object, list[tuple[str, str]]] = {}
    for one in sorted(pairs, key=natural_key):
        two = pairs[one]
        if one != two:
            letters = letters_of(one), letters_of(two)
            groups.setdefault((letters, slots[two] - slots[one]), []).append((one, two))
    return Pairing((), tuple(Renumbering("", tuple(together), STATED) for together in groups.values()))


def match_names(old: Mapping[str, int], new: Mapping[str, int]) -> Pairing:
    """Matches by designator alone."""
    named = Match("exact", 1.0, "the same designator")
    return Pairing(tuple((ref, ref, EXACT if old[ref] == new[ref] else named) for ref in old if ref in new))
