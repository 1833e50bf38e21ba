"""``revdiff notes``"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from revdiff.cli.options import REVISIONS_HELP, keep_what_is_there, revision_options, write_text

_HELP = """Draft the release notes of NEW against OLD, in Markdown.

Of one revision alone, against the tag before it.
"""


@click.command("notes", help=_HELP + REVISIONS_HELP)
@revision_options
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
) -> int:
    from revdiff.app.pair import until
    from revdiff.app.review import review_revisions
    from revdiff.cli.faults import show_diagnostics, show_remarks
    from revdiff.release.notes import release_notes

    keep_what_is_there(output)
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
    write_text(release_notes(review), output)
    show_diagnostics([item for item in review.diagnostics if item.severity == "fault"])
    return 3 if review.brings_faults and not allow_faults else 0
