"""What the manifest says of controllers, of parts that software talks to, and of how a board tells its revision.

These sections are kept as they stand in ``Design.extra``; here they become records, each value of its type or a fault.
Defaults are the figures of the STM32F405/407 data sheet DocID022152, tables 11 and 12: 25 mA a pin, 4.0 V on a pin
that isn't 5 V tolerant, 5.5 V on one that is (table 44).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Final

from revdiff.design import EMPTY, Board, Design, Origin, Reading
from revdiff.electrical.currents import PIN_LIMIT, PIN_SOURCE
from revdiff.quantities.quantity import read_quantity
from revdiff.quantities.text import fold
from revdiff.readers.entries import MANIFEST
from revdiff.readers.faults import Faults
from revdiff.readers.manifest_values import Values
from revdiff.readers.words import NO, PLACEHOLDERS, YES

INPUT_LIMIT: Final = Decimal("4.0")
TOLERANT_LIMIT: Final = Decimal("5.5")
INPUT_SOURCE: Final = "STM32F405/407 data sheet DocID022152, tables 11 and 44"
SECTIONS: Final = ("controllers", "software", "identity", "derived")
_CONTROLLER = ("clock", "output_current", "input_limit", "tolerant_limit", "reset", "boot", "debug", "source")
_SOFTWARE = ("board", "part", "address", "by_part_number", "straps", "by_strap")
_IDENTITY = ("by", "code", "codes", "windows", "derived")
_BY = ("strap", "divider", "memory", "label")


@dataclass(frozen=True, slots=True, kw_only=True)
class Controller:
    """``[controllers.BOARD.DEVICE]``. Currents A, voltages V; pins by number or port name, folded."""

    clock: str = ""
    output_current: Decimal = PIN_LIMIT
    input_limit: Decimal = INPUT_LIMIT
    tolerant_limit: Decimal = TOLERANT_LIMIT
    reset: frozenset[str] = frozenset()
    boot: frozenset[str] = frozenset()
    debug: frozenset[str] = frozenset()
    current_source: str = PIN_SOURCE
    input_source: str = INPUT_SOURCE


@dataclass(frozen=True, slots=True, kw_only=True)
class SoftwarePart:
    """``[software.NAME]``: a part that software talks to, and where its address comes from."""

    board: str
    part: str
    address: str = ""
    by_part_number: Mapping[str, str] = field(default_factory=dict)
    straps: tuple[str, ...] = ()
    by_strap: Mapping[str, str] = field(default_factory=dict)
    origin: Origin

    def missing_on(self, board: Board) -> bool:
        """Whether the board's parts list has the part not, or not fitted; False for a board without one."""
        return bool(board.parts) and not self._fitted(board, self.part)

    def address_on(self, board: Board) -> str:
        """The address that the part answers to on this board; empty where nothing says it.

        A strap counts as ``1`` where its part is fitted and as ``0`` where it isn't.
        """
        if self.straps:
            code = "".join("1" if self._fitted(board, ref) else "0" for ref in self.straps)
            return self.by_strap.get(code, "")
        part = board.parts.get(self.part)
        if part is not None and self.by_part_number:
            number = part.data.part_number.word
            matches = [end for end in self.by_part_number if number.endswith(end.casefold())]
            return self.by_part_number[max(matches, key=len)] if matches else ""
        return self.address

    @staticmethod
    def _fitted(board: Board, ref: str) -> bool:
        part = board.parts.get(ref)
        return part is not None and part.data.fitted.meaning is True


@dataclass(frozen=True, slots=True, kw_only=True)
class Identity:
    """``[identity.BOARD]``: how software tells the revision of a board.

    ``codes``: printed revision to code, for every revision that was ever made. ``windows``: printed revision to
    the (low, high) voltage in V that a divider gives; ``derived`` names the derived quantity that is the voltage.
    """

    by: str = ""
    code: str = ""
    codes: Mapping[str, str] = field(default_factory=dict)
    windows: Mapping[str, tuple[Decimal, Decimal]] = field(default_factory=dict)
    derived: str = ""
    origin: Origin


@dataclass(frozen=True, slots=True)
class Sections:
    """All of it. ``controllers`` by (board, device)."""

    controllers: Mapping[tuple[str, str], Controller]
    software: Mapping[str, SoftwarePart]
    identities: Mapping[str, Identity]

    def controller(self, board: str, device: str) -> Controller:
        """What is said of a controller; the defaults where nothing is."""
        return self.controllers.get((board, device), Controller())


def marked_parts(design: Design) -> Iterator[tuple[str, SoftwarePart]]:
    """Parts that a column Software of the parts list marks: its text is their name, a plain yes stands for the part.

    A column Address beside it holds the bus address.
    """
    rows: dict[int, dict[str, Reading]] = {}  # parts of one row share their data
    for board in design.boards.values():
        for ref, part in board.parts.items():
            if not part.data.extra:
                continue
            cells = rows.get(id(part.data))
            if cells is None:
                cells = rows[id(part.data)] = {fold(name): reading for name, reading in part.data.extra}
            mark = cells.get("software", EMPTY)
            if not mark or mark.word in NO | PLACEHOLDERS:
                continue
            name = f"{board.name}.{ref}" if mark.word in YES else mark.raw
            address = cells.get("address", EMPTY).raw
            yield name, SoftwarePart(board=board.name, part=ref, address=address, origin=part.origin)


def read_sections(design: Design, values: Values | None = None) -> Sections:
    """Reads the sections; with ``values`` each fault is recorded at its line in the manifest."""
    reader = _Reader(design, values or Values("", Faults()))
    return Sections(reader.controllers(), reader.software(), reader.identities())


class _Reader:
    def __init__(self, design: Design, values: Values) -> None:
        self._design = design
        self._values = values
        self._whole = Origin(MANIFEST, 1)

    def controllers(self) -> dict[tuple[str, str], Controller]:
        found = {}
        section = self._values.section(self._design.extra, "controllers", self._whole)
        for board in section:
            for device, data in self._values.section(section, board, self._whole).items():
                place = self._values.at(f"[controllers.{board}.{device}]")
                self._known("a controller", board, self._design.boards, place)
                if isinstance(data, dict):
                    found[board, device.upper()] = self._controller(data, place)
                else:
                    self._wrong(f"controllers.{board}.{device} can't be read", place, data, "a section")
        return found

    def _controller(self, data: Mapping[str, Any], place: Origin) -> Controller:
        self._values.near_miss(data, _CONTROLLER, place, strict="a controller's section")
        source = self._values.text(data, "source", place)
        given: dict[str, Any] = {"clock": self._values.text(data, "clock", place).upper()}
        for key, unit in (("output_current", "A"), ("input_limit", "V"), ("tolerant_limit", "V")):
            value = self._quantity(data, key, unit, place)
            if value is not None:
                given[key] = value
                given["current_source" if unit == "A" else "input_source"] = source or "the design's manifest"
        for key in ("reset", "boot", "debug"):
            given[key] = frozenset(item.casefold() for item in self._texts(data, key, place))
        return Controller(**given)

    def software(self) -> dict[str, SoftwarePart]:
        found = {}
        section = self._values.section(self._design.extra, "software", self._whole)
        for name in section:
            place = self._values.at(f"[software.{name}]")
            data = self._values.section(section, name, place)
            self._values.near_miss(data, _SOFTWARE, place, strict=f"[software.{name}]")
            board = self._board(data, place, f"the software-visible part {name}")
            part = self._values.text(data, "part", place).upper()
            parts = self._design.boards[board].parts if board in self._design.boards else {}
            if parts:
                self._known(f"the software-visible part {name}", part, parts, self._values.at("part=", place))
            found[name] = SoftwarePart(
                board=board,
                part=part,
                address=self._values.text(data, "address", place),
                by_part_number=self._values.texts(data, "by_part_number", place),
                straps=tuple(item.upper() for item in self._texts(data, "straps", place)),
                by_strap=self._values.texts(data, "by_strap", place),
                origin=place,
            )
        known = {(item.board, item.part) for item in found.values()}
        marked = {name: item for name, item in marked_parts(self._design) if (item.board, item.part) not in known}
        return {**marked, **found}

    def identities(self) -> dict[str, Identity]:
        found = {}
        section = self._values.section(self._design.extra, "identity", self._whole)
        for board in section:
            place = self._values.at(f"[identity.{board}]")
            data = self._values.section(section, board, place)
            self._values.near_miss(data, _IDENTITY, place, strict=f"[identity.{board}]")
            self._known("an identity", board, self._design.boards, place)
            by = self._values.text(data, "by", place)
            if by and by not in _BY:
                self._wrong("how the board tells its revision can't be read", place, by, ", ".join(_BY))
            found[board] = Identity(
                by=by,
                code=self._values.text(data, "code", place),
                codes=self._values.texts(data, "codes", place),
                windows=self._windows(data, place),
                derived=self._values.text(data, "derived", place),
                origin=place,
            )
        return found

    def _windows(self, data: Mapping[str, Any], place: Origin) -> dict[str, tuple[Decimal, Decimal]]:
        found = {}
        for name, ends in self._values.section(data, "windows", place).items():
            pair = (
                [read_quantity(item, "V") for item in ends if isinstance(item, str)] if isinstance(ends, list) else []
            )
            low, high = pair if len(pair) == 2 else (None, None)
            if low is None or high is None or low.unit != "V" or high.unit != "V" or low.magnitude >= high.magnitude:
                self._wrong("a window can't be read", place, ends, '["0.20 V", "0.40 V"], lower end first')
            else:
                found[name] = (low.magnitude, high.magnitude)
        return found

    def _board(self, data: Mapping[str, Any], place: Origin, what: str) -> str:
        boards = self._design.boards
        board = self._values.text(data, "board", place) or (next(iter(boards)) if len(boards) == 1 else "")
        self._known(what, board, boards, self._values.at("board=", place))
        return board

    def _quantity(self, data: Mapping[str, Any], key: str, unit: str, place: Origin) -> Decimal | None:
        text = self._values.text(data, key, place)
        if not text:
            return None
        value = read_quantity(text, unit)
        if value is None or value.unit != unit or value.magnitude <= 0:
            self._wrong(f"{key} can't be read", self._values.at(f"{key}=", place), text, f'such as "25 m{unit}"')
            return None
        return value.magnitude

    def _texts(self, data: Mapping[str, Any], key: str, place: Origin) -> tuple[str, ...]:
        given = data.get(key, [])
        if isinstance(given, list) and all(isinstance(item, str) for item in given):
            return tuple(given)
        self._wrong(f"{key} can't be read", self._values.at(f"{key}=", place), given, 'texts, such as ["7", "60"]')
        return ()

    def _known(self, what: str, name: str, known: Mapping[str, object], place: Origin) -> None:
        if name not in known:
            near = ", ".join(list(known)[:6])
            self._wrong(f"{what} names {name or 'nothing'}, which the design has not", place, name, near)

    def _wrong(self, message: str, place: Origin, found: object, expected: str) -> None:
        self._values.wrong("wrong-section", message, place, found, expected)
