"""A change is held against its base and every released revision that reached users, each result told once."""

from __future__ import annotations

import json
from pathlib import Path

from tests.app.support import BREAK, RULE, SUBJECT, Project, broken, with_manifest
from tests.conftest import Run
from tests.support import SMALL, edit

SHIPPED = with_manifest(
    SMALL,
    ('[boards.base]\nrevision = "A"', '[boards.base]\nshipped = true\nrevision = "A"'),
    ('[boards.top]\nrevision = "A"', '[boards.top]\nshipped = true\nrevision = "A"'),
)
NEXT = edit(
    SHIPPED,
    ("base/contacts.csv", "J1,5,HEAT,out,3.3 V", "J1,5,FAN,out,3.3 V"),
    ("top/contacts.csv", "J1,5,HEAT,in,3.3 V", "J1,5,FAN,in,3.3 V"),
)


def project(root: Path) -> Project:
    """rev-a and rev-b were shipped with HEAT on the fifth contact; main has FAN there."""
    made = Project(root, SHIPPED)
    made.release("rev-a")
    made.save(edit(SHIPPED, ("base/parts.csv", "R2,1,4k7", "R2,1,5k1")))
    made.release("rev-b")
    made.save(NEXT)
    return made


def test_a_break_against_an_older_shipped_revision_is_told(tmp_path: Path) -> None:
    """The change only gives the contact back to what rev-a and rev-b had; their partners meet a level now."""
    files = edit(NEXT, ("top/contacts.csv", "J1,4,RX,out,3.3 V", "J1,4,RX,out,5 V"))
    check = project(tmp_path).check(files)
    against = {name for item in check.brings for name in item.against}
    assert {"main", "rev-a", "rev-b"} <= against


def test_one_result_is_told_once_with_every_revision_it_holds_for(tmp_path: Path) -> None:
    check = project(tmp_path).check(edit(NEXT, BREAK))
    (found,) = [i for i in check.brings if i.finding.id == f"{RULE}/new base + top/{SUBJECT}"]
    assert found.against == ("main", "rev-a", "rev-b")
    assert not [i for i in check.brings if i.finding.id == f"{RULE}/new base + old top/{SUBJECT}"]
    assert [item.identity.name for item in check.held] == ["rev-a", "rev-b"]


def test_what_the_base_broke_already_is_not_blamed_on_the_change(tmp_path: Path) -> None:
    check = project(tmp_path).check(edit(NEXT, ("base/parts.csv", "R2,1,4k7", "R2,1,5k6")))
    assert broken(check) == set()
    assert {item.against for item in check.findings if item.standing and item.finding.severity == "break"} == {
        ("rev-a", "rev-b")
    }


def test_only_boards_that_reached_users_are_held_against_a_change(tmp_path: Path) -> None:
    one = edit(SHIPPED, ("revdiff.toml", "[boards.top]\nshipped = true", "[boards.top]\nshipped = false"))
    made = Project(tmp_path, one)
    made.release("rev-a")
    made.save(edit(one, ("base/parts.csv", "R2,1,4k7", "R2,1,5k1")))
    check = made.check(edit(made.files, BREAK))
    assert [item.boards for item in check.held] == [("base",)]
    assert "rev-a" not in {name for i in check.brings if i.finding.roles == "new base + top" for name in i.against}


def test_the_base_may_mark_a_revision_after_it_was_tagged(tmp_path: Path) -> None:
    made = Project(tmp_path)
    made.release("rev-a")
    made.save(SHIPPED)
    assert [item.boards for item in made.check(edit(SHIPPED, BREAK)).held] == [("base", "top")]


def test_the_change_marks_nothing_and_unmarks_nothing(tmp_path: Path) -> None:
    made = Project(tmp_path / "unmarked")
    made.release("rev-a")
    assert made.check(SHIPPED).held == ()
    other = project(tmp_path / "marked")
    unmarked = edit(SMALL, ("base/parts.csv", "R2,1,4k7", "R2,1,5k1"))
    assert [item.identity.name for item in other.check(unmarked).held] == ["rev-a", "rev-b"]


def test_tags_of_the_same_content_are_one_revision(tmp_path: Path) -> None:
    made = Project(tmp_path, SHIPPED)
    made.release("rev-a")
    made.release("rev-a1")
    made.save(NEXT)
    (held,) = made.check(edit(NEXT, BREAK)).held
    assert (held.identity.name, held.also) == ("rev-a", ("rev-a1",))


def test_a_board_s_own_tag_stands_for_that_board(tmp_path: Path) -> None:
    made = Project(tmp_path, SHIPPED)
    made.release("base/rev-a")
    made.save(NEXT)
    assert [item.boards for item in made.check(edit(NEXT, BREAK)).held] == [("base",)]


def test_that_nothing_is_marked_as_shipped_is_said(tmp_path: Path) -> None:
    made = Project(tmp_path)
    made.release("rev-a")
    check = made.check(edit(SMALL, BREAK))
    assert "no tagged revision is marked as shipped" in " ".join(item.why for item in check.not_checked)


def test_a_shipped_revision_that_cannot_be_read_is_told(tmp_path: Path) -> None:
    made = Project(tmp_path, {path: text for path, text in SHIPPED.items() if path != "top/contacts.csv"})
    made.release("rev-a")
    made.save(SHIPPED)
    check = made.check(edit(SHIPPED, BREAK))
    assert "the change against rev-a" in {item.what for item in check.not_checked}


def test_a_matrix_of_one_revision_is_held_against_what_was_shipped(run: Run, tmp_path: Path) -> None:
    made = project(tmp_path)
    made.save(edit(NEXT, BREAK))
    words = ("matrix", "--with", "main", "--repo", tmp_path)
    done = run(*words, "--fail-on", "break")
    assert done.returncode == 1
    assert "main was held against 2 revisions marked as shipped: rev-a, rev-b" in done.stdout
    data = json.loads(run(*words, "--format", "json").stdout)
    assert data["held"] == ["rev-a", "rev-b"]
    assert "held against 2 revisions" in run(*words, "--firmware").stdout


def test_a_matrix_of_one_revision_says_that_nothing_is_marked(run: Run, tmp_path: Path) -> None:
    made = Project(tmp_path)
    made.release("rev-a")
    made.save(edit(SMALL, BREAK))
    done = run("matrix", "--with", "main", "--repo", tmp_path)
    assert "held against nothing: no released revision is marked as shipped" in done.stdout
