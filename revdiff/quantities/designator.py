"""Reference designators (IEEE 315-1975 clause 22.4, ASME Y14.44-2008) and lists of them."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from msgspec import Struct

from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import clean, fold

_LONGEST = 16
# An assembly in front (`1A2R5`: resistor 5 of assembly 1A2), class letters, number, suffix of a unit (`U1A`).
_NUMBERED = pattern(
    r"((?:[0-9]{0,3}A[0-9]{1,4})+(?=[A-Z]+[0-9]))?([A-Z]+(?:_[A-Z]+)*_?)(0*)([0-9]{1,9})([A-Z]{0,3}|[._][A-Z0-9]{1,4})"
)
_NAME = pattern(r"[A-Z]+(?:_[A-Z]+)*")


class DesignatorFault(ValueError):
    """A list of designators that can't be read. The message tells what was found and what was expected."""


class Designator(Struct, frozen=True):
    """One reference designator, upper case. `zeros`: how many stand before the number (`R01` is no `R1`)."""

    prefix: str
    number: int | None
    suffix: str = ""
    zeros: int = 0
    assembly: str = ""

    @property
    def text(self) -> str:
        number = "" if self.number is None else "0" * self.zeros + str(self.number)
        return f"{self.assembly}{self.prefix}{number}{self.suffix}"


def parse_designator(text: str) -> Designator | None:
    """Read one designator (`r1`, `U1A`, `A2R5`; `PCB` has no number), or None when the text is none."""
    return _parse(text) if len(text) <= 2 * _LONGEST else None


@lru_cache(maxsize=65536)
def _parse(text: str) -> Designator | None:
    upper = clean(text).upper()
    if len(upper) > _LONGEST or not upper.isascii():
        return None
    if found := _NUMBERED.fullmatch(upper):
        assembly, prefix, zeros, number, suffix = found.groups()
        return Designator(prefix, int(number), suffix, len(zeros), assembly or "")
    return Designator(upper, None) if _NAME.fullmatch(upper) else None


def letters_of(ref: str) -> str:
    """The class letters of a designator; empty where it has none."""
    letters = ref.rstrip("0123456789")
    if letters.isalpha() and len(letters) < len(ref):
        return letters
    designator = parse_designator(ref)
    return designator.prefix if designator is not None else ""


_CHUNK = pattern(r"[0-9]+|[^0-9]+")
_Chunk = tuple[int, int, str]


def natural_key(text: str) -> tuple[tuple[_Chunk, ...], str]:
    """A key that sorts any texts as people count, whatever the case: R2 < R10. Distinct texts never tie."""
    return _natural_key(text) if len(text) <= 64 else _chunks(text)


def _chunks(text: str) -> tuple[tuple[_Chunk, ...], str]:
    chunks: list[_Chunk] = []
    for chunk in _CHUNK.findall(fold(text)):
        if "0" <= chunk[0] <= "9":
            # By length, then figure by figure: the order of the numbers, for numbers of any length.
            figures = chunk.lstrip("0")
            chunks.append((0, len(figures), figures))
        else:
            chunks.append((1, 0, chunk))
    return tuple(chunks), text


_natural_key = lru_cache(maxsize=65536)(_chunks)

_RANGE_MARK = pattern(r" ?(?:\.{2,3}|[-‐‑‒–—−…~至到]) ?| (?:to|thru|through|bis|à|al?|até|do) ", re.IGNORECASE)
_LIST_MARK = pattern(r" ?[,;] ?")
# What nearly every cell holds, and what is nothing else once it is read: no zeros in front, no suffix, no range.
_PLAIN = pattern(r"[A-Z]{1,6}[1-9][0-9]{0,8}(?:(?:, ?| )[A-Z]{1,6}[1-9][0-9]{0,8})*+")


def expand(text: str, limit: int = 10_000) -> tuple[str, ...]:
    """The designators in a cell, upper case, in its order, duplicates kept: `R1-R3, R7` is R1 R2 R3 R7.

    Between designators: comma, semicolon, blanks, line breaks. Ranges: `R1-R4`, `R1-4`, `R1..R4`, `R1…R4`,
    `R1 – R4`, `R1 to R4` and the same in other languages. Raises DesignatorFault for what is no designator, ranges that
    run backwards or across kinds, and more than `limit` designators.
    """
    if _PLAIN.fullmatch(text):
        plain = tuple(text.replace(",", " ").split())
        if len(plain) <= limit:
            return plain
    single = parse_designator(text)
    if single is not None and limit > 0:
        return (single.text,)
    names: list[str] = []
    for group in _LIST_MARK.split(_RANGE_MARK.sub("-", clean(text))):
        items = group.split(" ") if group else []
        for item in items:
            _expand_item(item, names, limit, alone=len(items) == 1)
    return tuple(names)


def _expand_item(item: str, names: list[str], limit: int, *, alone: bool) -> None:
    first_text, dash, last_text = item.partition("-")
    first = parse_designator(first_text)
    # Words between blanks are prose, not names: `see note`.
    if first is None or (first.number is None and (dash or not alone)):
        raise DesignatorFault(f"found {_quoted(item)}; expected a designator such as R1, or a range such as R1-R4")
    if not dash:
        if len(names) >= limit:
            raise DesignatorFault(f"found more than {limit} designators in one cell; expected at most {limit}")
        names.append(first.text)
        return
    start, end = first.number or 0, _range_end(item, first, last_text)
    if end < start:
        raise DesignatorFault(f"found {_quoted(item)}; expected a range that runs upwards, such as R1-R4")
    if len(names) + end - start + 1 > limit:
        raise DesignatorFault(
            f"found {_quoted(item)}, {end - start + 1} designators; expected at most {limit} in one cell"
        )
    head = first.assembly + first.prefix
    width = first.zeros + len(str(start)) if first.zeros else 0
    names.extend(f"{head}{number:0{width}d}" if width else f"{head}{number}" for number in range(start, end + 1))


def _range_end(item: str, first: Designator, last_text: str) -> int:
    """The number at the end of a range, `R4` or just `4`."""
    written = first.assembly + first.prefix + last_text if last_text.isdecimal() else last_text
    last = parse_designator(written)
    if last is None or last.number is None:
        raise DesignatorFault(f"found {_quoted(item)}; expected a designator at both ends of the range, as R1-R4")
    if (last.assembly, last.prefix) != (first.assembly, first.prefix) or first.suffix or last.suffix:
        raise DesignatorFault(f"found {_quoted(item)}; expected the same letters at both ends of the range, as R1-R4")
    widths = [d.zeros + len(str(d.number)) for d in (first, last)]
    if (first.zeros or last.zeros) and (widths[0] != widths[1] or last.zeros > first.zeros):
        raise DesignatorFault(f"found {_quoted(item)}; expected as many figures at both ends of the range, as R01-R12")
    return last.number


def _quoted(text: str) -> str:
    return f'"{text[:40]}…"' if len(text) > 40 else f'"{text}"'


def compress(names: Iterable[str]) -> str:
    """The shortest list that `expand` reads back, in natural order, each name once: `R1–R4, R7`."""
    runs: list[list[str]] = []
    previous: Designator | None = None
    for name in sorted(set(names), key=natural_key):
        this = parse_designator(name)
        if _follows(previous, this):
            runs[-1].append(name)
        else:
            runs.append([name])
        previous = this
    return ", ".join(f"{run[0]}–{run[-1]}" if len(run) > 2 else ", ".join(run) for run in runs)


def _follows(previous: Designator | None, this: Designator | None) -> bool:
    if previous is None or this is None or previous.number is None or this.number is None:
        return False
    plain = not (previous.suffix or this.suffix or previous.zeros or this.zeros)
    same_kind = (previous.assembly, previous.prefix) == (this.assembly, this.prefix)
    return plain and same_kind and this.number == previous.number + 1
