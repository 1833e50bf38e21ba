"""``revdiff check``"""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from revdiff.cli.options import time_limit_option, today_option, write_text
from revdiff.cli.showing import show_document

if TYPE_CHECKING:
    from revdiff.release.check import Check

_HELP = """Check a change before it is merged: everything that it brings, breaks first.

It is judged as the manifest of its base says, and held against the base and every released revision that is marked as
shipped. What the change alters of what is read or of what judges comes first.

BASE and CHANGE each name a git tag, branch or commit, FETCH_HEAD, refs/remotes/..., worktree, index or folder:PATH; or
write BASE...CHANGE. The change is compared from where it parted from BASE. Without BASE: the default branch that
changes of this clone are meant for, else the newest release tag before the change. Without CHANGE: the work tree.
"""


@click.command("check", help=_HELP)
@click.argument("base", default="")
@click.argument("change", default="")
@click.option("--repo", "repository", type=click.Path(path_type=Path), default=Path(), help="The git repository.")
@click.option("--design", default="", help="The folder of the design inside the repository or folder.")
@click.option(
    "--fail-on",
    type=click.Choice(["never", "break", "doubt", "caution", "info", "settings", "contradiction", "unmentioned"]),
    default="doubt",
    help="End with status 1 on this or anything louder (default: doubt: a break, or where nobody can tell any more "
    "whether things fit). settings, contradiction, unmentioned: on any change of what is read or judges, on new "
    "contradictions, on changes that no commit message names; and as by default.",
)
@click.option(
    "--manifest",
    default="",
    metavar="FILE",
    help="Read and judge both by this manifest, a file or REVISION:FILE (default: as that of the base says).",
)
@today_option
@time_limit_option
@click.option("--allow-faults", is_flag=True, help="End with status 0 although the data has faults (they are told).")
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Write to this file instead of the terminal.")
@click.option(
    "--format",
    "form",
    type=click.Choice(["terminal", "markdown", "sarif", "junit", "json"]),
    default="terminal",
    help="The form of the report; markdown fits into a review comment.",
)
@click.option(
    "--limit",
    type=click.IntRange(1_000),
    default=60_000,
    show_default=True,
    help="With markdown: the most bytes. Each section keeps its loudest, and what is left out is counted.",
)
@click.option("--detail", is_flag=True, help="Tell every finding and change one by one, instead of by what caused it.")
@click.option("--width", type=click.IntRange(40, 400), help="Width of the terminal report (default: the terminal's).")
def command(
    base: str,
    change: str,
    repository: Path,
    design: str,
    fail_on: str,
    manifest: str,
    today: date | None,
    time_limit: float,
    allow_faults: bool,
    output: Path | None,
    form: str,
    limit: int,
    detail: bool,
    width: int | None,
) -> int:
    from revdiff.app.check import check_change
    from revdiff.budget import ending_after

    with ending_after(time_limit, "Look at what in the change asks for so much, or allow more with --time-limit."):
        check = check_change(base, change, repository=repository, design=design, manifest=manifest, today=today)
    if form == "terminal":
        from revdiff.report.check_page import check_page, closing

        show_document((*check_page(check, detail=detail), *closing(check)), form, output, width)
    else:
        write_text(_text(check, form, fail_on, limit, detail), output)
    if check.faulty and not allow_faults:
        return 3
    return 1 if check.fails(fail_on) else 0


def _text(check: Check, form: str, fail_on: str, limit: int, detail: bool) -> str:
    if form == "markdown":
        from revdiff.report.check_markdown import check_markdown

        return check_markdown(check, limit, detail=detail)
    if form == "sarif":
        from revdiff.report.check_sarif import check_sarif

        return check_sarif(check)
    if form == "junit":
        from revdiff.report.check_junit import check_junit

        return check_junit(check, fail_on)
    from revdiff.report.check_document import check_json

    return check_json(check)
