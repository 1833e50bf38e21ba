"""The truth of boards with long rows, told as it is, gives the second revision, and the scorer finds nothing wrong."""

from __future__ import annotations

import pytest

from tests.campaign.accounts import Parts
from tests.campaign.mutations import BOARD_MUTATIONS
from tests.campaign.run import Job, jobs
from tests.campaign.score import score
from tests.campaign.told import Told
from tests.campaign.trial import Trial


def _true_entries(trial: Trial) -> list[Told]:
    """The truth as somebody would tell it who had looked on: parts of equal data in one entry, values as they stand."""
    entries = []
    for event in trial.truth():
        old = {item["designator"]: item for item in trial.old.boards[event.board].parts}
        new = {item["designator"]: item for item in trial.new.boards[event.board].parts}
        rows: dict[object, set[tuple[str, str]]] = {}
        for one, two in event.pairs:
            key: object = None
            if event.kind in ("part.removed", "part.added"):
                item = old[one] if one else new[two]
                key = (
                    one in new,
                    two in old,
                    *(text for name, text in item.items() if name not in ("uid", "designator")),
                )
            elif event.fields:
                key = tuple((name, old[one].get(name, ""), new[two].get(name, "")) for name in sorted(event.fields))
            rows.setdefault(key, set()).add((one, two))
        for pairs in rows.values():
            one, two = next(iter(pairs))
            columns = {
                name.casefold(): (old[one].get(name, ""), new[two].get(name, "")) for name in sorted(event.fields)
            }
            entries.append(Told(event.kind, event.board, frozenset(pairs), columns, ""))
    return entries


def _assert_true(trial: Trial) -> None:
    entries = _true_entries(trial)
    (old,), (new,) = trial.old.boards.values(), trial.new.boards.values()
    assert Parts.of(old, new, trial.tolerated).gives_new(entries, {})
    result = score(entries, trial, reproduces=True)
    assert (result.notes, len(result.found), result.right) == ([], len(trial.truth()), len(entries))
    assert (result.facts, result.facts) == (result.told_facts, result.right_facts)
    assert result.from_home == 0


@pytest.mark.parametrize("mutation", BOARD_MUTATIONS)
def test_the_truth_of_a_mutation_is_found_right(mutation: str) -> None:
    _assert_true(Job("single", "truth", 300, mutation).trial())


@pytest.mark.parametrize("size", [100, 1000])
def test_the_truth_of_mixed_mutations_is_found_right(size: int) -> None:
    for job in jobs(20, 7, size):
        _assert_true(job.trial())
