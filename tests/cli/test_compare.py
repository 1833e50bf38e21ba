"""``revdiff compare`` on the demo design and on broken requests, as a user meets it."""

from __future__ import annotations

import json
import os
import subprocess
from pathlib import Path

import pytest

from tests.conftest import Run
from tests.support import SMALL, edit


def write(folder: Path, files: dict[str, str] | dict[str, bytes]) -> Path:
    for path, text in files.items():
        target = folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(text if isinstance(text, bytes) else text.encode())
    return folder


@pytest.fixture
def small(tmp_path: Path) -> Path:
    return write(tmp_path / "small", dict(SMALL))


def test_a_compatible_revision_has_changes_and_no_break(run: Run, demo: Path) -> None:
    done = run("compare", "rev-a", "rev-b", "--repo", demo, "--format", "json")
    document = json.loads(done.stdout)
    assert done.returncode == 0
    assert document["changes"]
    assert [item for item in document["findings"] if item["severity"] == "break"] == []


def test_an_incompatible_revision_has_breaks_in_both_crossings(run: Run, demo: Path) -> None:
    document = json.loads(run("compare", "rev-b", "rev-c", "--repo", demo, "--format", "json").stdout)
    pairings = {item["pairing"] for item in document["findings"] if item["severity"] == "break"}
    assert {"base@rev-b + valves@rev-c", "base@rev-c + valves@rev-b"} <= pairings
    assert {"irrigation 1.4.1 + base@rev-c", "irrigation 2.0.0 + base@rev-b"} <= pairings
    assert not any("@rev-c + valves@rev-c" in item for item in pairings)


@pytest.mark.parametrize(("severity", "status"), [("break", 0), ("caution", 1), ("info", 1)])
def test_fail_on_sets_status_1_only_where_asked(run: Run, demo: Path, severity: str, status: int) -> None:
    assert run("compare", "rev-a", "rev-b", "--repo", demo).returncode == 0
    assert run("compare", "rev-a", "rev-b", "--repo", demo, "--fail-on", severity).returncode == status


def test_the_same_input_gives_the_same_bytes(run: Run, demo: Path) -> None:
    for form in ("terminal", "markdown", "json"):
        first = run("compare", "rev-b", "rev-c", "--repo", demo, "--format", form, PYTHONHASHSEED="1")
        again = run("compare", "rev-b", "rev-c", "--repo", demo, "--format", form, PYTHONHASHSEED="2")
        assert first.stdout == again.stdout


def test_a_revision_against_itself_has_no_changes(run: Run, demo: Path) -> None:
    document = json.loads(run("compare", "rev-c", "rev-c", "--repo", demo, "--format", "json").stdout)
    assert document["changes"] == []
    assert document["findings"] == []


def test_tags_folders_and_the_work_tree_hold_the_same_design(run: Run, demo: Path, tmp_path: Path) -> None:
    exported = tmp_path / "rev-d"
    exported.mkdir()
    archive = subprocess.run(["git", "-C", demo, "archive", "rev-d"], capture_output=True, check=True).stdout
    subprocess.run(["tar", "-x", "-C", exported], input=archive, check=True)
    for other in ("worktree", "index", "main", "HEAD", "HEAD~0", str(exported)):
        document = json.loads(run("compare", "rev-d", other, "--repo", demo, "--format", "json").stdout)
        assert document["changes"] == [], other


def test_output_goes_to_a_file_whole(run: Run, demo: Path, tmp_path: Path) -> None:
    target = tmp_path / "report.json"
    done = run("compare", "rev-a", "rev-b", "--repo", demo, "--format", "json", "--output", target)
    assert done.stdout == ""
    assert json.loads(target.read_text())["schema_version"] == "1.4"
    assert [item.name for item in tmp_path.iterdir()] == ["report.json"]


def test_a_file_that_cannot_be_written_is_told_and_nothing_is_left(run: Run, demo: Path, tmp_path: Path) -> None:
    done = run("compare", "rev-a", "rev-b", "--repo", demo, "--output", tmp_path / "missing" / "report.txt")
    assert done.returncode == 2
    assert "can't be written" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_no_colour_in_a_pipe_nor_with_no_color(run: Run, demo: Path) -> None:
    for environment in ({}, {"NO_COLOR": "1"}, {"FORCE_COLOR": "1", "NO_COLOR": "1"}):
        assert "\x1b[3" not in run("compare", "rev-a", "rev-b", "--repo", demo, **environment).stdout


@pytest.mark.parametrize("width", [40, 80, 120])
def test_no_line_is_wider_than_asked(run: Run, demo: Path, width: int) -> None:
    shown = run("compare", "rev-b", "rev-c", "--repo", demo, "--width", str(width)).stdout
    assert max(len(line) for line in shown.splitlines()) <= width


USAGE = [
    (("no-such-tag", "rev-b"), "no-such-tag"),
    (("rev-a", ""), ""),
    (("rev-a", ":/fix"), ":/fix"),
    (("rev-a..rev-b", "rev-b"), "rev-a..rev-b"),
    (("rev-a", "/no/such/folder"), "/no/such/folder"),
    (("--", "-x", "rev-b"), "-x"),
]


@pytest.mark.parametrize(("revisions", "named"), USAGE)
def test_a_revision_that_does_not_exist_ends_in_one_message(
    run: Run, demo: Path, revisions: tuple[str, ...], named: str
) -> None:
    done = run("compare", "--repo", demo, *revisions)
    assert done.returncode == 2
    assert done.stdout == ""
    assert named in done.stderr
    assert "Traceback" not in done.stderr


def test_no_repository_is_told_with_what_to_do(run: Run, tmp_path: Path) -> None:
    done = run("compare", "rev-a", "rev-b", cwd=tmp_path)
    assert done.returncode == 2
    assert "git repository" in done.stderr


def test_a_design_without_manifest_is_told(run: Run, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    done = run("compare", "empty/", "empty/", cwd=tmp_path)
    assert done.returncode == 3
    assert "revdiff.toml" in done.stderr


def test_a_design_in_a_subfolder_is_found_with_design(run: Run, tmp_path: Path) -> None:
    for name in ("one", "two"):
        write(tmp_path / name / "hardware", dict(SMALL))
    done = run("compare", "one/", "two/", "--design", "hardware", "--format", "json", cwd=tmp_path)
    assert json.loads(done.stdout)["changes"] == []


def test_inside_a_repository_the_folder_with_the_manifest_is_the_design(run: Run, tmp_path: Path) -> None:
    folder = write(tmp_path / "repo/hardware", dict(SMALL))
    git = ["git", "-C", str(tmp_path / "repo"), "-c", "user.name=t", "-c", "user.email=t@example.org"]
    for arguments in (["init", "-q"], ["add", "-A"], ["commit", "-qm", "one"], ["tag", "one"]):
        subprocess.run([*git, *arguments], check=True)
    done = run("compare", "one", "worktree", "--format", "json", cwd=folder)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["changes"] == []
    assert run("ready", cwd=folder).returncode == 0


FAULTS: dict[str, tuple[list[tuple[str, str, str]] | dict[str, str | None], str]] = {
    "missing file": ({"base/parts.csv": None}, "base/parts.csv"),
    "duplicate designator": ([("base/parts.csv", "R2,1,4k7", "R1,1,4k7")], "base/parts.csv:3:1"),
    "quantity": ([("base/parts.csv", "R2,1,4k7", "R2,3,4k7")], "base/parts.csv:3:2"),
    "unknown contact": ([("base/contacts.csv", "J1,6,,,,", "J1,9,X,,,")], "base/contacts.csv:7:2"),
    "unreadable value": ([("base/connectors.csv", "joint,6", "joint,six")], "base/connectors.csv:2:3"),
    "path outside": ([("revdiff.toml", '"base/pins.csv"', '"../pins.csv"')], "revdiff.toml"),
    "empty table": ({"top/contacts.csv": ""}, "top/contacts.csv"),
    "binary": ({"top/contacts.csv": "\x00\x01\x02\x03" * 50}, "top/contacts.csv"),
    "manifest": ([("revdiff.toml", "[boards.base]", "[boards.base")], "revdiff.toml:4"),
}


@pytest.mark.parametrize("name", list(FAULTS))
def test_a_data_fault_is_located_and_ends_with_status_3(run: Run, tmp_path: Path, small: Path, name: str) -> None:
    edits, place = FAULTS[name]
    if isinstance(edits, dict):
        broken = {path: text for path, text in {**SMALL, **edits}.items() if text is not None}
    else:
        broken = edit(SMALL, *edits)
    write(tmp_path / "broken", broken)
    done = run("compare", f"{small}/", "broken/", cwd=tmp_path)
    assert done.returncode == 3
    assert place in done.stderr + done.stdout
    assert "Traceback" not in done.stderr


def test_faults_of_both_revisions_and_all_files_are_told_at_once(run: Run, tmp_path: Path) -> None:
    write(tmp_path / "one", {**SMALL, "base/pins.csv": ""})
    write(tmp_path / "two", {**SMALL, "base/parts.csv": "", "top/parts.csv": ""})
    done = run("compare", "one/", "two/", cwd=tmp_path)
    for place in ("base/pins.csv", "base/parts.csv", "top/parts.csv"):
        assert place in done.stderr


def test_allow_faults_compares_and_still_tells_them(run: Run, tmp_path: Path, small: Path) -> None:
    write(tmp_path / "broken", edit(SMALL, ("base/parts.csv", "R2,1,4k7", "R2,3,4k7")))
    done = run("compare", f"{small}/", "broken/", "--allow-faults", cwd=tmp_path)
    assert done.returncode == 0
    assert "base/parts.csv:3:2" in done.stdout


def test_a_huge_file_is_refused_without_being_read(run: Run, tmp_path: Path, small: Path) -> None:
    write(tmp_path / "broken", dict(SMALL))
    with (tmp_path / "broken/base/parts.csv").open("wb") as stream:
        os.truncate(stream.fileno(), 200 * 1024 * 1024)
    done = run("compare", f"{small}/", "broken/", cwd=tmp_path)
    assert done.returncode == 3
    assert "base/parts.csv" in done.stderr
    assert "200" in done.stderr or "209715200" in done.stderr


def test_hostile_text_does_not_reach_the_terminal(run: Run, tmp_path: Path, small: Path) -> None:
    hostile = edit(SMALL, ("base/parts.csv", "R2,1,4k7", "R2,1,\x1b[2Jevil\x07\u202e"))
    write(tmp_path / "hostile", hostile)
    shown = run("compare", f"{small}/", "hostile/", cwd=tmp_path)
    assert "\x1b[2J" not in shown.stdout
    assert "\x07" not in shown.stdout
    assert "\u202e" not in shown.stdout


def test_a_comparison_that_takes_too_long_is_stopped_without_an_answer(run: Run, demo: Path) -> None:
    done = run("compare", "rev-a", "rev-b", "--repo", demo, "--time-limit", "0.001")
    assert (done.returncode, done.stdout) == (3, "")
    assert "revdiff: stopped: this run took more than its limit of 0.001 seconds." in done.stderr
