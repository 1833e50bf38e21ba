"""The matrix of stacks in Markdown."""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.judge.matrix import Grid, Matrix
from revdiff.release.support import reason, support_lines
from revdiff.report.escape import escape, table
from revdiff.report.stack_text import SAFETY, counted_findings, remark_lines


def matrix_markdown(matrix: Matrix) -> str:
    """The matrix; ends with a line end."""
    return "\n".join(_matrix(matrix)) + "\n"


def _matrix(matrix: Matrix) -> Iterator[str]:
    yield f"# {escape(matrix.title)}: what stacks with what"
    yield from ("", "## In plain words", "")
    yield from (f"- {escape(line, start=True)}" for line in remark_lines(matrix))
    lines = support_lines(matrix)
    yield from (f"- {escape(line, start=True)}" for line in lines)
    if not lines:
        yield "- No two boards with a joint between them were found."
    for grid in matrix.grids:
        yield from ("", f"## {escape(grid.boards[0])} and {escape(grid.boards[1])}", "")
        yield from _grid(grid)
    if matrix.stacks:
        yield from ("", "## Whole stacks", "")
        yield from table(
            ["Stack", "Verdict", "Checks", "Because of"],
            [
                [
                    escape(" + ".join(f"{item.board} {item.name}" for item in stack.variants)),
                    stack.verdict.answer,
                    stack.verdict.coverage,
                    escape(reason(stack.verdict)),
                ]
                for stack in matrix.stacks
            ],
        )
    if matrix.unjudged:
        yield from ("", f"{matrix.unjudged} more whole stacks were not judged: there are too many.")
    if matrix.left_out:
        yield from ("", "## Left out", "")
        yield from (f"- {escape(name, start=True)}: {escape(why)}" for name, why in matrix.left_out)
    yield ""
    yield from (f"- {text}" for text in SAFETY)


def _grid(grid: Grid) -> list[str]:
    rows = []
    for row, cells in zip(grid.rows, grid.cells, strict=True):
        for column, verdict in zip(grid.columns, cells, strict=True):
            because = "; ".join(item for item in (counted_findings(verdict), reason(verdict)) if item)
            rows.append([escape(row.name), escape(column.name), verdict.answer, verdict.coverage, escape(because)])
    return table([escape(grid.boards[0]), escape(grid.boards[1]), "Verdict", "Checks", "Because of"], rows)
