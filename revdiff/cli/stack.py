"""``revdiff stack``"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from revdiff.cli.options import write_text
from revdiff.cli.showing import show_document
from revdiff.cli.stacking import stacking_options, status


@click.command(
    "stack",
    help="Tell whether boards at given revisions can be stacked, and why.\n"
    """
Each MEMBER is BOARD@REVISION, such as base@rev-c; a board alone is taken from the working tree. A board's own tags
(base/rev-c) may be written base@rev-c.
""",
)
@click.argument("members", nargs=-1, required=True, metavar="MEMBER...")
@stacking_options
@click.option("--detail", is_flag=True, help="Tell every finding and check one by one, instead of what is alike once.")
def command(
    members: tuple[str, ...],
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
    detail: bool,
) -> int:
    from revdiff.app.acceptance import Acceptance
    from revdiff.app.boards import Boards, Partners, partner_places
    from revdiff.cli.faults import show_diagnostics
    from revdiff.errors import UsageFault
    from revdiff.judge import judge_stack

    boards = Boards(Partners(repository, design, partner_places(partners), manifest), recognising=True)
    stacked = [boards.member(member) for member in members]
    if len(stacked) < 2:
        raise UsageFault("a stack has at least two boards, such as base@rev-c radio@rev-b")
    verdict = judge_stack(stacked, boards.taught(item.design for item in stacked))
    dated = [boards.dated[id(item.design)] for item in stacked]
    verdict = Acceptance(repository, design, waivers, today).of_stack(dated, verdict)
    if form == "json":
        from revdiff.report.stack_document import stack_json

        write_text(stack_json(verdict), output)
    else:
        from revdiff.report.stack_page import stack_page

        show_document(stack_page(verdict, detail=detail), form, output, width)
    show_diagnostics([*boards.lent, *boards.faults])
    return status(verdict.findings, fail_on, faulty=bool(boards.faults) and not allow_faults)
