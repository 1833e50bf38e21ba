"""The result of a check in Markdown that fits into a review comment: what is left out for want of room is counted."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from msgspec.structs import replace

from revdiff.release.check import Check
from revdiff.release.document import Block, Heading, Items, Pairs, Sentence, Table
from revdiff.report.check_page import check_page, closing
from revdiff.report.check_text import summary
from revdiff.report.markdown import to_markdown

# Comment fields of code hosts take some 65,000 characters (common practice, no source); bytes are never fewer.
LIMIT = 60_000
LEAST = 1_000
_SHARE = 12  # of the limit, that one text may take where room is wanting
_MORE = " […]"


def check_markdown(check: Check, limit: int = LIMIT, *, detail: bool = False) -> str:
    """The page, of at most ``limit`` bytes of UTF-8 (``LEAST`` or more); ends with a line end.

    Where it doesn't fit, every section keeps as many entries as fit if all keep as many: each has its loudest first,
    and a change that floods one section pushes nothing out of the others.
    """
    body, end = check_page(check, detail=detail), closing(check)
    if _size(whole := to_markdown((*body, *end))) <= limit:
        return whole
    sections = [tuple(blocks) for _, blocks in groupby(body, _Numbered())]
    low, high = 0, max(sum(map(_entries, blocks)) for blocks in sections)
    while low < high:
        middle = (low + high + 1) // 2
        page = to_markdown((*_cut(sections, middle, limit // _SHARE), *end))
        low, high = (middle, high) if _size(page) <= limit else (low, middle - 1)
    if _size(told := to_markdown((*_cut(sections, low, limit // _SHARE), *end))) <= limit:
        return told
    # Not even what was left out has room: the counts alone.
    text = f"**{summary(check)}** The limit of {limit} bytes leaves no room for more; revdiff check tells all.\n"
    return text.encode()[:limit].decode(errors="ignore")


def _size(text: str) -> int:
    return len(text.encode())


class _Numbered:
    """The number of the section that a block is in: a heading begins one."""

    def __init__(self) -> None:
        self._number = 0

    def __call__(self, block: Block) -> int:
        self._number += isinstance(block, Heading)
        return self._number


def _entries(block: Block) -> int:
    match block:
        case Items():
            return len(block.texts)
        case Pairs() | Table():
            return len(block.rows)
        case _:
            return 0


def _cut(sections: list[tuple[Block, ...]], shown: int, longest: int) -> Iterator[Block]:
    """Of each section the first entries, with their texts cut; then how many of which were left out."""
    told = []
    yield from sections[0]  # the counts, and the answer for each reader
    for blocks in sections[1:]:
        left, entries = shown, sum(map(_entries, blocks))
        for block in blocks if left or not entries else ():
            yield from _shortened(block, left, longest)
            left = max(0, left - _entries(block))
        if entries > shown:
            title = next((block.text for block in blocks if isinstance(block, Heading)), "")
            told.append(f"{_short(str(title), longest)}: {entries - shown} of {entries} left out")
    yield Heading("Left out for want of room")
    yield Items(tuple(told))
    yield Sentence("Long texts are cut. revdiff check on a terminal tells all.")


def _shortened(block: Block, left: int, longest: int) -> Iterator[Block]:
    match block:
        case Items() if left:
            yield Items(tuple(_short(str(text), longest) for text in block.texts[:left]), block.indent)
        case Pairs() if left:
            rows = tuple(replace(row, text=_short(str(row.text), longest)) for row in block.rows[:left])
            yield Pairs(rows, block.indent)
        case Table() if left:
            yield replace(block, rows=block.rows[:left])
        case Heading() | Sentence() if left or isinstance(block, Heading):
            yield replace(block, text=_short(str(block.text), longest))
        case _:
            return


def _short(text: str, longest: int) -> str:
    return text if _size(text) <= longest else text.encode()[:longest].decode(errors="ignore") + _MORE
