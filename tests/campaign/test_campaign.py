"""The campaign at a small size: the goals that hold at any size, on the pairs of one seed."""

from __future__ import annotations

import pytest

from revdiff.rules import judge
from tests.campaign.mutations import MUTATIONS, make_trial
from tests.campaign.run import jobs, read_pair, run, run_pair, table
from tests.campaign.score import score
from tests.campaign.trial import Expected


def test_neutral_edits_make_no_change() -> None:
    lines = run(("neutral", f"test/{index}", "", 0) for index in range(15))
    assert (lines["neutral"].told, lines["neutral"].reproduced) == (0, 15)


@pytest.mark.parametrize("mutation", MUTATIONS)
def test_a_single_mutation_is_found_and_rightly_classed(mutation: str) -> None:
    trial = make_trial(f"test/{mutation}", mutation)
    result, reproduced, comparison = run_pair(trial, "test")
    assert (result.notes, reproduced) == ([], True)
    assert result.found
    if any(item.breaks for item in trial.truth()):
        assert any(item.severity == "break" for item in judge(comparison, "old", "new").findings)


def test_mixed_mutations_are_told_apart() -> None:
    line = run(("mixed", f"test/{index}", "", 2 + index) for index in range(19))["mixed"]
    assert line.recall >= 0.995, line.notes
    assert line.precision >= 0.995, line.notes
    assert line.reproduced == 19


def test_a_seed_gives_the_same_pair_again() -> None:
    one, two = (make_trial("again", "", 6) for _ in range(2))
    assert [(item.kind, item.pairs) for item in one.truth()] == [(item.kind, item.pairs) for item in two.truth()]
    assert read_pair(one, "s")[1].boards == read_pair(two, "s")[1].boards


def test_the_jobs_are_a_fifth_neutral_and_two_fifths_single_and_mixed() -> None:
    names = [name for name, _, _, _ in jobs(50, 1)]
    assert [names.count(name) for name in ("neutral", "single", "mixed")] == [10, 20, 20]


def test_the_table_says_what_equivalent_means() -> None:
    assert "Equivalent: another account of identical records" in table(run([("neutral", "t/1", "", 0)]))


# the scorer itself


def _expected(item: Expected, **given: object) -> Expected:
    values = {name: getattr(item, name) for name in ("kind", "board", "pairs", "fields", "mutation", "breaks")}
    return Expected(**{**values, **given})


def test_an_event_that_is_not_told_is_missed() -> None:
    trial = make_trial("score", "part value")
    _, _, comparison = run_pair(trial, "score")
    extra = Expected("part.removed", "nowhere", frozenset({("R1", "")}), frozenset(), "none", False)
    result = score(comparison, [*trial.truth(), extra], reproduces=True)
    assert (result.missed, result.false, result.right) == ([extra], 0, 1)


def test_a_change_that_did_not_happen_is_false() -> None:
    trial = make_trial("score", "part value")
    _, _, comparison = run_pair(trial, "score")
    result = score(comparison, [], reproduces=True)
    assert (result.false, result.right, result.found) == (1, 0, [])


@pytest.mark.parametrize("given", [{"kind": "part.package"}, {"fields": frozenset({"value", "package"})}])
def test_the_wrong_kind_or_the_wrong_columns_of_the_right_part_are_wrongly_classed(given: dict[str, object]) -> None:
    trial = make_trial("score", "part value")
    _, _, comparison = run_pair(trial, "score")
    (event,) = trial.truth()
    result = score(comparison, [_expected(event, **given)], reproduces=True)
    assert (len(result.wrong), result.misclassed, result.right) == (1, 1, 0)


def test_an_equivalent_account_counts_only_where_the_changes_reproduce_the_revision() -> None:
    # Two parts that traded all their data: the truth says two values changed, the answer is an exchange.
    trial = make_trial("score", "designators exchanged")
    _, _, comparison = run_pair(trial, "score")
    (event,) = trial.truth()
    (one, _), (two, _) = sorted(event.pairs)
    truth = [
        _expected(event, kind="part.value", pairs=frozenset({(ref, ref)}), fields=frozenset({"value"}))
        for ref in (one, two)
    ]
    assert len(score(comparison, truth, reproduces=True).equivalent) == 2
    assert len(score(comparison, truth, reproduces=False).wrong) == 2
