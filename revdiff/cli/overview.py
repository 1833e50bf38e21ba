"""What ``revdiff --help`` tells, for a terminal of usual width; without the library that reads options, to be quick."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator
from textwrap import fill, indent

# name -> (module below revdiff.cli, one line of help); listed in the order of the work
COMMANDS = {
    "init": ("init", "Look through a folder and write its revdiff.toml."),
    "compare": ("compare", "Tell what changed between two revisions, and what it breaks."),
    "ready": ("ready", "Tell where the documents of one revision contradict each other."),
    "check": ("check", "Check a change against the revision it is based on."),
    "notes": ("notes", "Draft the release notes of a revision."),
    "rework": ("rework", "Tell whether old boards can be made into new ones, and by which steps."),
    "stack": ("stack", "Tell whether boards at given revisions can be stacked, and why."),
    "matrix": ("matrix", "Judge every tagged revision of each board against every one of its partners."),
    "pins": ("pins", "Tell firmware developers which pins changed; export pin maps."),
    "contract": ("contract", "Write a firmware contract from a pin map, a C header or devicetree source."),
    "explain": ("explain", "Explain a name that an output shows, or list all."),
    "guide": ("guide", "Show the guide: a tour, the data files, the commands, what stays the same."),
    "schema": ("schema", "Print the JSON Schema of the JSON output."),
    "demo": ("demo", "Make a git repository with the demo design."),
}


ABOUT = "Tell what changed between two revisions of a published board design, and what it breaks."
STATUS = """Exit status:
  0  done
  1  there are findings that --fail-on names
  2  the request can't be carried out: usage, no such revision, no repository
  3  faults in the design's data that are new, or that hinder the answer
  4  an error of revdiff itself"""
_OPTIONS = (
    ("--version", "Show the version and exit."),
    ("--no-pager", "Never show long output in a pager."),
    ("-h, --help", "Show this message and exit."),
)
_WIDTH = 78


def is_wide() -> bool:
    """Whether standard output has room for the overview as it stands."""
    try:
        columns = int(os.environ.get("COLUMNS", 0)) or os.get_terminal_size(sys.__stdout__.fileno()).columns  # type: ignore[union-attr]
    except (AttributeError, ValueError, OSError):
        return True
    return columns == 0 or columns >= _WIDTH + 2


def overview() -> str:
    """The whole text, as the group of commands shows it."""
    listed = [(name, text) for name, (_, text) in COMMANDS.items()]
    return "\n".join(
        (
            "Usage: revdiff [OPTIONS] COMMAND [ARGS]...",
            "",
            fill(ABOUT, _WIDTH, initial_indent="  ", subsequent_indent="  "),
            "",
            indent(STATUS, "  "),
            "",
            "Options:",
            *_rows(_OPTIONS),
            "",
            "Commands:",
            *_rows(listed),
            "",
        )
    )


def _rows(rows: Iterable[tuple[str, str]]) -> Iterator[str]:
    rows = list(rows)
    width = max(len(name) for name, _ in rows) + 2
    for name, text in rows:
        yield fill(text, _WIDTH, initial_indent=f"  {name:{width}}", subsequent_indent=" " * (width + 2))
