"""``revdiff contract``"""

from __future__ import annotations

from pathlib import Path

import click

from revdiff.cli.options import keep_what_is_there, write_text
from revdiff.errors import UsageFault

_HELP = """Write a firmware contract from the pin map of REVISION: what a firmware built for it relies on.

With --from-header or --from-devicetree, from what a firmware's own source says of its pins instead; REVISION then
only lends the signal names. With --output the table goes to that file, and the section for revdiff.toml is printed.
Take out of the table what the firmware doesn't use.
"""


@click.command("contract", help=_HELP)
@click.argument("revision")
@click.option(
    "--repo",
    "repository",
    type=click.Path(path_type=Path),
    default=Path(),
    help="The git repository (default: the one around this folder).",
)
@click.option("--design", default="", help="The folder of the design inside the repository or folder.")
@click.option("--board", default="", help="The board (default: the only one with pins).")
@click.option("--device", default="", help="The controller (default: the only one of the board).")
@click.option("--name", default="firmware", help="The name of the firmware.")
@click.option("--firmware-version", "version", default="0.0.0", help="The version of the firmware.")
@click.option("--from-header", type=click.Path(path_type=Path), help="Take the pins from this C header.")
@click.option("--from-devicetree", type=click.Path(path_type=Path), help="Take the pins from this devicetree source.")
@click.option("--pin", "pin", default="PIN_{signal}", help="What the header calls a pin (default: PIN_{signal}).")
@click.option("--port", default="", help="What the header calls a port; the form of a devicetree line (P{bank}{line}).")
@click.option("--active-low", default="", help="What the header calls the mark of a signal that is active low.")
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Write the table to this file.")
def command(
    revision: str,
    repository: Path,
    design: str,
    board: str,
    device: str,
    name: str,
    version: str,
    from_header: Path | None,
    from_devicetree: Path | None,
    pin: str,
    port: str,
    active_low: str,
    output: Path | None,
) -> int:
    from revdiff.app.lending import Lending
    from revdiff.cli.faults import tell
    from revdiff.cli.pins import chosen_board
    from revdiff.judge.needs import needs_of_pins
    from revdiff.readers.contract_needs import decoded, needs_from
    from revdiff.readers.contract_sources import found_pins, named_as_on
    from revdiff.readers.faults import Faults
    from revdiff.readers.loader import Loader
    from revdiff.report.pins_contract import manifest_section, needs_table
    from revdiff.sources import open_revision

    keep_what_is_there(output)
    if from_header and from_devicetree:
        raise UsageFault("name one of --from-header and --from-devicetree.")
    opened = open_revision(revision, repository=repository, design=design)
    loaded = Lending(Loader(), repository, design).read(opened)
    chosen, controller = chosen_board(loaded.boards, board, device)
    source = from_header or from_devicetree
    if source is None:
        needs = needs_of_pins(chosen, controller)
    else:
        text = decoded(_bytes(source), str(source))
        options = {"port": port} if from_devicetree else {"pin": pin, "port": port, "active_low": active_low}
        kind = "devicetree" if from_devicetree else "header"
        faults = Faults()
        found = found_pins(kind, text, str(source), options, faults)
        needs = needs_from(named_as_on(found, chosen, controller), str(source))
        for told in faults.found:
            tell(f"revdiff: {told}")
    if not needs:
        raise UsageFault(f"{source or f'{chosen.name}.{controller}'} names no pin that firmware could rely on.")
    write_text(needs_table(needs.values()), output)
    if output is not None:
        file = _within(_design_folder(revision, repository, design), output)
        write_text(manifest_section(name, version, chosen.name, controller, file), None)
    return 0


def _design_folder(revision: str, repository: Path, design: str) -> Path:
    """Where the manifest lies: below the folder that was named, or below the top of the work tree."""
    from revdiff.sources.place import top_of

    folder = Path(revision.removeprefix("folder:"))
    if revision.startswith("folder:"):
        return folder.resolve() / design
    return (top_of(repository) or repository.resolve()) / design


def _within(folder: Path, file: Path) -> str:
    """The name of a file as the manifest takes it: relative to the design, its bare name where it lies elsewhere."""
    path, folder = file.resolve(), folder.resolve()
    return path.relative_to(folder).as_posix() if path.is_relative_to(folder) else path.name


def _bytes(path: Path) -> bytes:
    from revdiff.readers.contract_needs import LARGEST

    try:
        with path.open("rb") as stream:
            return stream.read(LARGEST + 1)
    except OSError as error:
        raise UsageFault(f"{path} can't be read: {error.strerror}.") from None
