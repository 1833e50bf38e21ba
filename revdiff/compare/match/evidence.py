"""How improbable it is that parts agree by chance, given how often their data occur in the class.

Rows of equal parts make further agreement cheap: only the first part of a run tells how rare its data are, the others
that the run is as long here as there. What could have agreed just as well, the runs that went or came, multiplies
the chance. Confidence is what is left of certainty after it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from math import exp, lgamma, log, log2

from revdiff.compare.match.ledger import Ledger
from revdiff.compare.match.runs import Pairs

BELIEVED = 0.67  # confidence, below which the plain reading is told: removed, added
_MOST = 0.999
_CERTAIN = 4.0  # bits beyond chance
_UNSEEN = 5  # data that a class could as well hold, as if seen half as often as a part of its own
_CHANGED = 3.0  # bits against parts that moved together, for each way in which some of them changed: one in eight does
_LEFT_OUT = 2.0  # the same for each place where others between them did not
_ONE_MORE = 6  # others of the same, at which one more of them is as likely as not
_BIT_OF_WIRING = 25  # of a ledger's cost, for each bit by which nets agree


class Evidence:
    """Judges the events of one class.

    ``blank``: kinds whose rows say nothing. ``alias``: what a kind of old parts became everywhere, where it did.
    """

    def __init__(self, ledger: Ledger, blank: Callable[[int], bool], alias: Mapping[int, int]) -> None:
        self._ledger = ledger
        self._alias = alias
        self._blank = blank
        before, after = Counter(ledger.old.values()), Counter(ledger.new.values())
        self._counts: Mapping[int, int] = before | after  # the greater of both
        self._size = max(len(ledger.old), len(ledger.new))
        self._next = dict(pairwise(sorted(ledger.old)))

    def share(self, kind: int, inside: int = 1, total: int = 1) -> float:
        """How probable it is that a part holds this data by chance; ``inside`` of ``total`` parts are not counted."""
        if self._blank(kind):
            return 1.0
        others = max(0, self._counts.get(kind, 0) - inside)
        return (others + 0.5) / (max(0, self._size - total) + _UNSEEN)

    def of_block(self, pairs: Pairs, tries: int) -> float:
        """The confidence in parts that were all shifted by one offset. ``tries``: runs that could have agreed.

        A row of equal parts that moved up by one tells no more than that one of them went and one came.
        """
        ends = {one for one, _ in pairs}.symmetric_difference(two for _, two in pairs)
        of_one = len(pairs) > 1 and len(ends) == 2 and len({self._ledger.old[one] for one, _ in pairs}) == 1
        if of_one and self._ledger.wiring is None:
            return self.of_stray((pairs[0][0], pairs[-1][1]), tries)
        return _confidence(tries, self._bits(pairs))

    def certain(self, pairs: Pairs, tries: int) -> bool:
        """Whether no order at random holds such a block, wherever it is looked for."""
        return self._bits(pairs) >= log2(tries) + _CERTAIN

    def _bits(self, pairs: Pairs) -> float:
        ledger = self._ledger
        inside = Counter(ledger.new[two] for _, two in pairs)
        bits = self._wiring(pairs)
        last_kind, last_slot, length = None, None, 0
        changed: set[tuple[int, int]] = set()
        for one, two in pairs:
            kind = ledger.new[two]
            if kind != self._alias.get(ledger.old[one], ledger.old[one]):
                changed.add((ledger.old[one], kind))
                continue
            touched = one in ledger.gone or two in ledger.come
            follows = kind == last_kind and last_slot is not None and self._next.get(last_slot) == one
            if not follows:
                bits += log2(length) if length > 1 else 0.0
                length = 0
                if touched:
                    bits -= log2(self.share(kind, inside[kind], len(pairs)))
            length = length + 1 if touched and not self._blank(kind) else 0
            last_kind, last_slot = kind, one
        return (
            bits
            + (log2(length) if length > 1 else 0.0)
            - _CHANGED * len(changed)
            - _LEFT_OUT * ledger.runs.holes(pairs)
        )

    def of_stray(self, pair: tuple[int, int], tries: int) -> float:
        """The confidence in one part under another number: less, the more of the same there are beside it.

        What comes is most often one more of what is there already, however large the class.
        """
        others = self._counts.get(self._ledger.new[pair[1]], 1) - 1
        more_of_them = others / (others + _ONE_MORE) * exp(-self._wiring([pair]) * log(2))
        return min(self.of_block([pair], tries), round(1.0 - min(1.0, more_of_them), 3))

    def of_order(self, pairs: Pairs) -> float:
        """The confidence in parts numbered in another order: how improbable it is that just these data came again.

        The multinomial probability of the counts, as each part holds its data with the share that it has in the class.
        """
        inside = Counter(self._ledger.old[one] for one, two in pairs if self._ledger.old[one] == self._ledger.new[two])
        total = sum(inside.values())
        shares = {kind: self.share(kind, count, total) for kind, count in inside.items()}
        # Where next to all of a class is renumbered, little is left to tell shares by, and they add up to more than 1.
        excess = max(1.0, sum(share for kind, share in shares.items() if not self._blank(kind)))
        chance = lgamma(total + 1)
        for kind, count in inside.items():
            share = shares[kind] if self._blank(kind) else shares[kind] / excess
            chance += count * log(share) - lgamma(count + 1)
        return _confidence(1, -min(chance, 0.0) / log(2) + self._wiring(pairs))

    def tries(self) -> int:
        """Places where a run could have agreed by chance: each run of equal neighbours that went, at each that came."""
        ledger = self._ledger
        return max(_runs(ledger.gone, ledger.old), 1) * max(_runs(ledger.come, ledger.new), 1)

    def _wiring(self, pairs: Pairs) -> float:
        wiring = self._ledger.wiring
        return sum(wiring.of(one, two) for one, two in pairs) / _BIT_OF_WIRING if wiring is not None else 0.0


def _runs(slots: set[int], kinds: Mapping[int, int]) -> int:
    ordered: Sequence[int] = sorted(slots)
    return sum(
        1
        for index, slot in enumerate(ordered)
        if not index or ordered[index - 1] != slot - 1 or kinds[ordered[index - 1]] != kinds[slot]
    )


def _confidence(tries: int, bits: float) -> float:
    chance = exp(min(0.0, log(tries) - bits * log(2)))
    return round(min(_MOST, 1.0 - chance), 3)
