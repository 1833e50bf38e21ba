"""The matrix of stacks as a document: what goes with what in words, pairs of boards as tables, each reason once."""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.judge.matrix import Grid, Matrix
from revdiff.release.document import Block, Document, Heading, Items, Pair, Pairs, Row, Sentence, Table, Tone
from revdiff.release.support import reason, support_lines
from revdiff.report.review_document import listed
from revdiff.report.stack_text import SAFETY, TONES, counted_findings, remark_lines

_NO_TONE: Tone = ""


def matrix_page(matrix: Matrix) -> Document:
    """The whole matrix."""
    return tuple(_blocks(matrix))


def _blocks(matrix: Matrix) -> Iterator[Block]:
    yield Heading(f"{matrix.title}: what stacks with what", 1)
    lines = support_lines(matrix, why=False) or ("No two boards with a joint between them were found.",)
    yield Items((*remark_lines(matrix), *lines), 1)
    for grid in matrix.grids:
        yield from _grid(grid)
    if matrix.stacks:
        yield Heading(f"Whole stacks of which every pair may fit ({len(matrix.stacks)})")
        told = []
        for stack in matrix.stacks:
            names = " + ".join(f"{item.board} {item.name}" for item in stack.variants)
            verdict = stack.verdict
            parts = (verdict.answer, verdict.coverage, counted_findings(verdict), reason(verdict))
            told.append(f"{names}: {'; '.join(item for item in parts if item)}")
        yield Items(tuple(told), 1)
    if matrix.unjudged:
        yield Sentence(f"{matrix.unjudged} more whole stacks were not judged: there are too many.")
    yield from listed("Left out", (f"{name}: {why}" for name, why in matrix.left_out))
    yield Sentence(f"Cautions: {' '.join(SAFETY)}")


def _grid(grid: Grid) -> Iterator[Block]:
    """Each revision of the one board on each of the other: the verdict, how many checks were made, and the reason."""
    one, two = grid.boards
    reasons: dict[str, list[str]] = {}
    rows = []
    for row, verdicts in zip(grid.rows, grid.cells, strict=True):
        cells, tones = [row.name], [_NO_TONE]
        for column, verdict in zip(grid.columns, verdicts, strict=True):
            cell = f"{verdict.answer}, {verdict.made} of {verdict.checks}"
            if because := reason(verdict, counted=False):
                pairs = reasons.setdefault(because, [])
                found = counted_findings(verdict)
                pairs.append(f"{one} {row.name} with {two} {column.name}{f' ({found})' if found else ''}")
                cell += f" ({list(reasons).index(because) + 1})"
            cells.append(cell)
            tones.append(TONES[verdict.answer])
        rows.append(Row(tuple(cells), tones=tuple(tones)))
    yield Heading(f"{one} and {two}: verdict, checks made, reason")
    yield Table((f"{one} \\ {two}", *(column.name for column in grid.columns)), tuple(rows))
    told = [Pair(f"({number})", f"{why}: {'; '.join(pairs)}") for number, (why, pairs) in enumerate(reasons.items(), 1)]
    if told:
        yield Pairs(tuple(told), 1)
