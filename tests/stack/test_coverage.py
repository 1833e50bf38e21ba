"""The table of failure modes says the truth about the rules."""

from __future__ import annotations

from revdiff.report.stack_coverage import coverage_text
from revdiff.rules import firmware_coverage
from revdiff.rules.registry import ALL
from revdiff.rules.stack_coverage import MODES

# The ranks of the failure modes that concern people who stack boards, and the power-on state, of 45 in all.
STACKING = {1, 2, 3, 4, 5, 6, 7, 11, 12, 14, 20, 24, 25, 26, 34}


def test_every_failure_mode_of_stacking_has_a_rule() -> None:
    assert {mode.number for mode in MODES if mode.rules} == STACKING


def test_every_rule_that_it_names_exists() -> None:
    named = {name for mode in MODES for name in mode.rules}
    assert named <= {rule.name for rule in ALL}


def test_every_rule_of_stacking_finds_something() -> None:
    named = {name for mode in MODES for name in mode.rules}
    assert {rule.name for rule in ALL if rule.audience == "stacking"} == named


def test_what_is_not_detected_names_the_data_that_is_missing() -> None:
    missing = [mode for mode in (*MODES, *firmware_coverage.MODES) if not mode.rules]
    assert missing
    assert all(len(mode.data) > 10 for mode in MODES)
    assert coverage_text().count("not detected") == len(missing)
