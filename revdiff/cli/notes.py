"""``revdiff notes``"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from revdiff.cli.options import REVISIONS_HELP, keep_what_is_there, revision_options, write_text


@click.command("notes", help="Draft the release notes of NEW against OLD, in Markdown.\n" + REVISIONS_HELP)
@revision_options
def command(
    old: str,
    new: str,
    repository: Path,
    design: str,
    contracts: tuple[str, ...],
    strict_names: bool,
    allow_faults: bool,
    waivers: str,
    today: date | None,
    output: Path | None,
) -> int:
    from revdiff.app.review import review_revisions
    from revdiff.cli.faults import show_diagnostics
    from revdiff.release.notes import release_notes

    keep_what_is_there(output)
    review = review_revisions(
        old,
        new,
        repository=repository,
        design=design,
        strict_names=strict_names,
        contracts=contracts,
        waivers=waivers,
        today=today,
    )
    write_text(release_notes(review), output)
    show_diagnostics([item for item in review.diagnostics if item.severity == "fault"])
    return 3 if review.faulty and not allow_faults else 0
