"""``revdiff compare``"""

from __future__ import annotations

import io
from datetime import date
from pathlib import Path

import click

from revdiff.cli.options import REVISIONS_HELP, revision_options, time_limit_option, write_text

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
    width: int | None,
) -> int:
    from revdiff.app.pair import since
    from revdiff.app.review import review_revisions
    from revdiff.budget import ending_after
    from revdiff.cli.faults import show_remarks
    from revdiff.judge.finding import louder

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
    show_remarks(review, lending=False)
    if form == "json":
        from revdiff.report.document import to_json

        write_text(to_json(review), output)
    elif form == "markdown":
        from revdiff.report.markdown import to_markdown

        write_text(to_markdown(review), output)
    else:
        _terminal(review, output, width)
    if review.faulty and not allow_faults:
        return 3
    return 1 if louder(review.findings, fail_on or "") else 0


def _terminal(review: object, output: Path | None, width: int | None) -> None:
    from rich.console import Console

    from revdiff.release.review import Review
    from revdiff.report.terminal import print_review

    assert isinstance(review, Review)
    if output is None:
        print_review(review, Console(width=width, highlight=False, soft_wrap=False, emoji=False))
        return
    page = io.StringIO()
    print_review(review, Console(file=page, width=width or 100, highlight=False, emoji=False, no_color=True))
    write_text(page.getvalue(), output)
