"""The demo's last revision as texts, to be edited and loaded."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from revdiff.design import Design
from tests.support import load

_FOLDER = Path(__file__).parents[2] / "example_revs" / "rev-d"
_LATIN = "valves/parts.csv"  # the one table in an encoding of its own


@cache
def demo_files() -> Mapping[str, str]:
    """Each file's text, by its path."""
    return {
        path.relative_to(_FOLDER).as_posix(): path.read_text("cp1252" if path == _FOLDER / _LATIN else "utf-8")
        for path in sorted(_FOLDER.rglob("*"))
        if path.is_file()
    }


def load_demo(files: Mapping[str, str]) -> Design:
    """The design of these texts, all of them in UTF-8."""
    manifest = files["revdiff.toml"].replace('encoding = "cp1252"', 'encoding = "utf-8"')
    return load({**files, "revdiff.toml": manifest})
