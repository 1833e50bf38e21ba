"""Options and output that several commands share."""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from revdiff.errors import UsageFault

Function = TypeVar("Function", bound=Callable[..., Any])

REVISIONS_HELP = """
OLD and NEW each name a git tag, branch or commit (also rev-a~1), worktree, index, or a folder.
Where a name could be two of these, write tag:NAME, branch:NAME, commit:ID or folder:PATH.
"""


def revision_options(function: Function) -> Function:
    """The arguments and options of every command that reads two revisions."""
    for decorate in reversed(
        (
            click.argument("old"),
            click.argument("new"),
            click.option(
                "--repo",
                "repository",
                type=click.Path(path_type=Path),
                default=Path(),
                help="The git repository (default: the one around this folder).",
            ),
            click.option("--design", default="", help="The folder of the design inside the repository or folder."),
            click.option(
                "--contracts",
                multiple=True,
                help="More firmware contracts, for both revisions: a folder or another revision; may be repeated.",
            ),
            click.option("--strict-names", is_flag=True, help="Infer nothing: what has another name is another thing."),
            click.option(
                "--allow-faults", is_flag=True, help="End with status 0 although the data has faults (they are told)."
            ),
            click.option(
                "-o", "--output", type=click.Path(path_type=Path), help="Write to this file instead of the terminal."
            ),
        )
    ):
        function = decorate(function)
    return function


today_option = click.option(
    "--today",
    type=click.DateTime(["%Y-%m-%d"]),
    help="The day by which waivers lapse (default: that of the newest commit that is judged).",
)


def write_text(text: str, output: Path | None) -> None:
    """Writes the whole text to a file at once, or to standard output. Raises UsageFault."""
    if output is None:
        sys.stdout.write(text)
        return
    try:
        handle, name = tempfile.mkstemp(dir=output.parent, prefix=f".{output.name}.")
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as stream:
                stream.write(text)
            Path(name).chmod(0o666 & ~_umask())
            Path(name).replace(output)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise UsageFault(f"{output} can't be written: {error.strerror}. Name a file in a folder that exists.") from None


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
