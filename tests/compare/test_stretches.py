"""The count of stretches that is kept up to date is the one that is worked out anew."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from revdiff.compare.match.costs import QUIET
from revdiff.compare.match.stretches import Stretches
from tests.quantities.strategies import untimed

PLACES = {slot: 3 * slot for slot in range(200)}


def parted(pairs: list[tuple[int, int]]) -> int:
    """In how many stretches the slots are, by the definition."""
    places = sorted({PLACES[slot] for pair in pairs for slot in pair})
    return 1 + sum(two - one > QUIET for one, two in pairwise(places))


@given(st.permutations(range(200)), st.lists(st.tuples(st.integers(1, 12), st.integers(0, 8)), max_size=8))
@untimed
def test_trades_leave_the_count_that_the_pairs_have(order: list[int], trades: list[tuple[int, int]]) -> None:
    every = list(zip(order, reversed(order), strict=True))
    pairs, rest = every[:40], every[40:]
    stretches = Stretches(PLACES, pairs)
    for leaving, entering in trades:
        out, into = pairs[: min(leaving, len(pairs) - 1)], rest[:entering]
        traded = pairs[len(out) :] + into
        assert stretches.trade(out, into) == parted(traded)
        assert stretches.trade(into, out) == parted(pairs)
        stretches.trade(out, into)
        pairs, rest = traded, rest[len(into) :] + out
