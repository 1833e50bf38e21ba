"""``revdiff init``"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from revdiff.cli.options import write_text
from revdiff.errors import DataFault, UsageFault
from revdiff.sources import Revision

_MOST_TOLD = 20  # faults of the tables; the first compare tells all


@click.command(
    "init",
    help="Look through the folder DIR (default: this one), recognise the tables of the design by what is in them, "
    "and write revdiff.toml there.",
)
@click.argument("folder", metavar="[DIR]", type=click.Path(path_type=Path), default=Path())
@click.option("--dry-run", is_flag=True, help="Show the manifest instead of writing it.")
def command(folder: Path, dry_run: bool) -> int:
    from revdiff.readers.entries import MANIFEST
    from revdiff.readers.proposal import manifest_text, propose, told
    from revdiff.readers.survey import survey
    from revdiff.release.visible import visible
    from revdiff.report.data import escaped
    from revdiff.sources import open_revision

    target = folder / MANIFEST
    if target.exists() and not dry_run:
        raise UsageFault(f"{target} is there already and was left as it is. See --dry-run.")
    revision = open_revision(f"folder:{folder}", repository=folder)
    found = survey(revision)
    proposal = propose(found, folder.resolve().name)
    for line in told(found, proposal):
        click.echo(visible(line), err=True)
    if not proposal.boards:
        raise DataFault(
            f"{folder}: no parts list, pin map or connector table was recognised. Expected CSV, TSV, XLSX or Markdown "
            "with a header row; revdiff.toml can also be written by hand (README.md, data files)."
        )
    text = escaped(manifest_text(proposal))
    for line in _mending(revision, text, found.paths):
        click.echo(visible(line), err=True)
    if dry_run:
        write_text(text, None)
        return 0
    write_text(text, target)
    boards = ", ".join(board.name for board in proposal.boards)
    click.echo(visible(f"{target} is written: {boards}. Read it, then commit it."))
    return 0


def _mending(revision: Revision, text: str, paths: tuple[str, ...]) -> Iterator[str]:
    """The faults that reading the design by this manifest tells. Raises DataFault where the manifest is refused."""
    from revdiff.design.diagnostic import FaultyDesign
    from revdiff.readers.faults import Faults, counted
    from revdiff.readers.loader import Loader
    from revdiff.readers.manifest import read_manifest
    from revdiff.readers.overlay import Overlay

    data = text.encode()
    try:
        read_manifest(data, Faults())
    except FaultyDesign as error:
        raise DataFault(f"no manifest was written, since it could not be read back: {error}") from None
    try:
        told = Loader().load(Overlay(revision, revision.identity, data, paths)).diagnostics
    except FaultyDesign as error:
        told = error.diagnostics
    faults = [item for item in told if item.severity == "fault"]
    yield from (f"to mend: {item}" for item in faults[:_MOST_TOLD])
    if len(faults) > _MOST_TOLD:
        yield f"to mend: {counted(len(faults) - _MOST_TOLD, 'fault')} more, which compare will tell"
