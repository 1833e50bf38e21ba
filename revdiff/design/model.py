"""The records of a design. All are frozen values; every record keeps the place it was read from.

Fields of type ``Reading`` hold a cell's raw text and its meaning. Units: voltages V, currents A, powers W,
resistances Ω, capacitances F, lengths m, angles °, frequencies Hz. ``extra`` holds the columns that the
program has no name for, as (column name, reading) pairs in the order of the folded column name.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any, TypeAlias

from revdiff.design.diagnostic import Diagnostic
from revdiff.design.origin import Origin
from revdiff.design.reading import EMPTY, Reading
from revdiff.design.sections import BoardSections, Sections

Extra: TypeAlias = tuple[tuple[str, Reading], ...]

FITTED = Reading("", True)
_GROUNDS = frozenset({"gnd", "ground", "0v", "vss", "agnd", "dgnd"})


@dataclass(frozen=True, slots=True, kw_only=True)
class PartData:
    """What one row of a parts list says of every part it names.

    ``nets`` stays empty in a design; matching fills it with the nets at a part's terminals, where they are known.
    """

    value: Reading = EMPTY
    package: Reading = EMPTY
    manufacturer: Reading = EMPTY
    part_number: Reading = EMPTY
    tolerance: Reading = EMPTY
    voltage: Reading = EMPTY
    power: Reading = EMPTY
    current: Reading = EMPTY
    dielectric: Reading = EMPTY
    fitted: Reading = FITTED
    alternates: Reading = EMPTY
    lifecycle: Reading = EMPTY
    cost: Reading = EMPTY
    currency: Reading = EMPTY
    description: Reading = EMPTY
    nets: Reading = EMPTY
    extra: Extra = ()


@dataclass(frozen=True, slots=True)
class Part:
    """One placed or unfitted component, named by its reference designator."""

    ref: str
    data: PartData
    origin: Origin = field(compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """One pin of a controller or module."""

    device: str
    number: str
    port: Reading = EMPTY
    signal: Reading = EMPTY
    function: Reading = EMPTY
    direction: Reading = EMPTY
    active: Reading = EMPTY
    pull: Reading = EMPTY
    level: Reading = EMPTY
    resistance: Reading = EMPTY
    tolerant: Reading = EMPTY
    analog: Reading = EMPTY
    interrupt: Reading = EMPTY
    address: Reading = EMPTY
    purpose: Reading = EMPTY
    note: Reading = EMPTY
    extra: Extra = ()
    origin: Origin = field(compare=False)

    @property
    def name(self) -> str:
        """What a person would say: ``U1.37``."""
        return f"{self.device}.{self.number}"

    @property
    def said(self) -> str:
        """Its number with its port, where it has one: ``37 (PA5)``."""
        return f"{self.number} ({self.port.raw})" if self.port and self.port.raw != self.number else self.number


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """One numbered contact of a connector."""

    connector: str
    number: str
    signal: Reading = EMPTY
    direction: Reading = EMPTY
    level: Reading = EMPTY
    current: Reading = EMPTY
    function: Reading = EMPTY
    note: Reading = EMPTY
    extra: Extra = ()
    origin: Origin = field(compare=False)

    @property
    def name(self) -> str:
        """What a person would say: ``J3.7``."""
        return f"{self.connector}.{self.number}"

    @property
    def is_ground(self) -> bool:
        """Whether it is a ground or return: by its direction or its name (common practice, no source)."""
        return self.direction.word == "ground" or self.signal.word in _GROUNDS


@dataclass(frozen=True, slots=True, kw_only=True)
class Connector:
    """A connector, its properties and its contacts by number."""

    name: str
    role: Reading = EMPTY
    count: Reading = EMPTY
    rows: Reading = EMPTY
    pitch: Reading = EMPTY
    gender: Reading = EMPTY
    height: Reading = EMPTY
    x: Reading = EMPTY
    y: Reading = EMPTY
    rotation: Reading = EMPTY
    rating: Reading = EMPTY
    part_number: Reading = EMPTY
    note: Reading = EMPTY
    extra: Extra = ()
    contacts: Mapping[str, Contact] = field(default_factory=dict)
    origin: Origin = field(compare=False)

    @property
    def size(self) -> int:
        """Number of contacts: as stated, or as listed; pads with a name beside numbered contacts are none."""
        stated = self.count.quantity
        if stated is not None:
            return int(stated.magnitude)
        return sum(map(str.isdecimal, self.contacts)) or len(self.contacts)


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

    def mate(self, number: str, size: int) -> str | None:
        """The contact of side b that meets contact ``number`` of side a; None where none does."""
        if isinstance(self.contacts, tuple):
            return dict(self.contacts).get(number)
        if self.contacts == "mirrored":
            return str(size + 1 - int(number)) if number.isdecimal() and 1 <= int(number) <= size else None
        return number


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """One signal that a firmware release relies on, and how it expects to find it."""

    signal: Reading
    pin: Reading = EMPTY
    function: Reading = EMPTY
    direction: Reading = EMPTY
    active: Reading = EMPTY
    analog: Reading = EMPTY
    pull: Reading = EMPTY
    level: Reading = EMPTY
    note: Reading = EMPTY
    extra: Extra = ()
    origin: Origin = field(compare=False)


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


@dataclass(frozen=True, slots=True)
class Node:
    """One terminal of a part, and the net that a netlist puts it on; empty where it is on none."""

    ref: str
    pin: str
    net: Reading
    origin: Origin = field(compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """One printed circuit board. Pins are keyed by (device, pin number); ``tables`` names the tables it has.

    ``nodes``: the terminals of a netlist by (designator, pin), where the board has one.
    """

    name: str
    title: str = ""
    revision: str = ""
    parts: Mapping[str, Part] = field(default_factory=dict)
    pins: Mapping[tuple[str, str], Pin] = field(default_factory=dict)
    connectors: Mapping[str, Connector] = field(default_factory=dict)
    nodes: Mapping[tuple[str, str], Node] = field(default_factory=dict)
    tables: frozenset[str] = frozenset()
    sections: BoardSections = field(default_factory=BoardSections)
    extra: Mapping[str, Any] = field(default_factory=dict)
    origin: Origin = field(compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """The published set of boards at one revision. ``sections``: what the manifest says beyond the tables."""

    name: str
    title: str = ""
    boards: Mapping[str, Board] = field(default_factory=dict)
    joints: tuple[Joint, ...] = ()
    contracts: Mapping[str, Contract] = field(default_factory=dict)
    sections: Sections = field(default_factory=Sections)
    extra: Mapping[str, Any] = field(default_factory=dict)
    diagnostics: tuple[Diagnostic, ...] = field(default=(), compare=False)
    origin: Origin = field(compare=False)


def readings_of(record: object) -> dict[str, Reading]:
    """The cells of a record by field name, without the ``extra`` ones."""
    found = {}
    for item in fields(record):  # type: ignore[arg-type]
        value = getattr(record, item.name)
        if isinstance(value, Reading):
            found[item.name] = value
    return found
