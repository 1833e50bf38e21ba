"""``revdiff pins``"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from revdiff.cli.options import REVISIONS_HELP, manifest_option, waiver_options, write_text
from revdiff.cli.showing import show_document
from revdiff.errors import UsageFault

if TYPE_CHECKING:
    from revdiff.design import Board
    from revdiff.release.review import Review

_HELP = """Tell firmware developers which pins changed and what to do in the source, then what is dangerous, by cause.

Of one revision alone, against the tag before it.

With --export and one revision, write its pin map as a C header, devicetree source, JSON or CSV; with --export c and
two revisions a C header that chooses by the board ID at run time.
"""


@click.command("pins", help=_HELP + REVISIONS_HELP)
@click.argument("old")
@click.argument("new", required=False)
@click.option(
    "--repo",
    "repository",
    type=click.Path(path_type=Path),
    default=Path(),
    help="The git repository (default: the one around this folder).",
)
@click.option("--design", default="", help="The folder of the design inside the repository or folder.")
@manifest_option
@click.option("--strict-names", is_flag=True, help="Infer nothing: what has another name is another thing.")
@click.option("--allow-faults", is_flag=True, help="End with status 0 although the data has faults (they are told).")
@waiver_options
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Write to this file instead of the terminal.")
@click.option(
    "--format",
    "form",
    type=click.Choice(["terminal", "markdown", "json"]),
    default="terminal",
    help="The form of the notice.",
)
@click.option("--export", type=click.Choice(["c", "dts", "csv", "json"]), help="Write a pin map in this form instead.")
@click.option("--board", default="", help="The board to export (default: the only one with pins).")
@click.option("--device", default="", help="The controller to export (default: the only one of the board).")
@click.option("--prefix", default="", help="What names of an exported C header start with (default: BOARD_DEVICE).")
@click.option("--contracts", multiple=True, help="Firmware contracts of both revisions: a folder or another revision.")
@click.option("--functions", default="", help="Check pin functions against this CSV file or part, as stm32f405rgt6.")
@click.option("--width", type=click.IntRange(40, 400), help="Width of the terminal notice (default: the terminal's).")
def command(
    old: str,
    new: str | None,
    repository: Path,
    design: str,
    manifest: str,
    strict_names: bool,
    allow_faults: bool,
    waivers: str,
    today: date | None,
    output: Path | None,
    form: str,
    export: str | None,
    board: str,
    device: str,
    prefix: str,
    contracts: tuple[str, ...],
    functions: str,
    width: int | None,
) -> int:
    from revdiff.app.pair import until
    from revdiff.app.review import review_revisions
    from revdiff.cli.faults import show_diagnostics, show_remarks

    alone = new is None and (export is not None or bool(functions))
    review = review_revisions(
        *((old, old) if alone else until(old, new, repository)),
        repository=repository,
        design=design,
        strict_names=strict_names,
        contracts=contracts,
        manifest=manifest,
        waivers=waivers,
        today=today,
    )
    if functions:
        write_text(_functions(review, board, device, functions), output)
    elif export is not None:
        write_text(_export(review, export, board, device, prefix, both=new is not None), output)
    else:
        from revdiff.release.pin_notice import pin_notice
        from revdiff.report import pins

        show_remarks(review)
        notice = pin_notice(review)
        if form == "json":
            write_text(pins.to_json(notice), output)
        else:
            show_document(pins.pins_document(notice), form, output, width)
    show_diagnostics([item for item in review.diagnostics if item.severity == "fault"])
    faulty = review.faulty if alone else review.brings_faults
    return 3 if faulty and not allow_faults else 0


def chosen_board(boards: Mapping[str, Board], board: str, device: str) -> tuple[Board, str]:
    """The board and controller meant. Raises UsageFault where that is open."""
    boards = {name: item for name, item in boards.items() if item.pins}
    name = board or (next(iter(boards)) if len(boards) == 1 else "")
    if name not in boards:
        raise UsageFault(f"name the board with --board: {', '.join(boards) or 'none has a pin map'}.")
    devices = list(dict.fromkeys(pin.device for pin in boards[name].pins.values()))
    chosen = device.upper() or (devices[0] if len(devices) == 1 else "")
    if chosen not in devices:
        raise UsageFault(f"name the controller with --device: {', '.join(devices)}.")
    return boards[name], chosen


def _functions(review: Review, board: str, device: str, source: str) -> str:
    from revdiff.report.pins_functions import checked_functions

    return checked_functions(*chosen_board(review.comparison.new.boards, board, device), source)


def _export(review: Review, export: str, board: str, device: str, prefix: str, *, both: bool) -> str:
    from revdiff.report import pins_c, pins_dts, pins_table

    chosen, name = chosen_board(review.comparison.new.boards, board, device)
    pins = pins_table.export_pins(chosen, name)
    if both and export != "c":
        raise UsageFault(f"--export {export} takes one revision.")
    if both:
        from revdiff.report.pins_revisions import selecting_header

        return selecting_header(review, chosen, name, prefix)
    if export == "c":
        return pins_c.to_header(chosen.name, name, review.new.name, pins, prefix)
    if export == "dts":
        return pins_dts.to_fragment(chosen.name, name, review.new.name, pins)
    if export == "csv":
        return pins_table.to_csv(pins)
    return pins_table.to_json(chosen.name, name, review.new.name, pins)
