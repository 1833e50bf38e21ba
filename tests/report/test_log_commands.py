"""What a stranger writes into a design is never obeyed by the CI service that keeps the log of a run.

The marks (common practice, no source): two colons where a line of the log starts, blanks before them or not; two number
signs with a word and a bracket anywhere in a line.
"""

from __future__ import annotations

import io
import json
import re
import subprocess
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from rich.console import Console

from revdiff.report.data import json_text
from revdiff.report.escape import escape
from revdiff.report.page import Page, wrapped
from revdiff.report.visible import visible
from tests.cli.test_compare import write
from tests.conftest import Run
from tests.support import SMALL, edit


def obeyed(log: str) -> list[str]:
    """The lines of a log that start or hold a command."""
    return [line for line in log.splitlines() if line.lstrip().startswith("::") or re.search(r"##[^ \[]*\[", line)]


def test_the_search_finds_commands() -> None:
    log = "::error::a\n  ::group::b\nx ##vso[task.y]z\nx ##[error]\nstd::vector\nis ::no command\na ## b [c]\n"
    assert len(obeyed(log)) == 4


COMMANDS = ["::error file=a::b", " ::warning::x", "##vso[task.setvariable variable=a]b", "##[error]x", "x ##[group]y"]


@pytest.mark.parametrize("text", COMMANDS)
def test_a_command_is_broken_up_in_a_line_of_text(text: str) -> None:
    assert obeyed(text)
    assert not obeyed(visible(text))
    assert visible(text).replace("\\", "").split() == text.split()


@pytest.mark.parametrize("text", ["std::vector", "a:b", "12::30", "## notes", "#1", "A##B", "fe80::1 on J1"])
def test_what_no_service_obeys_stays_as_it_is(text: str) -> None:
    assert visible(text) == text


@given(st.text(alphabet=":# a[]\n", max_size=80), st.integers(40, 60), st.integers(0, 4))
def test_no_wrapping_makes_a_command(text: str, width: int, indent: int) -> None:
    assert not obeyed("\n".join(wrapped(text, width, indent)))
    page = io.StringIO()
    console = Console(file=page, width=width, highlight=False, emoji=False)
    Page(console).put(Page(console).text(text), indent, hang=2)
    assert not obeyed(page.getvalue())


@pytest.mark.parametrize("at", range(36, 42))
def test_a_word_that_is_cut_at_the_width_starts_no_command(at: int) -> None:
    word = "a" * at + "::error::b"
    assert not obeyed("\n".join(wrapped(word, 40, hang=0)))


@given(st.text(alphabet=":# a[]", max_size=60))
def test_json_says_the_same_without_a_command(text: str) -> None:
    page = json_text({text: text})
    assert json.loads(page) == {text: text}
    assert page.isascii()
    assert not obeyed(page)


@pytest.mark.parametrize("text", COMMANDS)
def test_markdown_shows_it_and_is_not_obeyed(text: str) -> None:
    page = escape(text, start=True)
    assert not obeyed(page)
    assert "error" not in text or "error" in MarkdownIt("commonmark").render(page)


LONG = "a" * 93 + "::error::long"
OLD = edit(SMALL, ("revdiff.toml", 'name = "pair"', 'name = "::error::pair"\ntitle = "##[error]title"'))
NEW = edit(
    OLD,
    ("revdiff.toml", 'version = "1.0"', 'version = "::error::1.0"'),
    ("base/parts.csv", "R2,1,4k7", 'R2,1,"x\n::error::value ##vso[a.b]c"'),
    ("base/parts.csv", "LED red", LONG),
    ("base/pins.csv", "PA0,LED", "PA0,::error::LED"),
    ("base/pins.csv", "PA3,RX", "PA3,##[error]RX"),
    ("base/contacts.csv", "J1,3,TX", "J1,3,::error::TX"),
    ("base/contacts.csv", "J1,4,RX", f"J1,4,{LONG}"),
    ("blink.csv", "HEAT,2", "##vso[task.x]HEAT,9"),
    ("top/parts.csv", "R1,1,10k", "R1,3,::error::10k"),
)
CALLS = [
    "compare old/ new/",
    "compare old/ new/ --width 40",
    "compare old/ new/ --format markdown",
    "compare old/ new/ --format json",
    "notes old/ new/",
    "pins old/ new/",
    "pins old/ new/ --format markdown",
    "pins old/ new/ --format json",
    "pins new/ --export c --board base",
    "pins old/ new/ --export c --board base",
    "pins new/ --export dts --board base",
    "pins new/ --export csv --board base",
    "pins new/ --export json --board base",
    "ready new/",
    "ready new/ --format json",
    "check old/ new/",
    "contract new/ --board base",
    "contract new/ --board base --name ##[x] -o needs.csv",
    "init new/ --dry-run",
    "matrix --repo repo",
    "matrix --repo repo --format markdown",
    "matrix --repo repo --format json",
    "matrix --repo repo --firmware",
    "matrix --repo repo --firmware --format markdown",
    "matrix --repo repo --firmware --format json",
    "stack base@one top@two --repo repo",
    "stack base@one top@two --repo repo --format markdown",
    "stack base@one top@two --repo repo --format json",
    "explain ::error::x",
    "compare ##[error]x ::error::y --repo repo",
    "compare old/ new/ -o ::error::/##[x]/y",
    "##[error]x",
    "compare old/ new/ a\n::error::b",
    "compare old/ new/ --format ##[x]",
    "demo ##[error]demo",
]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("log")
    write(folder / "old", dict(OLD))
    write(folder / "new", dict(NEW))
    write(folder / "new" / "other", {"##[error] parts.csv": "Designator,Value\nR1,::error::\n"})
    git = ["git", "-C", str(folder / "repo"), "-c", "user.name=t", "-c", "user.email=t@example.org"]
    for tag, files in (("one", OLD), ("two", NEW)):
        write(folder / "repo", dict(files))
        if tag == "one":
            subprocess.run([*git, "init", "-q"], check=True)
        for arguments in (["add", "-A"], ["commit", "-qm", tag], ["tag", "-am", "::error::said\n##[error]", tag]):
            subprocess.run([*git, *arguments], check=True)
    return folder


@pytest.mark.parametrize("call", CALLS)
def test_no_command_prints_what_a_log_obeys(run: Run, folder: Path, call: str) -> None:
    done = run(*call.split(" "), cwd=folder)
    assert done.stdout or done.stderr
    assert "Traceback" not in done.stderr
    assert "internal error" not in done.stderr
    assert obeyed(done.stdout) == []
    assert obeyed(done.stderr) == []
