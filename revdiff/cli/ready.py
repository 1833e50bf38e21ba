"""``revdiff ready``"""

from __future__ import annotations

from pathlib import Path

import click

from revdiff.cli.options import write_text


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
@click.option("--fail-on", type=click.Choice(["drift"]), help="End with status 1 when it does.")
def command(
    revision: str | None, repository: Path, design: str, form: str, allow_faults: bool, fail_on: str | None
) -> int:
    from revdiff.app.review import look_at_revision
    from revdiff.report.drift import drift_json, drift_text

    look = look_at_revision(revision, repository=repository, design=design)
    write_text(drift_json(look) if form == "json" else drift_text(look), None)
    if look.faulty and not allow_faults:
        return 3
    return 1 if fail_on and look.contradicts else 0
