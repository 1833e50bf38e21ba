"""Every small design gets the verdict of the trade."""

from __future__ import annotations

from pathlib import Path

import pytest

from revdiff.judge.registry import ALL as RULES
from tests.judge.designs.case import COMPATIBLE, Case
from tests.judge.designs.pending import PENDING
from tests.judge.designs.run import problems, run
from tests.judge.designs.table import ALL, FAMILIES

_CASES = [
    pytest.param(
        case,
        id=f"{family}: {case.name}",
        marks=[pytest.mark.xfail(strict=True)] if case.name in PENDING else [],
    )
    for family, case in ALL
]


@pytest.mark.parametrize("case", _CASES)
def test_a_small_design(case: Case, tmp_path: Path) -> None:
    found = problems(case, run(case, tmp_path))
    assert not found, "\n".join((case.name, *found))


def test_no_two_records_have_one_name() -> None:
    names = [case.name for _, case in ALL]
    assert len(set(names)) == len(names)


def test_both_sides_of_every_family_are_there() -> None:
    """About as many designs that fit as designs that don't."""
    for family, cases in FAMILIES.items():
        sound = sum(case.answer in COMPATIBLE for case in cases)
        assert 0.3 < sound / len(cases) < 0.7, family


def test_the_rules_that_records_name_are_rules() -> None:
    """A record may name several rules of one meaning; one of them at least is there."""
    known = {rule.name for rule in RULES}
    assert [case.name for _, case in ALL if case.rules and not case.ask and not known & set(case.rules)] == []
