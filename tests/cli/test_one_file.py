"""``revdiff compare`` of one file in two revisions, and of a file with a revision."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.strangers import BOM_1, BOM_2, Stranger
from tests.conftest import Run


@pytest.fixture
def stranger(tmp_path: Path) -> Stranger:
    shop = Stranger(tmp_path / "sensor")
    shop.release("v1.0", {"hw/bom.csv": BOM_1})
    shop.release("v1.1", {"hw/bom.csv": BOM_2, "hw/old name.csv": BOM_1})
    return shop


def told(run: Run, *names: str, cwd: Path) -> list[tuple[str, str]]:
    done = run("compare", *names, "--format", "json", cwd=cwd)
    assert done.returncode == 0, done.stderr
    return [(item["kind"], item["subject"]) for item in json.loads(done.stdout)["changes"]]


NAMES = [
    ("v1.0:hw/bom.csv", "v1.1:hw/bom.csv"),
    ("v1.1:hw/old name.csv", "v1.1:hw/bom.csv"),
    ("tag:v1.0:hw/bom.csv", "worktree:hw/bom.csv"),
    ("HEAD~1:hw/bom.csv", "index:hw/bom.csv"),
    ("v1.0", "hw/bom.csv"),
    ("v1.0", "file:hw/bom.csv"),
    ("v1.0", "v1.1:hw/bom.csv"),
    ("v1.0:hw/bom.csv", "v1.1"),
    ("v1.0:hw/bom.csv", "hw/bom.csv"),
]


@pytest.mark.parametrize(("old", "new"), NAMES)
def test_one_file_of_two_revisions_is_compared(run: Run, stranger: Stranger, old: str, new: str) -> None:
    assert told(run, old, new, cwd=stranger.root) == [("part.value", "R3")]


def test_paths_start_at_the_root_and_with_a_dot_where_the_user_stands(run: Run, stranger: Stranger) -> None:
    for path in ("hw/bom.csv", "./bom.csv"):
        changes = told(run, f"v1.0:{path}", f"v1.1:{path}", cwd=stranger.root / "hw")
        assert changes == [("part.value", "R3")]


def test_the_report_names_revision_and_file(run: Run, stranger: Stranger) -> None:
    done = run("compare", "v1.0:hw/bom.csv", "v1.1:hw/bom.csv", cwd=stranger.root)
    assert "v1.0:hw/bom.csv → v1.1:hw/bom.csv" in done.stdout


def test_a_file_of_that_name_never_stands_in_for_a_revisions(run: Run, stranger: Stranger) -> None:
    stranger.write("v1.0:hw/bom.csv", BOM_2.encode())
    stranger.write("v1.0", BOM_2.encode())
    assert told(run, "v1.0:hw/bom.csv", "v1.1:hw/bom.csv", cwd=stranger.root) == [("part.value", "R3")]
    assert told(run, "v1.0", "hw/bom.csv", cwd=stranger.root) == [("part.value", "R3")]


WRONG = [
    (("v1.0:hw/none.csv", "v1.1:hw/bom.csv"), 3, "v1.0:hw/none.csv: there is no such file"),
    (("v9:hw/bom.csv", "v1.1:hw/bom.csv"), 2, "v9"),
    (("v1.0:../bom.csv", "v1.1:hw/bom.csv"), 3, "leads out of it"),
    (("v1.0:hw", "v1.1:hw/bom.csv"), 3, "is a folder; a file is expected"),
    (("v1.0:", "v1.1:hw/bom.csv"), 2, "v1.0:"),
    (("v1.0", "../outside.csv"), 2, "outside the repository"),
]


@pytest.mark.parametrize(("names", "status", "said"), WRONG)
def test_what_is_wrong_is_told_in_one_message(
    run: Run, stranger: Stranger, names: tuple[str, str], status: int, said: str
) -> None:
    (stranger.root.parent / "outside.csv").write_text(BOM_1)
    done = run("compare", *names, cwd=stranger.root)
    assert (done.returncode, done.stdout) == (status, "")
    assert said in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("names", [("check", "v1.0:hw/bom.csv", "v1.1:hw/bom.csv"), ("ready", "v1.0:hw/bom.csv")])
def test_a_check_and_a_look_take_no_single_files(run: Run, stranger: Stranger, names: tuple[str, ...]) -> None:
    assert run(*names, cwd=stranger.root).returncode == 2
