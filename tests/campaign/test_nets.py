"""A small slice of the campaign of netlists; ``python -m tests.campaign.run_nets`` runs the whole of it."""

from __future__ import annotations

from random import Random

import pytest

from tests.campaign.nets import HABITS, MUTATIONS, Pair, make_pair, write
from tests.campaign.run_nets import Result, score, told_of
from tests.support import load

SEED = 13
LEAST = 0.99  # of mixed events and entries; the whole campaign reaches 99.5 %


def result_of(pair: Pair, key: str) -> Result:
    result = Result()
    score(told_of(pair, key), pair.truth, result, key)
    return result


@pytest.mark.parametrize("habit", HABITS)
def test_every_program_writes_the_same_board(habit: str) -> None:
    pair = make_pair(f"{SEED}/habit", 60, count=0)
    rng = Random(habit)
    board = load(write(pair.old, habit, rng)).boards["main"]
    wired = {(pair.old.parts[uid].ref, pin) for ends in pair.old.nets.values() for uid, pin in ends}
    assert {key for key, node in board.nodes.items() if node.net} >= wired
    assert board.whole


@pytest.mark.parametrize("index", range(4))
def test_nothing_is_told_where_nothing_was_done(index: int) -> None:
    key = f"{SEED}/neutral/{index}"
    assert told_of(make_pair(key, 60, count=0), key) == []


@pytest.mark.parametrize("name", MUTATIONS)
def test_each_thing_that_is_done_is_told_as_one(name: str) -> None:
    key = f"{SEED}/single/{name}"
    result = result_of(make_pair(key, 60, name), key)
    assert result.notes == []
    assert result.found == result.events


def test_of_many_things_at_once_hardly_any_is_missed_or_told_falsely() -> None:
    total = Result()
    for index in range(12):
        key = f"{SEED}/mixed/{index}"
        pair = make_pair(key, 60, count=2 + index % 8)
        score(told_of(pair, key), pair.truth, total, key)
    assert total.events > 40
    assert total.recall >= LEAST, total.notes
    assert total.precision >= LEAST, total.notes


def test_the_scorer_sees_what_is_missed_and_what_is_false() -> None:
    key = f"{SEED}/score"
    pair = make_pair(key, 60, "rewired")
    told = told_of(pair, key)
    missed, false = Result(), Result()
    score([], pair.truth, missed, key)
    score(told, [], false, key)
    assert (missed.found, missed.events) == (0, 1)
    assert (false.false, false.told) == (1, 1)
