"""The entry point: help that costs little, and exit statuses as documented."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from revdiff import __version__
from revdiff.cli.main import COMMANDS
from tests.conftest import Run


def test_help_lists_every_command_and_the_exit_statuses(run: Run) -> None:
    shown = run("--help")
    assert shown.returncode == 0
    for name in COMMANDS:
        assert f"  {name} " in shown.stdout
    assert "3  faults in the design's data" in shown.stdout


@pytest.mark.parametrize("name", list(COMMANDS))
def test_every_command_has_help(run: Run, name: str) -> None:
    assert run(name, "--help").returncode == 0


def test_version(run: Run) -> None:
    assert run("--version").stdout == f"revdiff {__version__}\n"


def test_help_imports_nothing_heavy() -> None:
    code = (
        "import sys, json\n"
        "sys.argv = ['revdiff', '--help']\n"
        "from revdiff.cli.main import main\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "print(json.dumps(sorted(sys.modules)), file=sys.stderr)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(json.loads(done.stderr))
    assert not loaded & {"git", "rich", "deepdiff", "openpyxl", "revdiff.design", "revdiff.readers", "revdiff.compare"}


def test_an_unknown_command_is_a_usage_error(run: Run) -> None:
    done = run("compair")
    assert done.returncode == 2
    assert "compair" in done.stderr


def test_a_closed_pipe_ends_quietly(demo: Path) -> None:
    command = f"{sys.executable} -m revdiff compare rev-b rev-c --repo {demo} | head -n 1"
    done = subprocess.run(["bash", "-o", "pipefail", "-c", command], capture_output=True, text=True, check=False)
    assert done.stderr == ""


def test_output_is_utf_8_whatever_the_locale(run: Run, demo: Path) -> None:
    plain = run("compare", "rev-a", "rev-b", "--repo", demo)
    other = run("compare", "rev-a", "rev-b", "--repo", demo, LC_ALL="C", PYTHONUTF8="0", PYTHONIOENCODING="ascii")
    assert other.stdout == plain.stdout
    assert "→" in plain.stdout


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full here")
@pytest.mark.parametrize(
    "arguments",
    ["--help", "compare rev-b rev-c --repo {demo}", "schema", "compare rev-b rev-c --repo {demo} --format json"],
)
def test_a_full_disk_ends_in_one_line(demo: Path, arguments: str) -> None:
    command = f"{sys.executable} -m revdiff {arguments.format(demo=demo)} >/dev/full"
    done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (2, "revdiff: the output can't be written: No space left on device\n")


def test_a_contract_never_replaces_a_file(run: Run, demo: Path, tmp_path: Path) -> None:
    file = tmp_path / "needs.csv"
    file.write_text("written by a person")
    done = run("contract", "rev-b", "--repo", demo, "--board", "base", "-o", file)
    assert (done.returncode, done.stderr.count("\n")) == (2, 1)
    assert "is there already" in done.stderr
    assert file.read_text() == "written by a person"


def test_a_contract_is_named_as_the_manifest_takes_it(run: Run, demo: Path, tmp_path: Path) -> None:
    elsewhere = run("contract", "rev-b", "--repo", demo, "--board", "base", "-o", tmp_path / "needs.csv")
    assert 'needs = "needs.csv"' in elsewhere.stdout.splitlines()
    design = tmp_path / "design"
    shutil.copytree(demo, design, symlinks=True, ignore=shutil.ignore_patterns(".git"))
    inside = run("contract", f"folder:{design}", "--board", "base", "-o", design / "base" / "new.csv")
    assert 'needs = "base/new.csv"' in inside.stdout.splitlines()
