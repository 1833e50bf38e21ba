"""Nets as evidence of who is who: what hangs on the same rare nets is likely the same part.

Ground and other nets that half of a class hangs on say nothing. A net that a drawing program named after the part
itself (``Net-(R5-Pad1)``) is taken for the same after the part has another number; where it is known which net is
which by its other terminals, that counts instead. Names that the other revision doesn't know say nothing, either,
since programs name many nets anew each time.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from math import log2
from typing import TypeAlias

from revdiff.design import Board

_BIT = 25  # of a ledger's cost, for each bit by which nets agree
_MOST = 60  # of a ledger's cost, for one part
_APART = -60  # for a part whose nets the other revision has at other parts only: that it was rewired is told, too
_TOLD = 60  # for each net at a part that is another one than before
_MOST_TOLD = 2  # such nets of a part, since they are told together
_CROWDED = 12  # parts of a class, from which on a net proposes no partners, though it speaks for those that have it
_OWN = "\0"  # in the place of the part's own designator
_PAIRED = "\1"  # before the name of a net that is known in both
_LEAST_BITS = 1.0  # by which a net must be rare to say anything

Terminals: TypeAlias = Mapping[str, frozenset[str]]  # designator to the nets that can tell anything
Nets: TypeAlias = Mapping[int, frozenset[str]]  # the same by slot


def terminals_of(board: Board, paired: Mapping[str, str]) -> Terminals:
    """The nets at the terminals of each part. ``paired``: nets to their names in both."""
    known = {net: f"{_PAIRED}{name}" for net, name in paired.items()}
    words: dict[str, set[str]] = {}
    for node in board.nodes.values():
        if net := node.net.word:
            words.setdefault(node.ref, set()).add(net)
    found = {}
    for ref, nets in words.items():
        own = ref.casefold()
        found[ref] = frozenset(_neutral(net, own) if own in net else known.get(net, net) for net in nets)
    return found


def _neutral(net: str, own: str) -> str:
    """The name without the part's own designator, which stands in it, so that no pairing of names is of use."""
    return re.sub(rf"(?<![a-z0-9]){re.escape(own)}(?![0-9])", _OWN, net)


class ClassWiring:
    """What the nets say for an old and a new slot of one class holding the same part.

    ``old`` and ``new``: slot to the nets at its terminals. ``size``: how many parts the class has.
    """

    def __init__(self, old: Nets, new: Nets, *, size: int) -> None:
        before = Counter(net for nets in old.values() for net in nets)
        after = Counter(net for nets in new.values() for net in nets)
        self._bits = {
            net: round(_BIT * bits)
            for net in before.keys() & after.keys()
            if (bits := log2((size + 1) / max(before[net], after[net]))) >= _LEAST_BITS
        }
        both = before.keys() & after.keys()
        self._all = tuple({slot: nets & both for slot, nets in side.items()} for side in (old, new))
        self._worth: dict[tuple[int, int], int] = {}
        # A part that hangs on nothing rare is kept, with no nets.
        self._old = {slot: nets & self._bits.keys() for slot, nets in old.items()}
        self._new = {slot: nets & self._bits.keys() for slot, nets in new.items()}
        self._at: dict[str, list[int]] = {}
        for slot, known in self._new.items():
            for net in known:
                if after[net] < _CROWDED:
                    self._at.setdefault(net, []).append(slot)

    def of(self, old: int, new: int) -> int:
        """From -60 to 60, in a ledger's cost: how much the nets speak for the two being the same part.

        A part that shares some of its nets only, as neighbours do, agrees by their share of all that it hangs on.
        """
        before, after = self._old.get(old), self._new.get(new)
        if before is None or after is None or not (before or after):
            return 0
        shared = self._weight(before & after)
        if not shared:
            return _APART
        return min(_MOST, shared) * 2 * shared // (self._weight(before) + self._weight(after))

    def worth(self, old: int, new: int) -> int:
        """What the nets save in a ledger if the two are the same part: by rarity, less what would be told of nets."""
        known = self._worth.get((old, new))
        if known is None:
            before, after = self._all[0].get(old, frozenset()), self._all[1].get(new, frozenset())
            told = 0 if before == after else max(len(before - after), len(after - before))
            known = self._worth[old, new] = self.of(old, new) - _TOLD * min(told, _MOST_TOLD)
        return known

    def _weight(self, nets: frozenset[str]) -> int:
        return sum(self._bits[net] for net in nets)

    def displaced(self, slot: int) -> bool:
        """Whether the nets of a slot's parts are known to both revisions, and at other parts now."""
        return self._old.get(slot) != self._new.get(slot) and self.of(slot, slot) < 0

    def agrees(self, old: int, new: int) -> bool:
        """Whether all nets of an old and a new slot are the same, common ones too."""
        before, after = self._all
        return before.get(old) == after.get(new)

    def agreeing(self, olds: Iterable[int], news: Iterable[int]) -> list[tuple[int, int]]:
        """Slots all of whose nets agree, common ones too: those at home first, then by their numbers.

        Equal parts that are paired so need no statement of any net, however many there are of them.
        """
        before, after = self._all
        left = set(news)
        pairs = [(slot, slot) for slot in olds if slot in left and before.get(slot) and before[slot] == after.get(slot)]
        stayed = {slot for slot, _ in pairs}
        found: dict[frozenset[str], list[int]] = {}
        for slot in sorted(left - stayed, reverse=True):
            if nets := after.get(slot):
                found.setdefault(nets, []).append(slot)
        for slot in sorted(set(olds) - stayed):
            if same := found.get(before.get(slot, frozenset())):
                pairs.append((slot, same.pop()))
        return pairs

    def partners(self, old: int) -> list[int]:
        """The new slots that share a net with an old one."""
        return sorted({slot for net in self._old.get(old, ()) for slot in self._at.get(net, ())})


def in_slots(terminals: Terminals, slots: Mapping[str, int]) -> Nets:
    """The nets of the parts of one class. ``slots``: by designator."""
    return {slot: terminals[ref] for ref, slot in slots.items() if ref in terminals}
