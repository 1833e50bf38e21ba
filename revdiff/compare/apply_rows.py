"""The changes of numbered places, the pins of devices or the contacts of connectors, applied to their rows."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from revdiff.compare.change import Change, FieldChange
from revdiff.compare.places import OF_THE_PLACE
from revdiff.design import Contact, Origin, Pin
from revdiff.design.model import readings_of
from revdiff.quantities.text import fold

Key = tuple[str, str]  # (device or connector, number)
Record = TypeVar("Record")

_NOWHERE = Origin("", 0)


class Table(Struct, frozen=True):
    """What the rows of a pin map and of a contact table have not in common.

    ``kind``: of changes. ``blank``: an empty row at a key. ``vacated``: what stays of a row when its signal goes.
    """

    kind: str
    blank: Callable[[Key, Origin], Any]
    vacated: Callable[[Any, Key], Any]
    removal_keeps_row: bool


def _blank_pin(key: Key, origin: Origin) -> Pin:
    return Pin(device=key[0], number=key[1], origin=origin)


def _vacated_pin(pin: Pin, key: Key) -> Pin:
    kept = {name: getattr(pin, name) for name in OF_THE_PLACE}
    return Pin(device=key[0], number=key[1], origin=pin.origin, **kept)


def _blank_contact(key: Key, origin: Origin) -> Contact:
    return Contact(connector=key[0], number=key[1], origin=origin)


PINS = Table("pin", _blank_pin, _vacated_pin, removal_keeps_row=True)
CONTACTS = Table("contact", _blank_contact, lambda row, key: _blank_contact(key, row.origin), removal_keeps_row=False)


def with_fields(record: Record, items: Iterable[FieldChange]) -> Record:
    """A record with the values that field changes give; what it has no field for goes into its ``extra``."""
    given: Any = record
    own = readings_of(record)
    values: dict[str, Any] = {}
    extra = {fold(name): (name, item) for name, item in given.extra}
    for item in items:
        key = fold(item.name)
        if item.name in own:
            values[item.name] = item.after
        elif item.after:
            extra[key] = (extra[key][0] if key in extra else item.name, item.after)
        else:
            extra.pop(key, None)
    altered: Record = dataclasses.replace(given, **values, extra=tuple(extra[key] for key in sorted(extra)))
    return altered


def apply_to_rows(
    changes: Sequence[Change], table: Table, rows: Mapping[Key, Any], old_keys: Mapping[str, Key], owners: Iterable[str]
) -> dict[Key, Any]:
    """The rows after the changes of their kind.

    ``rows``: by key, with the new names of devices or connectors. ``old_keys``: old name (``U1.3``) to that key.
    ``owners``: all devices or connectors that a new name can start with. Raises KeyError where a change names a
    row that isn't there.
    """
    return _Rows(changes, table, rows, old_keys, owners).run()


class _Rows:
    def __init__(
        self,
        changes: Sequence[Change],
        table: Table,
        rows: Mapping[Key, Any],
        old_keys: Mapping[str, Key],
        owners: Iterable[str],
    ) -> None:
        self._changes = [change for change in changes if change.kind.startswith(f"{table.kind}.")]
        self._table = table
        self._rows = rows
        self._old_keys = old_keys
        self._owners = frozenset(owners)
        self._found = dict(rows)
        self._moves = {
            old_keys[one]: self._key(two) for change in self._of("moved", "swapped") for one, two in change.pairs
        }
        self._targets = frozenset(self._moves.values())

    def run(self) -> dict[Key, Any]:
        self._leave()
        for key, target in self._moves.items():
            self._found[target] = self._put(self._rows[key], target)
        for change in self._of("added"):
            for _, two in change.pairs:
                self._add(self._key(two), change)
        for change in self._of("removed"):
            for one, _ in change.pairs:
                self._remove(self._old_keys[one], change)
        for change in self._of("signal"):
            for one, two in change.pairs:
                self._give(self._old_keys[one], self._key(two), change)
        for change in self._changes:
            self._alter(change)
        self._list_rows()
        return self._found

    def _of(self, *names: str) -> Iterable[Change]:
        kinds = {f"{self._table.kind}.{name}" for name in names}
        return [change for change in self._changes if change.kind in kinds]

    def _key(self, name: str) -> Key:
        """``U1.37`` as (``U1``, ``37``), where a device's own name may hold a dot."""
        owners = [item for item in self._owners if name.startswith(f"{item}.")]
        owner = max(owners, key=len, default=name.partition(".")[0])
        return owner, name[len(owner) + 1 :]

    def _put(self, row: Any, key: Key) -> Any:
        owner = "device" if isinstance(row, Pin) else "connector"
        return dataclasses.replace(row, **{owner: key[0], "number": key[1]})

    def _leave(self) -> None:
        """Every place whose signal goes elsewhere is empty until something comes to it."""
        signals = [pair for change in self._of("signal") for pair in change.pairs]
        places = [self._old_keys[one] for one, two in signals if self._old_keys[one] != self._key(two)]
        for key in (*self._moves, *places):
            self._found[key] = self._table.vacated(self._rows[key], key)

    def _add(self, key: Key, change: Change) -> None:
        if key in self._targets:
            return
        row = self._rows.get(key)
        if row is None or row.signal or not self._table.removal_keeps_row:
            row = self._table.blank(key, change.origin_after or _NOWHERE)
        self._found[key] = with_fields(row, _values(change))

    def _remove(self, key: Key, change: Change) -> None:
        if key in self._targets or self._found.get(key) is not self._rows[key]:
            return
        if self._table.removal_keeps_row:
            self._found[key] = with_fields(self._rows[key], _values(change))
        else:
            del self._found[key]

    def _give(self, key: Key, target: Key, change: Change) -> None:
        if target in self._targets:
            return
        origin = change.origin_after or _NOWHERE
        row = self._table.blank(target, origin) if key in self._moves else self._put(self._rows[key], target)
        self._found[target] = with_fields(row, _values(change))

    def _alter(self, change: Change) -> None:
        if change.kind.partition(".")[2] in ("added", "removed", "signal"):
            return
        whole: list[FieldChange] = []
        for item in _values(change):
            place = self._place_in(item.name) if change.pattern or "." in item.name else None
            if place is None:
                whole.append(item)
            else:
                key, field = place
                row = self._found.get(key) or self._table.blank(key, change.origin_after or _NOWHERE)
                self._found[key] = with_fields(row, [replace(item, name=field)])
        if whole:
            for _, two in change.pairs:
                key = self._key(two)
                self._found[key] = with_fields(self._found[key], whole)

    def _place_in(self, name: str) -> tuple[Key, str] | None:
        """``U1.5.note`` as the key of ``U1.5`` and ``note``; None where the name is a column's alone."""
        owner = max((item for item in self._owners if name.startswith(f"{item}.")), key=len, default="")
        number, dot, field = name[len(owner) + 1 :].partition(".")
        return ((owner, number), field) if owner and dot else None

    def _list_rows(self) -> None:
        for change in self._changes:
            for item in change.fields:
                place, _, field = item.name.rpartition(".")
                if field != "listed":
                    continue
                if item.after:
                    key = self._key(place)
                    self._found.setdefault(key, self._table.blank(key, change.origin_after or _NOWHERE))
                else:
                    self._found.pop(self._key(place), None)


def _values(change: Change) -> list[FieldChange]:
    return [item for item in change.fields if not item.name.endswith(".listed")]
