"""What of a span of numbers an offset can carry."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from revdiff.compare.match.costs import ANOTHER
from revdiff.compare.match.ledger import Ledger
from revdiff.compare.match.runs import Pairs

CLOSE = 120  # the most that a part at a run's end may differ to have gone with it


def eligible(
    ledger: Ledger, offset: int, span: Sequence[int], kinds: Mapping[int, int], beside: Pairs = ()
) -> tuple[list[tuple[int, int]], list[tuple[int, int]]]:
    """The parts of a span that an offset can carry: those with equal data there, and besides those that changed.

    A part that changed goes along where neither its number nor the one it comes to holds another part for itself.
    ``kinds``: of the old slots, as what they became everywhere. ``beside``: what another run carries at the same time.
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
    sources, targets = ({pair[side] for pairs in (sure, beside) for pair in pairs} for side in (0, 1))
    left = ledger.gone | targets
    wanted = ledger.come | sources
    changed = [(one, two) for one, two in changed if one in left and two in wanted]
    return sure, sorted([*sure, *changed])


def known_by_data(ledger: Ledger, pair: tuple[int, int], kinds: Mapping[int, int]) -> bool:
    """Whether a part at the end of a run went with it: its place alone tells little there.

    It does where it is like enough, where others changed just so, where neither number holds any other part, or where
    it is the last of its class in both revisions, or the first.
    """
    one, two = pair
    before, after = ledger.old[one], ledger.new[two]
    return (
        kinds[one] == after
        or (one not in ledger.new and two not in ledger.old)
        or ledger.difference(before, after) < CLOSE
        or ledger.changed_alike(before, after) > 0
        or ledger.runs.at_the_end(one, two)
    )
