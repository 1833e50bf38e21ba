"""Which changes a contributor told of: what the messages of the commits name, and how that is decided."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.app.support import Project
from tests.support import SMALL, edit

VALUE = edit(SMALL, ("base/parts.csv", "R2,1,4k7", "R2,1,5k6"))
FUNCTION = edit(SMALL, ("base/pins.csv", "VBAT_SENSE,ADC,", "VBAT_SENSE,ADC2,"))


@pytest.mark.parametrize(
    ("message", "named"),
    [
        ("base: R2 is 5k6 now", True),
        ("Change base.R2", True),
        ("base: new values for R1-R4", True),
        ("r2 on Base", True),
        ("R2 is 5k6 now", False),  # there is an R1 on top, too, and could be an R2
        ("base: R22 is 5k6 now", False),
        ("top: R2 is 5k6 now", False),
        ("tidy up", False),
        ("", False),
    ],
)
def test_a_part_is_named_by_board_and_designator(tmp_path: Path, message: str, named: bool) -> None:
    (change,) = Project(tmp_path).check(VALUE, message or "x").changes
    assert bool(change.mention) is named


@pytest.mark.parametrize(
    ("message", "named"),
    [("Sense VBAT_SENSE with ADC2", True), ("vbat_sense: another converter", True), ("VBAT: another converter", False)],
)
def test_a_signal_is_named_by_its_name(tmp_path: Path, message: str, named: bool) -> None:
    (change,) = Project(tmp_path).check(FUNCTION, message).changes
    assert bool(change.mention) is named


def test_a_short_name_is_written_as_the_design_writes_it(tmp_path: Path) -> None:
    files = edit(SMALL, ("base/pins.csv", "TX,UART1_TX,out,,,3.3 V", "TX,UART1_TX,out,,,3.0 V"))
    made = Project(tmp_path)
    assert [bool(item.mention) for item in made.check(files, "lower the level of TX").changes] == [True]
    made.shop.git("checkout", "--quiet", "main")
    made.files = dict(SMALL)
    assert [bool(item.mention) for item in made.check(files, "lower the tx level").changes] == [False]


def test_any_commit_of_the_change_may_name_it_and_is_told(tmp_path: Path) -> None:
    check = Project(tmp_path).check(VALUE, "work", "base: R2 for more gain")
    (change,) = check.changes
    assert change.mention == f"{check.commits[0].commit[:10]} names R2"
    assert check.unmentioned == ()


def test_a_message_on_main_says_nothing_of_the_change(tmp_path: Path) -> None:
    made = Project(tmp_path)
    made.save(SMALL, "base: R2 will change")
    assert len(made.check(VALUE, "change").unmentioned) == 1
