"""A design as a person keeps it: tables of plain text cells, before they are written to files.

Independent of the program's model. Every row has a ``uid`` that no file shows; it says which row of one revision is
which row of the other, so that truth does not depend on any matching.
"""

from __future__ import annotations

import copy
import itertools
from dataclasses import dataclass, field, replace
from typing import Any

Row = dict[str, str]
TABLES = ("parts", "pins", "connectors", "contacts")

_counter = itertools.count(1)


def row(**cells: str) -> Row:
    """A new row with a fresh uid."""
    return {"uid": f"#{next(_counter)}", **cells}


@dataclass
class BoardSheets:
    """The tables of one board. Contacts and pins are rows of one list each.

    ``wires``: the nets at the terminals 1, 2, ... of a part, by its uid; a net without a name of its own is called
    ``@`` and the uid and terminal that it is named after.
    """

    name: str
    title: str
    revision: str
    parts: list[Row] = field(default_factory=list)
    pins: list[Row] = field(default_factory=list)
    connectors: list[Row] = field(default_factory=list)
    contacts: list[Row] = field(default_factory=list)
    extra: Row = field(default_factory=dict)
    wires: dict[str, tuple[str, ...]] = field(default_factory=dict)

    def copy(self) -> BoardSheets:
        tables: dict[str, Any] = {table: [dict(item) for item in getattr(self, table)] for table in TABLES}
        return replace(self, **tables, extra=dict(self.extra), wires=dict(self.wires))

    def contacts_of(self, connector: str) -> list[Row]:
        return [item for item in self.contacts if item["connector"] == connector]

    def connector(self, name: str) -> Row:
        return next(item for item in self.connectors if item["connector"] == name)


@dataclass
class Firmware:
    """One firmware contract."""

    key: str
    cells: Row
    needs: list[Row]
    constants: Row
    addresses: Row


@dataclass
class Sheets:
    """A whole design."""

    name: str
    title: str
    boards: dict[str, BoardSheets]
    joints: list[Row]
    firmware: dict[str, Firmware]
    extra: Row

    def copy(self) -> Sheets:
        """A copy that can be changed; rows keep their uids."""
        boards = {name: board.copy() for name, board in self.boards.items()}
        return replace(
            self,
            boards=boards,
            joints=[dict(item) for item in self.joints],
            firmware=copy.deepcopy(self.firmware),
            extra=dict(self.extra),
        )


def name_of(table: str, item: Row) -> str:
    """What a person calls a row: R7, U1.5, J2.3, J2."""
    if table == "parts":
        return item["designator"]
    if table == "pins":
        return f"{item['device']}.{item['pin']}"
    if table == "contacts":
        return f"{item['connector']}.{item['contact']}"
    return item["connector"]
