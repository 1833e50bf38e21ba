"""Markdown that stays what it is, whatever a cell of a stranger's table holds."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from revdiff.quantities.pattern import pattern
from revdiff.report.visible import visible

# CommonMark 0.31.2, section 2.4: any ASCII punctuation may be escaped with a backslash. These are the ones
# that could start markup, a table cell, an HTML tag or an entity; an underscore only where it is no part of a
# word (section 6.2).
_SPECIAL = pattern(r"([\\`*{}\[\]<>|~&!]|(?<![^\W_])_|_(?![^\W_]))")
# Hosts turn these into mentions and issue links after they have undone escapes; only a code span stays text.
_CALLS = pattern(r"((?<!\w)@\w[\w/-]*|(?<![\w&])#\w+)")
_LINE_START = pattern(r"^(\s*)([-+=]|#{1,6}|\d+[.)])(?=\s|$)")
_URL = pattern(r"(?i)\b(https?|ftp)(:)(//)|\b(www)(\.)")
LONGEST = 400


def escape(text: str, *, start: bool = False, longest: int = LONGEST) -> str:
    """Text for a paragraph or a table cell. ``start``: it stands at the start of a line."""
    shown = visible(text)
    if len(shown) > longest:
        shown = shown[: longest - 1] + "…"
    pieces = _CALLS.split(shown)
    escaped = "".join(f"`{piece}`" if index % 2 else _plain(piece) for index, piece in enumerate(pieces))
    if start:
        escaped = _LINE_START.sub(lambda found: f"{found[1]}\\{found[2]}", escaped)
    return escaped


def _plain(text: str) -> str:
    escaped = _SPECIAL.sub(r"\\\1", text)
    # A bare address would become a link in extended Markdown.
    return _URL.sub(lambda found: f"{found[1]}\\:{found[3]}" if found[1] else f"{found[4]}\\.", escaped)


def table(headings: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """A table; the cells have to be Markdown already."""
    lines = ["| " + " | ".join(headings) + " |", "|" + "|".join(" --- " for _ in headings) + "|"]
    lines += ["| " + " | ".join(cell or " " for cell in row) + " |" for row in rows]
    return lines
