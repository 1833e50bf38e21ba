"""``revdiff ready``"""

from __future__ import annotations

from pathlib import Path

import click

from revdiff.cli.options import write_text
from revdiff.cli.showing import show_document
from revdiff.errors import UsageFault


@click.command(
    "ready",
    help="Tell where one revision contradicts itself, before it is released: its documents, and its own boards and "
    "firmware. REVISION is named as in compare (default: the work tree, or this folder where there is no repository).",
)
@click.argument("revision", required=False)
@click.option("--repo", "repository", type=click.Path(path_type=Path), default=Path(), help="The git repository.")
@click.option("--design", default="", help="The folder of the design inside the repository or folder.")
@click.option("--format", "form", type=click.Choice(["terminal", "json"]), default="terminal", help="The form.")
@click.option("--allow-faults", is_flag=True, help="End with status 0 although the data has faults (they are told).")
@click.option("--notes", type=click.Path(path_type=Path), help="Name the places that are left to fill in these notes.")
@click.option(
    "--fail-on",
    type=click.Choice(["contradiction", "places"]),
    help="End with status 1 when it does, or on places left to fill.",
)
def command(
    revision: str | None,
    repository: Path,
    design: str,
    form: str,
    allow_faults: bool,
    notes: Path | None,
    fail_on: str | None,
) -> int:
    from revdiff.app.review import look_at_revision
    from revdiff.report.drift import drift_json, ready_document

    look = look_at_revision(revision, repository=repository, design=design)
    left = None if notes is None else _left(notes)
    if form == "json":
        write_text(drift_json(look, left or ()), None)
    else:
        show_document(ready_document(look, left), form, None, None)
    if look.faulty and not allow_faults:
        return 3
    return 1 if (fail_on and look.contradicts) or (fail_on == "places" and left) else 0


def _left(notes: Path) -> tuple[str, ...]:
    """The places that are left to fill in a file. Raises UsageFault."""
    from revdiff.report.draft import places_left

    try:
        return places_left(notes.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError) as error:
        raise UsageFault(f"{notes} can't be read as UTF-8 text: {error}.") from None
