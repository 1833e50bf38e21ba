"""The tables of a board as records by name, for what concerns a table as a whole."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from revdiff.design import Board, Part
from revdiff.design.model import readings_of

# What a row is, rather than what it says; a part without a word is fitted.
_NO_COLUMNS = frozenset({"signal", "fitted", "nets"})


# The kinds of their changes, before the dot.
TABLES = ("part", "pin", "connector", "contact")


def records_of(board: Board, kind: str) -> dict[str, Any]:
    """The rows of a table by the name of what they speak of: ``R1``, ``U1.3``, ``J1``, ``J1.4``."""
    if kind == "part":
        return {ref: part.data for ref, part in board.parts.items()}
    if kind == "pin":
        return {pin.name: pin for pin in board.pins.values()}
    if kind == "connector":
        return dict(board.connectors)
    return {row.name: row for row in board.contacts}


def with_records(board: Board, kind: str, records: Mapping[str, Any]) -> Board:
    """The board with the rows of one table in place of its own."""
    if kind == "part":
        parts = {ref: Part(ref, records[ref], part.origin) for ref, part in board.parts.items()}
        return replace(board, parts=parts)
    if kind == "pin":
        return replace(board, pins={key: records[pin.name] for key, pin in board.pins.items()})
    if kind == "connector":
        return replace(board, connectors=records)
    connectors = {
        name: replace(item, contacts={number: records[row.name] for number, row in item.contacts.items()})
        for name, item in board.connectors.items()
    }
    return replace(board, connectors=connectors)


def cells_of(record: Any) -> dict[str, Any]:
    """The filled cells of a row by column: of the program's own columns, then of the user's."""
    found = {name: item for name, item in readings_of(record).items() if item and name not in _NO_COLUMNS}
    found.update((name, item) for name, item in record.extra if name not in found)
    return found
