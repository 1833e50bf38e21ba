"""What the manifest says about stacking beyond the tables: rails, buses, pulls, policy, known-good pairings.

Sections, all optional::

    [stacking]                       # policy of the design
    placement_tolerance = "0.2 mm"   # of joints between two boards
    height_tolerance = "0 mm"
    contact_derating = "0 %"
    noise_margin = "0 V"             # that must be left
    allow = ["stack-pull-conflict"]  # rules that this design does without

    [buses.I2C1]                     # a bus over the whole stack
    signals = ["I2C1_SCL", "I2C1_SDA"]
    speed = "400 kHz"
    capacitance = "150 pF"           # of what no board states itself

    [[known_good]]                   # boards that were stacked and work, here or at other revisions
    boards = ["base", "valves@rev-b"]
    signals = { "base.CTRL" = "valves.DRIVE" }   # or just which signals belong together

    [boards.NAME.feeds]              # current that the board gives to a rail
    "+3V3" = "1.5 A"
    [boards.NAME.loads]              # current that the board takes from a rail
    "+3V3" = "0.4 A"
    [boards.NAME.blocking]           # the part that keeps a rail from being fed backwards
    "+5V" = "D3"
    [boards.NAME.pulls]              # resistors on signals, with the part that decides value and fitting
    HEAT_EN = "down 10k R14"
    [boards.NAME.buses.I2C1]
    capacitance = "40 pF"
    addresses = ["0x20"]
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from revdiff.design import Board, Design
from revdiff.errors import DataFault
from revdiff.quantities.quantity import Quantity, read_quantity
from revdiff.quantities.text import fold

_MANIFEST = "revdiff.toml"
_PULL = re.compile(r"(up|down)(?:\s+(?!r\d+$)(\S+))?(?:\s+([a-z]+\d+[a-z]?))?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Pull:
    """A resistor from a signal to a rail or to ground. ``ohms``: None where its value isn't stated."""

    way: str
    ohms: Decimal | None
    where: str


@dataclass(frozen=True, slots=True)
class BoardBus:
    """What one board adds to a bus: F, and 7-bit addresses as written."""

    capacitance: Decimal | None = None
    addresses: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BoardData:
    """The sections of one board, keyed by folded signal or bus name; currents in A.

    ``blocking``: rail to the part that blocks it, ``""`` where that part is stated and not fitted.
    """

    feeds: Mapping[str, Decimal] = field(default_factory=dict)
    loads: Mapping[str, Decimal] = field(default_factory=dict)
    blocking: Mapping[str, str] = field(default_factory=dict)
    pulls: Mapping[str, tuple[Pull, ...]] = field(default_factory=dict)
    buses: Mapping[str, BoardBus] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Bus:
    """A bus of the whole stack. ``signals`` are folded; speed in Hz, capacitance in F."""

    name: str
    signals: tuple[str, ...]
    speed: Decimal | None
    capacitance: Decimal | None


@dataclass(frozen=True, slots=True)
class Policy:
    """The limits of the design's own; lengths in m, voltages in V. Defaults: common practice, no source."""

    placement_tolerance: Decimal = Decimal("0.0002")
    height_tolerance: Decimal = Decimal(0)
    contact_derating: Decimal = Decimal(0)
    noise_margin: Decimal = Decimal(0)
    allow: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class KnownGood:
    """Boards as ``base`` or ``base@rev-b``, and pairs of (board, folded signal) that belong together."""

    boards: tuple[str, ...]
    signals: tuple[tuple[tuple[str, str], tuple[str, str]], ...]


def board_data(board: Board) -> BoardData:
    """Reads the sections of a board. Raises DataFault where one can't be read."""
    where = f"boards.{board.name}"
    blocking = {}
    for rail, part in _section(board.extra, "blocking", where).items():
        ref = _text(part, f"{where}.blocking.{rail}", "a designator such as D3").upper()
        blocking[fold(rail)] = ref if _fitted(board, ref, f"{where}.blocking.{rail}") else ""
    buses = {}
    for name in _section(board.extra, "buses", where):
        entry = _section(board.extra["buses"], name, f"{where}.buses")
        place = f"{where}.buses.{name}"
        _only(entry, ("capacitance", "addresses"), place)
        buses[fold(name)] = BoardBus(
            _optional(entry, "capacitance", "F", place), _texts(entry.get("addresses", []), f"{place}.addresses")
        )
    return BoardData(
        feeds=_currents(board.extra, "feeds", where),
        loads=_currents(board.extra, "loads", where),
        blocking=blocking,
        pulls={
            fold(name): tuple(_pull(board, text, f"{where}.pulls.{name}") for text in _listed(given))
            for name, given in _section(board.extra, "pulls", where).items()
        },
        buses=buses,
    )


def design_buses(design: Design) -> tuple[Bus, ...]:
    """The buses of a design. Raises DataFault."""
    found = []
    for name in _section(design.extra, "buses", ""):
        entry = _section(design.extra["buses"], name, "buses")
        place = f"buses.{name}"
        _only(entry, ("signals", "speed", "capacitance"), place)
        signals = tuple(map(fold, _texts(entry.get("signals", []), f"{place}.signals")))
        speed = _optional(entry, "speed", "Hz", place)
        found.append(Bus(name, signals, speed, _optional(entry, "capacitance", "F", place)))
    return tuple(found)


def policy_of(design: Design) -> Policy:
    """The policy of a design. Raises DataFault."""
    entry = _section(design.extra, "stacking", "")
    units = {"placement_tolerance": "m", "height_tolerance": "m", "contact_derating": "%", "noise_margin": "V"}
    _only(entry, (*units, "allow"), "stacking")
    values = {name: _optional(entry, name, unit, "stacking") for name, unit in units.items()}
    given = {name: value for name, value in values.items() if value is not None}
    for name, value in given.items():
        if value < 0 or (name == "contact_derating" and value >= 100):
            raise _fault(f"stacking.{name}", entry[name], "a value of 0 or more (a derating below 100 %)")
    return Policy(allow=frozenset(_texts(entry.get("allow", []), "stacking.allow")), **given)


def known_good(design: Design) -> tuple[KnownGood, ...]:
    """The pairings that a design declares good. Raises DataFault."""
    given = design.extra.get("known_good", [])
    expected = 'entries [[known_good]] with boards = ["BOARD", "BOARD@REVISION"] or signals'
    if not isinstance(given, list) or not all(isinstance(item, dict) for item in given):
        raise _fault("known_good", given, expected)
    found = []
    for entry in given:
        _only(entry, ("boards", "signals", "note"), "known_good")
        pairs = _section(entry, "signals", "known_good")
        signals = tuple(
            (_end(one), _end(_text(two, "known_good.signals", "BOARD.SIGNAL"))) for one, two in pairs.items()
        )
        boards = _texts(entry.get("boards", []), "known_good.boards")
        if len(boards) == 1 or not (boards or signals):
            raise _fault("known_good", entry, expected)
        found.append(KnownGood(boards, signals))
    return tuple(found)


def _end(text: str) -> tuple[str, str]:
    board, dot, signal = text.partition(".")
    if not (board and dot and signal):
        raise _fault("known_good.signals", text, "BOARD.SIGNAL")
    return board, fold(signal)


def _pull(board: Board, text: object, place: str) -> Pull:
    expected = 'such as "down 10k", "up 4k7 R18" or "up R18"'
    found = _PULL.fullmatch(_text(text, place, expected))
    if found is None:
        raise _fault(place, text, expected)
    way, value, ref = found[1].lower(), found[2], (found[3] or "").upper()
    ohms = read_quantity(value, "Ω") if value else None
    if value and (ohms is None or ohms.unit != "Ω" or ohms.magnitude <= 0):
        raise _fault(place, text, expected)
    if ref and not _fitted(board, ref, place):
        return Pull("none", None, f"{ref} not fitted")
    if ref and ohms is None:
        meaning = board.parts[ref].data.value.meaning if ref in board.parts else None
        ohms = meaning if isinstance(meaning, Quantity) and meaning.unit == "Ω" else None
    return Pull(way, ohms.magnitude if ohms is not None else None, ref)


def _fitted(board: Board, ref: str, place: str) -> bool:
    if not board.parts:
        return True
    part = board.parts.get(ref)
    if part is None:
        raise _fault(place, ref, f"a part of {board.name}")
    return part.data.fitted.meaning is not False


def _listed(given: object) -> list[object]:
    return given if isinstance(given, list) else [given]


def _section(data: Mapping[str, Any], name: str, where: str) -> Mapping[str, Any]:
    given = data.get(name, {})
    if not isinstance(given, dict):
        raise _fault(f"{where}.{name}" if where else name, given, "a section with names and values")
    return given


def _only(entry: Mapping[str, Any], known: tuple[str, ...], place: str) -> None:
    for name in entry:
        if name not in known:
            raise _fault(f"{place}.{name}", name, ", ".join(known))


def _currents(data: Mapping[str, Any], name: str, where: str) -> dict[str, Decimal]:
    section = _section(data, name, where)
    return {fold(rail): _quantity(value, "A", f"{where}.{name}.{rail}") for rail, value in section.items()}


def _optional(entry: Mapping[str, Any], name: str, unit: str, place: str) -> Decimal | None:
    return _quantity(entry[name], unit, f"{place}.{name}") if name in entry else None


_EXAMPLES = {"A": "0.3 A", "F": "40 pF", "Hz": "400 kHz", "m": "0.2 mm", "%": "20 %", "V": "0.1 V"}


def _quantity(value: object, unit: str, place: str) -> Decimal:
    text = value if isinstance(value, str) else str(value) if isinstance(value, int) and value == 0 else ""
    found = read_quantity(text, unit)
    if found is None or found.unit != unit or found.magnitude < 0:
        raise _fault(place, value, f'a text such as "{_EXAMPLES[unit]}"')
    return found.magnitude


def _text(value: object, place: str, expected: str) -> str:
    if not isinstance(value, str) or not value.strip():
        raise _fault(place, value, expected)
    return value.strip()


def _texts(value: object, place: str) -> tuple[str, ...]:
    if not isinstance(value, list):
        raise _fault(place, value, "a list of texts")
    return tuple(_text(item, place, "a list of texts") for item in value)


def _fault(place: str, found: object, expected: str) -> DataFault:
    return DataFault(f"{_MANIFEST}: {place} can't be read: found {found!r}; expected {expected}. Correct the manifest.")
