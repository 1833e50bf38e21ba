"""Revision labels in the order people give them: `rev1.9` < `rev1.10`, `-` < `A` < `B` < `Z` < `AA`.

Letters run as ASME Y14.35 has them (shorter before longer, then letter by letter); numbered drafts go
before letters.
"""

from __future__ import annotations

from functools import lru_cache

from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import fold

# Words that say "revision" and nothing more, and v or r before a figure.
_LEAD = pattern(
    r"(?:(?:revision|rev|version|ver|hardware|hw|pcb|board|issue|release|tag)(?![a-z])[\s._:/#-]*(?=.)"
    r"|rev(?=[a-z]{1,2}(?:[^a-z]|$))|[vr]\.?\s?(?=[0-9]))"
)
_BEFORE_RELEASE = frozenset(("alpha", "beta", "rc", "pre", "preview", "draft", "dev", "prototype", "proto"))
_CHUNK = pattern(r"[0-9]+|[^\W\d_]+")
_DATE = pattern(r"((?:19|20)[0-9]{2})(0[1-9]|1[0-2])(0[1-9]|[12][0-9]|3[01])")
_DAY_FIRST = pattern(r"(0?[1-9]|[12][0-9]|3[01])\.(0?[1-9]|1[0-2])\.((?:19|20)[0-9]{2})")

_Chunk = tuple[int, int, str]
_PRE, _END, _NUMBER, _LETTERS = 0, 1, 2, 3


def revision_key(text: str) -> tuple[tuple[_Chunk, ...], str]:
    """A key that sorts revision labels; distinct labels never tie.

    `v1.2.0-rc1` goes before `v1.2.0`, `1A` after `1`; dates (`2024-06`, `20240601`, `1.6.2024`) by year,
    month, day.
    """
    return _key(text) if len(text) <= 64 else _chunks(text)


def _chunks(text: str) -> tuple[tuple[_Chunk, ...], str]:
    label = fold(text)
    while found := _LEAD.match(label):
        label = label[found.end() :]
    label = _DATE.sub(r"\1-\2-\3", label) if _DATE.fullmatch(label) else _DAY_FIRST.sub(r"\3-\2-\1", label)
    chunks: list[_Chunk] = []
    for chunk in _CHUNK.findall(label):
        if "0" <= chunk[0] <= "9":
            figures = chunk.lstrip("0")
            chunks.append((_NUMBER, len(figures), figures))
        elif chunk in _BEFORE_RELEASE:
            chunks.append((_PRE, 0, chunk))
        else:
            chunks.append((_LETTERS, len(chunk), chunk))
    # A dash, or nothing, is the first issue: just before the letters.
    chunks.append((_END, 0, "") if chunks else (_LETTERS, 0, ""))
    return tuple(chunks), text


_key = lru_cache(maxsize=4096)(_chunks)
