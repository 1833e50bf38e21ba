"""How many pieces of each part one set of boards needs, before and now."""

from __future__ import annotations

from collections import Counter

from msgspec import Struct

from revdiff.compare.part_changes import describe
from revdiff.design import Design, PartData
from revdiff.quantities.designator import natural_key
from revdiff.release.review import Review


class StockRow(Struct, frozen=True):
    """One part: what a buyer calls it, and the pieces of it on one of each board."""

    part: str
    before: int
    after: int


def stock_rows(review: Review) -> tuple[StockRow, ...]:
    """The parts whose number of fitted pieces differs, parts no longer needed first."""
    old, new = _pieces(review.comparison.old), _pieces(review.comparison.new)
    rows = []
    for key in {*old, *new}:
        before, after = old.get(key, ("", 0)), new.get(key, ("", 0))
        if before[1] != after[1]:
            rows.append(StockRow(after[0] or before[0], before[1], after[1]))
    return tuple(
        sorted(rows, key=lambda row: (row.after > 0, row.after >= row.before, natural_key(row.part), row.before))
    )


def _pieces(design: Design) -> dict[object, tuple[str, int]]:
    """Fitted pieces by orderable part: maker and part number where given, else value and package."""
    found: dict[object, tuple[str, int]] = {}
    for board in design.boards.values():
        # The parts of one row have one record: it is looked at once, however many they are.
        records = {id(part.data): part.data for part in board.parts.values()}
        pieces = Counter(id(part.data) for part in board.parts.values())
        for key, data in records.items():
            if data.fitted.meaning is not False:
                orderable, name = _orderable(data)
                first, so_far = found.get(orderable, (name, 0))
                found[orderable] = first, so_far + pieces[key]
    return found


def _orderable(data: PartData) -> tuple[object, str]:
    if data.part_number:
        return (data.part_number.meaning,), f"{data.manufacturer.raw} {data.part_number.raw}".strip()
    return (data.value.meaning, data.package.meaning, data.description.meaning), describe(data)
