"""Columns that changed as wholes: new, gone, renamed, or spelled otherwise throughout. One change for each.

They are settled before anything is matched: what is left to compare is the old revision with its columns as the new one
has them, and the new revision without what only it has.
"""

from __future__ import annotations

import dataclasses
from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from revdiff.compare.apply_rows import with_fields
from revdiff.compare.change import Change, FieldChange, Unclear
from revdiff.compare.tables import TABLES, cells_of, records_of, with_records
from revdiff.design import EMPTY, Board, Design, Origin, Reading
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import fold

NEW, GONE, RENAMED, RESPELLED = "column new", "column gone", "column renamed", "column spelled otherwise"
COUNTED = "column counted anew"

_NUMBER = pattern(r"[0-9][0-9.,' ]{0,15}")
_LEAST = 3  # cells of a column, below which each is told as what it is
_DISTINCT = 3  # texts of a column, from which it is told as a whole though most of it is empty
_SAME = 0.8  # share of equal cells from which a column that went and one that came are one
_THROUGHOUT = 2 / 3  # share of cells that have to be spelled otherwise in the same ways
_RULE = 3  # cells that have to follow one way of spelling
_CORE = 2  # letters and digits that a text keeps when it is only spelled otherwise
# Columns of names and remarks. Another number, maker or function is another thing, however alike it is spelled.
_SPELLED = frozenset({"package", "description", "lifecycle", "port", "purpose", "note"})

_Cells = Mapping[str, Mapping[str, Reading]]  # by record, by column


class Columns(Struct, frozen=True):
    """``old`` and ``new``: what is left to compare. ``changes``: one for each column that changed as a whole."""

    old: Design
    new: Design
    changes: tuple[Change, ...] = ()


def settle_columns(old: Design, new: Design, unclear: list[Unclear], *, strict: bool) -> Columns:
    """Settles the columns of all tables that both designs have. ``new`` spells its columns as ``old`` does.

    ``strict``: nothing is inferred: another name is another column, another spelling another text.
    """
    changes: list[Change] = []
    before, after = dict(old.boards), dict(new.boards)
    for name in old.boards:
        if name in new.boards:
            for table in TABLES:
                settled = _Settled(table, before[name], after[name], unclear, strict)
                before[name], after[name] = settled.old, settled.new
                changes += settled.changes
    if not changes:
        return Columns(old, new)
    return Columns(dataclasses.replace(old, boards=before), dataclasses.replace(new, boards=after), tuple(changes))


class _Settled:
    """One table of one board."""

    def __init__(self, table: str, old: Board, new: Board, unclear: list[Unclear], strict: bool) -> None:
        self.old, self.new = old, new
        self.changes: list[Change] = []
        self._table = table
        self._unclear = unclear
        before, after = records_of(old, table), records_of(new, table)
        if sum(before[name] is not after[name] and before[name] != after[name] for name in before if name in after) < 2:
            return
        self._records = before, after
        self._before, self._after = _cells(before), _cells(after)
        self._shared = [name for name in self._before if name in self._after]
        self._settle(strict)

    def _settle(self, strict: bool) -> None:
        filled = [Counter(name for cells in side.values() for name in cells) for side in (self._before, self._after)]
        gone = [name for name in filled[0] if name not in filled[1]]
        come = [name for name in filled[1] if name not in filled[0]]
        renamed = {} if strict else self._renames(gone, come)
        edits: dict[str, list[FieldChange]] = {}
        for one, two in renamed.items():
            fields = self._fields(self._before, one)
            edits[one] = [*fields, *(_under(item, one, two) for item in fields)]
            self._tell(two, one, two, f"{RENAMED}, {len(fields)} cells", edits[one])
        for name in gone:
            if name not in renamed and self._whole(self._before, name):
                edits[name] = self._fields(self._before, name)
                self._tell(name, f"{len(edits[name])} cells", "–", GONE, edits[name])
                self._not_compared(name)
        for name in () if strict else filled[0]:
            if name in filled[1] and (name in _SPELLED or name not in _named_columns(self._records[0])):
                fields = self._respelled(name)
                pattern = RESPELLED
                if not fields and name not in _named_columns(self._records[0]):
                    fields, pattern = self._counted_anew(name), COUNTED
                if fields:
                    common = Counter((item.before.raw, item.after.raw) for item in fields).most_common(1)[0][0]
                    edits[name] = fields
                    self._tell(name, *common, f"{pattern}, {len(fields)} cells", fields)
        if edits:
            records = edited(self._records[0], [item for fields in edits.values() for item in fields])
            self.old = with_records(self.old, self._table, records)
        fresh = [name for name in come if name not in renamed.values() and self._whole(self._after, name)]
        for name in fresh:
            fields = [FieldChange(item.name, EMPTY, item.before) for item in self._fields(self._after, name)]
            self._tell(name, "–", f"{len(fields)} cells", NEW, fields)
            self._not_compared(name)
        if fresh:
            cleared = [item for name in fresh for item in self._fields(self._after, name)]
            self.new = with_records(self.new, self._table, edited(self._records[1], cleared))

    def _fields(self, side: _Cells, column: str) -> list[FieldChange]:
        """Every cell of a column, taken out."""
        return [FieldChange(f"{name}.{column}", cells[column]) for name, cells in side.items() if column in cells]

    def _whole(self, side: _Cells, column: str) -> bool:
        """Whether a column is told as a whole: most of its rows fill it, or it says several things."""
        texts = [cells[column] for cells in side.values() if column in cells]
        several = len({str(item.meaning) for item in texts}) >= _DISTINCT
        return len(texts) >= _LEAST and (several or 2 * len(texts) >= len(side))

    def _renames(self, gone: Iterable[str], come: Iterable[str]) -> dict[str, str]:
        """Columns that went to columns that came with the same cells."""
        found: dict[str, str] = {}
        for one in gone:
            for two in come:
                pairs = [(self._before[name].get(one), self._after[name].get(two)) for name in self._shared]
                filled = [(old, new) for old, new in pairs if old or new]
                equal = sum(1 for old, new in filled if old and new and _alike(old, new))
                if equal >= _LEAST and equal >= _SAME * len(filled) and two not in found.values():
                    found[one] = two
                    break
        return found

    def _respelled(self, column: str) -> list[FieldChange]:
        """The cells of the old table that are spelled otherwise now; empty where that is not so throughout."""
        pairs = {
            name: (self._before[name][column], self._after[name][column])
            for name in self._shared
            if column in self._before[name] and column in self._after[name]
        }
        ways = {name: _way(*pair) for name, pair in pairs.items() if pair[0] != pair[1]}
        count = Counter(ways.values())
        texts = {way: {fold(pairs[name][0].raw) for name, own in ways.items() if own == way} for way in count}
        rules = {way for way in count if way and count[way] >= _RULE and len(texts[way]) > 1}
        rules |= {way for way in count if way and _library(way)}
        following = [name for name, way in ways.items() if way in rules]
        if len(following) < max(_RULE, _THROUGHOUT * len(pairs)):
            return []
        if len({fold(pairs[name][0].raw) for name in following}) < 2:
            return []
        spelled = Counter((pairs[name][0].raw, pairs[name][1].raw) for name in following)
        readings = {pairs[name][1].raw: pairs[name][1] for name in following}
        learned: dict[str, Reading] = {}
        for (one, two), _ in spelled.most_common():
            learned.setdefault(one, readings[two])
        found = []
        for name, cells in self._before.items():
            if column in cells:
                after = pairs[name][1] if ways.get(name) in rules else learned.get(cells[column].raw)
                if after is not None and after != cells[column]:
                    found.append(FieldChange(f"{name}.{column}", cells[column], after))
        return found

    def _counted_anew(self, column: str) -> list[FieldChange]:
        """The cells of a column of plain numbers most of which are others now, as a dealer's stock is."""
        pairs = [
            (name, self._before[name][column], self._after[name][column])
            for name in self._shared
            if column in self._before[name] and column in self._after[name]
        ]
        changed = [(name, old, new) for name, old, new in pairs if old != new]
        if len(changed) < max(_LEAST, _THROUGHOUT * len(pairs)):
            return []
        if not all(_NUMBER.fullmatch(reading.raw) for _, *both in pairs for reading in both):
            return []
        return [FieldChange(f"{name}.{column}", old, new) for name, old, new in changed]

    def _tell(self, column: str, before: str, after: str, pattern: str, fields: list[FieldChange]) -> None:
        self.changes.append(
            Change(
                kind=f"{self._table}.column",
                boards=(self.old.name,),
                subject=column.replace("_", " "),
                before=before,
                after=after,
                fields=tuple(fields),
                pattern=pattern,
                origin_before=_origin(self.old, self._table),
                origin_after=_origin(self.new, self._table),
            )
        )

    def _not_compared(self, column: str) -> None:
        """A table without a column of the program's own: what it would say is not known."""
        if column not in _named_columns(self._records[0]):
            return
        for board in (self.old, self.new):
            origin = _origin(board, self._table)
            if origin is not None and origin.columns and column not in origin.columns:
                self._unclear.append(
                    Unclear(board.name, f"all {self._table}s", column, "", "", Origin(origin.file, 1), no_column=True)
                )


def _cells(records: Mapping[str, Any]) -> _Cells:
    seen: dict[int, dict[str, Reading]] = {}  # parts of one row share their data
    return {name: seen.get(id(item)) or seen.setdefault(id(item), cells_of(item)) for name, item in records.items()}


def _named_columns(records: Mapping[str, Any]) -> frozenset[str]:
    return frozenset(getattr(next(iter(records.values())), "__slots__", ()))


def edited(records: Mapping[str, Any], fields: Iterable[FieldChange]) -> dict[str, Any]:
    """Records with cells changed; each field is named ``record.column``. What names no record is left out."""
    own: dict[str, list[FieldChange]] = {}
    for item in fields:
        at = item.name.rfind(".")
        while at > 0 and item.name[:at] not in records:
            at = item.name.rfind(".", 0, at)
        if at > 0:
            own.setdefault(item.name[:at], []).append(replace(item, name=item.name[at + 1 :]))
    seen: dict[tuple[int, tuple[FieldChange, ...]], Any] = {}
    found = dict(records)
    for name, items in own.items():
        key = (id(records[name]), tuple(items))
        if key not in seen:
            seen[key] = with_fields(records[name], items)
        found[name] = seen[key]
    return found


def _under(item: FieldChange, one: str, two: str) -> FieldChange:
    """The same cell under another column."""
    return FieldChange(item.name.removesuffix(one) + two, EMPTY, item.before)


def _alike(old: Reading, new: Reading) -> bool:
    return old == new or fold(old.raw) == fold(new.raw)


def _way(old: Reading, new: Reading) -> tuple[str, str, str] | None:
    """How one text became the other one: what stands before or after it instead of what. None for another text."""
    one, two = fold(old.raw), fold(new.raw)
    for where, first, second in (("before", one[::-1], two[::-1]), ("after", one, two)):
        size = next((at for at, pair in enumerate(zip(first, second, strict=False)) if pair[0] != pair[1]), None)
        size = min(len(first), len(second)) if size is None else size
        if sum(map(str.isalnum, first[:size])) >= _CORE and (size == len(first) or size == len(second)):
            rest = first[size:], second[size:]
            return (where, *(text[::-1] if where == "before" else text for text in rest))  # type: ignore[return-value]
    return None


def _library(way: tuple[str, str, str]) -> bool:
    """Whether the name of a library, up to its colon, was put before a text, taken away or changed."""
    where, one, two = way
    return where == "before" and one[-1:] in ("", ":") and two[-1:] in ("", ":")


def _origin(board: Board, kind: str) -> Origin | None:
    if kind == "part":
        return next((part.origin for part in board.parts.values()), None)
    return next((record.origin for record in records_of(board, kind).values()), None)
