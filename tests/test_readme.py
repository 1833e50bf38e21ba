"""Every command that README.md and the guide show is run here, and prints what they show.

In a ``console`` block a line that starts with ``$`` is a command and the lines below it its output; a line ``…``
stands for any lines. The set-up commands of the ``sh`` blocks are run by CI, word for word.
"""

from __future__ import annotations

import json
import os
import re
import shlex
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from revdiff.cli.overview import COMMANDS
from revdiff.judge.registry import ALL
from revdiff.report.guide import topic_text, topics

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
PAGES = {"README.md": README, **{name: topic_text(name) for name in topics()}}


def blocks(language: str, page: str = README) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```$", page, re.MULTILINE | re.DOTALL)


def shown_commands(page: str) -> list[tuple[str, str]]:
    found = []
    for block in blocks("console", page):
        for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            command, _, output = part.partition("\n")
            found.append((command, output))
    return found


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("readme")


def call(command: str, folder: Path) -> str:
    words = shlex.split(command)
    assert words[0] == "revdiff"
    done = subprocess.run(
        [sys.executable, "-m", *words],
        cwd=folder,
        env={**os.environ, "COLUMNS": "100"},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode in (0, 1), done.stderr
    return done.stdout


def matches(shown: str, printed: str) -> bool:
    """Whether ``printed`` is what is shown, where a line ``…`` stands for any lines."""
    pieces = [re.escape(piece) for piece in re.split(r"^…\n", shown, flags=re.MULTILINE)]
    return re.fullmatch("(?:.*\n)*".join(pieces), printed) is not None


@pytest.mark.parametrize(("page", "least"), [("tour", 4), ("README.md", 1)])
def test_a_page_prints_what_it_shows(folder: Path, page: str, least: int) -> None:
    """The tour makes the demo that the others look at."""
    commands = shown_commands(PAGES[page])
    assert len(commands) >= least
    for command, shown in commands:
        printed = call(command, folder)
        assert matches(shown, printed), f"$ {command}\n{printed}"


def test_no_other_page_shows_a_command_that_nobody_runs() -> None:
    assert {name for name, page in PAGES.items() if shown_commands(page)} == {"README.md", "tour"}


def test_every_command_and_option_that_a_page_names_exists() -> None:
    for page in PAGES.values():
        for name in re.findall(r"`revdiff ([a-z]+)", page):
            assert name in COMMANDS, name
    assert set(COMMANDS) - {"demo", "guide", "schema"} <= set(re.findall(r"`revdiff ([a-z]+)", "".join(PAGES.values())))


def test_every_page_that_is_pointed_to_is_there() -> None:
    for page in PAGES.values():
        for name in re.findall(r"\]\((?:revdiff/guide/)?([a-z]+)\.md\)", page):
            assert name in topics()
    assert set(re.findall(r"revdiff/guide/([a-z]+)\.md", README)) == set(topics())
    assert {path.stem for path in (ROOT / "revdiff/guide").glob("*.md")} == set(topics())


def test_the_start_is_a_start() -> None:
    assert len(README.splitlines()) <= 100


def test_a_line_that_is_not_printed_is_noticed() -> None:
    assert matches("a\n…\nc\n", "a\nb\nb\nc\n")
    assert not matches("a\n…\nd\n", "a\nb\nc\n")


def test_ci_runs_the_readmes_test_command_word_for_word() -> None:
    setups = [block.strip() for block in blocks("sh")]
    assert len(setups) == 2
    script = (ROOT / ".ci/run").read_text(encoding="utf-8").splitlines()
    assert setups[1] in script


def test_the_first_set_up_command_runs_after_its_installation(folder: Path) -> None:
    """The part after the installation, which CI has done; ``demo`` is made anew."""
    for part in blocks("sh")[0].strip().split(" && ")[2:]:
        words = shlex.split(part)
        assert words[0] == ".venv/bin/revdiff"
        place = folder / "setup"
        place.mkdir(exist_ok=True)
        call(shlex.join(["revdiff", *words[1:]]), place)


def test_the_manifest_shown_is_valid_toml_with_the_sections_described() -> None:
    manifest = tomllib.loads(blocks("toml", PAGES["data"])[0])
    assert set(manifest) == {"design", "boards", "joints", "firmware"}


def test_every_rule_that_is_named_exists() -> None:
    names = {rule.name for rule in ALL}
    used = set(re.findall(r"\[((?:joint|firmware|part|release|stack)-[a-z-]+)\]", "".join(PAGES.values())))
    assert used <= names


@pytest.fixture(scope="module")
def clone(demo: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A clone whose branch holds revision C, of a repository whose main branch is at revision B."""
    folder = tmp_path_factory.mktemp("ci")
    git = ("git", "-c", "user.name=t", "-c", "user.email=t@example.org")
    for arguments in (
        ("clone", "-q", demo, "upstream"),
        ("-C", "upstream", "reset", "-q", "--hard", "rev-b"),
        ("clone", "-q", "upstream", "clone"),
        ("-C", "clone", "checkout", "-q", "-b", "change"),
        ("-C", "clone", "rm", "-q", "-r", "."),
        ("-C", "clone", "checkout", "rev-c", "--", "."),
        ("-C", "clone", "commit", "-q", "-m", "Respin"),
    ):
        subprocess.run([*git, *arguments], cwd=folder, check=True, capture_output=True)
    return folder / "clone"


def in_shell(script: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """Runs a script as CI does, with the installed ``revdiff`` on the path."""
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    command = ["bash", "-e", "-c", script]
    return subprocess.run(
        command, cwd=folder, env={**os.environ, "PATH": path}, capture_output=True, text=True, check=False
    )


def test_the_ci_example_fails_on_a_break_and_leaves_its_reports(clone: Path) -> None:
    (example,) = blocks("bash", PAGES["output"])
    done = in_shell(example, clone)
    assert (done.returncode, done.stderr) == (1, "")
    assert re.search(r"\b[1-9][0-9]* breaks", done.stdout)
    assert (clone / "review.md").read_text(encoding="utf-8").startswith("# Open greenhouse controller: check of ")
    assert json.loads((clone / "review.sarif").read_text())["version"] == "2.1.0"
    assert "<failure " in (clone / "review.xml").read_text(encoding="utf-8")


def test_the_hooks_call_commands_that_there_are(clone: Path) -> None:
    hooks = (ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8")
    entries = dict(re.findall(r"^- id: (\S+)\n(?:  .*\n)*?  entry: (.*)$", hooks, re.MULTILINE))
    assert list(entries) == ["revdiff-ready", "revdiff-check"]
    assert in_shell(entries["revdiff-ready"], clone).returncode == 0
    assert in_shell(entries["revdiff-check"], clone).returncode == 1
