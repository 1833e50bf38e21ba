"""A run of parts shifted by one offset, grown from a seed through parts that stayed, changed or went."""

from __future__ import annotations

from typing import Literal, NamedTuple

from revdiff.compare.match.evidence import BELIEVED, Evidence
from revdiff.compare.match.restless import Restless
from revdiff.compare.match.runs import Pairs
from revdiff.compare.match.spans import CLOSE, eligible, known_by_data

_DROP = 8  # halves of a part, by which a run may fall behind its best before it ends

# ``far``: over parts that changed on the way; ``equal``: only as far as all are equal; ``certain``: far, and only what
# parts numbered at random don't hold.
Reach = Literal["far", "equal", "certain"]


class Run(NamedTuple):
    """What grew: its places in the order of old slots, its pairs, and what the account changes by them."""

    first: int
    last: int
    pairs: Pairs
    worth: int


class Grower:
    """Grows the runs of one search. ``tries``: runs that could have agreed by chance."""

    def __init__(self, restless: Restless, evidence: Evidence, tries: int, reach: Reach) -> None:
        self._restless = restless
        self._ledger = restless.ledger
        self._evidence = evidence
        self._tries = tries
        self._reach_of = reach

    def grow(self, offset: int, seed: int) -> Run:
        """The run that a seed belongs to, and of its parts those whose move pays."""
        place = self._restless.place[seed]
        first = min(place, self._reach(offset, place, -1))
        last = max(place, self._reach(offset, place, 1))
        first, last = self._beyond(offset, first, -1), self._beyond(offset, last, 1)
        span = self._restless.old_order[first : last + 1]
        sure, wide = eligible(self._ledger, offset, span, self._restless.kind)
        for outer in (0, -1):
            while wide and not known_by_data(self._ledger, wide[outer], self._restless.kind):
                wide.pop(outer)
        if len(wide) < 2 or self._evidence.of_block(sure, self._tries) < BELIEVED:
            return Run(first, last, (), 0)
        choices: list[Pairs] = []
        for pairs in (sure, wide) if len(wide) > len(sure) else (sure,):
            for choice in (pairs, self._trimmed(pairs, both=False), self._trimmed(pairs, both=True)):
                if choice and choice not in choices:
                    choices.append(choice)
        if not choices:
            return Run(first, last, (), 0)
        worth, index = min((self._ledger.worth("shifted", pairs, offset), index) for index, pairs in enumerate(choices))
        return Run(first, last, choices[index], worth)

    def _reach(self, offset: int, place: int, step: int) -> int:
        """How far the offset explains what went and came, in halves of a part, until it falls too far behind."""
        ledger, order, kind = self._ledger, self._restless.old_order, self._restless.kind
        free_old, free_new, gone, come = ledger.free_old, ledger.free_new, self._restless.gone, self._restless.come
        wired = ledger.wiring is not None
        score = best = 0
        end = place - step
        told: set[tuple[int, int]] = set()  # changes that were met already
        while 0 <= place < len(order):
            slot = order[place]
            other = slot + offset
            if slot in free_old and other in free_new and kind[slot] == ledger.new[other]:
                score += 2 * ((slot in gone) + (other in come)) + (self._wired(slot, other) if wired else 0)
            elif self._reach_of == "equal":
                break
            elif slot not in free_old:
                score -= 2
            elif slot in gone and other in come:
                change = (kind[slot], ledger.new[other])
                score -= 0 if change in told else 2
                told.add(change)
            elif slot in gone and slot not in ledger.new:
                score -= 1
            else:
                score -= 6
            if score > best:
                best, end = score, place
            if score < best - _DROP:
                break
            place += step
        return end

    def _wired(self, slot: int, other: int) -> int:
        """How much better the nets agree at the other place, in halves of a part."""
        wiring = self._ledger.wiring
        if wiring is None:
            return 0
        at_home = wiring.of(slot, slot) if slot in self._ledger.new else 0
        return max(-2, min(2, (wiring.of(slot, other) - at_home) // 20))

    def _beyond(self, offset: int, place: int, step: int) -> int:
        """Past the end of a run: what went here and came there, went with it though it changed."""
        ledger, order = self._ledger, self._restless.old_order
        ahead = place + step
        while 0 <= ahead < len(order):
            slot = order[ahead]
            other = slot + offset
            if slot not in ledger.free_old or slot in ledger.new or other not in ledger.free_new or other in ledger.old:
                break
            if ledger.difference(ledger.old[slot], ledger.new[other]) >= CLOSE:
                break
            place, ahead = ahead, ahead + step
        return place

    def _trimmed(self, pairs: Pairs, *, both: bool) -> Pairs:
        """Without the parts at either end that had an equal at home. ``both``: and without those that land on one."""
        gone, come = self._restless.gone, self._restless.come
        good = [
            index
            for index, (one, two) in enumerate(pairs)
            if (one in gone and two in come if both else one in gone or two in come or self._wired(one, two) > 0)
        ]
        return pairs[good[0] : good[-1] + 1] if good else ()
