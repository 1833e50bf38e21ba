"""Comments and strings of C and devicetree sources, in one pass (C17 clauses 6.4.4.4, 6.4.5 and 6.4.9)."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Literal, NamedTuple

from revdiff.quantities.pattern import pattern

_MARK = pattern(r"/\*|//|\"|'")
_INSIDE = {sign: pattern(rf"(?:[^{sign}\\\n]|\\.)*+", re.DOTALL) for sign in "\"'"}


class Piece(NamedTuple):
    """A comment or a string in a text, from ``start`` up to but without ``end``."""

    kind: Literal["comment", "string"]
    start: int
    end: int


def pieces(text: str) -> Iterator[Piece]:
    """The comments and strings in their order. A comment that is never closed runs to the end of the text.

    A quotation mark without a second one in its line (as in ``#error don't``) begins no string.
    """
    at = 0
    lone = dict.fromkeys(_INSIDE, 0)  # by sign: up to where no string is closed, so that none is looked for twice
    while (mark := _MARK.search(text, at)) is not None:
        start, sign = mark.span()[0], mark[0]
        at = mark.end()
        if sign == "/*":
            end = text.find("*/", at)
            at = len(text) if end < 0 else end + 2
            yield Piece("comment", start, at)
        elif sign == "//":
            end = text.find("\n", at)
            at = len(text) if end < 0 else end
            yield Piece("comment", start, at)
        elif start >= lone[sign]:
            inside = _INSIDE[sign].match(text, at)
            end = at if inside is None else inside.end()
            if text[end : end + 1] == sign:
                at = end + 1
                yield Piece("string", start, at)
            else:
                lone[sign] = end


def blanked(text: str, *, strings: bool) -> str:
    """The text with a blank for each comment, and for each string too where ``strings``; line breaks stay."""
    kept: list[str] = []
    at = 0
    for kind, start, end in pieces(text):
        if kind == "comment" or strings:
            kept += (text[at:start], "\n" * text.count("\n", start, end) or " ")
            at = end
    kept.append(text[at:])
    return "".join(kept)
