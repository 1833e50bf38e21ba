"""The campaign at a small size: the goals that hold at any size, on the pairs of one seed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from revdiff.judge import judge_change
from tests.campaign.mutations import BOARD_MUTATIONS, MUTATIONS, make_board_trial, make_trial
from tests.campaign.run import Job, Line, jobs, read_pair, run, run_pair, table
from tests.campaign.score import score
from tests.campaign.told import Told
from tests.campaign.trial import Trial

pytestmark = pytest.mark.slow

# What the slices of the campaign have to reach. Tighten these as matching gets better, never loosen them.
STACK_MIXED_RECALL = 0.985
STACK_MIXED_PRECISION = 0.985
BOARD_SINGLE_RECALL = 1.0
BOARD_SINGLE_PRECISION = 1.0
BOARD_MIXED_RECALL = 0.999
BOARD_MIXED_PRECISION = 0.999


def test_neutral_edits_make_no_change() -> None:
    lines = run(Job("neutral", f"test/{index}", count=0) for index in range(15))
    assert (lines["stacks, neutral"].told, lines["stacks, neutral"].reproduced) == (0, 15)


@pytest.mark.parametrize("mutation", MUTATIONS)
def test_a_single_mutation_is_found_and_rightly_classed(mutation: str) -> None:
    trial = make_trial(f"test/{mutation}", mutation)
    result, reproduced, comparison = run_pair(trial, "test")
    assert (result.notes, reproduced) == ([], True)
    assert result.found
    if any(item.breaks for item in trial.truth()):
        assert any(item.severity == "break" for item in judge_change(comparison, "old", "new").findings)


def test_mixed_mutations_are_told_apart() -> None:
    line = run(Job("mixed", f"test/{index}", count=2 + index) for index in range(19))["stacks, mixed"]
    assert line.recall >= STACK_MIXED_RECALL, line.notes
    assert line.precision >= STACK_MIXED_PRECISION, line.notes
    assert line.reproduced == 19


# boards with long rows


@pytest.mark.parametrize("size", [100, 1000])
def test_neutral_edits_of_a_board_make_no_change(size: int) -> None:
    lines = run(Job("neutral", f"test/{index}", size, count=0) for index in range(2))
    (line,) = lines.values()
    assert (line.told, line.reproduced) == (0, 2)


def _board_line(sort: str, work: list[Job]) -> Line:
    return run(work)[f"100 parts, {sort}"]


def test_single_mutations_of_a_board_are_found() -> None:
    line = _board_line("single", [Job("single", "test", 100, name) for name in BOARD_MUTATIONS])
    assert line.recall >= BOARD_SINGLE_RECALL, line.notes
    assert line.precision >= BOARD_SINGLE_PRECISION, line.notes
    assert line.reproduced == line.pairs


def test_mixed_mutations_of_a_board_are_found() -> None:
    line = _board_line("mixed", [Job("mixed", f"test/{count}", 100, count=count) for count in (2, 5, 8)])
    assert line.recall >= BOARD_MIXED_RECALL, line.notes
    assert line.precision >= BOARD_MIXED_PRECISION, line.notes
    assert line.reproduced == line.pairs


@pytest.mark.parametrize("size", [0, 100])
def test_a_seed_gives_the_same_pair_again(size: int) -> None:
    one, two = (make_board_trial("again", size, "", 6) if size else make_trial("again", "", 6) for _ in range(2))
    assert [(item.kind, item.pairs) for item in one.truth()] == [(item.kind, item.pairs) for item in two.truth()]
    assert read_pair(one, "s")[1].boards == read_pair(two, "s")[1].boards


@pytest.mark.parametrize("size", [0, 100])
def test_the_jobs_are_a_fifth_neutral_and_two_fifths_single_and_mixed(size: int) -> None:
    names = [job.sort for job in jobs(50, 1, size)]
    assert [names.count(name) for name in ("neutral", "single", "mixed")] == [10, 20, 20]


def test_the_table_says_what_equivalent_means() -> None:
    assert "Equivalent: another account of identical records" in table(run([Job("neutral", "t/1", count=0)]))


# the scorer itself, on what has pins and contacts; of parts, see test_accounts.py


def _swap() -> tuple[Trial, list[Told]]:
    trial = make_trial("score", "pins swapped")
    return trial, [Told(item.kind, item.board, item.pairs, {}, "") for item in trial.truth()]


def test_an_event_that_is_not_told_is_missed() -> None:
    trial, entries = _swap()
    result = score([], trial, reproduces=False)
    assert (result.missed, result.found) == (trial.truth(), [])
    assert score(entries, trial, reproduces=True).found == trial.truth()


def test_a_change_that_did_not_happen_is_false() -> None:
    trial, entries = _swap()
    result = score(entries, trial, reproduces=True, truth=[])
    assert (result.false, result.right, result.found) == (1, 0, [])


def test_the_wrong_kind_of_the_right_pin_is_wrongly_classed() -> None:
    trial, entries = _swap()
    truth = [replace(item, kind="pin.signal") for item in trial.truth()]
    result = score(entries, trial, reproduces=False, truth=truth)
    assert (len(result.wrong), result.misclassed, result.right) == (1, 1, 0)


def test_an_equivalent_account_counts_only_where_the_changes_reproduce_the_revision() -> None:
    # Two pins that traded all their data: the truth says two moves, the answer is a swap.
    trial, entries = _swap()
    (event,) = trial.truth()
    truth = [replace(event, kind="pin.moved", pairs=frozenset({pair})) for pair in event.pairs]
    assert len(score(entries, trial, reproduces=True, truth=truth).equivalent) == 2
    assert len(score(entries, trial, reproduces=False, truth=truth).wrong) == 2
