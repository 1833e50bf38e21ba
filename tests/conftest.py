"""What tests of several layers share: the demo repository, built once, and the command line in a process of its own."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings

from revdiff.demo import make_demo

# One run tells what the run before told. `--hypothesis-profile explore` tries other examples each time.
settings.register_profile("repeatable", derandomize=True)
settings.register_profile("explore", max_examples=1_000)
settings.load_profile("repeatable")

Run = Callable[..., subprocess.CompletedProcess[str]]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What starts the command line in a process of its own takes longer than most tests that don't."""
    for item in items:
        if "run" in getattr(item, "fixturenames", ()):
            item.add_marker("slow")


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A repository of the demo design; tests only read it."""
    folder = tmp_path_factory.mktemp("demo") / "demo"
    make_demo(folder)
    return folder


@pytest.fixture
def run(tmp_path: Path) -> Run:
    """Runs ``revdiff`` as a user would, in an empty folder, without colour.

    ``unfolded``: each message on standard error on one line, where it was wrapped.
    """

    def call(
        *arguments: str | Path, cwd: Path = tmp_path, unfolded: bool = True, **environment: str
    ) -> subprocess.CompletedProcess[str]:
        done = subprocess.run(
            [sys.executable, "-W", "error", "-m", "revdiff", *map(str, arguments)],
            cwd=cwd,
            env={**os.environ, "COLUMNS": "100", **environment},
            capture_output=True,
            text=True,
            encoding="utf-8",
            check=False,
        )
        if unfolded:
            done.stderr = re.sub(r"\n {4}(?=\S)", " ", done.stderr)
        return done

    return call
