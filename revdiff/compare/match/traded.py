"""Two neighbouring blocks that traded places: the length of each is the distance of the other.

Each alone evicts what the other one brings back, so that neither pays, or both end where they are equal by chance.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeAlias

from revdiff.compare.match.costs import MOVED
from revdiff.compare.match.ledger import Ledger
from revdiff.compare.match.runs import Pairs
from revdiff.compare.match.spans import eligible

_FURTHEST = 28  # numbers, among which the start of both is looked for

Blocks: TypeAlias = tuple[list[tuple[int, int]], list[tuple[int, int]]]


def are_near(left: Pairs, right: Pairs) -> bool:
    """Whether two runs can be such blocks, ``left`` shifted up, and ``right``, beyond it, down."""
    starts = _starts(left, right)
    return len(starts) > 0 and left[0][0] < right[-1][0]


def traded(ledger: Ledger, left: Pairs, right: Pairs, kinds: Mapping[int, int]) -> tuple[int, Blocks] | None:
    """The total of the account where it is shortest, but for what both are told shorter together; what they carry then.

    ``left`` and ``right``: two runs of such blocks, as far as they are known; the ledger holds neither. ``kinds``: of
    the old slots, as what they became everywhere.
    """
    up, down = left[0][1] - left[0][0], right[0][0] - right[0][1]
    best: tuple[int, Blocks] | None = None
    for start in _starts(left, right):
        spans = [
            (offset, [slot for slot in range(begin, end) if slot in kinds])
            for offset, begin, end in ((up, start, start + down), (-down, start + down, start + down + up))
        ]
        sure = [eligible(ledger, offset, span, kinds)[0] for offset, span in spans]
        one, two = (
            eligible(ledger, offset, span, kinds, beside)[1]
            for (offset, span), beside in zip(spans, reversed(sure), strict=True)
        )
        blocks = one, two
        if all(blocks):
            both = [*one, *two]
            told = ledger.runs.cost(one, up) + ledger.runs.cost(two, -down) - MOVED * len(both)
            total = ledger.total + told + ledger.worth("joined", both)
            if best is None or total < best[0]:
                best = total, blocks
    return best


def _starts(left: Pairs, right: Pairs) -> range:
    """Where the first block may start: it holds the numbers of the one run, and the second those of the other."""
    up, down = left[0][1] - left[0][0], right[0][0] - right[0][1]
    if up <= 0 or down <= 0:
        return range(0)
    low = max(left[-1][0] - down, right[-1][0] - down - up) + 1
    high = min(left[0][0], right[0][0] - down)
    low, high = min(low, high), max(low, high)
    return range(low, high + 1) if high - low <= _FURTHEST else range(0)
