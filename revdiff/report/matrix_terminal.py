"""The matrix of stacks for a terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from revdiff.judge.matrix import Grid, Matrix
from revdiff.release.support import reason, support_lines
from revdiff.report.page import Page
from revdiff.report.stack_text import SAFETY, STYLES, counted_findings, remark_lines
from revdiff.report.visible import visible

if TYPE_CHECKING:
    from rich.console import Console


def print_matrix(matrix: Matrix, console: Console) -> None:
    """What fits in plain words, then each pair of boards as a table with the reasons below it."""
    _heading(console, f"{matrix.title}: what stacks with what")
    for remark in remark_lines(matrix):
        _line(console, remark, indent=2)
    lines = support_lines(matrix, why=False)
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
    reasons: dict[str, list[str]] = {}
    for row, cells in zip(grid.rows, grid.cells, strict=True):
        shown = [Text(visible(row.name))]
        for column, verdict in zip(grid.columns, cells, strict=True):
            text = Text(verdict.answer, style=STYLES[verdict.answer])
            text.append(f"\n{verdict.made} of {verdict.checks} checks", style="dim")
            if because := reason(verdict, counted=False):
                pairs = reasons.setdefault(because, [])
                found = counted_findings(verdict)
                pairs.append(f"{rows} {row.name} with {columns} {column.name}{f' ({found})' if found else ''}")
                text.append(f"\nreason ({list(reasons).index(because) + 1})", style="dim")
            shown.append(text)
        table.add_row(*shown)
    _line(console, "")
    _line(console, f"{rows} and {columns}", "bold")
    console.print(table)
    for number, (because, pairs) in enumerate(reasons.items(), 1):
        _line(console, f"({number}) {because}: {'; '.join(pairs)}", indent=2)


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
