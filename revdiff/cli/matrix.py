"""``revdiff matrix``"""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from revdiff.cli.options import write_text
from revdiff.cli.showing import show_document
from revdiff.cli.stacking import stacking_options, status
from revdiff.errors import UsageFault

if TYPE_CHECKING:
    from revdiff.app.acceptance import Acceptance


@click.command(
    "matrix",
    help="Judge every tagged revision of each board against every one of its partners.\n"
    """
Revisions that a partner can't tell apart are put together. Where a board has tags of its own (base/rev-c), those
count for it; with --partner the tags of another repository, or a folder.
""",
)
@click.option(
    "--tags", "pattern", default="*", help="Which tags, as a shell-style pattern; {board} stands for the board."
)
@click.option(
    "--firmware", is_flag=True, help="Judge every firmware release against every revision of its board instead."
)
@click.option(
    "--with",
    "subject",
    default="",
    metavar="REVISION",
    help="Judge this revision with every released one that is marked as shipped, and nothing else.",
)
@stacking_options
def command(
    pattern: str,
    firmware: bool,
    subject: str,
    repository: Path,
    design: str,
    partners: tuple[str, ...],
    manifest: str,
    form: str,
    fail_on: str | None,
    waivers: str,
    today: date | None,
    allow_faults: bool,
    output: Path | None,
    width: int | None,
) -> int:
    from revdiff.app.acceptance import Acceptance
    from revdiff.app.boards import Partners, partner_places
    from revdiff.app.matrix import matrix_of_tags
    from revdiff.cli.faults import show_diagnostics

    acceptance = Acceptance(repository, design, waivers, today)
    if firmware:
        if partners:
            raise UsageFault("--partner is about boards; it can't be given with --firmware")
        return _firmware(
            pattern, subject, repository, design, manifest, acceptance, form, fail_on, allow_faults, output, width
        )
    places = Partners(repository, design, partner_places(partners), manifest)
    found = matrix_of_tags(places, pattern, subject=subject, acceptance=acceptance)
    matrix = found.matrix
    if form == "json":
        from revdiff.report.stack_document import matrix_json

        write_text(matrix_json(matrix), output)
    else:
        from revdiff.report.matrix_page import matrix_page

        show_document(matrix_page(matrix), form, output, width)
    show_diagnostics([*found.lent, *found.faults])
    findings = [item for verdict in matrix.verdicts for item in verdict.findings]
    return status(findings, fail_on, faulty=found.faulty and not allow_faults)


def _firmware(
    pattern: str,
    subject: str,
    repository: Path,
    design: str,
    manifest: str,
    acceptance: Acceptance,
    form: str,
    fail_on: str | None,
    allow_faults: bool,
    output: Path | None,
    width: int | None,
) -> int:
    from revdiff.app.firmware_matrix import firmware_matrix_of_tags
    from revdiff.cli.faults import show_diagnostics

    matrix = firmware_matrix_of_tags(
        repository, design, pattern, subject=subject, manifest=manifest, acceptance=acceptance
    )
    if form == "json":
        from revdiff.report.pins_matrix import matrix_json

        write_text(matrix_json(matrix), output)
    else:
        from revdiff.report.pins_matrix import matrix_page

        show_document(matrix_page(matrix), form, output, width)
    show_diagnostics(list(matrix.faults))
    findings = [item for grid in matrix.grids for cell in grid.cells.values() for item in cell.findings]
    faulty = any(item.severity == "fault" and item.revision == matrix.newest for item in matrix.faults)
    return status(findings, fail_on, faulty=faulty and not allow_faults)
