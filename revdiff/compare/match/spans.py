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
    old, new, free_old, free_new = ledger.old, ledger.new, ledger.free_old, ledger.free_new
    gone, come = ledger.gone, ledger.come
    sure: list[tuple[int, int]] = []
    changed: list[tuple[int, int]] = []
    for slot in span:
        other = slot + offset
        if slot not in free_old or other not in free_new:
            continue
        before, after = old[slot], new[other]
        if before == after or (kinds[slot] == after and slot in gone and other in come):
            sure.append((slot, other))
        elif ledger.difference(before, after) < ANOTHER:
            changed.append((slot, other))
    if not changed:
        return sure, sorted(sure)
    sources, targets = ({pair[side] for pairs in (sure, beside) for pair in pairs} for side in (0, 1))
    going = [(one, two) for one, two in changed if (one in gone or one in targets) and (two in come or two in sources)]
    return sure, sorted([*sure, *going])


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
