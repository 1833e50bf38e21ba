"""``revdiff matrix --firmware``: every firmware release on every revision of its board."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.conftest import Run


def test_each_release_has_a_line_for_each_revision(run: Run, demo: Path) -> None:
    done = run("matrix", "--firmware", "--repo", demo)
    assert done.returncode == 0
    row = next(line for line in done.stdout.splitlines() if line.startswith("irrigation 1.4.1"))
    assert row.split()[2:9] == ["fits", "as", "released", "does", "not", "fit", "does"]
    text = " ".join(done.stdout.split())
    assert "irrigation 1.4.0 on rev-c; irrigation 1.4.1 on rev-c: HEAT_EN [firmware-output-contention]" in text


def test_json_and_markdown_hold_it_too(run: Run, demo: Path) -> None:
    assert json.loads(run("matrix", "--firmware", "--repo", demo, "--format", "json").stdout)
    assert "irrigation 1.4.1" in run("matrix", "--firmware", "--repo", demo, "--format", "markdown").stdout


def test_a_break_ends_with_status_1_where_asked(run: Run, demo: Path) -> None:
    assert run("matrix", "--firmware", "--repo", demo, "--fail-on", "break").returncode == 1
    compatible = ("matrix", "--firmware", "--repo", demo, "--tags", "rev-[ab]", "--fail-on", "break")
    assert run(*compatible).returncode == 0


def test_partners_have_no_place_in_it(run: Run, demo: Path) -> None:
    done = run("matrix", "--firmware", "--repo", demo, "--partner", f"base={demo}")
    assert done.returncode == 2
    assert "--partner" in done.stderr


def test_the_coverage_names_stacking_and_firmware(run: Run) -> None:
    shown = run("explain", "--coverage").stdout
    assert "Stacked boards\n" in shown
    assert "Firmware\n" in shown
    assert "firmware-drives-other-load" in shown


@pytest.mark.parametrize("options", [(), ("--firmware",)])
@pytest.mark.parametrize("named", ["HEAD:revdiff.toml", "HEAD^{tree}"])
def test_a_tag_of_no_commit_is_left_out_and_told(
    run: Run, demo: Path, tmp_path: Path, options: tuple[str, ...], named: str
) -> None:
    copy = tmp_path / "copy"
    shutil.copytree(demo, copy, symlinks=True)
    subprocess.run(["git", "-C", copy, "tag", "stray", named], check=True)
    done = run("matrix", *options, "--repo", copy)
    assert done.returncode == 0
    assert "stray" in done.stdout
    assert "not a commit" in " ".join(done.stdout.split())
