"""The lines of a C, C++ or devicetree source: what the preprocessor would take, and what is left (C17 clause 6.10).

Nothing is included and no condition is worked out but ``#if 0`` and ``#if 1``; each line tells the condition that it
stands under, and what is read from it can say so.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from msgspec import Struct

from revdiff.quantities.pattern import pattern
from revdiff.readers.comments import blanked, pieces

_DIRECTIVE = pattern(
    r"\s*+#\s*+(define|undef|include|import|ifdef|ifndef|if|elif|else|endif|error|warning|pragma|line)(?![\w-])(.*)",
    re.DOTALL,
)
_DEFINED = pattern(r"\s*+([A-Za-z_]\w*+)(\(?)(.*)", re.DOTALL)


_BLANK = str.maketrans("\"'", "  ")


class Macro(Struct, frozen=True):
    """A ``#define``: its name, whether it takes parameters, what stands for it, its line and condition."""

    name: str
    parameters: bool
    body: str
    line: int
    condition: str


class Lines(Struct):
    """A source without comments and directives, line by line from 1.

    ``conditions``: by line, the innermost directive that a line of code depends on. ``included``: what the file draws
    on, by line. ``comments``: the first comment of each line.
    """

    code: dict[int, str] = {}
    macros: list[Macro] = []
    conditions: dict[int, str] = {}
    included: dict[int, str] = {}
    comments: Mapping[int, str] = {}


class _Open(Struct, frozen=True):
    """A condition that isn't closed yet, with those around it. ``said``: as a directive; empty for a guard, ``#if 1``.

    ``dead``: nothing below it counts; ``last``: no later branch of it counts.
    """

    said: str = ""
    dead: bool = False
    last: bool = False


def read_lines(text: str) -> Lines:
    """The lines of a source, in one pass."""
    joined = _joined(text.replace("\r\n", "\n").replace("\r", "\n"))
    found = Lines(comments=_comments(joined))
    macros: dict[str, list[Macro]] = {}
    opened = [_Open()]
    guard, first = "", True
    for number, line in enumerate(_closed(blanked(joined, strings=False)).split("\n"), 1):
        here = opened[-1]
        directive = _DIRECTIVE.match(line)
        if directive is None:
            if not here.dead and line.strip():
                found.code[number] = line
                if here.said:
                    found.conditions[number] = here.said
            continue
        word, rest = directive[1], directive[2].strip()
        if word in ("if", "ifdef", "ifndef"):
            guard = rest if first and word == "ifndef" else ""
            opened.append(_branch(here, word, rest))
        elif word in ("elif", "else") and len(opened) > 1:
            outer = opened[-2]
            if here.last or outer.dead:
                opened[-1] = _Open(outer.said, True, True)
            elif word == "elif" or here.said != outer.said:
                opened[-1] = _branch(outer, "if" if word == "elif" else "else", rest)
            else:
                opened[-1] = _Open(outer.said, outer.dead)  # of an #if 0
        elif word == "endif":
            del opened[max(1, len(opened) - 1) :]
        elif word in ("include", "import") and not here.dead:
            found.included[number] = rest[:60]
        elif word == "undef" and not here.dead and not here.said:
            macros.pop(rest, None)
        elif word == "define" and not here.dead and (named := _DEFINED.match(rest)):
            if guard == named[1] and not named[3].strip() and len(opened) == 2:
                opened[-1] = here = _Open()
            else:
                macro = Macro(named[1], bool(named[2]), named[3].strip(), number, here.said)
                macros.setdefault(named[1], []).append(macro)
            guard = ""
        first = False
    found.macros = sorted((item for items in macros.values() for item in items), key=lambda item: item.line)
    return found


def _branch(outer: _Open, word: str, condition: str) -> _Open:
    if outer.dead or (word == "if" and condition == "0"):
        return _Open(outer.said, True, outer.dead)
    if word == "if" and condition == "1":
        return _Open(outer.said, False, True)
    return _Open(f"#{word} {condition[:60]}".strip())


def _joined(text: str) -> str:
    """The text with lines that a backslash continues as one; empty lines after it keep the numbers of the others."""
    if "\\" not in text:
        return text
    kept: list[str] = []
    pieces_of: list[str] = []
    for line in text.split("\n"):
        bare = line.rstrip(" \t")
        if bare.endswith("\\"):
            pieces_of.append(bare[:-1])
            continue
        kept.append("".join((*pieces_of, line)))
        kept += [""] * len(pieces_of)
        pieces_of = []
    return "\n".join((*kept, "".join(pieces_of))) if pieces_of else "\n".join(kept)


def _closed(text: str) -> str:
    """The text with a blank for each quotation mark that nothing closes, so that no pattern looks for its end."""
    kept: list[str] = []
    at = 0
    for _, start, end in pieces(text):
        kept += (text[at:start].translate(_BLANK), text[start:end])
        at = end
    return "".join((*kept, text[at:].translate(_BLANK)))


def _comments(text: str) -> dict[int, str]:
    comments: dict[int, str] = {}
    line, at = 1, 0
    for kind, start, end in pieces(text):
        if kind == "comment":
            line += text.count("\n", at, start)
            at = start
            comments.setdefault(line, text[start:end].strip("/*<! \t\n"))
    return comments
