"""What the manifest says beyond tables: stacking, controllers, parts that software talks to, identity. Typed records.

Units: currents A, voltages V, resistances Ω, capacitances F, lengths m, frequencies Hz. Names of signals, rails and
buses are folded. Defaults of a controller are ``None``: which figure stands in, and on whose authority, is for whoever
judges with it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

import msgspec
from msgspec import Struct

from revdiff.design.derived import Derived
from revdiff.design.origin import Origin
from revdiff.quantities.text import fold

if TYPE_CHECKING:
    from revdiff.design.model import Board

End: TypeAlias = tuple[str, str]
"""(board, folded signal)"""


@dataclass(frozen=True, slots=True)
class Pull:
    """A resistor from a signal to a rail or to ground. ``ohms``: None where its value isn't stated.

    ``written``: the value that the manifest gives it, where the parts list has another one, which counts.
    ``ref`` names its part, ``fitted`` says whether that is placed; ``rail`` is what a pull-up goes to, where stated.
    ``origin``: the line of the manifest that says so.
    """

    way: Literal["up", "down"]
    ohms: Decimal | None
    ref: str = ""
    fitted: bool = True
    rail: str = ""
    written: Decimal | None = None
    origin: Origin | None = field(default=None, compare=False, repr=False)


class BoardBus(Struct, frozen=True):
    """What one board adds to a bus: its capacitance, and 7-bit addresses as written."""

    capacitance: Decimal | None = None
    addresses: tuple[str, ...] = ()


class BoardSections(Struct, frozen=True, kw_only=True, eq=False):
    """The sections of one board.

    ``feeds`` and ``loads``: current that it gives to a rail and takes from one. ``blocking``: rail to the part that
    keeps it from being fed backwards, ``""`` where that part is not fitted or can't. ``switches``: signal to the load
    that it switches. ``shipped``: whether this revision reached users. ``renumbered``: old designator to the new one,
    as the user states it of the step to this revision. ``texts``: all the rest as written; that alone is compared.
    """

    feeds: Mapping[str, Decimal] = {}
    loads: Mapping[str, Decimal] = {}
    blocking: Mapping[str, str] = {}
    pulls: Mapping[str, tuple[Pull, ...]] = {}
    buses: Mapping[str, BoardBus] = {}
    switches: Mapping[str, str] = {}
    shipped: bool | None = None
    renumbered: Mapping[str, str] = {}
    texts: Mapping[str, Any] = {}

    def __eq__(self, other: object) -> bool:
        return isinstance(other, BoardSections) and self.texts == other.texts

    __hash__ = None  # type: ignore[assignment]


class Bus(Struct, frozen=True, kw_only=True):
    """``[buses.NAME]``: a bus over the whole stack."""

    name: str = ""
    signals: tuple[str, ...] = ()
    speed: Decimal | None = None
    capacitance: Decimal | None = None


class Policy(Struct, frozen=True, kw_only=True):
    """``[stacking]``: the limits of the design's own. Defaults: common practice, no source."""

    placement_tolerance: Decimal = Decimal("0.0002")
    height_tolerance: Decimal = Decimal(0)
    contact_derating: Decimal = Decimal(0)
    noise_margin: Decimal = Decimal(0)
    allow: frozenset[str] = frozenset()


class KnownGood(Struct, frozen=True, kw_only=True):
    """``[[known_good]]``: boards as ``base`` or ``base@rev-b``, and pairs of ends that belong together."""

    boards: tuple[str, ...] = ()
    signals: tuple[tuple[End, End], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiver:
    """``[[waivers]]``: a finding that somebody decided to live with, and how long.

    ``between``: the names of the two things that the finding is about, joined by `` + ``; empty: whatever they are.
    ``until``: the last day that it counts, or the name of the tag from which on it doesn't; empty: without an end.
    """

    rule: str
    subject: str
    reason: str
    who: str
    between: str = ""
    until: date | str = ""
    origin: Origin = field(compare=False)


class Controller(Struct, frozen=True, kw_only=True):
    """``[controllers.BOARD.DEVICE]``. ``reset``, ``boot``, ``debug``: pins by number or port name, folded.

    ``source`` says where the stated limits are from.
    """

    clock: str = ""
    output_current: Decimal | None = None
    input_limit: Decimal | None = None
    tolerant_limit: Decimal | None = None
    reset: frozenset[str] = frozenset()
    boot: frozenset[str] = frozenset()
    debug: frozenset[str] = frozenset()
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SoftwarePart:
    """``[software.NAME]``: a part that software talks to, and where its address comes from."""

    board: str
    part: str
    address: str = ""
    by_part_number: Mapping[str, str] = field(default_factory=dict)
    straps: tuple[str, ...] = ()
    by_strap: Mapping[str, str] = field(default_factory=dict)
    origin: Origin = field(compare=False)

    def missing_on(self, board: Board) -> bool:
        """Whether the board's parts list has the part not, or not fitted; False for a board without one."""
        return bool(board.parts) and not self._fitted(board, self.part)

    def address_on(self, board: Board, packing: Sequence[str] = ()) -> str:
        """The address that the part answers to on this board; empty where nothing says it.

        A strap counts as ``1`` where its part is fitted and as ``0`` where it isn't. ``packing``: endings of part
        numbers that mean packing only.
        """
        if self.straps:
            code = "".join("1" if self._fitted(board, ref) else "0" for ref in self.straps)
            return self.by_strap.get(code, "")
        part = board.parts.get(self.part)
        if part is not None and self.by_part_number:
            number = part.data.part_number.word
            for suffix in packing:
                number = number.removesuffix(fold(suffix))
            matches = [end for end in self.by_part_number if number.endswith(end.casefold())]
            return self.by_part_number[max(matches, key=len)] if matches else ""
        return self.address

    @staticmethod
    def _fitted(board: Board, ref: str) -> bool:
        part = board.parts.get(ref)
        return part is not None and part.data.fitted.meaning is not False


@dataclass(frozen=True, slots=True, kw_only=True)
class Identity:
    """``[identity.BOARD]``: how software tells the revision of a board.

    ``codes``: printed revision to code, for every revision that was ever made. ``windows``: printed revision to
    the (low, high) voltage that a divider gives; ``derived`` names the derived quantity that is the voltage.
    """

    by: str = ""
    code: str = ""
    codes: Mapping[str, str] = field(default_factory=dict)
    windows: Mapping[str, tuple[Decimal, Decimal]] = field(default_factory=dict)
    derived: str = ""
    origin: Origin = field(compare=False)


class Sections(Struct, frozen=True, kw_only=True, eq=False):
    """The sections of a design. ``controllers`` by (board, device).

    ``texts``: all of it as written; that alone is compared.
    """

    policy: Policy = msgspec.field(default_factory=Policy)
    buses: tuple[Bus, ...] = ()
    known_good: tuple[KnownGood, ...] = ()
    controllers: Mapping[tuple[str, str], Controller] = {}
    software: Mapping[str, SoftwarePart] = {}
    identities: Mapping[str, Identity] = {}
    derived: Mapping[str, Derived] = {}
    packing_suffixes: tuple[str, ...] = ()
    waivers: tuple[Waiver, ...] = ()
    texts: Mapping[str, Any] = {}

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Sections) and self.texts == other.texts

    __hash__ = None  # type: ignore[assignment]

    def controller(self, board: str, device: str) -> Controller:
        """What is said of a controller; nothing where nothing is."""
        return self.controllers.get((board, device), Controller())
