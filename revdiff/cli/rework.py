"""``revdiff rework``"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from revdiff.cli.options import REVISIONS_HELP, revision_options
from revdiff.cli.showing import show_document

_HELP = """Tell whether boards of OLD can become boards of NEW by work on their parts, and that work step by step.

Of one revision alone, against the tag before it.
"""


@click.command("rework", help=_HELP + REVISIONS_HELP)
@revision_options
@click.option("--format", "form", type=click.Choice(["terminal", "markdown"]), default="terminal", help="The form.")
@click.option("--width", type=click.IntRange(40, 400), help="Width of the terminal sheet (default: the terminal's).")
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
    output: Path | None,
    form: str,
    width: int | None,
) -> int:
    from revdiff.app.pair import until
    from revdiff.app.review import review_revisions
    from revdiff.cli.faults import show_diagnostics, show_remarks
    from revdiff.report.rework_document import rework_document

    review = review_revisions(
        *until(old, new, repository),
        repository=repository,
        design=design,
        strict_names=strict_names,
        contracts=contracts,
        manifest=manifest,
        waivers=waivers,
        today=today,
    )
    show_remarks(review)
    show_document(rework_document(review), form, output, width)
    show_diagnostics([item for item in review.diagnostics if item.severity == "fault"])
    return 3 if review.brings_faults and not allow_faults else 0
