"""The entry point: help that costs little, and exit statuses as documented."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import click
import pytest

from revdiff import __version__
from revdiff.cli.group import cli
from revdiff.cli.overview import COMMANDS, is_wide, overview
from tests.conftest import Run

pytestmark = pytest.mark.slow


def test_help_lists_every_command_and_the_exit_statuses(run: Run) -> None:
    shown = run("--help")
    assert shown.returncode == 0
    for name in COMMANDS:
        assert f"  {name} " in shown.stdout
    assert "3  faults in the design's data" in shown.stdout


@pytest.mark.parametrize("columns", ["50", "79", "80", "200"])
def test_the_quick_help_is_the_help_of_the_group(columns: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", columns)

    shown = click.Context(cli, info_name="revdiff", help_option_names=["-h", "--help"]).get_help() + "\n"

    assert is_wide() == (int(columns) >= 80)
    assert (overview() == shown) == is_wide()


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
    environment = {**os.environ, "COLUMNS": "80"}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=environment)
    loaded = set(json.loads(done.stderr))
    assert not loaded & {
        "click",
        "git",
        "rich",
        "deepdiff",
        "openpyxl",
        "revdiff.design",
        "revdiff.readers",
        "revdiff.compare.comparison",
    }


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


@pytest.mark.parametrize(("options", "status"), [("", 0), ("--fail-on break", 1)])
@pytest.mark.parametrize("form", ["terminal", "markdown", "json"])
def test_a_pipe_that_is_closed_early_hides_no_status(demo: Path, options: str, status: int, form: str) -> None:
    command = f"{sys.executable} -m revdiff compare rev-b rev-c --repo {demo} --format {form} {options}"
    script = f"{command} | head -n 1 >/dev/null; echo ${{PIPESTATUS[0]}}"
    done = subprocess.run(["bash", "-c", script], capture_output=True, text=True, check=False)
    assert (done.stdout, done.stderr) == (f"{status}\n", "")


@pytest.mark.parametrize(
    "arguments", ["--help", "compare rev-b rev-c --repo {demo}", "schema", "notes rev-b rev-c --repo {demo}"]
)
def test_a_standard_output_that_is_closed_is_told_in_one_line(demo: Path, arguments: str) -> None:
    command = f"{sys.executable} -m revdiff {arguments.format(demo=demo)} >&-"
    done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (2, "revdiff: the output can't be written: Bad file descriptor\n")


def test_closed_streams_do_not_matter_where_the_output_goes_to_a_file(demo: Path, tmp_path: Path) -> None:
    target = tmp_path / "report.json"
    command = f"{sys.executable} -m revdiff compare rev-b rev-c --repo {demo} --format json -o {target} >&- 2>&-"
    assert subprocess.run(["bash", "-c", command], check=False).returncode == 0
    assert json.loads(target.read_text())["schema_version"]


BROKEN = """
import sys
from revdiff.cli import group, main
def command(*_, **__):
    raise {error}
group.cli.get_command = lambda *_: group.click.Command("x", callback=command)
sys.argv = ["revdiff", "x"]
main.main()
"""


@pytest.mark.parametrize(
    "error", ["ValueError('::error::a\\n##[b]')", "OSError(5, 'broken', 'file')", "RecursionError()"]
)
def test_an_internal_error_has_a_status_of_its_own_and_one_message(error: str) -> None:
    code = BROKEN.format(error=error)
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (4, "")
    assert all(line.startswith("    ") for line in done.stderr.splitlines()[1:])
    assert done.stderr.startswith(f"revdiff: internal error, {error.partition('(')[0]} at revdiff/cli/main.py:")
    assert "report it" in " ".join(done.stderr.split())
    assert "##[" not in done.stderr


def test_the_way_to_an_internal_error_is_shown_on_request() -> None:
    code, environment = BROKEN.format(error="ValueError('a')"), {**os.environ, "REVDIFF_TRACEBACK": "1"}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, env=environment)
    assert done.returncode == 4
    assert "Traceback" in done.stderr
    assert "in _run" in done.stderr
