"""Faults fail a pipeline only where they are new or hinder the answer: those of an old tag nobody can mend."""

from __future__ import annotations

from pathlib import Path

import pytest

from revdiff.app.check import check_change
from revdiff.app.review import review_revisions
from tests.cli.test_compare import write
from tests.conftest import Run
from tests.support import SMALL, Files, edit

FAULT = ("base/parts.csv", "R2,1,4k7", "R2,3,4k7")
OTHER = ("base/parts.csv", "C2,1,1u", "C2,7,1u")
ROW = ("base/parts.csv", "R1,1,10k", "R7,1,2k2,0603,RA-2K2,1%,,,yes,active,0.01\nR1,1,10k")
SECTION = ("revdiff.toml", "[boards.top]", '[boards.base.pulls]\nHEAT = "sideways"\n\n[boards.top]')
TWICE = ("base/contacts.csv", "J1,6,,,,", "J1,6,,,,\nJ1,5,LED,out,3.3 V,")

CASES: dict[str, tuple[Files, Files, bool]] = {
    "of the old one": (edit(SMALL, FAULT), SMALL, False),
    "of both": (edit(SMALL, FAULT), edit(SMALL, FAULT), False),
    "of both, in another row": (edit(SMALL, FAULT), edit(SMALL, FAULT, ROW), False),
    "of the new one": (SMALL, edit(SMALL, FAULT), True),
    "of both, and one more": (edit(SMALL, FAULT), edit(SMALL, FAULT, OTHER), True),
    "another one": (edit(SMALL, FAULT), edit(SMALL, OTHER), True),
    "of both, in the manifest": (edit(SMALL, SECTION), edit(SMALL, SECTION), True),
    "of the old manifest": (edit(SMALL, SECTION), SMALL, False),
    "the same one twice": (edit(SMALL, FAULT), edit(SMALL, FAULT, TWICE), True),
}


@pytest.mark.parametrize("name", list(CASES))
def test_faults_count_where_they_are_new(tmp_path: Path, name: str) -> None:
    old, new, counts = CASES[name]
    write(tmp_path / "old", dict(old))
    write(tmp_path / "new", dict(new))
    sides = (f"folder:{tmp_path / 'old'}", f"folder:{tmp_path / 'new'}")
    review = review_revisions(*sides)
    assert review.faulty
    assert review.brings_faults == counts
    assert check_change(*sides).faulty == counts


def test_a_check_does_not_take_a_fault_in_another_column_for_a_known_one(tmp_path: Path) -> None:
    old = edit(SMALL, ("base/connectors.csv", "J1,joint,6,1,", "J1,joint,6,six,"))
    new = edit(SMALL, ("base/connectors.csv", "J1,joint,6,1,", "J1,joint,six,1,"))
    write(tmp_path / "old", old)
    write(tmp_path / "new", new)
    assert check_change(f"folder:{tmp_path / 'old'}", f"folder:{tmp_path / 'new'}").faulty


@pytest.mark.parametrize("command", ["compare", "notes", "pins"])
def test_the_status_is_3_for_new_faults_and_0_for_old_ones(run: Run, tmp_path: Path, command: str) -> None:
    write(tmp_path / "good", dict(SMALL))
    write(tmp_path / "bad", edit(SMALL, FAULT))
    cured, broken = (run(command, one, two, cwd=tmp_path) for one, two in (("bad/", "good/"), ("good/", "bad/")))
    assert (cured.returncode, broken.returncode) == (0, 3)
    assert "base/parts.csv:3:2" in cured.stdout + cured.stderr


def test_a_table_that_can_not_be_read_at_all_hinders_whichever_has_it(run: Run, tmp_path: Path) -> None:
    write(tmp_path / "good", dict(SMALL))
    write(tmp_path / "bad", {**SMALL, "base/parts.csv": ""})
    assert run("compare", "bad/", "good/", cwd=tmp_path).returncode == 3
    assert run("compare", "bad/", "bad/", cwd=tmp_path).returncode == 3
