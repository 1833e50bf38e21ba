"""The page of what is found and what isn't says the truth about the rules."""

from __future__ import annotations

from revdiff.judge.coverage import FOUND, NOT_FOUND
from revdiff.judge.registry import ALL
from revdiff.report.coverage_text import coverage_text

MODES = [mode for modes in FOUND.values() for mode in modes]
GAPS = [gap for gaps in NOT_FOUND.values() for gap in gaps]


def test_every_rule_finds_something_and_every_rule_named_exists() -> None:
    assert {name for mode in MODES for name in mode.rules} == {rule.name for rule in ALL}


def test_every_rule_says_what_data_it_needs() -> None:
    assert [rule.name for rule in ALL if not rule.needs] == []


def test_the_page_names_rules_data_and_what_is_not_found() -> None:
    page = " ".join(coverage_text().split())
    for mode in MODES:
        assert f"{mode.what} rules: {', '.join(mode.rules)} data: {'; '.join(mode.data)}" in page
    for gap in GAPS:
        assert f"{gap.what} not detected data: {gap.data}" in page


def test_the_ranked_modes_of_stacked_boards_are_all_there() -> None:
    """The ranks of the failure modes that concern people who stack boards, and the power-on state."""
    assert {mode.number for mode in FOUND["Stacked boards"]} >= {1, 2, 3, 4, 5, 6, 7, 11, 12, 14, 20, 24, 25, 26, 34}
