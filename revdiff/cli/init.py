"""``revdiff init``"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from revdiff.cli.options import write_text
from revdiff.errors import DataFault, UsageFault
from revdiff.sources import Revision

if TYPE_CHECKING:
    from revdiff.readers.proposal import Proposal

_MOST_TOLD = 20  # faults of the tables; the first compare tells all


@click.command(
    "init",
    help="Look through the folder DIR (default: this one), recognise the tables of the design by what is in them, "
    "and write revdiff.toml there.",
)
@click.argument("folder", metavar="[DIR]", type=click.Path(path_type=Path), default=Path())
@click.option("--dry-run", is_flag=True, help="Show the manifest instead of writing it.")
@click.option("--update", is_flag=True, help="Add to a revdiff.toml that is there what it doesn't name yet.")
def command(folder: Path, dry_run: bool, update: bool) -> int:
    from revdiff.cli.faults import tell
    from revdiff.readers.entries import MANIFEST
    from revdiff.readers.proposal import propose
    from revdiff.readers.proposal_text import manifest_text, told
    from revdiff.readers.survey import survey
    from revdiff.report.data import escaped
    from revdiff.report.visible import visible
    from revdiff.sources import open_revision

    target = folder / MANIFEST
    if target.exists() and not (dry_run or update):
        raise UsageFault(f"{target} is there already and was left as it is. See --update and --dry-run.")
    if update and not target.exists():
        raise UsageFault(f"there is no {target} to update; without --update it is written.")
    revision = open_revision(f"folder:{folder}", repository=folder)
    found = survey(revision)
    proposal = propose(found, folder.resolve().name)
    for line in told(found, proposal):
        tell(line)
    if update:
        return _update(revision, proposal, target, dry_run)
    if not proposal.boards:
        raise DataFault(
            f"{folder}: no parts list, pin map or connector table was recognised. Expected CSV, TSV, XLSX or Markdown "
            "with a header row; revdiff.toml can also be written by hand (revdiff guide data)."
        )
    text = escaped(manifest_text(proposal))
    faults, asked = _tried(revision, text)
    for line in faults:
        tell(line)
    if asked:
        text += "\n".join(("", "# What revdiff ready will ask for:", *(f"# - {visible(line)}" for line in asked), ""))
    if dry_run:
        write_text(text, None)
        return 0
    write_text(text, target)
    boards = ", ".join(board.name for board in proposal.boards)
    click.echo(visible(f"{target} is written: {boards}. Read it, then commit it."))
    return 0


def _update(revision: Revision, proposal: Proposal, target: Path, dry_run: bool) -> int:
    from revdiff.cli.faults import tell
    from revdiff.readers.entries import MANIFEST
    from revdiff.readers.proposal_update import updated
    from revdiff.report.data import escaped
    from revdiff.report.visible import visible

    blob = revision.find(MANIFEST)
    if blob is None:
        raise UsageFault(f"{target} can't be read")
    found = updated(revision.read(blob), proposal, revision)
    text = escaped(found.text)
    for line in found.asked:
        tell(f"to mend: {line}")
    if dry_run:
        write_text(text, None)
        return 0
    if not found.added:
        click.echo(visible(f"{target} names all that was recognised; it was left as it is."))
        return 0
    write_text(text, target)
    click.echo(visible(f"{target}: added {'; '.join(found.added)}. Read it, then commit it."))
    return 0


def _tried(revision: Revision, text: str) -> tuple[list[str], tuple[str, ...]]:
    """The faults that reading the design by this manifest tells, and what ``ready`` will ask for.

    Raises DataFault where the manifest is refused.
    """
    from revdiff.app.reading import with_firmware
    from revdiff.design.diagnostic import FaultyDesign
    from revdiff.readers.faults import Faults
    from revdiff.readers.loader import Loader
    from revdiff.readers.manifest import read_manifest
    from revdiff.readers.overlay import Overlay
    from revdiff.release.review import Look

    data = text.encode()
    try:
        read_manifest(data, Faults())
    except FaultyDesign as error:
        raise DataFault(f"no manifest was written, since it could not be read back: {error}") from None
    overlay = Overlay(revision, revision.identity, data)
    try:
        design = with_firmware(Loader().load(overlay), overlay)
    except FaultyDesign as error:
        return list(_mending(list(map(str, error.diagnostics)))), ()
    faults = [str(item) for item in design.diagnostics if item.severity == "fault"]
    return list(_mending(faults)), Look(revision.identity, design, ()).missing


def _mending(faults: list[str]) -> Iterator[str]:
    from revdiff.readers.faults import counted

    yield from (f"to mend: {item}" for item in faults[:_MOST_TOLD])
    if len(faults) > _MOST_TOLD:
        yield f"to mend: {counted(len(faults) - _MOST_TOLD, 'fault')} more, which compare will tell"
