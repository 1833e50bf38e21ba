"""Stacks and their matrix for a terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from revdiff.judge import Verdict
from revdiff.judge.finding import SEVERITIES
from revdiff.judge.matrix import Grid, Matrix
from revdiff.judge.waivers import waiver_lines
from revdiff.release.support import reason, support_lines
from revdiff.release.words import SEVERITY_TITLES
from revdiff.report.page import Page
from revdiff.report.stack_text import SAFETY, STYLES, counted_findings, remark_lines
from revdiff.report.visible import visible

if TYPE_CHECKING:
    from rich.console import Console


def print_stack(verdict: Verdict, console: Console) -> None:
    """One stack with every finding in full."""
    _heading(console, verdict.title)
    _line(console, f"{verdict.answer}; {verdict.coverage}", STYLES[verdict.answer])
    for severity in SEVERITIES:
        found = [item for item in verdict.findings if item.severity == severity]
        if not found:
            continue
        _line(console, "")
        _line(console, f"{SEVERITY_TITLES[severity]} ({len(found)})", "bold")
        for item in found:
            hazard = "hazard: " if item.hazard else ""
            _line(console, f"{item.pairing}, {item.subject}: {hazard}{item.told}", indent=2)
            _line(console, f"{item.worked}{f'; source: {item.source}' if item.source else ''}", "dim", indent=4)
            _line(console, f"{item.remedy} [{item.rule}]", "dim", indent=4)
    if verdict.unmade:
        _line(console, "")
        _line(console, f"Not checked ({len(verdict.unmade)})", "bold")
        for check in verdict.not_checked:
            _line(console, f"{check.what}: {check.why}; needs {check.needs}", indent=2)
    if verdict.waivers:
        _line(console, "")
        _line(console, f"Waivers ({len(verdict.waivers)})", "bold")
        for text in waiver_lines(verdict.waivers):
            _line(console, text, indent=2)
    _safety(console)


def print_matrix(matrix: Matrix, console: Console) -> None:
    """What fits in plain words, then each pair of boards as a table with the reasons below it."""
    _heading(console, f"{matrix.title}: what stacks with what")
    for remark in remark_lines(matrix):
        _line(console, remark, indent=2)
    lines = support_lines(matrix)
    for line in lines:
        _line(console, line, indent=2)
    if not lines:
        _line(console, "No two boards with a joint between them were found.", indent=2)
    for grid in matrix.grids:
        _grid(grid, console)
    if matrix.stacks:
        _line(console, "")
        _line(console, f"Whole stacks of which every pair may fit ({len(matrix.stacks)})", "bold")
        for stack in matrix.stacks:
            names = " + ".join(f"{item.board} {item.name}" for item in stack.variants)
            verdict = stack.verdict
            parts = (verdict.answer, verdict.coverage, counted_findings(verdict), reason(verdict))
            _line(console, f"{names}: {'; '.join(item for item in parts if item)}", indent=2)
    if matrix.unjudged:
        _line(console, f"{matrix.unjudged} more whole stacks were not judged: there are too many.", indent=2)
    if matrix.left_out:
        _line(console, "")
        _line(console, f"Left out ({len(matrix.left_out)})", "bold")
        for name, why in matrix.left_out:
            _line(console, f"{name}: {why}", indent=2)
    _safety(console)


def _grid(grid: Grid, console: Console) -> None:
    from rich.box import ASCII2
    from rich.table import Table
    from rich.text import Text

    rows, columns = grid.boards
    table = Table(box=ASCII2, show_lines=True)
    table.add_column(Text(visible(f"{rows} \\ {columns}")))
    for column in grid.columns:
        table.add_column(Text(visible(column.name)))
    notes: list[str] = []
    for row, cells in zip(grid.rows, grid.cells, strict=True):
        shown = [Text(visible(row.name))]
        for column, verdict in zip(grid.columns, cells, strict=True):
            text = Text(verdict.answer, style=STYLES[verdict.answer])
            text.append(f"\n{verdict.made} of {verdict.checks} checks", style="dim")
            because = reason(verdict)
            if because:
                notes.append(
                    f"({len(notes) + 1}) {rows} {row.name} with {columns} {column.name}: "
                    f"{'; '.join(item for item in (counted_findings(verdict), because) if item)}"
                )
                text.append(f"\nreason ({len(notes)})", style="dim")
            shown.append(text)
        table.add_row(*shown)
    _line(console, "")
    _line(console, f"{rows} and {columns}", "bold")
    console.print(table)
    for note in notes:
        _line(console, note, indent=2)


def _safety(console: Console) -> None:
    _line(console, "")
    for text in SAFETY:
        _line(console, text, "dim")


def _heading(console: Console, text: str) -> None:
    _line(console, text, "bold")


def _line(console: Console, text: str, style: str = "", indent: int = 0) -> None:
    """Text that is taken literally."""
    page = Page(console)
    page.put(page.text(text, style), indent, hang=2)
