"""A pin map for programs: the rows that every export starts from, and the exports as JSON and CSV."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping

from msgspec import Struct, defstruct

from revdiff.design import Board, Reading
from revdiff.design.fields import Field
from revdiff.design.tables import PINS
from revdiff.errors import UsageFault
from revdiff.judge.needs import is_used
from revdiff.quantities.designator import natural_key
from revdiff.quantities.ports import port_line
from revdiff.report.data import json_text
from revdiff.report.records import SCHEMA_VERSION, Record, Version
from revdiff.report.visible import unheeded

_SET_UP = tuple(field for field in PINS.columns if field.todo)
COLUMNS = ("signal", "pin", "port", *(field.name for field in _SET_UP))
"""Of every export: where a signal is, and what firmware sets its pin up by."""


class ExportPin(Struct, frozen=True):
    """One used pin, as texts. ``cells``: by column, what firmware sets it up by."""

    signal: str
    pin: str
    port: str = ""
    cells: Mapping[str, str] = {}

    @property
    def texts(self) -> dict[str, str]:
        """By column, all of them."""
        return {"signal": self.signal, "pin": self.pin, "port": self.port, **self.cells}

    @property
    def active(self) -> str:
        """``high``, ``low`` or empty."""
        return self.cells.get("active", "")

    @property
    def line(self) -> tuple[str, int] | None:
        """(bank, line) of the port: ``PB2`` is line 2 of ``b``, ``GPIO5`` line 5 of ``0``; None for other names."""
        return port_line(self.port)

    @property
    def output(self) -> bool:
        """Whether the controller drives it."""
        return self.cells.get("direction") in ("out", "open drain")

    @property
    def idle(self) -> int | None:
        """The level at which it is not active, for a program to set first; None where nobody states it."""
        return {"low": 1, "high": 0}.get(self.active)


def export_pins(board: Board, device: str) -> tuple[ExportPin, ...]:
    """The used pins of a controller in the order of their numbers. Raises UsageFault where there are none."""
    found = [
        ExportPin(
            pin.signal.raw,
            pin.number,
            pin.port.raw,
            {item.name: _text(item, getattr(pin, item.name)) for item in _SET_UP},
        )
        for pin in board.pins.values()
        if pin.device == device and is_used(pin)
    ]
    if not found:
        devices = ", ".join(dict.fromkeys(pin.device for pin in board.pins.values())) or "none"
        raise UsageFault(f"{board.name} has no used pin of {device}. Its controllers: {devices}.")
    return tuple(sorted(found, key=lambda item: natural_key(item.pin)))


def _text(column: Field, reading: Reading) -> str:
    """The word of a column that knows its words, else as written."""
    return reading.word if column.cell in ("active", "direction") else reading.raw


Pin = defstruct("Pin", [(name, str) for name in COLUMNS], bases=(Record,), frozen=True)
"""A used pin, by column."""


class PinMap(Record, frozen=True):
    """One pin map: its used pins."""

    schema_version: Version
    board: str
    device: str
    revision: str
    pins: list[Pin]  # type: ignore[valid-type]


def to_json(board: str, device: str, revision: str, pins: tuple[ExportPin, ...]) -> str:
    """The pins as data."""
    return json_text(PinMap(SCHEMA_VERSION, board, device, revision, [Pin(**item.texts) for item in pins]))


def to_csv(pins: tuple[ExportPin, ...]) -> str:
    """The pins as a table that the pin map's reader takes; nothing in it starts a spreadsheet formula."""
    page = io.StringIO()
    writer = csv.writer(page, lineterminator="\n")
    writer.writerow([name.capitalize() for name in COLUMNS])
    for item in pins:
        writer.writerow([harmless(item.texts.get(name, "")) for name in COLUMNS])
    return page.getvalue()


def harmless(text: str) -> str:
    """A cell that a spreadsheet takes for text: a leading apostrophe where it would be worked out; no log command.

    Names of supplies such as ``+3V3`` stay: a sign before one word works nothing out.
    """
    flat = unheeded(" ".join(text.split()))
    if flat[:1] in ("=", "@") or (flat[:1] in ("+", "-") and not re.fullmatch(r"[+-][\w.]*", flat)):
        return f"'{flat}"
    return flat
