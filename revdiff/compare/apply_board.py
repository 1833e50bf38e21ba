"""The changes of one board's tables, applied to that board."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec.structs import replace

from revdiff.compare.apply_rows import CONTACTS, PINS, Key, apply_to_rows, with_fields
from revdiff.compare.change import Change, FieldChange
from revdiff.compare.columns import NEW, edited
from revdiff.compare.devices import renamed
from revdiff.compare.part_changes import CONTROLLER
from revdiff.compare.tables import records_of, with_records
from revdiff.design import Board, Connector, Contact, Part, PartData, Pin, Reading


def apply_to_board(changes: Sequence[Change], board: Board) -> Board:
    """The board after its changes. Raises KeyError where they name something that it doesn't have."""
    columns = [change for change in changes if change.kind.endswith(".column")]
    changes = [change for change in changes if change not in columns]
    board = _with_columns(board, [change for change in columns if change.pattern != NEW])
    signals = {
        one: Reading(change.after if len(change.pairs) == 1 else two, two)
        for change in _of_kind(changes, "signal.renamed", "signal.voltage")
        for one, two in change.pairs
    }
    result = dataclasses.replace(
        board,
        parts=_parts(changes, board),
        pins=_pins(changes, board, signals),
        connectors=_connectors(changes, board, signals),
    )
    return _with_columns(result, [change for change in columns if change.pattern == NEW])


def _with_columns(board: Board, changes: Sequence[Change]) -> Board:
    """The board with columns that changed as wholes: those it has before, those that come after all else."""
    for change in changes:
        kind = change.kind.partition(".")[0]
        board = with_records(board, kind, edited(records_of(board, kind), change.fields))
    return board


def _of_kind(changes: Iterable[Change], *kinds: str) -> Iterator[Change]:
    return (change for change in changes if change.kind in kinds)


def _pairs(changes: Iterable[Change], *kinds: str) -> dict[str, str]:
    return {one: two for change in _of_kind(changes, *kinds) for one, two in change.pairs}


# parts


def _parts(changes: Sequence[Change], board: Board) -> dict[str, Part]:
    names: dict[str, str] = {}
    for change in _of_kind(changes, "part.renumbered", "connector.renumbered"):
        if change.kind == "part.renumbered" and change.pattern != CONTROLLER:
            names.update(change.pairs)
        elif (item := change.field("designator")) is not None:
            names[item.before.raw] = item.after.raw
    gone = set(_pairs(changes, "part.removed"))
    altered: dict[str, list[FieldChange]] = {}
    for change in changes:
        if change.kind.startswith("part.") and change.kind not in ("part.renumbered", "part.added", "part.removed"):
            for ref, fields in _of_each(change).items():
                altered.setdefault(ref, []).extend(fields)
    found = {}
    for ref, part in board.parts.items():
        if ref not in gone:
            other = names.get(ref, ref)
            data = with_fields(part.data, altered[other]) if other in altered else part.data
            found[other] = Part(other, data, part.origin)
    for change in _of_kind(changes, "part.added"):
        for ref, fields in _of_each(change).items():
            found[ref] = Part(ref, with_fields(PartData(), fields), change.origin_after or board.origin)
    return found


def _of_each(change: Change) -> dict[str, list[FieldChange]]:
    """The fields of each part that a change covers; a field of one part alone has its designator before its name."""
    found: dict[str, list[FieldChange]] = {ref: [] for _, ref in change.pairs}
    for item in change.fields:
        ref, dot, name = item.name.partition(".")
        if dot and ref in found:
            found[ref].append(replace(item, name=name))
        else:
            for fields in found.values():
                fields.append(item)
    return found


# pins


def _pins(changes: Sequence[Change], board: Board, signals: Mapping[str, Reading]) -> dict[Key, Pin]:
    controllers = [change for change in _of_kind(changes, "part.renumbered") if change.pattern == CONTROLLER]
    names = _pairs(controllers, "part.renumbered")
    rows: dict[Key, Pin] = {}
    keys: dict[str, Key] = {}
    for pin in board.pins.values():
        key = (renamed(names, pin.device), pin.number)
        keys[pin.name] = key
        rows[key] = dataclasses.replace(pin, device=key[0], signal=signals.get(pin.signal.word, pin.signal))
    found = apply_to_rows(changes, PINS, rows, keys, {pin.device for pin in rows.values()})
    return {key: pin for key, pin in found.items() if not key[0].startswith("\0")}


# connectors


def _connectors(changes: Sequence[Change], board: Board, signals: Mapping[str, Reading]) -> dict[str, Connector]:
    names = _pairs(changes, "connector.renumbered")
    gone = {change.subject for change in _of_kind(changes, "connector.removed")}
    gone.update(name for change in changes for name in change.connectors[0])
    found: dict[str, Connector] = {}
    rows: dict[Key, Contact] = {}
    keys: dict[str, Key] = {}
    for name, connector in board.connectors.items():
        if name in gone:
            continue
        other = names.get(name, name)
        found[other] = dataclasses.replace(connector, name=other, contacts={})
        for contact in connector.contacts.values():
            key = (other, contact.number)
            keys[contact.name] = key
            signal = signals.get(contact.signal.word, contact.signal)
            rows[key] = dataclasses.replace(contact, connector=other, signal=signal)
    for change in changes:
        if change.kind.startswith("connector.") and change.kind not in _WHOLE:
            for _, name in change.pairs:
                found[name] = with_fields(found[name], change.fields)
    contacts: dict[str, dict[str, Contact]] = {name: {} for name in found}
    for (name, number), contact in apply_to_rows(changes, CONTACTS, rows, keys, found).items():
        contacts[name][number] = contact
    found = {name: dataclasses.replace(connector, contacts=contacts[name]) for name, connector in found.items()}
    for change in changes:
        if change.kind == "connector.added":
            found[change.subject] = _built(change.subject, change, "", board)
        for name in change.connectors[1]:
            found[name] = _built(name, change, f"{name}.", board)
    return found


_WHOLE = ("connector.added", "connector.removed", "connector.renumbered", "connector.split", "connector.merged")


def _built(name: str, change: Change, prefix: str, board: Board) -> Connector:
    """A connector from the fields of the change that brought it: its own, and those of its contacts by number."""
    origin = change.origin_after or board.origin
    rows: dict[str, list[FieldChange]] = {
        two[len(name) + 1 :]: [] for _, two in change.pairs if two.startswith(f"{name}.")
    }
    own: list[FieldChange] = []
    for item in change.fields:
        if not item.after or not item.name.startswith(prefix):
            continue
        field = item.name[len(prefix) :]
        numbers = [number for number in rows if field.startswith(f"{number}.")]
        if numbers:
            number = max(numbers, key=len)
            rows[number].append(FieldChange(field[len(number) + 1 :], after=item.after))
        else:
            own.append(FieldChange(field, after=item.after))
    contacts = {
        number: with_fields(Contact(connector=name, number=number, origin=origin), items)
        for number, items in rows.items()
    }
    return dataclasses.replace(with_fields(Connector(name=name, origin=origin), own), contacts=contacts)
