"""Options and output that several commands share."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from revdiff.errors import UsageFault

Function = TypeVar("Function", bound=Callable[..., Any])


def today_option(function: Function) -> Function:
    """The day by which waivers lapse; a date, or None."""
    return click.option(
        "--today",
        type=click.DateTime(["%Y-%m-%d"]),
        callback=lambda _context, _option, value: None if value is None else value.date(),
        help="The day by which waivers lapse (default: that of the newest commit that is judged).",
    )(function)


def _a_number(_context: click.Context, _option: click.Parameter, value: float) -> float:
    if math.isnan(value):
        raise click.BadParameter("nan is no number of seconds.")
    return value


def time_limit_option(function: Function) -> Function:
    """The most seconds that a run may take; a number, 0 for no limit."""
    return click.option(
        "--time-limit",
        type=click.FloatRange(min=0),
        callback=_a_number,
        default=300.0,
        help="Stop after this many seconds, with status 3 and no answer (default: 300; 0: never).",
    )(function)


def waiver_options(function: Function) -> Function:
    """Where waivers come from, and the day by which they lapse."""
    where = click.option(
        "--waivers",
        default="",
        metavar="REVISION",
        help="Take the waivers of this revision (default: OLD, or the oldest that is stacked).",
    )
    return where(today_option(function))


def manifest_option(function: Function) -> Function:
    """The manifest that the user names for revisions that it isn't of."""
    return click.option(
        "--manifest",
        default="",
        metavar="FILE",
        help="Read all by this manifest, a file or REVISION:FILE (default: each by its own; one that has none by the "
        "other's, the work tree's, or what init would write).",
    )(function)


REVISIONS_HELP = """
OLD and NEW each name a git tag, branch or commit (also rev-a~1), worktree, index, or a folder; a revision of a name
comes before a folder or file of that name. REVISION:PATH is one file of a revision; it is compared with another file.
Where a name could be two of these, write tag:NAME, branch:NAME, commit:ID, folder:PATH or file:PATH.
"""


def revision_options(function: Function) -> Function:
    """The arguments and options of every command that reads two revisions."""
    for decorate in reversed(
        (
            click.argument("old"),
            click.argument("new", required=False),
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
            manifest_option,
            click.option("--strict-names", is_flag=True, help="Infer nothing: what has another name is another thing."),
            click.option(
                "--allow-faults", is_flag=True, help="End with status 0 although the data has faults (they are told)."
            ),
            waiver_options,
            click.option(
                "-o", "--output", type=click.Path(path_type=Path), help="Write to this file instead of the terminal."
            ),
        )
    ):
        function = decorate(function)
    return function


def write_text(text: str, output: Path | None) -> None:
    """Writes the whole text to a file, or to standard output. Raises UsageFault."""
    if output is None:
        from revdiff.cli.paging import show

        show(text)
        return
    from revdiff.cli.writing import write_file

    write_file(text, output)


def keep_what_is_there(output: Path | None) -> None:
    """Refuses to replace a file that a person may have written into. Raises UsageFault."""
    from revdiff.cli.writing import stands_for_stream

    if output is not None and output.exists() and not stands_for_stream(output):
        raise UsageFault(
            f"{output} is there already, and a person may have written into it. Name another file, and merge the two."
        )
