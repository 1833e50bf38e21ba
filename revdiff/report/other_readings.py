"""Parts that were told as removed and added, and may be the same ones, in words."""

from __future__ import annotations

from collections.abc import Iterable

from revdiff.compare.change import OtherReading
from revdiff.quantities.designator import compress

TITLE = "Could also be read"


def reading_lines(readings: Iterable[OtherReading]) -> list[str]:
    """A sentence for each."""
    return [_line(item) for item in readings]


def _line(item: OtherReading) -> str:
    old, new = compress(item.old), compress(item.new)
    told = f"{item.board}: {old} went and {new} came, with the same data"
    if item.tie:
        return f"{told}; they may be the same parts, and nothing tells which is which"
    return f"{told}, which other parts have, too; renumbered, perhaps ({item.confidence:.0%} sure)"
