"""Pin map, contact table, connector table and list of needs: rows to records."""

from __future__ import annotations

from collections.abc import Mapping, Sized
from dataclasses import replace
from typing import Any

from revdiff.design import Connector, Contact, Need, Origin, Pin, Reading
from revdiff.quantities.text import clean, fold
from revdiff.readers import cells, words
from revdiff.readers.damage import REMEDY, damage_of
from revdiff.readers.faults import Faults
from revdiff.readers.names import connector_named
from revdiff.readers.rows import CellReader, RowReader
from revdiff.readers.spec import TableSpec
from revdiff.readers.table import Table

_SIGNAL_READERS: Mapping[str, CellReader] = {
    "signal": cells.signal_reading,
    "function": cells.text_reading,
    "direction": cells.direction_reading,
    "level": cells.volts_reading,
    "note": cells.text_reading,
}
_NEED_READERS: Mapping[str, CellReader] = {
    **_SIGNAL_READERS,
    "pin": cells.text_reading,
    "active": cells.active_reading,
    "analog": cells.text_reading,
    "pull": cells.pull_reading,
}
_PIN_READERS: Mapping[str, CellReader] = {
    **_SIGNAL_READERS,
    "port": cells.text_reading,
    "active": cells.active_reading,
    "pull": cells.pull_reading,
    "resistance": cells.ohms_reading,
    "tolerant": cells.yes_no_reading,
    "analog": cells.text_reading,
    "interrupt": cells.text_reading,
    "address": cells.text_reading,
    "purpose": cells.text_reading,
}
_CONTACT_READERS: Mapping[str, CellReader] = {**_SIGNAL_READERS, "current": cells.amps_reading}
_CONNECTOR_READERS: Mapping[str, CellReader] = {
    "role": cells.role_reading,
    "count": cells.number_reading,
    "rows": cells.number_reading,
    "pitch": cells.length_reading,
    "gender": cells.gender_reading,
    "height": cells.length_reading,
    "x": cells.length_reading,
    "y": cells.length_reading,
    "rotation": cells.angle_reading,
    "rating": cells.amps_reading,
    "part_number": cells.text_reading,
    "note": cells.text_reading,
}
_DEVICE = "U1"  # of a pin map that names none
_OTHER_NAMES = "Other names"  # the extra column for them
_LONGEST_NUMBER = 16  # characters; pin names such as VDD_IO_1 stay below, remarks don't
_REMARK_CELLS = 2  # filled cells, up to which a row may be a remark


def read_pins(table: Table, spec: TableSpec, faults: Faults) -> dict[tuple[str, str], Pin]:
    """The pins of a pin map by (device, number); a map without pin numbers is keyed by port name.

    In a list of names, as firmware keeps it, one pin may have several; the first counts as its signal and the
    others are kept beside it.
    """
    rows = RowReader(table, spec, _PIN_READERS, faults)
    by = "pin" if "pin" in table.columns else "port"
    keys = _Keys(table, rows, faults, "device", by, spec.device.strip().upper() or _DEVICE)
    pins: dict[tuple[str, str], Pin] = {}
    others: dict[tuple[str, str], list[Pin]] = {}
    for line, row in table.rows:
        key = keys.of(line, row)
        if key is None:
            continue
        origin = table.origin(line, by)
        pin = Pin(device=key[0], number=key[1], extra=rows.extra(row), origin=origin, **rows.readings(line, row))
        if key not in pins:
            pins[key] = pin
        elif table.names and pin.signal:
            others.setdefault(key, []).append(pin)
        else:
            _tell_twice(faults, pin.name, pins[key], pin)
    for key, named in others.items():
        pins[key] = _with_names(pins[key], named)
    if others:
        named = next(iter(others.values()))
        faults.notice(
            "several-names",
            f"{len(others)} pins have several names; the first counts as the signal, the others are kept beside it",
            named[0].origin,
            found=f"{named[0].name}: {pins[named[0].device, named[0].number].signal.raw}, {named[0].signal.raw}",
        )
    if "device" not in table.columns and pins and not spec.device:
        faults.notice(
            "assumed-device",
            f"the pin map names no device; {_DEVICE} was taken",
            Origin(table.file, table.header_line),
            remedy='Add a column "Device", or name it in the manifest: pins = { file = "...", device = "U1" }.',
        )
    _tell_nothing(faults, table, pins, "pins")
    return pins


def _with_names(pin: Pin, others: list[Pin]) -> Pin:
    names = sorted({item.signal.word: item.signal.raw for item in others if item.signal != pin.signal}.items())
    if not names:
        return pin
    reading = Reading("; ".join(raw for _, raw in names), tuple(word for word, _ in names))
    return replace(pin, extra=tuple(sorted((*pin.extra, (_OTHER_NAMES, reading)), key=lambda item: fold(item[0]))))


def read_contacts(table: Table, spec: TableSpec, faults: Faults) -> dict[str, list[Contact]]:
    """The contacts of a contact table by connector. The manifest's connector stands in for a missing column."""
    rows = RowReader(table, spec, _CONTACT_READERS, faults)
    keys = _Keys(table, rows, faults, "connector", "contact", connector_named(spec.connector) if spec.connector else "")
    found: dict[str, list[Contact]] = {}
    seen: dict[tuple[str, str], Contact] = {}
    for line, row in table.rows:
        key = keys.of(line, row)
        if key is None:
            continue
        contact = Contact(
            connector=key[0],
            number=key[1],
            extra=rows.extra(row),
            origin=table.origin(line, "contact"),
            **rows.readings(line, row),
        )
        if key in seen:
            _tell_twice(faults, contact.name, seen[key], contact)
            continue
        seen[key] = contact
        found.setdefault(key[0], []).append(contact)
    _tell_nothing(faults, table, found, "contacts")
    return found


class _Keys:
    """Who a row speaks of: an owner, which counts for the rows below until the next one, and a number."""

    def __init__(self, table: Table, rows: RowReader, faults: Faults, owner: str, number: str, otherwise: str) -> None:
        self._table = table
        self._rows = rows
        self._faults = faults
        self._owner_field, self._number_field = owner, number
        self._owner = otherwise

    def of(self, line: int, row: list[str]) -> tuple[str, str] | None:
        """Owner and number, upper case; None, and told, where the row is no record."""
        number = clean(self._rows.cell(row, self._number_field))
        owner = clean(self._rows.cell(row, self._owner_field)).upper()
        few = sum(1 for cell in row if cell.strip()) <= _REMARK_CELLS
        origin = self._table.origin(line, self._number_field)
        if fold(number) in words.PLACEHOLDERS or (few and (len(number) > _LONGEST_NUMBER or " " in number)):
            self._left_out(row, origin, f"names no {self._number_field}")
            return None
        damage = damage_of(self._number_field, number)
        if damage is not None or len(number) > _LONGEST_NUMBER:
            self._faults.fault(
                "unreadable-value",
                damage.message if damage is not None else f"the {self._number_field} can't be read",
                origin,
                found=number,
                expected=damage.expected if damage is not None else f"at most {_LONGEST_NUMBER} characters",
                remedy=REMEDY if damage is not None else "Correct the cell.",
            )
            return None
        self._owner = owner or self._owner
        if not self._owner:
            self._left_out(row, origin, f"names no {self._owner_field}")
            return None
        return self._owner, number.upper()

    def _left_out(self, row: list[str], origin: Origin, why: str) -> None:
        self._faults.notice(
            "row-left-out",
            f"this row {why} and was left out",
            origin,
            found=clean(" ".join(filter(None, map(str.strip, row)))),
        )


def read_connectors(table: Table, spec: TableSpec, faults: Faults) -> dict[str, Connector]:
    """The connectors of a connector table by name, without their contacts."""
    rows = RowReader(table, spec, _CONNECTOR_READERS, faults)
    found: dict[str, Connector] = {}
    for line, row in table.rows:
        name = clean(rows.cell(row, "connector")).upper()
        origin = table.origin(line, "connector")
        few = sum(1 for cell in row if cell.strip()) <= 1
        if not name or (few and " " in name):
            text = clean(" ".join(filter(None, map(str.strip, row))))
            faults.notice("row-left-out", "this row names no connector and was left out", origin, found=text)
            continue
        readings: dict[str, Any] = dict(rows.readings(line, row))
        connector = Connector(name=name, extra=rows.extra(row), origin=origin, **readings)
        if name in found:
            _tell_twice(faults, name, found[name], connector)
            continue
        found[name] = connector
    _tell_nothing(faults, table, found, "connectors")
    return found


def join_contacts(
    connectors: Mapping[str, Connector], contacts: Mapping[str, list[Contact]], faults: Faults
) -> dict[str, Connector]:
    """Connectors with their contacts. A contact beyond the stated count is a fault."""
    joined = dict(connectors)
    for name, listed in contacts.items():
        connector = joined.get(name)
        if connector is None:
            if connectors:
                faults.fault(
                    "unknown-connector",
                    f"contacts are listed for {name}, which the connector table lacks",
                    listed[0].origin.of("connector"),
                    found=name,
                    expected=", ".join(connectors),
                    remedy="Add the connector to its table, or correct the name.",
                )
            connector = Connector(name=name, origin=listed[0].origin)
        joined[name] = replace(connector, contacts={item.number: item for item in listed})
        stated = connector.count.quantity
        for item in listed:
            if stated is not None and item.number.isdecimal() and not 1 <= int(item.number) <= stated.magnitude:
                faults.fault(
                    "unknown-contact",
                    f"{item.name} does not exist: {name} has {connector.count.raw} contacts",
                    item.origin,
                    found=item.number,
                    expected=f"1 to {connector.count.raw}",
                    remedy=f"Correct the contact, or the count of {name} at {connector.origin.of('count')}.",
                )
    return joined


def read_needs(table: Table, spec: TableSpec, faults: Faults) -> dict[str, Need]:
    """The needs of a firmware contract by folded signal name."""
    rows = RowReader(table, spec, _NEED_READERS, faults)
    found: dict[str, Need] = {}
    for line, row in table.rows:
        readings = rows.readings(line, row)
        origin = table.origin(line, "signal")
        signal = readings.get("signal")
        few = sum(1 for cell in row if cell.strip()) <= 1
        if signal is None or not signal or (few and " " in signal.raw):
            text = clean(" ".join(filter(None, map(str.strip, row))))
            faults.notice("row-left-out", "this row names no signal and was left out", origin, found=text)
            continue
        need = Need(extra=rows.extra(row), origin=origin, **readings)
        if signal.word in found:
            _tell_twice(faults, signal.raw, found[signal.word], need)
            continue
        found[signal.word] = need
    _tell_nothing(faults, table, found, "signals")
    return found


def _tell_twice(
    faults: Faults, name: str, first: Pin | Contact | Connector | Need, second: Pin | Contact | Connector | Need
) -> None:
    if first == second:
        faults.notice(
            "repeated-row", f"{name} is named twice with equal data, first at {first.origin}", second.origin, found=name
        )
        return
    faults.fault(
        "named-twice",
        f"{name} is named twice; the first one, at {first.origin}, was taken",
        second.origin,
        found=name,
        expected="each one once",
        remedy="Remove one of the two rows.",
    )


def _tell_nothing(faults: Faults, table: Table, found: Sized, what: str) -> None:
    if not found:
        faults.fault(
            "empty-table",
            f"the table names no {what}",
            Origin(table.file, table.header_line),
            expected=f"rows with {what}",
            remedy="Fill the file, or take it out of the manifest.",
        )
