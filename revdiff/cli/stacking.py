"""What ``revdiff stack`` and ``revdiff matrix`` share: options, output, exit status."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from revdiff.cli.options import manifest_option, waiver_options

if TYPE_CHECKING:
    from revdiff.judge.finding import Finding

Function = TypeVar("Function", bound=Callable[..., Any])


def stacking_options(function: Function) -> Function:
    """The options of both commands."""
    for decorate in reversed(
        (
            click.option(
                "--repo",
                "repository",
                type=click.Path(path_type=Path),
                default=Path(),
                help="The git repository (default: the one around this folder).",
            ),
            click.option("--design", default="", help="The folder of the design inside the repository or folder."),
            click.option(
                "--partner",
                "partners",
                multiple=True,
                metavar="BOARD=PATH",
                help="Another repository or folder that a board's revisions come from; may be given several times.",
            ),
            manifest_option,
            click.option(
                "--format",
                "form",
                type=click.Choice(["terminal", "markdown", "json"]),
                default="terminal",
                help="The form of the report.",
            ),
            click.option(
                "--fail-on",
                type=click.Choice(["break", "caution", "info"]),
                help="End with status 1 when there is a finding of this severity or a louder one.",
            ),
            waiver_options,
            click.option(
                "--allow-faults", is_flag=True, help="End with status 0 although the data has faults (they are told)."
            ),
            click.option(
                "-o", "--output", type=click.Path(path_type=Path), help="Write to this file instead of the terminal."
            ),
            click.option(
                "--width", type=click.IntRange(40, 400), help="Width of the terminal report (default: the terminal's)."
            ),
        )
    ):
        function = decorate(function)
    return function


def status(findings: Iterable[Finding], fail_on: str | None, *, faulty: bool) -> int:
    """3 for faults in the data, 1 for findings that ``--fail-on`` names, else 0."""
    from revdiff.judge.finding import louder

    if faulty:
        return 3
    return 1 if louder(findings, fail_on or "") else 0
