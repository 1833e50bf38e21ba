"""Every small design gets the verdict of the trade."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from revdiff.judge.registry import ALL as RULES
from tests.judge.designs.case import COMPATIBLE, Case
from tests.judge.designs.run import changed, design_of, problems, result_of, run
from tests.judge.designs.table import ALL, FAMILIES


def _param(family: str, case: Case) -> object:
    return pytest.param(case, id=f"{family}: {case.name}")


@pytest.mark.parametrize("case", [_param(*item) for item in ALL])
def test_a_small_design(case: Case, tmp_path: Path) -> None:
    found = problems(case, run(case, tmp_path))
    assert not found, "\n".join((case.name, *found))


@pytest.mark.parametrize("case", [_param(*item) for item in ALL if item[1].ask])
def test_what_a_command_says_the_judge_says(case: Case) -> None:
    """Of what is found: the command's answer counts all cautions, the judge's those of arrangements.

    Parts alone are in no arrangement, so that the judge calls them neither fit nor unfit.
    """
    result = result_of(changed(design_of(case.text), design_of(case.second)))
    cautious = any(item.severity == "caution" for item in result.found)
    own = "fits" if result.answer == "not judged" else result.answer
    found = problems(case, replace(result, answer="fits with care" if cautious else own))
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
