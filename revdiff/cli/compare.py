"""``revdiff compare``"""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click
from msgspec.structs import replace

from revdiff.cli.options import REVISIONS_HELP, revision_options, time_limit_option, write_text
from revdiff.cli.showing import show_document
from revdiff.errors import UsageFault

if TYPE_CHECKING:
    from revdiff.release.review import Review

_HELP = """Tell what changed between two revisions, and what it breaks.

Without NEW: what changed since OLD in the work tree; of a file, since the last tag.
"""


@click.command("compare", help=_HELP + REVISIONS_HELP)
@revision_options
@time_limit_option
@click.option(
    "--format",
    "form",
    type=click.Choice(["terminal", "markdown", "json"]),
    default="terminal",
    help="The form of the report.",
)
@click.option(
    "--fail-on",
    type=click.Choice(["break", "caution", "info"]),
    help="End with status 1 when there is a finding of this severity or a louder one.",
)
@click.option("--detail", is_flag=True, help="Tell every finding and change one by one, instead of by what caused it.")
@click.option("--summary", is_flag=True, help="Tell the answer alone: the first screen of the report.")
@click.option("--board", "boards", multiple=True, help="Show only what concerns this board; may be repeated.")
@click.option(
    "--only",
    "groups",
    multiple=True,
    type=click.Choice(["stacking", "firmware", "assembly", "buying", "documentation"]),
    help="Show only what these readers want to know; may be repeated.",
)
@click.option("--width", type=click.IntRange(40, 400), help="Width of the terminal report (default: the terminal's).")
def command(
    old: str,
    new: str | None,
    repository: Path,
    design: str,
    contracts: tuple[str, ...],
    manifest: str,
    strict_names: bool,
    allow_faults: bool,
    waivers: str,
    today: date | None,
    time_limit: float,
    output: Path | None,
    form: str,
    fail_on: str | None,
    detail: bool,
    summary: bool,
    boards: tuple[str, ...],
    groups: tuple[str, ...],
    width: int | None,
) -> int:
    from revdiff.app.pair import since
    from revdiff.app.review import review_revisions
    from revdiff.budget import ending_after
    from revdiff.cli.faults import show_remarks
    from revdiff.judge.finding import louder
    from revdiff.release.review import Focus

    with ending_after(time_limit, "Look at what asks for so much, or allow more with --time-limit."):
        review = review_revisions(
            *since(old, new, repository),
            repository=repository,
            design=design,
            strict_names=strict_names,
            contracts=contracts,
            manifest=manifest,
            waivers=waivers,
            today=today,
        )
    focus = Focus(boards, groups)
    if form == "json" and (summary or focus != Focus()):
        raise UsageFault("--summary, --board and --only are for reading; JSON holds all of it.")
    _check_boards(review, boards)
    show_remarks(review, lending=False)
    if form == "json":
        from revdiff.report.document import to_json

        write_text(to_json(review), output)
    else:
        from revdiff.report.review_document import review_document

        shown = replace(review, focus=focus)
        show_document(review_document(shown, detail=detail, summary=summary), form, output, width)
    if review.brings_faults and not allow_faults:
        return 3
    return 1 if louder(review.findings, fail_on or "") else 0


def _check_boards(review: Review, boards: tuple[str, ...]) -> None:
    known = list(dict.fromkeys((*review.comparison.new.boards, *review.comparison.old.boards)))
    for board in boards:
        if board not in known:
            raise UsageFault(f"--board: there is no board {board!r}; there are {', '.join(known)}.")
