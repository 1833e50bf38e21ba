"""``revdiff check`` as a user calls it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.test_compare import write
from tests.cli.test_ready import LISTED, WRONG
from tests.conftest import Run
from tests.support import edit


def test_check_tells_what_a_change_brings_and_what_it_cures(run: Run, tmp_path: Path) -> None:
    write(tmp_path / "good", LISTED)
    write(tmp_path / "wrong", WRONG)
    brings = run("check", "folder:good", "folder:wrong", "--fail-on", "contradiction", cwd=tmp_path)
    assert brings.returncode == 1
    assert "1 new contradiction" in brings.stdout
    cures = run("check", "folder:wrong", "folder:good", "--fail-on", "contradiction", cwd=tmp_path)
    assert cures.returncode == 0
    assert "Contradictions that it cures (1)" in cures.stdout


def test_check_does_not_blame_a_change_for_what_was_so_before(run: Run, tmp_path: Path) -> None:
    write(tmp_path / "base", WRONG)
    write(tmp_path / "change", edit(WRONG, ("base/parts.csv", "R2,1,4k7", "R2,1,5k6")))
    done = run("check", "folder:base", "folder:change", "--fail-on", "contradiction", cwd=tmp_path)
    assert done.returncode == 0
    assert "0 new contradictions" in done.stdout


def test_a_break_fails_a_check_unless_that_is_switched_off(run: Run, demo: Path) -> None:
    assert run("check", "rev-a", "rev-b", "--repo", demo).returncode == 0
    assert run("check", "rev-b", "rev-c", "--repo", demo).returncode == 1
    assert run("check", "rev-b", "rev-c", "--repo", demo, "--fail-on", "never").returncode == 0


def test_a_check_that_takes_too_long_is_stopped_without_an_answer(run: Run, demo: Path) -> None:
    done = run("check", "rev-a", "rev-b", "--repo", demo, "--time-limit", "0.001")
    assert (done.returncode, done.stdout) == (3, "")
    assert "revdiff: stopped: this run took more than its limit of 0.001 seconds." in done.stderr
    assert "--time-limit" in done.stderr


def test_without_a_time_limit_a_check_says_what_it_says_within_one(run: Run, demo: Path) -> None:
    free, bound = (run("check", "rev-a", "rev-b", "--repo", demo, "--time-limit", text) for text in ("0", "600"))
    assert (free.returncode, free.stdout) == (bound.returncode, bound.stdout)


@pytest.mark.parametrize("limit", ["nan", "-1", "soon"])
def test_a_time_limit_is_a_number_of_seconds(limit: str, run: Run, demo: Path) -> None:
    done = run("check", "rev-a", "rev-b", "--repo", demo, "--time-limit", limit)
    assert (done.returncode, done.stdout) == (2, "")
    assert limit in done.stderr
