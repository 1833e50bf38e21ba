"""A document for a terminal or a pipe: plain text at any width; colour stands beside the words, never for them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import zip_longest
from typing import TYPE_CHECKING

from msgspec.structs import replace

from revdiff.release.document import (
    Blank,
    Block,
    Cell,
    Document,
    Folded,
    Gap,
    Heading,
    Items,
    Pair,
    Pairs,
    Section,
    Sentence,
    Table,
    Tone,
)
from revdiff.report.page import Page

if TYPE_CHECKING:
    from rich.console import Console

STYLES: dict[Tone, str] = {
    "": "",
    "title": "bold",
    "hazard": "bold red",
    "break": "red",
    "caution": "yellow",
    "info": "cyan",
    "good": "green",
}
_STEP = 2  # columns of one indent
_APART = 2  # columns between two cells
_LEAST = 10  # columns of a cell that is wrapped


def print_document(document: Document, console: Console) -> None:
    """Prints the whole document, at the width of the console."""
    _Printer(console).blocks(document)


def plain(cell: Cell) -> str:
    """The text of a cell; a blank as what belongs there."""
    return f"[to be filled in: {cell.hint}]" if isinstance(cell, Blank) else cell


class _Printer:
    def __init__(self, console: Console) -> None:
        self._page = Page(console)
        self._width = console.width

    def blocks(self, blocks: Iterable[Block]) -> None:
        page = self._page
        for block in blocks:
            match block:
                case Heading():
                    if block.level > 1:
                        page.line("")
                    page.put(page.text(block.text, STYLES[block.tone]), 0, hang=_STEP)
                case Sentence():
                    page.put(page.text(plain(block.text), STYLES[block.tone]), _STEP * block.indent)
                case Items():
                    for text in block.texts:
                        page.put(page.text(plain(text)), _STEP * block.indent, hang=_STEP)
                case Pairs():
                    self._pairs(block.rows, _STEP * block.indent)
                case Table():
                    self._table(block)
                case Folded():
                    page.heading(block.title, "bold")
                    self.blocks(block.blocks)
                case Section():
                    self.blocks(block.blocks)
                case Gap():
                    page.line("")

    def _pairs(self, rows: Sequence[Pair], indent: int) -> None:
        lead = max((len(row.label) for row in rows), default=0)
        for row in rows:
            self._cells([row.label, plain(row.text)], [lead, self._width - indent - lead - _APART], row.tone, indent)

    def _table(self, table: Table) -> None:
        """One with more columns than fit is told in parts, each with its first column."""
        for number, chosen in enumerate(_parted(_least(table), self._width)):
            rows = tuple(
                replace(
                    row,
                    cells=tuple(row.cells[index] for index in chosen),
                    tones=tuple(row.tones[index] for index in chosen) if row.tones else (),
                )
                for row in table.rows
            )
            if number:
                self._page.line("")
            self._part(replace(table, headings=tuple(table.headings[index] for index in chosen), rows=rows))

    def _part(self, table: Table) -> None:
        rows = [[plain(cell) for cell in row.cells] for row in table.rows]
        shown = rows if table.bare else [list(table.headings), *rows]
        widths = _widths([max(len(row[index]) for row in shown) for index in range(len(table.headings))], self._width)
        if not table.bare:
            self._cells(list(table.headings), widths, "title", 0, whole=True)
        for row, texts in zip(table.rows, rows, strict=True):
            self._cells(texts, widths, row.tone, 0, tones=row.tones)

    def _cells(
        self,
        texts: Sequence[str],
        widths: Sequence[int],
        tone: Tone,
        indent: int,
        *,
        whole: bool = False,
        tones: Sequence[Tone] = (),
    ) -> None:
        """Cells beside each other, each wrapped in its column. ``whole``: the tone is of all, else of the first.

        ``tones``: one for each, instead.
        """
        page = self._page
        each = tones or [tone if whole or not index else "" for index in range(len(texts))]
        columns = [
            page.folded(page.text(text, STYLES[own]), max(width, 1))
            for text, width, own in zip(texts, widths, each, strict=True)
        ]
        for lines in zip_longest(*columns):
            text = page.text("")
            for index, line in enumerate(lines):
                if line is not None:
                    text.append_text(line)
                    used = line.cell_len
                else:
                    used = 0
                if any(other is not None for other in lines[index + 1 :]):
                    text.append(" " * (max(widths[index] - used, 0) + (_APART if widths[index] else 0)))
            page.put_line(text, indent)


def _least(table: Table) -> list[int]:
    """The columns that each column takes at least."""
    shown = [row.cells for row in table.rows] if table.bare else [table.headings, *(row.cells for row in table.rows)]
    return [min(max(len(plain(cells[index])) for cells in shown), _LEAST) for index in range(len(table.headings))]


def _parted(least: Sequence[int], width: int) -> list[list[int]]:
    """The columns of each part of a table: the first one, and as many others as fit."""
    parts = [[0]]
    used = least[0]
    for index, own in enumerate(least[1:], 1):
        if used + _APART + own > width and len(parts[-1]) > 1:
            parts.append([0])
            used = least[0]
        parts[-1].append(index)
        used += _APART + own
    return parts


def _widths(natural: list[int], width: int) -> list[int]:
    """The widths of columns that fit into a width: narrow ones whole, the rest of it shared by the wide ones."""
    room = width - _APART * (len(natural) - 1)
    widths = list(natural)
    open_columns = sorted(range(len(natural)), key=lambda index: natural[index])
    left = room
    for position, index in enumerate(open_columns):
        share = left // (len(open_columns) - position)
        widths[index] = max(min(natural[index], share), min(natural[index], _LEAST))
        left -= widths[index]
    return widths
