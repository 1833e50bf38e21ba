"""Long output on a terminal goes through the user's pager; elsewhere, and where it is switched off, it doesn't."""

from __future__ import annotations

import os
import struct
import subprocess
import sys
from pathlib import Path

import pytest

fcntl = pytest.importorskip("fcntl")
pty = pytest.importorskip("pty")
termios = pytest.importorskip("termios")

pytestmark = pytest.mark.slow

LONG = ("compare", "rev-b", "rev-c", "--detail")
SHORT = ("explain", "joint-pitch")
MARK = "PAGED"


@pytest.fixture
def pager(tmp_path: Path) -> str:
    """A pager that says that it was there."""
    script = tmp_path / "pager"
    script.write_text(f"#!/bin/sh\necho {MARK} $1\ncat\n")
    script.chmod(0o755)
    return str(script)


def on_terminal(*words: str | Path, rows: str = "40", **environment: str) -> tuple[int, str]:
    """Exit status and what a terminal of so many rows shows."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", int(rows), 100, 0, 0))
    dropped = ("PAGER", "GIT_PAGER", "COLUMNS", "LINES", "NO_COLOR")
    kept = {name: value for name, value in os.environ.items() if name not in dropped}
    command = [sys.executable, "-W", "error", "-m", "revdiff", *map(str, words)]
    done = subprocess.Popen(
        command, stdin=theirs, stdout=theirs, stderr=theirs, env={**kept, "TERM": "xterm", **environment}
    )
    os.close(theirs)
    shown = b""
    while True:
        try:
            piece = os.read(ours, 65536)
        except OSError:
            break
        if not piece:
            break
        shown += piece
    os.close(ours)
    return done.wait(), shown.decode()


def test_long_output_is_paged_with_its_colours(demo: Path, pager: str) -> None:
    status, shown = on_terminal(*LONG, "--repo", demo, PAGER=pager)
    assert status == 0
    assert shown.startswith(MARK)
    assert "\x1b[" in shown
    assert "GNSS_PPS" in shown


def test_the_pager_of_git_comes_first_and_may_have_arguments(demo: Path, pager: str) -> None:
    _, shown = on_terminal(*LONG, "--repo", demo, PAGER="false", GIT_PAGER=f"{pager} 'with words'")
    assert shown.startswith(f"{MARK} with words")


PLAIN = [{"PAGER": "cat"}, {"PAGER": ""}, {"PAGER": "no-such-program"}, {"GIT_PAGER": "", "PAGER": "{pager}"}]
PLAIN += [{"PAGER": "'"}, {"TERM": "dumb", "PAGER": "{pager}"}]


@pytest.mark.parametrize("environment", PLAIN)
def test_without_a_pager_the_output_is_as_it_is(demo: Path, pager: str, environment: dict[str, str]) -> None:
    given = {name: text.format(pager=pager) for name, text in environment.items()}
    _, shown = on_terminal("notes", "rev-b", "rev-c", "--repo", demo, **given)
    assert MARK not in shown
    assert shown.startswith("# Open greenhouse controller")


@pytest.mark.parametrize("words", [(*LONG, "--no-pager"), ("--no-pager", *LONG), (*LONG, "--output", "/dev/null")])
def test_an_option_switches_it_off(demo: Path, pager: str, words: tuple[str, ...]) -> None:
    assert MARK not in on_terminal(*words, "--repo", demo, PAGER=pager)[1]


def test_what_one_screen_holds_is_not_paged(pager: str) -> None:
    assert MARK not in on_terminal(*SHORT, rows="60", PAGER=pager)[1]
    assert on_terminal(*SHORT, rows="10", PAGER=pager)[1].startswith(MARK)


def test_a_pager_that_has_seen_enough_changes_no_status(demo: Path) -> None:
    status, shown = on_terminal(*LONG, "--repo", demo, "--fail-on", "break", PAGER="head -n 1")
    assert status == 1
    assert "Traceback" not in shown


def test_a_pipe_is_never_paged(demo: Path, pager: str) -> None:
    command = [sys.executable, "-m", "revdiff", *LONG, "--repo", str(demo)]
    done = subprocess.run(command, capture_output=True, text=True, check=True, env={**os.environ, "PAGER": pager})
    assert MARK not in done.stdout


def test_a_repository_names_no_pager(tmp_path: Path, pager: str) -> None:
    from revdiff.demo import make_demo

    make_demo(tmp_path / "demo")
    subprocess.run(["git", "-C", tmp_path / "demo", "config", "core.pager", pager], check=True)
    assert MARK not in on_terminal(*LONG, "--repo", tmp_path / "demo", PAGER="cat")[1]
