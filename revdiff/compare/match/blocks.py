"""Runs of parts shifted by one offset.

What went and what came vote for offsets: by short sequences of data that are rare on either side, and by where runs
of equal parts start and end. A run then grows from its seed through parts that stayed, changed or went, and is taken
where the account gets shorter by it, the best one first.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from heapq import heapify, heappop, heappush, nlargest
from typing import Literal, NamedTuple, TypeAlias

from revdiff.compare.match.costs import ANOTHER
from revdiff.compare.match.evidence import BELIEVED, Evidence
from revdiff.compare.match.ledger import Event, Ledger, Pairs

_FREQUENT = 6  # occurrences of a sequence on one side, from which on it votes for nothing
_RUNS = 48  # runs of one kind on each side that vote, the longest first
_OFFSETS = 96  # offsets tried
_SEEDS = 24  # runs grown under one offset
_ALL_SEEDS = 600  # and under all of them
_ROUNDS = 3  # since what one run leaves free, another one can take
_DROP = 8  # halves of a part, by which a run may fall behind its best before it ends
_CLOSE = 120  # the most that a part at a run's end may differ to have gone with it

_MOST_WEIGHED = 800  # that went or came, up to which it is weighed first what an offset promises
_PROMISED = 1 << 40  # by an offset that isn't weighed first
_ANY = -1 << 60  # in the place of a seed: all those of an offset

Seeds = dict[int, dict[int, int]]  # offset to old slot to weight


class _Run(NamedTuple):
    first: int  # places in the order of old slots
    last: int
    pairs: Pairs
    worth: int


Reach = Literal["far", "equal", "certain"]


class _Found(NamedTuple):
    """A run that makes the account shorter, in the order in which such runs are taken."""

    worth: int
    distance: int
    offset: int
    seed: int
    run: _Run


_NO_RUN = _Run(0, 0, (), 0)


@dataclass
class _Known:
    """What was worked out after the same events: offsets and their seeds, and by offset what it promises and holds."""

    offsets: dict[int, list[int]]
    promises: dict[int, int] = field(default_factory=dict)
    runs: dict[int, tuple[int, list[_Found]]] = field(default_factory=dict)  # how many were tried, those that pay


# Since several plans begin alike: whether as far as all are equal, and the events.
Grown: TypeAlias = dict[tuple[bool, frozenset[Event]], _Known]


def take_blocks(ledger: Ledger, evidence: Evidence, alias: Mapping[int, int], reach: Reach, grown: Grown) -> None:
    """Takes every shifted run that makes the account shorter.

    ``alias``: what a kind of old parts became everywhere, where it did. ``reach``: ``far`` over parts that changed on
    the way, ``equal`` only as far as all are equal, ``certain``: far, and only what parts numbered at random don't
    hold. ``grown``: what searches of the same class found, added to.
    """
    for _ in range(_ROUNDS):
        taken = len(ledger.events)
        if (ledger.gone and ledger.come) or ledger.wiring is not None:
            _Search(ledger, evidence, alias, reach).run(grown)
        if len(ledger.events) == taken:
            break


class _Search:
    def __init__(self, ledger: Ledger, evidence: Evidence, alias: Mapping[int, int], reach: Reach) -> None:
        self._reach_of = reach
        self._ledger = ledger
        self._evidence = evidence
        self._tries = evidence.tries()
        self._kind = {slot: alias.get(kind, kind) for slot, kind in ledger.old.items()} if alias else ledger.old
        self._gone, self._come = ledger.gone, ledger.come
        self._has_alias = bool(alias)
        self._refresh()
        self._has_promise = ledger.wiring is None and len(self._gone) + len(self._come) <= _MOST_WEIGHED
        self._old_order, self._new_order = sorted(ledger.old), sorted(ledger.new)
        self._place = {slot: index for index, slot in enumerate(self._old_order)}

    def run(self, grown: Grown) -> None:
        """Takes the best run first. An offset's runs are grown once nothing grown promises more than it does."""
        ledger = self._ledger
        known = self._known(grown)
        offsets = known.offsets = known.offsets or dict(self._candidates())
        heap = [_Found(-self._promise(offset, known), abs(offset), offset, _ANY, _NO_RUN) for offset in offsets]
        heapify(heap)
        stamp, valued = 0, dict.fromkeys(((offset, _ANY) for offset in offsets), 0)
        left = _ALL_SEEDS
        while heap:
            worth, _, offset, seed, run = heappop(heap)
            if seed == _ANY:
                if valued[offset, seed] != stamp and self._has_promise:
                    valued[offset, seed] = stamp
                    worth = -self._promise(offset, known)
                    if worth < 0:
                        heappush(heap, _Found(worth, abs(offset), offset, seed, run))
                    continue
                if worth == 0 or left == 0:
                    continue
                if offset not in known.runs:
                    known.runs[offset] = self._grown(offset, offsets[offset], min(_SEEDS, left))
                tries, found = known.runs[offset]
                left = max(0, left - tries)
                for item in found:
                    if self._is_sure(item.run.pairs):
                        heappush(heap, item)
                        valued[offset, item.seed] = stamp
                continue
            if valued[offset, seed] != stamp:
                run = self._grow(offset, seed)
                worth = self._worth(run)
                valued[offset, seed] = stamp
                if worth >= 0 or not self._is_sure(run.pairs):
                    continue
                if heap and worth > heap[0].worth:
                    heappush(heap, _Found(worth, abs(offset), offset, seed, run))
                    continue
            ledger.take("shifted", run.pairs, offset, self._evidence.of_block(run.pairs, self._tries))
            stamp += 1
            self._refresh()
            known = self._known(grown)

    def _known(self, grown: Grown) -> _Known:
        return grown.setdefault((self._reach_of == "equal", frozenset(self._ledger.events)), _Known({}))

    def _promise(self, offset: int, known: _Known) -> int:
        """More than the runs of an offset can save: twice what its equal parts could, as changed ones go along."""
        if not self._has_promise:
            return _PROMISED
        promise = known.promises.get(offset)
        if promise is None:
            ledger, kind, new = self._ledger, self._kind, self._ledger.new
            free_old, free_new = ledger.free_old, ledger.free_new
            touched = {slot for slot in self._gone if (two := slot + offset) in free_new and new[two] == kind[slot]}
            touched.update(slot for slot in self._come if (one := slot - offset) in free_old and new[slot] == kind[one])
            promise = known.promises[offset] = 2 * ledger.most_saved(touched)
        return promise

    def _grown(self, offset: int, seeds: Sequence[int], left: int) -> tuple[int, list[_Found]]:
        """How many runs were grown under an offset, and those that make the account shorter."""
        found: list[_Found] = []
        covered, tries = -1, 0
        for seed in seeds:
            if self._place[seed] <= covered or tries == left:
                continue
            tries += 1
            run = self._grow(offset, seed)
            covered = max(covered, run.last)
            worth = self._worth(run)
            if worth < 0:
                found.append(_Found(worth, abs(offset), offset, seed, run))
        return tries, found

    def _refresh(self) -> None:
        """What went and what came, but for parts that became in place what their kind became everywhere."""
        if self._has_alias:
            self._gone = {slot for slot in self._ledger.gone if not self._at_home(slot)}
            self._come = {slot for slot in self._ledger.come if not self._at_home(slot)}

    def _worth(self, run: _Run) -> int:
        """What the run is worth; nothing where it is one part, or where chance could explain it."""
        if len(run.pairs) < 2 or run.worth >= 0:
            return 0
        return run.worth if self._evidence.of_block(run.pairs, self._tries) >= BELIEVED else 0

    def _is_sure(self, pairs: Pairs) -> bool:
        """Whether a run is as certain as the search asks for."""
        return self._reach_of != "certain" or self._evidence.certain(pairs, self._tries)

    # votes

    def _candidates(self) -> list[tuple[int, list[int]]]:
        """The offsets with most votes, each with the slots to grow from, in order."""
        seeds: Seeds = {}
        self._vote_by_sequences(seeds)
        self._vote_by_runs(seeds)
        self._vote_by_nets(seeds)
        seeds.pop(0, None)
        best = sorted(seeds, key=lambda offset: (-sum(seeds[offset].values()), abs(offset), offset))[:_OFFSETS]
        return [(offset, sorted(seeds[offset])) for offset in best]

    def _vote_by_sequences(self, seeds: Seeds) -> None:
        ledger = self._ledger
        before = _sequences(self._kind, self._old_order)
        after = _sequences(ledger.new, self._new_order)
        wanted = _touching(before, self._gone, self._place)
        wanted |= _touching(after, self._come, {slot: index for index, slot in enumerate(self._new_order)})
        olds, news = _occurrences(before, wanted), _occurrences(after, wanted)
        for key, slots in olds.items():
            others = news.get(key, ())
            if len(slots) <= _FREQUENT and len(others) <= _FREQUENT:
                weight = 6 // max(len(slots), len(others), 1)
                for one in slots:
                    for two in others:
                        _vote(seeds, two - one, one, weight)

    def _vote_by_runs(self, seeds: Seeds) -> None:
        ledger = self._ledger
        olds = _runs_by_kind(self._gone, self._kind, self._old_order)
        news = _runs_by_kind(self._come, ledger.new, self._new_order)
        for kind, runs in olds.items():
            for start, end, length in runs:
                for other_start, other_end, other_length in news.get(kind, ()):
                    weight = min(length, other_length) if length == other_length else 1
                    _vote(seeds, other_start - start, start, weight)
                    if other_end - end != other_start - start:
                        _vote(seeds, other_end - end, end, weight)

    def _vote_by_nets(self, seeds: Seeds) -> None:
        ledger, wiring = self._ledger, self._ledger.wiring
        if wiring is None:
            return
        for slot in ledger.free_old:
            if slot in self._gone or wiring.displaced(slot):
                for other in wiring.partners(slot):
                    if other in ledger.free_new and ledger.new[other] == self._kind[slot]:
                        _vote(seeds, other - slot, slot, 1)

    # growing

    def _grow(self, offset: int, seed: int) -> _Run:
        """The run that a seed belongs to, and of its parts those whose move pays."""
        place = self._place[seed]
        first = min(place, self._reach(offset, place, -1))
        last = max(place, self._reach(offset, place, 1))
        first, last = self._beyond(offset, first, -1), self._beyond(offset, last, 1)
        span = self._old_order[first : last + 1]
        sure, wide = eligible(self._ledger, offset, span, self._kind)
        for outer in (0, -1):
            while wide and not known_by_data(self._ledger, wide[outer], self._kind):
                wide.pop(outer)
        if len(wide) < 2 or self._evidence.of_block(sure, self._tries) < BELIEVED:
            return _Run(first, last, (), 0)
        choices: list[Pairs] = []
        for pairs in (sure, wide) if len(wide) > len(sure) else (sure,):
            for choice in (pairs, self._trimmed(pairs, both=False), self._trimmed(pairs, both=True)):
                if choice and choice not in choices:
                    choices.append(choice)
        if not choices:
            return _Run(first, last, (), 0)
        worth, index = min((self._ledger.worth("shifted", pairs, offset), index) for index, pairs in enumerate(choices))
        return _Run(first, last, choices[index], worth)

    def _at_home(self, slot: int) -> bool:
        """Whether a slot holds one part still, or what its kind became everywhere."""
        ledger = self._ledger
        here = slot in ledger.free_old and slot in ledger.free_new
        return here and self._kind[slot] == ledger.new[slot]

    def _reach(self, offset: int, place: int, step: int) -> int:
        """How far the offset explains what went and came, in halves of a part, until it falls too far behind."""
        ledger, order, kind = self._ledger, self._old_order, self._kind
        free_old, free_new, gone, come = ledger.free_old, ledger.free_new, self._gone, self._come
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
        at_home = max(0, wiring.of(slot, slot)) if slot in self._ledger.new else 0
        return max(-2, min(2, (wiring.of(slot, other) - at_home) // 20))

    def _beyond(self, offset: int, place: int, step: int) -> int:
        """Past the end of a run: what went here and came there, went with it though it changed."""
        ledger, order = self._ledger, self._old_order
        ahead = place + step
        while 0 <= ahead < len(order):
            slot = order[ahead]
            other = slot + offset
            if slot not in ledger.free_old or slot in ledger.new or other not in ledger.free_new or other in ledger.old:
                break
            if ledger.difference(ledger.old[slot], ledger.new[other]) >= _CLOSE:
                break
            place, ahead = ahead, ahead + step
        return place

    def _trimmed(self, pairs: Pairs, *, both: bool) -> Pairs:
        """Without the parts at either end that had an equal at home. ``both``: and without those that land on one."""
        gone, come = self._gone, self._come
        good = [
            index
            for index, (one, two) in enumerate(pairs)
            if (one in gone and two in come if both else one in gone or two in come or self._wired(one, two) > 0)
        ]
        return pairs[good[0] : good[-1] + 1] if good else ()


def eligible(
    ledger: Ledger, offset: int, span: Sequence[int], kinds: Mapping[int, int]
) -> tuple[list[tuple[int, int]], list[tuple[int, int]]]:
    """The parts of a span that an offset can carry: those with equal data there, and besides those that changed.

    A part that changed goes along where neither its number nor the one it comes to holds another part for itself.
    ``kinds``: of the old slots, as what they became everywhere.
    """
    sure: list[tuple[int, int]] = []
    changed: list[tuple[int, int]] = []
    for slot in span:
        other = slot + offset
        if slot not in ledger.free_old or other not in ledger.free_new:
            continue
        if ledger.old[slot] == ledger.new[other] or (
            kinds[slot] == ledger.new[other] and slot in ledger.gone and other in ledger.come
        ):
            sure.append((slot, other))
        elif ledger.difference(ledger.old[slot], ledger.new[other]) < ANOTHER:
            changed.append((slot, other))
    sources, targets = {one for one, _ in sure}, {two for _, two in sure}
    left = ledger.gone | targets
    wanted = ledger.come | sources
    changed = [(one, two) for one, two in changed if one in left and two in wanted]
    return sure, sorted([*sure, *changed])


def known_by_data(ledger: Ledger, pair: tuple[int, int], kinds: Mapping[int, int]) -> bool:
    """Whether a part at the end of a run went with it: its place alone tells little there.

    It does where it is like enough, where others changed just so, or where neither number holds any other part.
    """
    one, two = pair
    before, after = ledger.old[one], ledger.new[two]
    return (
        kinds[one] == after
        or (one not in ledger.new and two not in ledger.old)
        or ledger.difference(before, after) < _CLOSE
        or ledger.changed_alike(before, after) > 0
    )


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
