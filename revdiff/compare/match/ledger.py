"""The account of one class: who was carried where, and exactly what it costs to tell all that.

Every number of the class is a slot with an old part and a new part. A slot that no event touches costs nothing where
its two parts are equal, the difference where they are not, and a removal or an addition where there is one of them.
Slots that changed alike are told together, so that the further ones cost little. An event carries parts from slot to
slot and costs something itself. What an event is worth is the exact change of the total.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cached_property
from typing import TypeAlias

from revdiff.compare.match.costs import (
    ANOTHER,
    EXCHANGE,
    FURTHER_CHANGED,
    FURTHER_EXCHANGE,
    FURTHER_GONE,
    GONE,
    MOVED,
    REUSED,
    order_cost,
)
from revdiff.compare.match.runs import Event, Pairs, Shape, ShiftedRuns
from revdiff.compare.match.stretches import Stretches, count_stretches
from revdiff.compare.match.wiring import ClassWiring

# Old kind, new kind (None: no part), and whether the number went on to, or came from, another part.
_Group: TypeAlias = tuple[int | None, int | None, bool]


class Ledger:
    """The account, and what is still without an equal: ``gone`` of the old parts, ``come`` of the new ones."""

    def __init__(
        self,
        old: Mapping[int, int],
        new: Mapping[int, int],
        difference: Callable[[int, int], int],
        wiring: ClassWiring | None = None,
        twins: Callable[[int, int], bool] | None = None,
    ) -> None:
        """``old`` and ``new``: slot to kind. ``difference``: of two kinds. ``wiring``: what the nets say, where both
        revisions have a netlist. ``twins``: whether all that is said of an old and a new part is the same; it decides
        nothing but who of several equal parts is who."""
        self.old, self.new = old, new
        self.difference = difference
        self.wiring = wiring
        self.twins = twins
        self.free_old, self.free_new = set(old), set(new)  # slots whose part no event carried off or brought
        self.gone = {slot for slot, kind in old.items() if new.get(slot) != kind}
        self.come = {slot for slot, kind in new.items() if old.get(slot) != kind}
        self.events: list[Event] = []
        self._groups: dict[_Group, int] = {}
        self.runs = ShiftedRuns(old, new)
        self._exchanges = 0
        self._drawn: tuple[Event, Stretches] | None = None  # the order that was last drawn anew
        self.total = 0
        for slot in self.gone | self.come:
            group = self._group(slot)
            if group is not None:
                count = self._groups.get(group, 0)
                self._groups[group] = count + 1
                self.total += self._cost_of(group, count + 1) - self._cost_of(group, count)
        if wiring is not None:
            self.total -= sum(self._at_home(slot) for slot in old)
        self.in_place = self.total

    def paired_in_place(self, slot: int) -> bool:
        """Whether the slot holds one part, changed or not, in both revisions."""
        if slot not in self.free_old or slot not in self.free_new:
            return False
        before, after = self.old[slot], self.new[slot]
        return before == after or self.difference(before, after) < ANOTHER

    def changed_alike(self, before: int, after: int) -> int:
        """How many parts changed from one kind to the other."""
        return self._groups.get((before, after, False), 0)

    # what an event is worth

    def event_cost(self, shape: Shape, pairs: Pairs, offset: int = 0) -> int:
        """What the event itself costs, apart from what it changes in the slots; as ``joined``, what more parts do."""
        if shape == "joined":
            return MOVED * len(pairs)
        if shape == "order":
            return order_cost(len(pairs), count_stretches(self._places, pairs))
        if shape == "exchanged":
            return (FURTHER_EXCHANGE if self._exchanges else EXCHANGE) + MOVED * len(pairs)
        return self.runs.cost(pairs, offset)

    @cached_property
    def _places(self) -> dict[int, int]:
        """Of every slot its place in the order of all."""
        return {slot: index for index, slot in enumerate(sorted({**self.old, **self.new}))}

    def worth(self, shape: Shape, pairs: Pairs, offset: int = 0) -> int:
        """How much the total would change if ``pairs`` were carried; below 0 where that is the shorter account."""
        old, new, free_old, free_new = self.old, self.new, self.free_old, self.free_new
        sources, targets = {one for one, _ in pairs}, {two for _, two in pairs}
        change: dict[_Group, int] = {}
        total = self.event_cost(shape, pairs, offset)
        for slot in sources | targets:
            before = old[slot] if slot in free_old else None
            after = new[slot] if slot in free_new else None
            if before != after:
                group = (before, after, (before is None and slot in old) or (after is None and slot in new))
                change[group] = change.get(group, 0) - 1
            if slot in sources:
                before = None
            if slot in targets:
                after = None
            if before != after:
                group = (before, after, (before is None and slot in old) or (after is None and slot in new))
                change[group] = change.get(group, 0) + 1
        for one, two in pairs:
            if old[one] != new[two]:
                group = (old[one], new[two], False)
                change[group] = change.get(group, 0) + 1
        groups = self._groups
        for group, more in change.items():
            if more:
                count = groups.get(group, 0)
                total += self._cost_of(group, count + more) - self._cost_of(group, count)
        if self.wiring is not None:
            total += sum(self._at_home(slot) for slot in sources | targets)
            total -= sum(self.wiring.worth(one, two) for one, two in pairs)
        return total

    def most_saved(self, slots: Iterable[int]) -> int:
        """The most that an event could save by what it leaves equal or empty in ``slots``, apart from its own cost."""
        counts: dict[_Group, int] = {}
        for slot in slots:
            group = self._group(slot)
            if group is not None:
                counts[group] = counts.get(group, 0) + 1
        groups = self._groups
        return sum(
            self._cost_of(group, groups[group]) - self._cost_of(group, groups[group] - count)
            for group, count in counts.items()
        )

    def take(self, shape: Shape, pairs: Iterable[tuple[int, int]], offset: int = 0, confidence: float = 1.0) -> Event:
        """Carries the parts."""
        event = Event(shape, tuple(sorted(pairs)), offset, confidence)
        self.total += self.worth(shape, event.pairs, offset)
        if shape == "shifted":
            self.runs.enter(event)
        self._exchanges += shape == "exchanged"
        self._carry(event.pairs)
        self.events.append(event)
        return event

    def undo(self, event: Event) -> None:
        """Puts the parts of an event back where they were."""
        self.events.remove(event)
        if event.shape == "shifted":
            self.runs.leave(event)
        self._exchanges -= event.shape == "exchanged"
        self._put_back(event.pairs)
        self.total -= self.worth(event.shape, event.pairs, event.offset)

    def redrawn(self, event: Event, out: Pairs, into: Pairs, allowed: int = 0) -> Event:
        """The event, another order, with ``into`` in the place of ``out`` where that is shorter; else as it is.

        ``allowed``: by how much it may be longer, since it saves as much that the ledger doesn't count.
        """
        if len(out) == len(event.pairs) and not into:
            return event
        drawn, more = self._drawn, len(into) - len(out)
        if drawn is None or drawn[0] is not event:
            drawn = event, Stretches(self._places, event.pairs)
        stretches = drawn[1]
        before = order_cost(len(event.pairs), stretches.count)
        worth = order_cost(len(event.pairs) + more, stretches.trade(out, into)) - before
        self._put_back(out)
        worth += self.worth("joined", into) - self.worth("joined", out) - MOVED * more
        if worth >= allowed:
            self._carry(out)
            stretches.trade(into, out)
            self._drawn = drawn
            return event
        self._carry(into)
        self.total += worth
        pairs = tuple(sorted(set(event.pairs).difference(out).union(into)))
        again = Event(event.shape, pairs, event.offset, event.confidence)
        self.events[self.events.index(event)] = again
        self._drawn = again, stretches
        return again

    def _carry(self, pairs: Pairs) -> None:
        slots = {slot for pair in pairs for slot in pair}
        self._count(slots, -1)
        for one, two in pairs:
            self.free_old.discard(one)
            self.free_new.discard(two)
        self._count_changed(pairs, 1)
        self._count(slots, 1)
        self._settle(slots)

    def _put_back(self, pairs: Pairs) -> None:
        slots = {slot for pair in pairs for slot in pair}
        self._count(slots, -1)
        self._count_changed(pairs, -1)
        for one, two in pairs:
            self.free_old.add(one)
            self.free_new.add(two)
        self._count(slots, 1)
        self._settle(slots)

    def _settle(self, slots: Iterable[int]) -> None:
        for slot in slots:
            here, there = slot in self.free_old, slot in self.free_new
            equal = here and there and self.old[slot] == self.new[slot]
            (self.gone.add if here and not equal else self.gone.discard)(slot)
            (self.come.add if there and not equal else self.come.discard)(slot)

    # groups of slots that changed alike

    def _group(self, slot: int) -> _Group | None:
        before = self.old[slot] if slot in self.free_old else None
        after = self.new[slot] if slot in self.free_new else None
        return None if before == after else (before, after, self._reused(slot, before, after))

    def _reused(self, slot: int, before: int | None, after: int | None) -> bool:
        return (before is None and slot in self.old) or (after is None and slot in self.new)

    def _cost_of(self, group: _Group, count: int) -> int:
        """What a group of so many costs."""
        if count <= 0:
            return 0
        before, after, reused = group
        if before is None or after is None:
            return GONE + (REUSED if reused else 0) + FURTHER_GONE * (count - 1)
        first = self.difference(before, after)
        return first + (2 * FURTHER_GONE if first >= ANOTHER else FURTHER_CHANGED) * (count - 1)

    def _count(self, slots: Iterable[int], step: int) -> None:
        for slot in slots:
            group = self._group(slot)
            if group is not None:
                self._groups[group] = self._groups.get(group, 0) + step

    def _count_changed(self, pairs: Pairs, step: int) -> None:
        for one, two in pairs:
            if self.old[one] != self.new[two]:
                group = (self.old[one], self.new[two], False)
                self._groups[group] = self._groups.get(group, 0) + step

    def _at_home(self, slot: int) -> int:
        """What the nets say for the part that stays in a slot."""
        return self.wiring.worth(slot, slot) if self.wiring is not None and self.paired_in_place(slot) else 0
