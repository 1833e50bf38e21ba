"""``revdiff stack`` and ``revdiff matrix`` as a user runs them."""

from __future__ import annotations

import json
import os
import re
import subprocess
from collections.abc import Mapping
from pathlib import Path

import pytest

from tests.conftest import Run
from tests.stack.support import THREE
from tests.support import SMALL, edit


def write(folder: Path, files: Mapping[str, str]) -> Path:
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder


def git(folder: Path, *arguments: str) -> None:
    environment = {**os.environ, "GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_NOSYSTEM": "1"}
    for role in ("AUTHOR", "COMMITTER"):
        environment |= {f"GIT_{role}_NAME": "test", f"GIT_{role}_EMAIL": "test@example.org"}
    subprocess.run(["git", *arguments], cwd=folder, check=True, env=environment, capture_output=True)


def commit(folder: Path, files: Mapping[str, str], *tags: str) -> None:
    write(folder, files)
    git(folder, "add", "--all")
    git(folder, "commit", "--quiet", "--allow-empty", "--message", tags[0])
    for tag in tags:
        git(folder, "tag", tag)


@pytest.fixture
def repository(tmp_path: Path) -> Path:
    folder = tmp_path / "design"
    folder.mkdir()
    git(folder, "init", "--quiet")
    return folder


WEAK = edit(SMALL, ("base/contacts.csv", "+5V,supply,5 V", "+5V,supply,6 V"))


def test_one_stack_with_its_verdict_and_arithmetic(run: Run, demo: Path) -> None:
    done = run("stack", "base@rev-b", "valves@rev-c", "--repo", demo)
    assert done.returncode == 0
    assert done.stdout.splitlines()[0] == "base@rev-b + valves@rev-c"
    assert done.stdout.splitlines()[1].startswith("does not fit; ")
    text = " ".join(done.stdout.split())
    assert "feed − Σ loads = 6 A − 8 A = −2 A" in text
    assert "current-limited supply" in text


@pytest.mark.parametrize("width", [80, 120])
def test_a_stack_tells_what_is_alike_once_and_each_hazard(run: Run, demo: Path, width: int) -> None:
    members = ("base@rev-b", "radio@rev-c", "valves@rev-c", "--repo", demo)
    page, detail = (run("stack", *members, "--width", width, *more).stdout for more in ((), ("--detail",)))
    assert max(map(len, page.splitlines())) <= width
    assert len(page.splitlines()) <= 50 < len(detail.splitlines())
    text = " ".join(page.split())
    found = json.loads(run("stack", *members, "--format", "json").stdout)["stack"]["findings"]
    assert len(found) > 10
    for item in found:
        assert item["subject"] in text
        assert item["message"] in text or not item["hazard"]
        assert item["message"] in " ".join(detail.split())
    assert text.count("release both boards as a matched set") == 1


def test_a_stack_that_nobody_can_tell_of_says_why_at_once(run: Run, repository: Path) -> None:
    commit(repository, edit(SMALL, ("top/contacts.csv", "J1,3,TX,in", "J1,3,?,in")), "v1")
    lines = run("stack", "base@v1", "top@v1", "--repo", repository, "--width", "120").stdout.splitlines()
    assert lines[1].startswith("cannot tell; ")
    assert lines[2].startswith("Because of: ")


@pytest.mark.parametrize("revision", ["rev-a", "rev-b", "rev-c", "rev-d"])
def test_every_released_set_of_the_demo_fits(run: Run, demo: Path, revision: str) -> None:
    members = [f"{board}@{revision}" for board in ("base", "valves", "radio")]
    done = run("stack", *members, "--repo", demo, "--fail-on", "info", "--format", "json")
    assert done.returncode == 0
    assert json.loads(done.stdout)["stack"]["verdict"] == "fits"


def test_a_break_ends_with_status_1_where_it_is_asked_for(run: Run, demo: Path) -> None:
    assert run("stack", "base@rev-b", "valves@rev-c", "--repo", demo, "--fail-on", "break").returncode == 1


@pytest.mark.parametrize(
    ("members", "message"),
    [
        (["base@rev-b"], "at least two boards"),
        (["base@rev-b", "pump@rev-b"], "has no board 'pump'"),
        (["base@rev-b", "valves@rev-x"], "no tag, branch or commit 'rev-x'"),
        (["base@rev-b", "valves@"], "names no board at a revision"),
    ],
)
def test_a_member_that_is_none_is_one_clear_error(run: Run, demo: Path, members: list[str], message: str) -> None:
    done = run("stack", *members, "--repo", demo)
    assert done.returncode == 2
    assert message in done.stderr
    assert "Traceback" not in done.stderr


def test_a_section_that_cannot_be_read_ends_with_status_3(run: Run, tmp_path: Path) -> None:
    folder = write(tmp_path / "d", edit(SMALL, ("revdiff.toml", "[boards.top]", "[boards.top]\nloads = 1")))
    done = run("stack", f"base@folder:{folder}", f"top@folder:{folder}")
    assert done.returncode == 3
    assert "boards.top.loads" in done.stderr


def test_the_matrix_names_reasons_and_says_in_plain_words_what_fits(run: Run, demo: Path) -> None:
    done = run("matrix", "--repo", demo, "--tags", "rev-[abc]")
    assert done.returncode == 0
    text = " ".join(done.stdout.split())
    assert "radio rev-a, rev-b go with valves up to rev-b." in text
    assert "valves rev-c needs base rev-c." in text
    assert re.search(
        r"\(1\) the supply \+3V3 \(3.3 V\) of radio [^;]*: valves rev-a with radio rev-c \(5 breaks\); ", text
    )
    assert "rev-d" not in text
    assert "Whole stacks of which every pair may fit (5)" in text


def test_the_matrix_as_data_and_as_markdown(run: Run, demo: Path) -> None:
    data = json.loads(run("matrix", "--repo", demo, "--format", "json").stdout)
    assert len(data["pairs"]) == 16 + 12
    assert {item["verdict"] for item in data["pairs"]} == {"fits", "does not fit"}
    assert all(item["because"] for item in data["pairs"] if item["verdict"] == "does not fit")
    page = run("matrix", "--repo", demo, "--format", "markdown").stdout
    assert re.search(
        r"^\| rev-b \| fits, \d{3} of \d{3} \| .*\*\*does not fit, \d{3} of \d{3} \(1\)\*\*", page, re.MULTILINE
    )


def test_tags_of_one_board_each(run: Run, repository: Path) -> None:
    commit(repository, SMALL, "base/rev-a", "top/rev-a")
    commit(repository, WEAK, "base/rev-b")
    done = run("stack", "base@rev-b", "top@rev-a", "--repo", repository, "--format", "json")
    assert json.loads(done.stdout)["stack"]["verdict"] == "does not fit"
    text = " ".join(run("matrix", "--repo", repository).stdout.split())
    assert "top rev-a goes with base rev-a only." in text
    assert "(1) +5V of base is 6 V; top takes 5 V" in text


def test_partners_from_another_repository_and_from_a_folder(run: Run, repository: Path, tmp_path: Path) -> None:
    commit(repository, SMALL, "rev-a")
    other = tmp_path / "other"
    other.mkdir()
    git(other, "init", "--quiet")
    commit(other, edit(SMALL, ("top/contacts.csv", "HEAT,in", "BUZZ,bidirectional")), "v1")
    commit(other, SMALL, "v2")
    text = " ".join(run("matrix", "--repo", repository, "--partner", f"top={other}").stdout.split())
    assert "base rev-a needs top v2; nobody can tell for top v1" in text
    folder = write(tmp_path / "plain", WEAK)
    done = run("stack", "base@rev-a", "top", "--repo", repository, "--partner", f"top={folder}", "--format", "json")
    assert json.loads(done.stdout)["stack"]["pairing"] == "base@rev-a + top@plain"
    assert run("matrix", "--repo", repository, "--partner", "top=nowhere").returncode == 2


def test_a_pairing_known_good_at_other_revisions_teaches_names(run: Run, repository: Path) -> None:
    commit(repository, SMALL, "rev-a")
    known = ("revdiff.toml", "[[joints]]", '[[known_good]]\nboards = ["base@rev-a", "top@rev-b"]\n\n[[joints]]')
    commit(repository, edit(SMALL, ("top/contacts.csv", "HEAT,in", "LOAD,in")), "rev-b")
    commit(repository, edit(SMALL, ("top/contacts.csv", "HEAT,in", "LOAD,in"), known), "rev-c")
    for revision, verdict in (("rev-b", "cannot tell"), ("rev-c", "fits")):
        done = run("stack", f"base@{revision}", f"top@{revision}", "--repo", repository, "--format", "json")
        assert json.loads(done.stdout)["stack"]["verdict"] == verdict


def test_tags_without_a_design_are_left_out_and_told(run: Run, repository: Path) -> None:
    commit(repository, {"README": "nothing yet"}, "v0")
    commit(repository, SMALL, "v1")
    done = run("matrix", "--repo", repository)
    assert done.returncode == 0
    assert "Left out (1)" in done.stdout
    assert run("matrix", "--repo", repository, "--tags", "v0").returncode == 2


def test_the_rules_of_three_boards_in_one_folder(run: Run, tmp_path: Path) -> None:
    folder = write(tmp_path / "three", THREE)
    done = run("stack", *(f"{board}@folder:{folder}" for board in ("base", "mid", "top")))
    assert done.stdout.splitlines()[0] == "base@three + mid@three + top@three"
    assert done.stdout.splitlines()[1].startswith("fits; ")


def test_a_name_in_the_data_moves_no_cursor(run: Run, tmp_path: Path) -> None:
    hostile = edit(SMALL, ("top/contacts.csv", "HEAT,in", "\x1b[2J‮HEAT,in"))
    folder = write(tmp_path / "d", hostile)
    for form in ("terminal", "markdown"):
        done = run("stack", f"base@folder:{folder}", f"top@folder:{folder}", "--format", form)
        assert "\x1b" not in done.stdout
        assert "‮" not in done.stdout


def test_the_coverage_is_printed(run: Run) -> None:
    done = run("explain", "--coverage")
    assert done.returncode == 0
    assert "rules: stack-back-feed" in done.stdout
    assert "not detected" in done.stdout
