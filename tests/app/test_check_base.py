"""What a check compares: the change as it parted from its base, and a base that is found by itself."""

from __future__ import annotations

from pathlib import Path

import pytest

from revdiff.app.check import check_change
from revdiff.errors import UsageFault
from tests.app.support import BREAK, RULE, SUBJECT, Project, broken, with_manifest
from tests.support import SMALL, edit

MINE = ("base/parts.csv", "R2,1,4k7", "R2,1,5k6")
THEIRS = ("top/parts.csv", "R1,1,10k", "R1,1,22k")


def test_what_came_to_the_base_meanwhile_is_no_change_of_the_contributor(tmp_path: Path) -> None:
    made = Project(tmp_path)
    made.propose(edit(SMALL, MINE))
    made.shop.git("checkout", "--quiet", "main")
    made.files = dict(SMALL)
    made.save(edit(SMALL, THEIRS))
    check = check_change("main...change", repository=made.shop.root)
    assert [item.change.subject for item in check.changes] == ["R2"]
    assert (check.tip.name, check.base.kind) == ("main", "commit")


def test_waivers_and_policy_are_those_of_the_base_as_it_is_now(tmp_path: Path) -> None:
    """Who branches off from an old state doesn't get the waivers back that were withdrawn since."""
    waiver = f'[[waivers]]\nrule = "{RULE}"\nsubject = "{SUBJECT}"\nreason = "old"\nwho = "M. Maintainer"\n'
    made = Project(tmp_path, with_manifest(SMALL, ("", waiver)))
    made.propose(edit(made.files, BREAK))
    made.shop.git("checkout", "--quiet", "main")
    made.files = with_manifest(SMALL, ("", waiver))
    made.save(SMALL)
    check = check_change("main", "change", repository=made.shop.root)
    assert f"{RULE}/{SUBJECT}" in broken(check)


def test_without_a_base_the_newest_release_is_taken_and_said(tmp_path: Path) -> None:
    made = Project(tmp_path)
    made.release("rev-a")
    made.save(edit(SMALL, MINE))
    check = check_change(repository=made.shop.root)
    assert check.base.name == "rev-a"
    assert "newest release" in check.chosen


def test_without_a_base_the_branch_that_changes_go_to_comes_first(tmp_path: Path) -> None:
    made = Project(tmp_path)
    made.release("rev-a")
    made.save(edit(SMALL, MINE))
    made.shop.git("update-ref", "refs/remotes/origin/main", "HEAD")
    made.save(edit(SMALL, MINE, THEIRS))
    check = check_change(repository=made.shop.root)
    assert [item.change.subject for item in check.changes] == ["R1"]
    assert "branch" in check.chosen


def test_a_change_that_the_base_holds_already_is_no_all_clear(tmp_path: Path) -> None:
    made = Project(tmp_path)
    made.release("rev-a")
    made.save(edit(SMALL, BREAK))
    with pytest.raises(UsageFault, match="nothing to check"):
        check_change("main", "rev-a", repository=made.shop.root)
