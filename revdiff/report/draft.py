"""Release notes as a Markdown file that a person goes on writing in, and that can be drafted anew without a loss.

A comment at the end of its heading marks a drafted part (``draft NAME DIGEST``); comments mark the places in it that
are a person's (``own NAME``). Whatever stands in such a place, below a drafted part, or was changed in one, is kept.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

from revdiff.quantities.pattern import pattern
from revdiff.release.document import Section
from revdiff.report.markdown import MISSING, to_markdown

_OPEN = pattern(r" <!-- draft ([a-z-]{1,40}) ([0-9a-f]{12}) -->$")
_OWN = pattern(r"<!-- own ([\w.-]{1,200}) -->")
_OWN_END = "<!-- /own -->"
_UNDECIDED = "**[to be decided: this part was rewritten by hand, and the draft has changed since. It says now:]**"


class Draft(Struct, frozen=True):
    """``left``: what is still to be filled in or decided, place by place. ``told``: conflicts and what was kept."""

    text: str
    left: tuple[str, ...]
    told: tuple[str, ...] = ()


class _Part(Struct):
    """A drafted part of a file, and what a person wrote below it."""

    name: str
    digest: str
    lines: list[str] = []
    after: list[str] = []


def is_draft(text: str) -> bool:
    """Whether a file is a draft that can be drafted anew."""
    return any(_OPEN.search(line) for line in text.splitlines())


def draft(sections: Iterable[Section], before: str = "") -> Draft:
    """The draft; ``before`` is an earlier one with whatever a person did to it, all of which is kept."""
    top, parts = _parsed(before)
    known = {item.name: item for item in parts}
    own = {name: text for item in parts for name, text in _owned("\n".join(item.lines)) if MISSING not in text}
    used: set[str] = set()
    told: list[str] = []
    pages = ["\n".join(top)] if any(top) else []
    for section in sections:
        fresh = to_markdown(section.blocks).rstrip("\n")
        digest = _digest(fresh)
        body = _filled(fresh, own, used)
        old = known.pop(section.name, None)
        if old is not None:
            kept = "\n".join(old.lines)
            if _digest(kept) != old.digest:
                used.update(name for name, _ in _owned(kept))
                told.append(f"{section.name}: kept as it was rewritten by hand")
                if digest != old.digest and _digest(kept) != digest:
                    told[-1] = f"{section.name}: rewritten by hand, and the draft has changed since; both stand there"
                    kept = f"{kept}\n\n{_UNDECIDED}\n\n{_unmarked(body)}"
                body = kept
        head, _, rest = body.partition("\n")
        page = f"{head} <!-- draft {section.name} {digest} -->\n{rest}".rstrip("\n")
        after = "\n".join(old.after).strip("\n") if old is not None else ""
        pages.append(f"{page}\n\n{after}" if after else page)
    pages += _left_over(known.values(), own, used, told)
    text = "\n\n".join(pages) + "\n"
    return Draft(text, places_left(text), tuple(told))


def _left_over(parts: Iterable[_Part], own: dict[str, str], used: set[str], told: list[str]) -> Iterator[str]:
    """What a person wrote where nothing is drafted any more."""
    for item in parts:
        kept = "\n".join(item.lines)
        if _digest(kept) != item.digest:
            used.update(name for name, _ in _owned(kept))
            told.append(f"{item.name}: no longer drafted; kept at the end, as it was rewritten by hand")
            yield _unmarked(kept)
        if after := "\n".join(item.after).strip("\n"):
            yield after
    for name, text in own.items():
        if name not in used:
            told.append(f"{name}: its place is gone; what was written there is kept at the end")
            yield f"<!-- own {name} -->\n{text}\n{_OWN_END}"


def places_left(text: str) -> tuple[str, ...]:
    """What is to be filled in or decided, in the order of the text."""
    found = re.findall(r"\*\*\[(to be (?:filled in|decided): [^\n]{1,400}?)\]\*\*", text)
    return tuple(item.replace("\\", "") for item in found)


def _parsed(text: str) -> tuple[list[str], list[_Part]]:
    """What stands before the first drafted part, and the parts."""
    top: list[str] = []
    parts: list[_Part] = []
    for line in text.splitlines():
        if found := _OPEN.search(line):
            parts.append(_Part(found[1], found[2], [line[: found.start()]]))
        else:
            (parts[-1].lines if parts else top).append(line)
    for part in parts:
        _part_off(part)
    return top, parts


def _part_off(part: _Part) -> None:
    """Parts what was drafted from what a person wrote below it: the first lines are as they were drafted."""
    end = max((at for digest, at in _digests(part.lines) if digest == part.digest), default=len(part.lines))
    part.lines, part.after = part.lines[:end], part.lines[end:]


def _owned(text: str) -> Iterator[tuple[str, str]]:
    """Each place that is a person's, with what stands in it."""
    for name, start, end in _places(text):
        yield name, text[start:end].strip("\n")


def _places(text: str) -> Iterator[tuple[str, int, int]]:
    """(name, start, end) of what stands in each place; one that isn't closed runs to the end."""
    at = 0
    while found := _OWN.search(text, at):
        end = text.find(_OWN_END, found.end())
        end = len(text) if end < 0 else end
        yield found[1], found.end(), end
        at = end


def _filled(text: str, own: dict[str, str], used: set[str]) -> str:
    """A fresh draft with what a person wrote in its places."""
    pieces, at = [], 0
    for name, start, end in _places(text):
        if name in own:
            used.add(name)
            block = text[start : start + 1] == "\n"
            pieces += [text[at:start], f"\n{own[name]}\n" if block else own[name]]
            at = end
    return "".join((*pieces, text[at:]))


def _digest(text: str) -> str:
    """Of what was drafted, whatever stands in a person's places."""
    return max(_digests(text.splitlines()), key=lambda item: item[1], default=("", 0))[0]


def _digests(lines: Sequence[str]) -> Iterator[tuple[str, int]]:
    """The digest of the first lines up to each line that isn't blank, and how many they are."""
    found = hashlib.sha256()
    blank = 0
    for text, end in _bare(lines):
        if not text:
            blank += 1
            continue
        found.update(f"{chr(10) * blank}{text}{chr(10)}".encode())
        blank = 0
        yield found.hexdigest()[:12], end


def _bare(lines: Sequence[str]) -> Iterator[tuple[str, int]]:
    """The lines without what stands in a person's places, each with how many lines it takes to get there."""
    bare, inside = "", False
    for number, line in enumerate(lines, 1):
        at = 0
        while at <= len(line):
            if inside:
                end = line.find(_OWN_END, at)
                if end < 0:
                    break
                at, inside = end, False
            found = _OWN.search(line, at)
            if found is None:
                bare += line[at:]
                break
            bare += line[at : found.end()]
            at, inside = found.end(), True
        if not inside:
            yield bare.rstrip(), number
            bare = ""
    if bare:
        yield bare.rstrip(), len(lines)


def _unmarked(text: str) -> str:
    """Without the marks of places, so that no name stands in a file twice."""
    return _OWN.sub("", text).replace(_OWN_END, "")
