"""A pin map for programs: the rows that every export starts from, and the exports as JSON and CSV."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import asdict, dataclass, fields

from revdiff.design import Board
from revdiff.errors import UsageFault
from revdiff.judge.needs import is_used
from revdiff.quantities.designator import natural_key
from revdiff.quantities.ports import port_line
from revdiff.report.data import SCHEMA_VERSION, json_text
from revdiff.report.visible import unheeded


@dataclass(frozen=True, slots=True)
class ExportPin:
    """One used pin, as texts."""

    signal: str
    pin: str
    port: str = ""
    function: str = ""
    direction: str = ""
    active: str = ""
    pull: str = ""
    level: str = ""
    analog: str = ""
    interrupt: str = ""

    @property
    def line(self) -> tuple[str, int] | None:
        """(bank, line) of the port: ``PB2`` is line 2 of ``b``, ``GPIO5`` line 5 of ``0``; None for other names."""
        return port_line(self.port)

    @property
    def output(self) -> bool:
        """Whether the controller drives it."""
        return self.direction in ("out", "open drain")

    @property
    def idle(self) -> int | None:
        """The level at which it is not active, for a program to set first; None where nobody states it."""
        return {"low": 1, "high": 0}.get(self.active)


COLUMNS = tuple(item.name for item in fields(ExportPin))


def export_pins(board: Board, device: str) -> tuple[ExportPin, ...]:
    """The used pins of a controller in the order of their numbers. Raises UsageFault where there are none."""
    found = [
        ExportPin(
            signal=pin.signal.raw,
            pin=pin.number,
            port=pin.port.raw,
            function=pin.function.raw,
            direction=pin.direction.word,
            active=pin.active.word,
            pull=pin.pull.raw,
            level=pin.level.raw,
            analog=pin.analog.raw,
            interrupt=pin.interrupt.raw,
        )
        for pin in board.pins.values()
        if pin.device == device and is_used(pin)
    ]
    if not found:
        devices = ", ".join(dict.fromkeys(pin.device for pin in board.pins.values())) or "none"
        raise UsageFault(f"{board.name} has no used pin of {device}. Its controllers: {devices}.")
    return tuple(sorted(found, key=lambda item: natural_key(item.pin)))


def to_json(board: str, device: str, revision: str, pins: tuple[ExportPin, ...]) -> str:
    """The pins as data."""
    document = {
        "schema_version": SCHEMA_VERSION,
        "board": board,
        "device": device,
        "revision": revision,
        "pins": [asdict(item) for item in pins],
    }
    return json_text(document)


def to_csv(pins: tuple[ExportPin, ...]) -> str:
    """The pins as a table that the pin map's reader takes; nothing in it starts a spreadsheet formula."""
    page = io.StringIO()
    writer = csv.writer(page, lineterminator="\n")
    writer.writerow([name.capitalize() for name in COLUMNS])
    for item in pins:
        writer.writerow([harmless(getattr(item, name)) for name in COLUMNS])
    return page.getvalue()


def harmless(text: str) -> str:
    """A cell that a spreadsheet takes for text: a leading apostrophe where it would be worked out; no log command.

    Names of supplies such as ``+3V3`` stay: a sign before one word works nothing out.
    """
    flat = unheeded(" ".join(text.split()))
    if flat[:1] in ("=", "@") or (flat[:1] in ("+", "-") and not re.fullmatch(r"[+-][\w.]*", flat)):
        return f"'{flat}"
    return flat
