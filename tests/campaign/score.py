"""Scores what the comparison tells against what was done.

A change is right when its kind, board, the pairs of names it covers and, for kinds that change columns, those columns
are those of one event, or together those of several events that did the same thing to several records (two
resistors of one row given the same new value make one change, whoever did it twice).

Where the data can't decide between two accounts, every equivalent one is right. An account of some parts, pins or
contacts is equivalent to the true one when
1. the changes, applied to the first revision, give the second one exactly;
2. it needs no more changes than the truth;
3. it claims no difference that didn't happen: with "kind, columns, data before, data after" written down for each
   record that came, went or changed, every entry of the answer is an entry of the truth as well, as often. The names
   of the records don't count in this, so identical parts are interchangeable, a removal and an addition of
   identical parts may be told as a renumbering, and two parts that traded all their data as an exchange of designators.
Everything else is missed (not told), false (told, didn't happen) or wrongly classed (both, about the same record).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from revdiff.compare.change import Change
from revdiff.compare.comparison import Comparison
from revdiff.compare.headers import aligned
from revdiff.design import Board, Design, Reading
from revdiff.quantities.text import fold
from tests.campaign.trial import Expected

End = tuple[str, str]
_Group = tuple[set[tuple[str, str, str]], list["Told"], list[Expected]]
_PLACE_FIELDS = {
    "pin": ("device", "number", "port", "analog", "interrupt", "tolerant"),
    "contact": ("connector", "number"),
}
_WITH_FIELDS = ("renumbered", "added", "removed", "moved", "swapped", "renamed", "split", "merged", "signal")


@dataclass(frozen=True)
class Told:
    """A change in the form in which it is scored."""

    change: Change
    kind: str
    board: str
    pairs: frozenset[End]
    fields: frozenset[str]


@dataclass
class Score:
    """How one pair came out. ``notes`` say what went wrong, for a person."""

    found: list[Expected] = field(default_factory=list)
    missed: list[Expected] = field(default_factory=list)
    wrong: list[Expected] = field(default_factory=list)
    equivalent: list[Expected] = field(default_factory=list)
    right: int = 0
    false: int = 0
    misclassed: int = 0
    notes: list[str] = field(default_factory=list)

    @property
    def told(self) -> int:
        return self.right + self.false + self.misclassed


def score(comparison: Comparison, truth: Sequence[Expected], reproduces: bool) -> Score:
    """``reproduces``: the changes, applied to the first revision, give the second."""
    result = Score()
    comparison = replace(comparison, new=aligned(comparison.old, comparison.new))
    told = [_told(change) for change in comparison.changes]
    left = _match(told, list(truth), result)
    events = [item for item in truth if item not in result.found]
    if reproduces and left and events:
        left, events = _equivalent(left, events, comparison, result)
    _classify(left, events, result)
    return result


def _told(change: Change) -> Told:
    pairs = frozenset(change.pairs)
    names: frozenset[str] = frozenset()
    kind, _, what = change.kind.partition(".")
    if kind == "joint":
        name = "–".join(sorted(change.subject.split("–")))
        pairs = frozenset({("" if what == "added" else name, "" if what == "removed" else name)})
    elif kind == "board":
        pairs = frozenset({("" if what == "added" else change.subject, "" if what == "removed" else change.subject)})
    elif change.kind == "design.field":
        pairs = frozenset({(change.subject, change.subject)})
    elif change.kind in ("connector.added", "connector.removed"):
        pairs = frozenset({("", change.subject) if what == "added" else (change.subject, "")})
    elif change.kind in ("connector.split", "connector.merged"):
        pairs = frozenset((one, two) for one in change.before.split(", ") for two in change.after.split(", "))
    if what not in _WITH_FIELDS and change.kind != "design.field":
        names = frozenset(fold(item.name) for item in change.fields)
    board = ", ".join(sorted(change.board.split(", ")))
    return Told(change, change.kind, board, pairs, names)


def _match(told: list[Told], truth: list[Expected], result: Score) -> list[Told]:
    """Takes every change that covers exactly one event or several alike ones; gives the changes left over."""
    left = []
    open_events = list(truth)
    for item in told:
        alike = [
            event
            for event in open_events
            if (event.kind, _boards(event.board), event.fields_folded) == (item.kind, item.board, item.fields)
            and event.pairs <= item.pairs
        ]
        if alike and frozenset().union(*(event.pairs for event in alike)) == item.pairs:
            result.found += alike
            result.right += 1
            open_events = [event for event in open_events if event not in alike]
        else:
            left.append(item)
    return left


def _boards(names: str) -> str:
    return ", ".join(sorted(names.split(", ")))


# equivalent accounts


def _equivalent(
    left: list[Told], events: list[Expected], comparison: Comparison, result: Score
) -> tuple[list[Told], list[Expected]]:
    for told, true in _components(left, events):
        if not told or not true or len(told) > len(true):
            continue
        claimed = _differences(((item.kind, item.board, item.fields, item.pairs) for item in told), comparison)
        happened = _differences(((item.kind, item.board, item.fields_folded, item.pairs) for item in true), comparison)
        if claimed is not None and happened is not None and not claimed - happened:
            result.right += len(told)
            result.found += true
            result.equivalent += true
            left = [item for item in left if item not in told]
            events = [item for item in events if item not in true]
    return left, events


def _components(left: list[Told], events: list[Expected]) -> Iterable[tuple[list[Told], list[Expected]]]:
    """Changes and events that concern the same records, directly or through others."""
    groups: list[_Group] = []
    alone: list[_Group] = [(_records(item), [item], []) for item in left]
    alone += [(_records(event), [], [event]) for event in events]
    for mine in alone:
        rest: list[_Group] = []
        for group in groups:
            if group[0] & mine[0]:
                mine = (mine[0] | group[0], [*group[1], *mine[1]], [*group[2], *mine[2]])
            else:
                rest.append(group)
        groups = [*rest, mine]
    for _, told, true in groups:
        yield told, true


def _records(item: Told | Expected) -> set[tuple[str, str, str]]:
    family = item.kind.partition(".")[0]
    if family == "signal":
        return {(board, "signal", name) for board in item.board.split(", ") for pair in item.pairs for name in pair}
    return {(item.board, family, name) for pair in item.pairs for name in pair if name}


def _differences(
    account: Iterable[tuple[str, str, frozenset[str], frozenset[End]]], comparison: Comparison
) -> Counter[tuple[object, ...]] | None:
    """ "Kind, columns, data before, data after" of all that an account says came, went or changed.

    None for tables whose records are told apart by name alone.
    """
    found: Counter[tuple[object, ...]] = Counter()
    for kind, board, columns, ends in account:
        family, _, what = kind.partition(".")
        if family not in ("part", "pin", "contact"):
            return None
        if what in ("renumbered", "moved", "swapped"):
            continue
        for one, two in ends:
            before = _data(comparison.old, board, family, one)
            after = _data(comparison.new, board, family, two)
            found[kind, columns, before, after] += 1
    return found


def _data(design: Design, board: str, family: str, name: str) -> object:
    if not name:
        return None
    where: Board = design.boards[board]
    if family == "part":
        part = where.parts.get(name)
        return part.data if part else name
    rows: Iterable[Any] = where.pins.values()
    if family == "contact":
        rows = (item for connector in where.connectors.values() for item in connector.contacts.values())
    row = next((item for item in rows if item.name == name), None)
    if row is None:
        return name
    blank: dict[str, Any] = {
        key: "" if key in ("device", "connector", "number") else Reading() for key in _PLACE_FIELDS[family]
    }
    return replace(row, **blank)


# what is left


def _classify(left: list[Told], events: list[Expected], result: Score) -> None:
    for told, true in _components(left, events):
        if told and true:
            result.wrong += true
            result.misclassed += len(told)
        else:
            result.missed += true
            result.false += len(told)
        for item in true:
            result.notes.append(
                f"not told: [{item.mutation}] {item.kind} {item.board} {_short(item.pairs)} {sorted(item.fields)}"
            )
        for item2 in told:
            change = item2.change
            result.notes.append(
                f"told: {item2.kind} {item2.board} {change.subject}: {change.before} → {change.after}"
                f" {change.pattern} {_short(item2.pairs)} {sorted(item2.fields)}"
            )


def _short(pairs: frozenset[End]) -> str:
    shown = sorted(pairs)[:6]
    return ", ".join(f"{one}→{two}" for one, two in shown) + (f" … {len(pairs)}" if len(pairs) > 6 else "")
