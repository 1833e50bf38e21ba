"""The records of a design. All are frozen values; every record keeps the place it was read from.

Fields of type ``Reading`` hold a cell's raw text and its meaning. Units: voltages V, currents A, powers W,
resistances Ω, capacitances F, lengths m, angles °, frequencies Hz. ``extra`` holds the columns that the
program has no name for, as (column name, reading) pairs in the order of the folded column name.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from functools import cache
from typing import Any

from msgspec import Struct

from revdiff.design.connectors import Connector, Contact
from revdiff.design.diagnostic import Diagnostic
from revdiff.design.origin import Origin
from revdiff.design.parts import FITTED, Extra, Part, PartData
from revdiff.design.pins import Need, Pin
from revdiff.design.reading import EMPTY, Reading
from revdiff.design.sections import BoardSections, Sections


@dataclass(frozen=True, slots=True)
class Joint:
    """Two connectors, on two boards, that mate when the boards are stacked.

    ``contacts`` is ``same`` (equal numbers meet), ``mirrored`` (contact n meets size + 1 - n) or the pairs.
    """

    board_a: str
    connector_a: str
    board_b: str
    connector_b: str
    contacts: str | tuple[tuple[str, str], ...]
    origin: Origin = field(compare=False)
    extra: Extra = ()

    @property
    def name(self) -> str:
        """``base.J1–valves.J1``."""
        return f"{self.board_a}.{self.connector_a}–{self.board_b}.{self.connector_b}"

    @property
    def ends(self) -> tuple[tuple[str, str], tuple[str, str]]:
        """(board, connector) of side a, and of side b."""
        return (self.board_a, self.connector_a), (self.board_b, self.connector_b)

    def mate(self, number: str, size: int) -> str | None:
        """The contact of side b that meets contact ``number`` of side a; None where none does."""
        if isinstance(self.contacts, tuple):
            return dict(self.contacts).get(number)
        if self.contacts == "mirrored":
            return str(size + 1 - int(number)) if number.isdecimal() and 1 <= int(number) <= size else None
        return number


@dataclass(frozen=True, slots=True, kw_only=True)
class Contract:
    """What one firmware release relies on. ``needs`` are keyed by the folded signal name."""

    key: str
    name: str
    version: str
    board: str
    device: str
    needs: Mapping[str, Need]
    clock: Reading = EMPTY
    recognises: Reading = EMPTY
    constants: Mapping[str, Reading] = field(default_factory=dict)
    addresses: Mapping[str, Reading] = field(default_factory=dict)
    extra: Mapping[str, Any] = field(default_factory=dict)
    origin: Origin = field(compare=False)

    @property
    def title(self) -> str:
        """``irrigation 1.4.0``."""
        return f"{self.name} {self.version}".strip()


class Pad(Struct, frozen=True):
    """What a netlist says of the copper of a terminal; empty where it says nothing.

    ``hole``: its diameter and plating, ``access``: the layers it can be reached from, ``mask``: the sides that are
    covered; as texts with a unit or as the standard's codes.
    """

    hole: str = ""
    access: str = ""
    mask: str = ""


NO_PAD = Pad()


@dataclass(frozen=True, slots=True)
class Node:
    """One terminal of a part, and the net that a netlist puts it on; empty where it is on none."""

    ref: str
    pin: str
    net: Reading
    origin: Origin = field(compare=False)
    pad: Pad = NO_PAD


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Board:
    """One printed circuit board. Pins are keyed by (device, pin number); ``tables`` names the tables it has.

    ``nodes``: the terminals of a netlist by (designator, pin), where the board has one. ``whole``: whether that netlist
    has all of the board, so that a terminal alone on its net is an open pin, whatever the net is called.
    ``joined``: the pins of the pin map by (device, number) to their terminals in the netlist, as far as can be told.
    ``numbers``: by name the plain numbers in a source of its pins that could be pins, and were not taken for any.
    """

    name: str
    title: str = ""
    revision: str = ""
    parts: Mapping[str, Part] = field(default_factory=dict)
    pins: Mapping[tuple[str, str], Pin] = field(default_factory=dict)
    connectors: Mapping[str, Connector] = field(default_factory=dict)
    nodes: Mapping[tuple[str, str], Node] = field(default_factory=dict)
    whole: bool = False
    joined: Mapping[tuple[str, str], tuple[str, str]] = field(default_factory=dict)
    numbers: Mapping[str, Pin] = field(default_factory=dict, compare=False)
    tables: frozenset[str] = frozenset()
    sections: BoardSections = field(default_factory=BoardSections)
    extra: Mapping[str, Any] = field(default_factory=dict)
    origin: Origin = field(compare=False)

    def __repr__(self) -> str:
        return f"Board({self.name!r})"  # all of it is too much for any message

    @property
    def contacts(self) -> tuple[Contact, ...]:
        """Those of all its connectors, in their order."""
        return tuple(item for connector in self.connectors.values() for item in connector.contacts.values())


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Design:
    """The published set of boards at one revision. ``sections``: what the manifest says beyond the tables.

    ``lent_by``: whose manifest it was read by where it had none itself, else empty; what that says is of another one.
    """

    name: str
    title: str = ""
    boards: Mapping[str, Board] = field(default_factory=dict)
    joints: tuple[Joint, ...] = ()
    contracts: Mapping[str, Contract] = field(default_factory=dict)
    sections: Sections = field(default_factory=Sections)
    extra: Mapping[str, Any] = field(default_factory=dict)
    diagnostics: tuple[Diagnostic, ...] = field(default=(), compare=False)
    lent_by: str = field(default="", compare=False)
    origin: Origin = field(compare=False)

    def __repr__(self) -> str:
        return f"Design({self.name!r})"


def readings_of(record: object) -> dict[str, Reading]:
    """The cells of a record by field name, without the ``extra`` ones."""
    kind: type = type(record)
    return {name: getattr(record, name) for name in reading_names(kind)}


@cache
def reading_names(record: type) -> tuple[str, ...]:
    """The fields of a kind of record that hold a cell."""
    return tuple(item.name for item in fields(record) if item.type == "Reading")


__all__ = [
    "FITTED",
    "NO_PAD",
    "Board",
    "Connector",
    "Contact",
    "Contract",
    "Design",
    "Extra",
    "Joint",
    "Need",
    "Node",
    "Pad",
    "Part",
    "PartData",
    "Pin",
    "reading_names",
    "readings_of",
]
