"""Who is who in one class letter: what holds whatever the data, against a count and a search written for this test.

The cost is counted anew here, from the rules in words: what a person would have to be told, in hundredths.
"""

from __future__ import annotations

from collections import Counter
from itertools import permutations
from random import Random

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment

from revdiff.compare.match.account import work_out
from revdiff.compare.match.ledger import Ledger
from revdiff.compare.match.pairing import Pairing, match_class

pytestmark = pytest.mark.slow

Board = dict[int, int]  # number to kind

CHANGED = 100
_NUMBERS = st.integers(1, 30)
BOARDS = st.dictionaries(_NUMBERS, st.integers(0, 4), max_size=14)
TINY = st.dictionaries(st.integers(1, 6), st.integers(0, 2), min_size=1, max_size=5)


def difference(one: int, two: int) -> int:
    return 0 if one == two else CHANGED


def accounted(old: Board, new: Board) -> Ledger:
    return work_out(old, new, difference, lambda kind: kind == 0)[0]


def pairs_of(ledger: Ledger) -> dict[int, int]:
    """Old number to new one, of all that is told as the same part."""
    found = {slot: slot for slot in ledger.old if ledger.paired_in_place(slot)}
    found.update(pair for event in ledger.events for pair in event.pairs)
    return found


def matched(old: Board, new: Board) -> Pairing:
    return match_class(
        {f"R{number}": kind for number, kind in old.items()},
        {f"R{number}": kind for number, kind in new.items()},
        difference,
        lambda kind: kind == 0,
        lambda kind: kind,
    )


def cost_of_data(old: Board, new: Board, pairs: dict[int, int]) -> int:
    """What went, came and changed, alike or not, without what renumberings cost."""
    alike: Counter[tuple[object, ...]] = Counter()
    for number, kind in old.items():
        if number not in pairs:
            alike["gone", kind, number in new] += 1
        elif new[pairs[number]] != kind:
            alike["changed", kind, new[pairs[number]]] += 1
    for number in new.keys() - set(pairs.values()):
        alike["come", new[number], number in old] += 1
    total = 0
    for (what, *_, last), count in alike.items():
        if what == "changed":
            total += CHANGED + 2 * (count - 1)
        else:
            total += 100 + (15 if last else 0) + 30 * (count - 1)
    return total


@settings(max_examples=300, deadline=None)
@given(BOARDS, BOARDS)
def test_the_account_is_one_to_one_and_gives_the_second_revision(old: Board, new: Board) -> None:
    pairs = pairs_of(accounted(old, new))
    assert len(set(pairs.values())) == len(pairs)
    assert pairs.keys() <= old.keys()
    assert set(pairs.values()) <= new.keys()


@settings(max_examples=300, deadline=None)
@given(BOARDS, BOARDS)
def test_the_account_is_never_longer_than_that_of_all_in_place(old: Board, new: Board) -> None:
    ledger = accounted(old, new)
    in_place = {number: number for number in old.keys() & new.keys()}
    assert ledger.in_place == cost_of_data(old, new, in_place)
    assert ledger.total <= ledger.in_place


@settings(max_examples=300, deadline=None)
@given(BOARDS, BOARDS)
@example({1: 2, 2: 1}, {3: 1, 4: 2})
def test_the_total_is_counted_exactly(old: Board, new: Board) -> None:
    """The running total is that of a ledger into which the same events are entered in another order."""
    ledger = accounted(old, new)
    again = Ledger(old, new, difference)
    for event in reversed(ledger.events):
        again.take(event.shape, event.pairs, event.offset)
    assert again.total == ledger.total
    moved = sum(len(event.pairs) for event in ledger.events if event.shape != "order")
    assert ledger.total >= cost_of_data(old, new, pairs_of(ledger)) + moved
    for event in list(again.events):
        again.undo(event)
    assert again.total == again.in_place


@settings(max_examples=300, deadline=None)
@given(BOARDS, BOARDS, st.permutations(range(1, 9)), st.randoms(use_true_random=False))
@example({1: 1, 2: 1, 3: 1}, {5: 1, 6: 1, 7: 1}, [5, 7, 6, 1, 2, 3, 4, 8], Random(1))
def test_events_cost_the_same_in_whatever_order_they_are_entered(
    old: Board, new: Board, targets: list[int], rng: Random
) -> None:
    """Also those that no search would take: single parts under any number, in runs that cross and follow."""
    pairs = [(one, two) for one, two in enumerate(targets, 1) if one in old and two in new]
    totals = set()
    for _ in range(4):
        rng.shuffle(pairs)
        ledger = Ledger(old, new, difference)
        events = [ledger.take("shifted", [pair], pair[1] - pair[0]) for pair in pairs]
        totals.add(ledger.total)
        rng.shuffle(events)
        for event in events:
            ledger.undo(event)
        assert ledger.total == ledger.in_place
    assert len(totals) == 1


@settings(max_examples=300, deadline=None)
@given(BOARDS, BOARDS)
def test_no_part_with_equal_data_under_its_number_moves_unless_that_is_shorter(old: Board, new: Board) -> None:
    ledger = accounted(old, new)
    for event in list(ledger.events):
        if any(old[one] == new.get(one) for one, _ in event.pairs):
            with_it = ledger.total
            ledger.undo(event)
            assert ledger.total > with_it
            ledger.take(event.shape, event.pairs, event.offset)


@settings(max_examples=200, deadline=None)
@given(BOARDS, BOARDS)
def test_the_way_back_is_the_mirror_image(old: Board, new: Board) -> None:
    there, back = matched(old, new), matched(new, old)
    assert {(one, two) for one, two, _ in there.pairs} == {(two, one) for one, two, _ in back.pairs}
    assert {frozenset(item.pairs) for item in there.renumberings} == {
        frozenset((two, one) for one, two in item.pairs) for item in back.renumberings
    }
    assert Counter(item.match.confidence for item in there.renumberings) == Counter(
        item.match.confidence for item in back.renumberings
    )
    assert {(item.old, item.new, item.tie) for item in there.other_readings} == {
        (item.new, item.old, item.tie) for item in back.other_readings
    }


@settings(max_examples=100, deadline=None)
@given(BOARDS, BOARDS, st.randoms(use_true_random=False))
def test_the_order_of_rows_does_not_matter(old: Board, new: Board, rng: object) -> None:
    def mixed(board: Board) -> Board:
        items = list(board.items())
        rng.shuffle(items)  # type: ignore[attr-defined]
        return dict(items)

    one, two = matched(old, new), matched(mixed(old), mixed(new))
    assert set(one.pairs) == set(two.pairs)
    assert set(one.renumberings) == set(two.renumberings)


def _every_pairing(old: Board, new: Board) -> list[dict[int, int]]:
    """All ways to take old parts for new ones."""
    olds, news = sorted(old), [*sorted(new), *[None] * len(old)]
    return [
        {one: two for one, two in zip(olds, chosen, strict=True) if two is not None}
        for chosen in set(permutations(news, len(olds)))
    ]


@settings(max_examples=40, deadline=None)
@given(TINY, TINY)
def test_no_way_to_pair_a_tiny_class_is_shorter_in_data_alone_than_what_is_told(old: Board, new: Board) -> None:
    """Exhaustive: the least that any one-to-one pairing leaves to tell bounds the account from below."""
    least = min(cost_of_data(old, new, pairs) for pairs in _every_pairing(old, new))
    ledger = accounted(old, new)
    assert least <= cost_of_data(old, new, pairs_of(ledger)) <= ledger.total


@pytest.mark.parametrize("offset", [5, 40, 300])
@pytest.mark.parametrize("length", [4, 9, 60])
def test_a_shifted_block_of_unlike_parts_is_what_an_optimal_assignment_finds(offset: int, length: int) -> None:
    """Outside check: scipy's linear_sum_assignment on data alone, where all data are different."""
    old = {number: number for number in range(1, length + 1)}
    new = {number + offset: kind for number, kind in old.items()}
    rows, columns = sorted(old), sorted(new)
    found = linear_sum_assignment([[0 if old[one] == new[two] else 1 for two in columns] for one in rows])
    assert pairs_of(accounted(old, new)) == {rows[one]: columns[two] for one, two in zip(*found, strict=True)}


# rows of equal parts


def _row(first: int, count: int, kind: int) -> Board:
    return dict.fromkeys(range(first, first + count), kind)


ROWS = {**_row(1, 40, 1), **_row(41, 25, 2), **_row(66, 60, 3), **_row(126, 30, 1)}


def test_a_block_of_rows_on_free_numbers_is_one_event() -> None:
    new = {number + (200 if 41 <= number < 126 else 0): kind for number, kind in ROWS.items()}
    (event,) = accounted(ROWS, new).events
    assert (event.offset, len(event.pairs)) == (200, 85)


def test_equal_parts_stay_where_a_run_of_them_was_closed_up() -> None:
    new = {number: kind for number, kind in ROWS.items() if number != 155}
    assert pairs_of(accounted(ROWS, new)) == {number: number for number in new}


def test_numbers_closed_up_after_a_removal_among_rows_are_one_event() -> None:
    new = {number - (number > 20): kind for number, kind in ROWS.items() if number != 20}
    ledger = accounted(ROWS, new)
    assert [event.offset for event in ledger.events] == [-1]
    assert ledger.total < ledger.in_place


def test_one_of_many_equal_parts_that_went_is_not_one_that_came() -> None:
    new = {**{number: kind for number, kind in ROWS.items() if number != 50}, 300: 2}
    ledger, doubts = work_out(ROWS, new, difference, lambda kind: kind == 0)
    assert ledger.events == []
    assert [(item.old, item.new, item.tie) for item in doubts] == [((50,), (300,), False)]
    assert doubts[0].confidence < 0.5


def test_one_of_a_kind_is_known_by_its_data() -> None:
    old = {**ROWS, 200: 9}
    new = {**ROWS, 310: 9}
    ledger = accounted(old, new)
    assert [event.pairs for event in ledger.events] == [((200, 310),)]
    assert ledger.events[0].confidence > 0.9


def test_a_tie_stays_and_is_told() -> None:
    old = {**ROWS, 200: 9, 220: 9}
    new = {**ROWS, 310: 9}
    ledger, doubts = work_out(old, new, difference, lambda kind: kind == 0)
    assert ledger.events == []
    assert [(item.old, item.new, item.tie) for item in doubts] == [((200, 220), (310,), True)]


def test_a_short_piece_of_a_closing_up_is_found_between_two_that_would_fit_on() -> None:
    row = [3, 5, 6, 5, 1, 5, 5, 8, 5, 1, *[5] * 7, 9, 5, 5, 5, 5, 2, *[5] * 4, 4, 4, 1, 4, 4, 7, 4, 4, 4, 6, 4, 4, 4]
    old = dict(enumerate(row, 1))
    gone = (2, 13, 23)
    new = {number - sum(one < number for one in gone): kind for number, kind in old.items() if number not in gone}
    events = accounted(old, new).events
    assert {event.offset for event in events} == {-1, -2, -3}
    assert all(old[one] == new[two] for event in events for one, two in event.pairs)


def test_blocks_that_traded_places_are_found_though_many_numbers_hold_an_equal_part_afterwards() -> None:
    left = [5, 1, 5, 12, 5, 13, 5, 5, 2, 6, 14, 1, 7, 5, 9, 15, 19, 5, 20, 1, 5, 2]
    right = [8, 9, 5, 16, 1, 5, 9, 17, 5, 9, 18, 3, 4, 7, 5, 2, 5, 10, 21, 1, 5, 22, 5, 5]
    old = dict(enumerate([5, 9, 1, 5, *left, *right, 9, 1], 1))
    new = dict(enumerate([5, 9, 1, 5, *right, *left, 9, 1], 1))
    events = accounted(old, new).events
    assert {event.offset for event in events} == {len(right), -len(left)}
    assert pairs_of(accounted(old, new)).keys() == old.keys()


def _blocks(*firsts: int) -> Board:
    return {first + step: 10 + step for first in firsts for step in range(4)}


def test_a_block_that_may_have_come_from_either_of_two_places_stays_and_is_told() -> None:
    ledger, doubts = work_out(
        {**ROWS, **_blocks(200, 220)}, {**ROWS, **_blocks(300)}, difference, lambda kind: kind == 0
    )
    assert ledger.events == []
    ((old, new, tie),) = [(item.old, item.new, item.tie) for item in doubts]
    assert (set(old), set(new), tie) == ({*_blocks(200, 220)}, {*_blocks(300)}, True)


def test_a_block_that_may_have_gone_to_either_of_two_places_stays_and_is_told() -> None:
    ledger, doubts = work_out(
        {**ROWS, **_blocks(200)}, {**ROWS, **_blocks(300, 320)}, difference, lambda kind: kind == 0
    )
    assert ledger.events == []
    assert [(set(item.old), set(item.new), item.tie) for item in doubts] == [
        ({*_blocks(200)}, {*_blocks(300, 320)}, True)
    ]


def test_a_block_beside_one_like_it_but_for_one_part_is_no_tie() -> None:
    old = {**ROWS, **_blocks(200, 220), 221: 30}
    (event,) = accounted(old, {**ROWS, **_blocks(300)}).events
    assert (event.offset, len(event.pairs)) == (100, 4)


def test_two_blocks_that_moved_to_two_places_are_no_tie() -> None:
    events = accounted({**ROWS, **_blocks(200, 220)}, {**ROWS, **_blocks(300, 320)}).events
    assert [(event.offset, len(event.pairs)) for event in events] == [(100, 8)]


def test_rows_that_say_nothing_are_no_evidence() -> None:
    old = {**ROWS, **_row(200, 5, 0)}
    new = {**ROWS, **_row(300, 5, 0)}
    assert accounted(old, new).events == []
