"""The assignment solver against trying everything."""

from __future__ import annotations

from itertools import permutations

from hypothesis import given
from hypothesis import strategies as st

from revdiff.compare.assignment import best_pairs, solve

_COSTS = st.integers(1, 5).flatmap(
    lambda rows: st.integers(rows, 6).flatmap(
        lambda columns: st.lists(
            st.lists(st.integers(0, 12), min_size=columns, max_size=columns), min_size=rows, max_size=rows
        )
    )
)
_GAINS = st.integers(1, 5).flatmap(
    lambda columns: st.lists(st.lists(st.integers(-3, 9), min_size=columns, max_size=columns), min_size=1, max_size=5)
)


@given(_COSTS)
def test_the_sum_of_costs_is_least(costs: list[list[int]]) -> None:
    found = solve(costs)
    assert len(set(found)) == len(costs)
    least = min(
        sum(costs[row][column] for row, column in enumerate(columns))
        for columns in permutations(range(len(costs[0])), len(costs))
    )
    assert sum(costs[row][column] for row, column in enumerate(found)) == least


@given(_GAINS)
def test_the_sum_of_gains_is_greatest_and_no_pair_is_made_without_gain(gains: list[list[int]]) -> None:
    rows, columns = range(len(gains)), range(len(gains[0]))
    found = best_pairs(list(rows), list(columns), lambda row, column: gains[row][column])
    assert all(gains[row][column] > 0 for row, column in found)
    assert len({row for row, _ in found}) == len({column for _, column in found}) == len(found)
    # Each row takes a column or one of as many places that are worth nothing.
    padded = [[max(0, item) for item in row] + [0] * len(gains) for row in gains]
    most = max(
        sum(padded[row][place] for row, place in enumerate(places))
        for places in permutations(range(len(padded[0])), len(gains))
    )
    assert sum(gains[row][column] for row, column in found) == most


@given(_GAINS)
def test_naming_the_only_partners_that_gain_changes_nothing(gains: list[list[int]]) -> None:
    rows, columns = list(range(len(gains))), list(range(len(gains[0])))

    def gain(row: int, column: int) -> int:
        return gains[row][column]

    def partners(row: int) -> list[int]:
        return [column for column in columns if gains[row][column] > 0]

    assert best_pairs(rows, columns, gain, partners) == best_pairs(rows, columns, gain)


def test_ties_go_to_the_earlier_items() -> None:
    assert best_pairs(["a", "b"], ["x", "y"], lambda _one, _two: 5) == [("a", "x"), ("b", "y")]


def test_a_block_too_large_to_solve_is_still_paired() -> None:
    many = list(range(1_600))
    found = best_pairs(many, many, lambda one, two: 10 if one == two else 1, lambda one: {one, (one + 1) % 1_600})
    assert found == [(item, item) for item in many]
