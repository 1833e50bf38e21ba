"""``revdiff ready``."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.test_compare import write
from tests.conftest import Run
from tests.support import SMALL, edit

LISTED = edit(
    SMALL,
    ("base/parts.csv", "D1,1,LED", "J1,1,header,THT,PH-6,,,,yes,active,0.10\nD1,1,LED"),
    ("top/parts.csv", "R1,1,10k,0603,RA-10K", "R1,1,10k,0603,RA-10K\nJ1,1,socket,THT,PS-6"),
)
WRONG = edit(LISTED, ("blink.csv", "LED,1", "LED,6"))


@pytest.mark.parametrize("revision", ["rev-a", "rev-b", "rev-c", "rev-d"])
def test_the_demo_agrees_with_itself(run: Run, demo: Path, revision: str) -> None:
    done = run("ready", revision, "--repo", demo, "--fail-on", "drift")
    assert done.returncode == 0
    assert "the documents agree" in done.stdout


def test_without_a_revision_the_work_tree_or_the_folder_is_taken(run: Run, demo: Path, tmp_path: Path) -> None:
    assert run("ready", "--repo", demo).stdout.startswith("work tree: 0 contradictions")
    write(tmp_path / "plain", LISTED)
    assert "0 contradictions" in run("ready", "--repo", tmp_path / "plain").stdout


def test_a_contradiction_is_located_on_both_sides(run: Run, tmp_path: Path) -> None:
    write(tmp_path / "wrong", WRONG)
    done = run("ready", "wrong/", cwd=tmp_path)
    assert (
        "on pin 6 in the contract, on 1 in the pin map (blink.csv:2:2 and base/pins.csv:2:2) [need-pin]" in done.stdout
    )
    assert done.returncode == 0
    assert run("ready", "wrong/", "--fail-on", "drift", cwd=tmp_path).returncode == 1


def test_json_holds_the_same(run: Run, tmp_path: Path) -> None:
    write(tmp_path / "wrong", WRONG)
    data = json.loads(run("ready", "wrong/", "--format", "json", cwd=tmp_path).stdout)
    assert [item["id"] for item in data["contradictions"]] == ["need-pin/base/blink 1.0: LED"]


def test_data_faults_end_with_status_3(run: Run, tmp_path: Path) -> None:
    write(tmp_path / "faulty", edit(LISTED, ("base/parts.csv", "R2,1,4k7", "R2,3,4k7")))
    done = run("ready", "faulty/", cwd=tmp_path)
    assert done.returncode == 3
    assert "base/parts.csv:3:2" in done.stdout
