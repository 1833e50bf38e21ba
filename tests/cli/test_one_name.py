"""A command with one revision instead of two, two in the wrong order, and commands that are nearly one."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.strangers import BOM_1, BOM_2, Stranger
from tests.conftest import Run

MANIFEST = '[boards.sensor]\nparts = "hw/bom.csv"\n'
OTHER = BOM_2.replace("C1,1,100n", "C1,1,220n")


@pytest.fixture
def stranger(tmp_path: Path) -> Stranger:
    """Tags of the hardware and, between them, of the firmware."""
    shop = Stranger(tmp_path / "sensor")
    for tag, bom in (("v1.0", BOM_1), ("fw-0.1", BOM_1), ("v1.1", BOM_2), ("fw-0.2", BOM_2), ("v1.2", OTHER)):
        shop.release(tag, {"hw/bom.csv": bom, "revdiff.toml": MANIFEST, "tag.txt": tag})
    shop.write("hw/bom.csv", OTHER.replace("10k", "12k").encode())
    return shop


def sides(run: Run, *words: str, cwd: Path) -> tuple[str, str]:
    document = json.loads(run(*words, "--format", "json", cwd=cwd).stdout)
    return document["old"]["name"], document["new"]["name"]


def test_compare_takes_the_work_tree_for_the_second(run: Run, stranger: Stranger) -> None:
    assert sides(run, "compare", "v1.1", cwd=stranger.root) == ("v1.1", "work tree")


def test_compare_of_a_file_takes_the_last_tag_for_the_first(run: Run, stranger: Stranger) -> None:
    assert sides(run, "compare", "hw/bom.csv", cwd=stranger.root) == ("v1.2:hw/bom.csv", "bom.csv")


TAGS = [("v1.2", "v1.1"), ("v1.1", "v1.0"), ("fw-0.2", "fw-0.1"), ("HEAD", "v1.2"), ("fw-0.1", "v1.0")]


@pytest.mark.parametrize(("new", "old"), TAGS[:3])
def test_notes_take_the_tag_before_of_the_same_family(run: Run, stranger: Stranger, new: str, old: str) -> None:
    done = run("notes", new, cwd=stranger.root)
    assert done.returncode == 0, done.stderr
    assert f"it follows tag {old}," in done.stdout


@pytest.mark.parametrize(("new", "old"), TAGS)
def test_pins_take_the_tag_before(run: Run, stranger: Stranger, new: str, old: str) -> None:
    stranger.commit({}, "later")
    assert sides(run, "pins", new, cwd=stranger.root)[0] == old


def test_tags_that_no_line_of_commits_holds_together_go_by_date(run: Run, stranger: Stranger) -> None:
    stranger.git("checkout", "--quiet", "--orphan", "other")
    stranger.release("v2.0", {"hw/bom.csv": BOM_1, "revdiff.toml": MANIFEST})
    assert "it follows tag v1.2," in run("notes", "v2.0", cwd=stranger.root).stdout


def test_where_there_is_no_tag_before_both_are_asked_for(run: Run, stranger: Stranger) -> None:
    done = run("notes", "v1.0", cwd=stranger.root)
    assert (done.returncode, done.stdout) == (2, "")
    assert "there is no tag before 'v1.0'" in done.stderr


@pytest.mark.parametrize("command", ["compare", "notes", "pins"])
@pytest.mark.parametrize(
    ("old", "new", "swapped"),
    [("v1.0", "v1.1", False), ("v1.1", "v1.0", True), ("worktree", "v1.0", True), ("v1.1", "v1.1", False)],
)
def test_an_order_that_looks_wrong_is_told(
    run: Run, stranger: Stranger, command: str, old: str, new: str, swapped: bool
) -> None:
    done = run(command, old, new, cwd=stranger.root)
    assert done.returncode == 0
    assert ("name the older one first" in done.stderr) == swapped
    assert "name the older one first" not in done.stdout


NEAR = [
    (("compair", "v1.0", "v1.1"), "revdiff compare v1.0 v1.1"),
    (("notse", "v1.1"), "revdiff notes v1.1"),
    (("diff", "v1.0", "v1.1"), "revdiff compare v1.0 v1.1"),
    (("v1.0", "v1.1"), "revdiff compare v1.0 v1.1"),
    (("changelog", "v1.1"), "revdiff notes v1.1"),
    (("validate",), "revdiff ready"),
    (("bogus",), "revdiff --help"),
]


@pytest.mark.parametrize(("words", "said"), NEAR)
def test_a_wrong_command_is_answered_with_a_near_one(
    run: Run, stranger: Stranger, words: tuple[str, ...], said: str
) -> None:
    done = run(*words, cwd=stranger.root)
    assert (done.returncode, done.stdout) == (2, "")
    assert said in done.stderr
    assert words[0] in done.stderr
