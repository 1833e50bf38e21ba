"""A document in Markdown (CommonMark with tables), for a merge request, an issue or a page."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator

from revdiff.release.document import (
    Blank,
    Block,
    Cell,
    Document,
    Folded,
    Gap,
    Heading,
    Items,
    Pairs,
    Row,
    Section,
    Sentence,
    Table,
    Tone,
)
from revdiff.report.escape import escape, table

MISSING = "**[to be filled in:"
_LONGEST = 6_000  # characters of a text; what a stranger makes longer is cut
_LOUD: tuple[Tone, ...] = ("hazard", "break")


class _Head(str):
    """The line of a heading: what follows stands right below it."""

    __slots__ = ()


def to_markdown(document: Document) -> str:
    """The whole document; ends with a line end."""
    lines: list[str] = []
    for line in _lines(document):
        if line or (lines and lines[-1] and not isinstance(lines[-1], _Head)):
            lines.append(line)
    return "\n".join(lines).rstrip("\n") + "\n"


def _lines(blocks: Iterable[Block]) -> Iterator[str]:
    for block in blocks:
        match block:
            case Heading():
                yield from ("", _Head(f"{'#' * block.level} {escape(block.text)}"))
            case Sentence():
                if isinstance(block.text, Blank):
                    yield from ("", *_region(block.text), "")
                    continue
                text = _cell(block.text, start=True)
                yield from ("", f"**{text}**" if block.tone in ("title", *_LOUD) else text, "")
            case Items():
                yield from (f"{_indent(block.indent)}- {_cell(text, start=True)}" for text in block.texts)
            case Pairs():
                for row in block.rows:
                    yield f"{_indent(block.indent)}- {_label(row.label)}{_cell(row.text)}"
            case Table():
                yield ""
                headings = [escape(item) for item in block.headings]
                rows = [list(_cells(row)) for row in block.rows]
                yield from table(headings, rows)
                yield ""
            case Folded():
                # CommonMark 0.31.2, section 4.6: an HTML block ends at a blank line, so that what follows is Markdown.
                yield from ("", f"<details><summary>{escape(block.title)}</summary>", "")
                yield from _lines(block.blocks)
                yield from ("", "</details>", "")
            case Section():
                yield from _lines(block.blocks)
            case Gap():
                yield ""


def _indent(level: int) -> str:
    return "  " if level > 1 else ""


def _label(label: str) -> str:
    return f"**{escape(label)}:** " if label else ""


def _cells(row: Row) -> Iterator[str]:
    for index, cell in enumerate(row.cells):
        tone = row.tones[index] if row.tones else row.tone if not index else ""
        yield f"**{_cell(cell)}**" if tone in _LOUD else _cell(cell)


def _cell(cell: Cell, *, start: bool = False) -> str:
    return blank(cell) if isinstance(cell, Blank) else escape(cell, start=start, longest=_LONGEST)


def blank(item: Blank) -> str:
    """A visible place for what a person writes, marked so that a later draft finds it."""
    start, text, end = _region(item)
    return f"{start}{text}{end}"


def _region(item: Blank) -> tuple[str, str, str]:
    """On lines of their own: a line that starts with a comment is HTML to its end (CommonMark 0.31.2, section 4.6)."""
    return f"<!-- own {region_name(item.name)} -->", f"{MISSING} {escape(item.hint)}]**", "<!-- /own -->"


def region_name(name: str) -> str:
    """A name for a comment, of its own for each name: letters, digits, single signs; it ends no comment."""
    plain = re.sub(r"[^\w.]+", "-", name)[:180].strip("-") or "x"
    return plain if plain == name else f"{plain}-{hashlib.sha256(name.encode()).hexdigest()[:4]}"
