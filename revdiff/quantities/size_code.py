"""Package names: chip size codes in inches and in millimetres, and every other package as text."""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal
from functools import lru_cache
from types import MappingProxyType
from typing import Final, Literal

from msgspec import Struct

from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import fold

System = Literal["", "inch", "metric"]


class Size(Struct, frozen=True):
    """Length and width of a chip in millimetres."""

    length: Decimal
    width: Decimal


class Package(Struct, frozen=True):
    """A package as folded text, and the chip sizes it can mean: none for others, two when ambiguous."""

    text: str
    sizes: tuple[Size, ...] = ()


# Inch code, metric code, length and width in mm: published conversion tables of chip sizes (digikey
# technical forum "two-terminal SMD package sizing"; core-emt size chart).
_TABLE: Final = (
    ("008004", "0201", "0.25", "0.125"),
    ("009005", "03015", "0.3", "0.15"),
    ("01005", "0402", "0.4", "0.2"),
    ("0201", "0603", "0.6", "0.3"),
    ("0402", "1005", "1.0", "0.5"),
    ("0504", "1210", "1.2", "1.0"),
    ("0603", "1608", "1.6", "0.8"),
    ("0805", "2012", "2.0", "1.25"),
    ("1008", "2520", "2.5", "2.0"),
    ("1206", "3216", "3.2", "1.6"),
    ("1210", "3225", "3.2", "2.5"),
    ("1806", "4516", "4.5", "1.6"),
    ("1812", "4532", "4.5", "3.2"),
    ("2010", "5025", "5.0", "2.5"),
    ("2512", "6332", "6.35", "3.2"),
    ("2512", "6432", "6.35", "3.2"),
)
_INCH: Final = MappingProxyType({inch: Size(Decimal(x), Decimal(y)) for inch, _, x, y in _TABLE})
_METRIC: Final = MappingProxyType({metric: Size(Decimal(x), Decimal(y)) for _, metric, x, y in _TABLE})

_LONGEST = 40
_BEFORE = r"(?:(?:smd|smt|chip|res|cap|ind|led|fb|[rcldf])[ _-]?){0,2}"
_INCH_WORD, _METRIC_WORD = r"(?:inch|imperial|imp|in|\")", r"(?:metric|met|mm|m)"
_GAP = r"[ _-]?"
_CODE = pattern(
    rf"(?P<before>{_INCH_WORD}|{_METRIC_WORD})?{_GAP}{_BEFORE}(?P<code>[0-9]{{4,6}}){_GAP}"
    rf"\(?(?P<after>{_INCH_WORD}|{_METRIC_WORD})?\)?(?:[ _-]?(?:smd|smt|chip))?"
)
_PAIR = pattern(
    rf"{_BEFORE}(?P<first>[0-9]{{4,6}}){_GAP}(?P<first_word>{_INCH_WORD}|{_METRIC_WORD})?[ _/-]?[(\[]?"
    rf"(?P<second>[0-9]{{4,6}}){_GAP}(?P<second_word>{_INCH_WORD}|{_METRIC_WORD})?[)\]]?"
)


def read_package(text: str, system: System = "") -> Package:
    """Read a package cell. `system` is what the column says of codes that are valid in both systems.

    A mark in the text itself (`0603M`, `0603 inch`, `0402 (1005 metric)`) goes before `system`.
    """
    folded = fold(text)
    return _read(folded, system) if len(folded) <= _LONGEST else Package(folded)


@lru_cache(maxsize=4096)
def _read(folded: str, system: System) -> Package:
    if found := _CODE.fullmatch(folded):
        words = {_system(found["before"]), _system(found["after"])} - {""}
        if len(words) < 2:
            return Package(folded, _sizes(found["code"], "".join(words), system))
    if found := _PAIR.fullmatch(folded):
        return Package(folded, _pair_sizes(found))
    return Package(folded)


def system_of(packages: Iterable[tuple[str, Package]]) -> System:
    """The system of packages, each with its text: that of the bare codes that are sizes in only one, or settled so.

    Empty where none shows it, and where they don't agree.
    """
    systems: set[System] = set()
    for text, package in packages:
        found = _CODE.fullmatch(fold(text)[:_LONGEST])
        if found is not None and not _marks(found) and len(package.sizes) == 1:
            inch, metric = (table.get(found["code"]) in package.sizes for table in (_INCH, _METRIC))
            systems |= {"inch"} if inch and not metric else {"metric"} if metric and not inch else set()
    return systems.pop() if len(systems) == 1 else ""


def _marks(found: re.Match[str]) -> bool:
    return bool(found["before"] or found["after"])


def _system(word: str | None) -> str:
    if not word:
        return ""
    return "metric" if word.startswith("m") else "inch"


def _sizes(code: str, marked: str, system: System) -> tuple[Size, ...]:
    if marked:
        size = (_INCH if marked == "inch" else _METRIC).get(code)
        return (size,) if size else ()
    inch, metric = _INCH.get(code), _METRIC.get(code)
    if inch and metric:
        return {"inch": (inch,), "metric": (metric,)}.get(system, (inch, metric))
    return tuple(size for size in (inch, metric) if size)


def _pair_sizes(found: re.Match[str]) -> tuple[Size, ...]:
    """The same chip named in both systems; two sizes when the two names disagree."""
    first, second = _system(found["first_word"]), _system(found["second_word"])
    if not first and not second:
        return _agreeing(found["first"], found["second"])
    if first == second:
        return ()
    opposite = {"inch": "metric", "metric": "inch"}
    sizes = _sizes(found["first"], first or opposite[second], "") + _sizes(
        found["second"], second or opposite[first], ""
    )
    return tuple(dict.fromkeys(sizes))


def _agreeing(one: str, other: str) -> tuple[Size, ...]:
    """Two codes without marks, when they name the same chip in the two systems."""
    pairs = ((_INCH.get(one), _METRIC.get(other)), (_METRIC.get(one), _INCH.get(other)))
    return tuple(first for first, second in pairs if first and first == second)


_JOINT = pattern(r"(?<=[0-9])[ _-]+(?=[0-9])")
# A point between figures is a decimal point, a hyphen between figures parts two numbers: neither may vanish.
_FILLER = pattern(r"[^\w.-]|_|(?<![0-9])[.-]|[.-](?![0-9])")


def _key(text: str) -> str:
    return _FILLER.sub("", _JOINT.sub("-", text))


def same_package(a: Package, b: Package) -> Literal["same", "different", "unclear"]:
    """Whether two packages are one; `unclear` when a code without its system may mean the other or not."""
    if not a.sizes and not b.sizes:
        return "same" if a.text == b.text or _key(a.text) == _key(b.text) else "different"
    if set(a.sizes) == set(b.sizes):
        return "same"
    return "unclear" if set(a.sizes) & set(b.sizes) else "different"
