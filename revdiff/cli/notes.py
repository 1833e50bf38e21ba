"""``revdiff notes``"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from revdiff.cli.options import REVISIONS_HELP, keep_what_is_there, revision_options, write_text
from revdiff.errors import UsageFault

_HELP = """Draft the release notes of NEW against OLD, in Markdown.

Of one revision alone, against the tag before it. An earlier draft that --output names is drafted anew: what a person
wrote into it stays, and what can't be decided is told.
"""


@click.command("notes", help=_HELP + REVISIONS_HELP)
@revision_options
@click.option(
    "--changelog",
    type=click.Path(path_type=Path),
    help="Put an entry for NEW into this change log instead, above the others; nothing else in it is touched.",
)
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
    changelog: Path | None,
) -> int:
    from revdiff.app.pair import until
    from revdiff.app.review import review_revisions
    from revdiff.cli.faults import show_diagnostics, show_remarks, tell
    from revdiff.cli.writing import stands_for_stream
    from revdiff.release.changelog import changelog_entry
    from revdiff.release.notes import release_notes
    from revdiff.release.verdicts import counted
    from revdiff.report.changelog import with_entry
    from revdiff.report.draft import draft

    before = _before(output)
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
    if changelog is not None:
        write_text(with_entry(_text(changelog), changelog_entry(review)), changelog)
        return 3 if review.brings_faults and not allow_faults else 0
    found = draft(release_notes(review), before)
    write_text(found.text, output)
    if output is not None and output.is_file() and not stands_for_stream(output):
        for line in found.told:
            tell(f"revdiff: {line}")
        click.echo(f"{counted(len(found.left), 'place')} left to fill.", err=True)
    show_diagnostics([item for item in review.diagnostics if item.severity == "fault"])
    return 3 if review.brings_faults and not allow_faults else 0


def _before(output: Path | None) -> str:
    """The earlier draft; nothing where there is none. Raises UsageFault for a file that is something else."""
    from revdiff.cli.writing import stands_for_stream
    from revdiff.report.draft import is_draft

    if output is None or not output.is_file() or stands_for_stream(output):
        return ""
    try:
        text = output.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        text = ""
    if not is_draft(text):
        keep_what_is_there(output)
    return text


def _text(file: Path) -> str:
    """What a change log says now; nothing where there is none. Raises UsageFault."""
    try:
        return file.read_bytes().decode("utf-8") if file.exists() else ""
    except (OSError, UnicodeDecodeError) as error:
        raise UsageFault(f"{file} can't be read as UTF-8 text: {error}.") from None
