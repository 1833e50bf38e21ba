"""Scores what the comparison told against what was done.

It sees the entries as names and texts (``told``) and the tables that the generator made, and shares nothing with the
program. Parts are scored fact by fact (``accounts``). Of everything else a change is right when its kind, board, the
pairs of names it covers and, for kinds that change columns, those columns are those of one event, or together those
of several events that did the same thing to several records.

Where the data can't decide between two accounts, every equivalent one is right. An account of some parts, pins or
contacts is equivalent to the true one when
1. the changes, applied to the first revision, give the second one exactly;
2. it needs no more changes than the truth;
3. it claims no difference that didn't happen: with "kind, columns, data before, data after" written down for each
   record that came, went or changed, every entry of the answer is an entry of the truth as well, as often. The names
   of the records don't count in this, so identical parts are interchangeable, a removal and an addition of
   identical parts may be told as a renumbering, and two parts that traded all their data as an exchange of designators.
But a part is never rightly told as moved that did not move and that has an equal one under its own number; nor one
that went while another came, where many parts are like it.
Everything else is missed (not told), false (told, didn't happen) or wrongly classed (both, about the same record).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from tests.campaign.accounts import Parts, PartScore, score_parts
from tests.campaign.components import components
from tests.campaign.sheets import Sheets, name_of
from tests.campaign.told import Told
from tests.campaign.trial import End, Expected, Trial

# What belongs to the place of a record, not to what is there.
_PLACE_FIELDS = {
    "pin": ("device", "pin", "port", "analog", "interrupt", "tolerant"),
    "contact": ("connector", "contact"),
}


@dataclass
class Score:
    """How one pair came out. ``notes`` say what went wrong, for a person.

    ``facts`` of parts that happened, that were told, told rightly and found; ``from_home``: parts told as moved that
    have an equal one under their own number and did not move.
    """

    found: list[Expected] = field(default_factory=list)
    missed: list[Expected] = field(default_factory=list)
    wrong: list[Expected] = field(default_factory=list)
    equivalent: list[Expected] = field(default_factory=list)
    right: int = 0
    false: int = 0
    misclassed: int = 0
    facts: int = 0
    found_facts: int = 0
    told_facts: int = 0
    right_facts: int = 0
    from_home: int = 0
    notes: list[str] = field(default_factory=list)

    @property
    def told(self) -> int:
        return self.right + self.false + self.misclassed


def score(entries: Sequence[Told], trial: Trial, reproduces: bool, truth: Sequence[Expected] | None = None) -> Score:
    """``reproduces``: the changes, applied to the first revision, give the second. ``truth``: otherwise the trial's."""
    result = Score()
    events = list(trial.truth() if truth is None else truth)
    boards = [name for name in trial.old.boards if name in trial.new.boards]
    for name in boards:
        mine = [item for item in entries if item.kind.startswith("part.") and item.board == name]
        theirs = [item for item in events if item.kind.startswith("part.") and item.board == name]
        renamed = {
            one: two
            for item in entries
            if item.kind == "connector.renumbered" and item.board == name
            for one, two in item.pairs
        }
        parts = Parts.of(trial.old.boards[name], trial.new.boards[name], trial.tolerated)
        listed = {one: two for one, two in renamed.items() if one in parts.old and two in parts.new}
        _take(score_parts(parts, mine, theirs, listed), result)
        entries = [item for item in entries if item not in mine]
        events = [item for item in events if item not in theirs]
    left = _match(entries, events, result)
    events = [item for item in events if item not in result.found]
    if reproduces and left and events:
        left, events = _equivalent(left, events, trial, result)
    _classify(left, events, result)
    return result


def _take(parts: PartScore, result: Score) -> None:
    result.found += parts.found
    result.equivalent += parts.equivalent
    result.missed += parts.missed
    result.wrong += parts.wrong
    result.right += len(parts.right)
    result.false += len(parts.false)
    result.misclassed += len(parts.misclassed)
    result.facts += parts.facts
    result.found_facts += parts.found_facts
    result.told_facts += parts.told_facts
    result.right_facts += parts.right_facts
    result.from_home += parts.from_home
    _note((*parts.missed, *parts.wrong), (*parts.false, *parts.misclassed), result)


def _match(told: Sequence[Told], truth: Sequence[Expected], result: Score) -> list[Told]:
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
    left: list[Told], events: list[Expected], trial: Trial, result: Score
) -> tuple[list[Told], list[Expected]]:
    for told, true in components(left, events, _records):
        if not told or not true or len(told) > len(true):
            continue
        claimed = _differences(((item.kind, item.board, item.fields, item.pairs) for item in told), trial)
        happened = _differences(((item.kind, item.board, item.fields_folded, item.pairs) for item in true), trial)
        if claimed is not None and happened is not None and not claimed - happened:
            result.right += len(told)
            result.found += true
            result.equivalent += true
            left = [item for item in left if item not in told]
            events = [item for item in events if item not in true]
    return left, events


def _records(item: Told | Expected) -> set[tuple[str, str, str]]:
    family = item.kind.partition(".")[0]
    if family == "signal":
        return {(board, "signal", name) for board in item.board.split(", ") for pair in item.pairs for name in pair}
    return {(item.board, family, name) for pair in item.pairs for name in pair if name}


def _differences(
    account: Iterable[tuple[str, str, frozenset[str], frozenset[End]]], trial: Trial
) -> Counter[tuple[object, ...]] | None:
    """ "Kind, columns, data before, data after" of all that an account says came, went or changed.

    None for tables whose records are told apart by name alone.
    """
    found: Counter[tuple[object, ...]] = Counter()
    for kind, board, columns, ends in account:
        family, _, what = kind.partition(".")
        if family not in _PLACE_FIELDS:
            return None
        if what in ("moved", "swapped"):
            continue
        for one, two in ends:
            before = _data(trial.old, board, family, one)
            after = _data(trial.new, board, family, two)
            found[kind, columns, before, after] += 1
    return found


def _data(sheets: Sheets, board: str, family: str, name: str) -> object:
    if not name:
        return None
    table = f"{family}s"
    item = next((item for item in getattr(sheets.boards[board], table) if name_of(table, item) == name), None)
    if item is None:
        return name
    return frozenset((key, text) for key, text in item.items() if text and key not in ("uid", *_PLACE_FIELDS[family]))


# what is left


def _classify(left: list[Told], events: list[Expected], result: Score) -> None:
    for told, true in components(left, events, _records):
        if told and true:
            result.wrong += true
            result.misclassed += len(told)
        else:
            result.missed += true
            result.false += len(told)
        _note(true, told, result)


def _note(events: Iterable[Expected], told: Iterable[Told], result: Score) -> None:
    for event in events:
        what = f"[{event.mutation}] {event.kind} {event.board}"
        result.notes.append(f"not told: {what} {_short(event.pairs)} {sorted(event.fields)}")
    for item in told:
        result.notes.append(f"told: {item.text} {_short(item.pairs)} {sorted(item.fields)}")


def _short(pairs: frozenset[End]) -> str:
    shown = sorted(pairs)[:6]
    return ", ".join(f"{one}→{two}" for one, two in shown) + (f" … {len(pairs)}" if len(pairs) > 6 else "")
