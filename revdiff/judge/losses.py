"""What the base states of a pin, contact, connector or part, and the change no longer does.

A limit can't be held against a cell that was emptied, misspelled or put under a header that nobody knows, so that the
break which it would show turns into one more line of what was not checked. What the base could judge and the change
can't is therefore told with what changed of the reading, as loud as a table that is dropped.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from revdiff.design import Board, Design, Origin, Reading
from revdiff.judge.finding import Audience
from revdiff.judge.unsaid import READERS, Unsaid, unsaid
from revdiff.quantities.text import squeeze
from revdiff.readers.words import KNOWN

# What rules hold against a limit or a partner; remarks, makers, prices and the like are told as changes alone.
_JUDGED: Final[Mapping[str, tuple[str, ...]]] = {
    "pins": ("direction", "active", "pull", "level", "tolerant", "analog", "function"),
    "contacts": ("direction", "level", "current"),
    "connectors": ("role", "count", "rows", "pitch", "gender", "height", "x", "y", "rotation", "rating"),
    "needs": ("pin", "function", "direction", "active", "analog", "pull", "level"),
    "parts": ("value", "package", "tolerance", "voltage", "power", "current", "dielectric", "fitted"),
}
# Columns kept as text that stacking asks for, as ``stack_columns`` finds them.
_JUDGED_EXTRA: Final = frozenset(
    map(
        squeeze,
        (
            *("family", "logic family", "maximum", "absolute maximum", "max voltage", "5V tolerant", "tolerant"),
            *("drive", "state", "power-on", "power on", "at power-on", "reset state", "power-on state", "pull"),
            *("numbering", "numbering scheme", "contact numbering", "view", "numbering view", "drawn from"),
            *("board side", "mounted on", "keyed", "shrouded", "polarised", "polarized", "strap", "reset level"),
        ),
    )
)
_MOST_NAMED = 10


def lost_statements(base: Design, change: Design) -> Iterator[Unsaid]:
    """A ``column-lost`` for each judged field that a table states nowhere any more, else one ``statement-lost``.

    Only of things that both revisions have under one name and with one duty, be that a signal or the role of a
    connector: what moved, or was given to something else, is judged as that. Then what the manifest says no more.
    """
    for name, board in base.boards.items():
        if name not in change.boards:
            continue
        ours, theirs = _records(board), _records(change.boards[name])
        if board.parts is not change.boards[name].parts:  # else one file that both revisions have
            ours["parts"], theirs["parts"] = _rows(board, change.boards[name])
        for table, before in ours.items():
            yield from _of_table(f"boards.{name}.{table}", table, before, theirs[table])
    for key, contract in base.contracts.items():
        if key in change.contracts:
            yield from _of_table(f"firmware.{key}.needs", "needs", contract.needs, change.contracts[key].needs)
    yield from unsaid(base, change)


def _records(board: Board) -> dict[str, dict[Any, Any]]:
    contacts = {item.name: item for item in board.contacts}
    return {"pins": dict(board.pins), "contacts": contacts, "connectors": dict(board.connectors)}


def _rows(base: Board, change: Board) -> tuple[dict[Any, Any], dict[Any, Any]]:
    """The rows of both parts lists; two with a part in common under one key, since parts of one row say the same."""
    pairs = {
        (id(one.data) if one is not None else 0, id(two.data) if two is not None else 0): (one, two)
        for one, two in ((base.parts.get(ref), change.parts.get(ref)) for ref in {**base.parts, **change.parts})
    }
    ours = {key: one.data for key, (one, _) in pairs.items() if one is not None}
    return ours, {key: two.data for key, (_, two) in pairs.items() if two is not None}


def _of_table(where: str, table: str, before: Mapping[Any, Any], after: Mapping[Any, Any]) -> Iterator[Unsaid]:
    if not after:
        return  # dropped as a whole, and told as that
    extra = dict.fromkeys(name for item in before.values() for name, _ in item.extra if squeeze(name) in _JUDGED_EXTRA)
    for field in (*_JUDGED[table], *extra):
        stated = {key: item for key, item in before.items() if _reading(item, field)}
        if not any(key in after and _same_duty(item, after[key]) for key, item in stated.items()):
            continue
        if not any(_reading(item, field) for item in after.values()):
            first = next(iter(stated.values()))
            yield Unsaid(
                f"{where}.{field}",
                f"{len(stated)} cells",
                READERS.get(table, "firmware"),
                code="column-lost",
                before=_place(first, field),
                after=_place(next(iter(after.values())), ""),
            )
        elif table != "parts":
            yield from _of_field(where, field, stated, after, READERS.get(table, "firmware"))


def _of_field(
    where: str, field: str, stated: Mapping[Any, Any], after: Mapping[Any, Any], audience: Audience
) -> Iterator[Unsaid]:
    lost = [
        (_name(key, item), item, after[key])
        for key, item in stated.items()
        if key in after and _same_duty(item, after[key]) and _lost(item, after[key], field)
    ]
    if not lost:
        return
    more = f", and {len(lost) - _MOST_NAMED} more" if len(lost) > _MOST_NAMED else ""
    _, item, there = lost[0]
    yield Unsaid(
        f"{where}.{field} of {', '.join(name for name, _, _ in lost[:_MOST_NAMED])}{more}",
        _reading(item, field).raw,
        audience,
        _reading(there, field).raw or "nothing",
        before=_place(item, field),
        after=_place(there, field),
    )


def _lost(before: Any, after: Any, field: str) -> bool:
    one, two = _reading(before, field), _reading(after, field)
    if not two:
        return not two.raw.strip()  # "none" says something
    if one.quantity is not None:
        return two.quantity is None
    known = KNOWN.get(field, frozenset())
    return one.word in known and two.word not in known


def _name(key: object, record: Any) -> str:
    return str(getattr(record, "name", key))


def _same_duty(before: Any, after: Any) -> bool:
    """Whether it is there for the same: the signal, of a connector the role, which may be what was lost."""
    if hasattr(before, "signal"):
        return bool(before.signal.meaning == after.signal.meaning)
    if not hasattr(before, "role"):
        return True
    return not after.role or bool(before.role.meaning == after.role.meaning)


def _reading(record: Any, field: str) -> Reading:
    if hasattr(record, field):
        found: Reading = getattr(record, field)
        return found if found.raw else Reading()  # a part is taken for fitted where nothing says so
    return next((item for name, item in record.extra if squeeze(name) == squeeze(field)), Reading())


def _place(record: Any, field: str) -> Origin | None:
    origin: Origin | None = getattr(record, "origin", None)
    return origin.of(field) if origin is not None and field and hasattr(origin, "of") else origin
