"""``revdiff init``: from a folder of tables to a manifest that the first compare works with."""

from __future__ import annotations

import json
import shutil
import tomllib
from pathlib import Path

import pytest

from tests.cli.test_compare import write
from tests.conftest import Run
from tests.support import SMALL

DEMO = Path(__file__).parents[2] / "example_revs"


@pytest.fixture
def bare(tmp_path: Path) -> Path:
    """Revision B of the demo design without its manifest."""
    folder = tmp_path / "greenhouse"
    shutil.copytree(DEMO / "rev-b", folder)
    (folder / "revdiff.toml").unlink()
    return folder


def test_it_finds_the_boards_tables_joints_and_contracts_of_the_demo(run: Run, bare: Path) -> None:
    assert run("init", bare).returncode == 0
    written = tomllib.loads((bare / "revdiff.toml").read_text())
    kept = tomllib.loads((DEMO / "rev-b/revdiff.toml").read_text())
    assert set(written["boards"]) == set(kept["boards"])
    for name, board in kept["boards"].items():
        for table in ("pins", "connectors", "contacts"):
            assert written["boards"][name][table] == board[table]
        assert written["boards"][name]["parts"] == board["parts"]["file"]
    assert {frozenset((item["a"], item["b"])) for item in written["joints"]} == {
        frozenset((item["a"], item["b"])) for item in kept["joints"]
    }
    assert {(item["board"], item["device"], item["needs"]) for item in written["firmware"].values()} == {
        (item["board"], item["device"], item["needs"]) for item in kept["firmware"].values()
    }


def test_the_first_compare_works(run: Run, bare: Path) -> None:
    run("init", bare)
    done = run("compare", f"{bare}/", f"{DEMO / 'rev-b'}/", "--format", "json")
    assert done.returncode == 0
    kinds = {item["kind"] for item in json.loads(done.stdout)["changes"]}
    assert kinds <= {"design.field", "contract.changed"}


def test_only_the_manifest_is_written(run: Run, bare: Path) -> None:
    before = {path: path.read_bytes() for path in bare.rglob("*") if path.is_file()}
    run("init", bare)
    after = {path: path.read_bytes() for path in bare.rglob("*") if path.is_file()}
    assert after.pop(bare / "revdiff.toml")
    assert after == before


def test_a_dry_run_writes_nothing(run: Run, bare: Path) -> None:
    done = run("init", bare, "--dry-run")
    assert tomllib.loads(done.stdout)["boards"]
    assert not (bare / "revdiff.toml").exists()


def test_it_says_what_it_found_and_why(run: Run, bare: Path) -> None:
    told = run("init", bare).stderr
    assert "base/parts.csv: base: parts; 140 parts; columns designator" in told
    assert "joint base.J1 with valves.J1, contacts same: 20 of 20 meet their own signal" in told


def test_a_manifest_that_is_there_is_left_alone(run: Run, bare: Path) -> None:
    (bare / "revdiff.toml").write_text("mine")
    done = run("init", bare)
    assert done.returncode == 2
    assert (bare / "revdiff.toml").read_text() == "mine"


def test_a_single_board_in_one_folder_is_named_after_the_folder(run: Run, tmp_path: Path) -> None:
    folder = write(
        tmp_path / "Weather Station",
        {"bom.csv": SMALL["base/parts.csv"], "pinout.csv": SMALL["base/pins.csv"], "notes.txt": "nothing to see\n"},
    )
    assert run("init", folder).returncode == 0
    boards = tomllib.loads((folder / "revdiff.toml").read_text())["boards"]
    assert boards == {"weather-station": {"revision": "", "parts": "bom.csv", "pins": "pinout.csv"}}


def test_files_named_after_boards_make_boards(run: Run, tmp_path: Path) -> None:
    files = {
        f"{board}_{table}.csv": SMALL[f"{board}/{table}.csv"]
        for board in ("base", "top")
        for table in ("parts", "contacts")
    }
    folder = write(tmp_path / "flat", files)
    assert run("init", folder).returncode == 0
    manifest = tomllib.loads((folder / "revdiff.toml").read_text())
    assert set(manifest["boards"]) == {"base", "top"}
    assert manifest["joints"] == [{"a": "base.J1", "b": "top.J1", "contacts": "same"}]


def test_a_folder_without_tables_is_told(run: Run, tmp_path: Path) -> None:
    folder = write(tmp_path / "empty", {"README.md": "# Nothing\n"})
    done = run("init", folder)
    assert done.returncode == 3
    assert "header row" in done.stderr
    assert not (folder / "revdiff.toml").exists()


def test_odd_names_stay_inside_their_strings(run: Run, tmp_path: Path) -> None:
    folder = write(tmp_path / "odd", {'a"b\\c/parts list.csv': SMALL["base/parts.csv"]})
    done = run("init", folder)
    if done.returncode == 0:
        assert tomllib.loads((folder / "revdiff.toml").read_text())["boards"]
