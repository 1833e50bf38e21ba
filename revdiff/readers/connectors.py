"""Contact table and connector table: rows to records, and the two brought together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from revdiff.design import Connector, Contact, Origin
from revdiff.quantities.text import clean
from revdiff.readers.columns import CONNECTORS, CONTACTS
from revdiff.readers.faults import Faults
from revdiff.readers.names import connector_named, connector_of
from revdiff.readers.pads import settle
from revdiff.readers.rows import RowReader
from revdiff.readers.spec import TableSpec
from revdiff.readers.table import Table
from revdiff.readers.terminals import Keys, tell_nothing, tell_twice


def read_contacts(table: Table, spec: TableSpec, faults: Faults) -> dict[str, list[Contact]]:
    """The contacts of a contact table by connector. The manifest's connector stands in for a missing column."""
    rows = RowReader(table, spec, CONTACTS, faults)
    assumed = connector_named(spec.connector) if spec.connector else ""
    if not assumed and "connector" not in table.columns:
        assumed = connector_of(table.title, table.file)
        faults.notice(
            "assumed-connector",
            f"the contact table names no connector; {assumed} was taken from its heading or its file's name",
            Origin(table.file, table.header_line),
            remedy=f'Add a column "Connector", or name it in the manifest: connector = "{assumed}".',
        )
    keys = Keys(table, rows, faults, "connector", "contact", assumed)
    found: dict[str, list[Contact]] = {}
    seen: dict[tuple[str, str], list[Contact]] = {}
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
        seen.setdefault(key, []).append(contact)
    for (connector, _), listed in seen.items():
        found.setdefault(connector, []).extend(settle(listed, faults) if len(listed) > 1 else listed)
    tell_nothing(faults, table, found, "contacts")
    return found


def read_connectors(table: Table, spec: TableSpec, faults: Faults) -> dict[str, Connector]:
    """The connectors of a connector table by name, without their contacts."""
    rows = RowReader(table, spec, CONNECTORS, faults)
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
            tell_twice(faults, name, found[name], connector)
            continue
        found[name] = connector
    tell_nothing(faults, table, found, "connectors")
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
