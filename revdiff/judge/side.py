"""What is known of one member's side of a node: typed facts, each with its origin or the column that it needs.

Units: V, A, Ω.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Literal, TypeAlias

from msgspec import Struct

from revdiff.design import EMPTY, Contact, Pin, Reading
from revdiff.design.sections import Pull
from revdiff.design.tables import CONTACTS, PINS
from revdiff.electrical.currents import PIN_LIMIT, PIN_SOURCE
from revdiff.electrical.logic import Family, Levels, family_at, family_named
from revdiff.judge.arrangement import Arrangement, Member, Program
from revdiff.judge.columns import pull_elsewhere, pull_of, tolerant
from revdiff.judge.fact import Fact, unknown
from revdiff.judge.nodes import Side
from revdiff.judge.wired import disputed_pulls, wired_pulls
from revdiff.quantities.pattern import pattern
from revdiff.quantities.quantity import Quantity, plain_decimal, read_quantity
from revdiff.quantities.quantity import show as exact
from revdiff.quantities.span import Span, read_span
from revdiff.quantities.text import fold

if TYPE_CHECKING:
    from revdiff.judge.facts import NodeFacts

Drive: TypeAlias = Literal["push-pull", "releasing", "open drain", "analog", "none"]

_TOLERANT = Decimal("5.5")  # what "5 V tolerant" says: 5 V and a tenth
_NEAR = Decimal("1.02")
# Of a level, what has to be left for a high; for a low as much has to be taken off. Source: NXP UM10204, table of the
# SDA and SCL lines.
HIGH_SHARE = Decimal("0.7")
# Words that propose a load; a column Switches states one. Common practice, no source.
_LOADS = pattern(r"heat|pump|motor|valve|relay|solenoid|igni|gate|\bdrive\b|\bload\b|heiz|pumpe|ventil|laser|fan\b")
_REPORTS = pattern(r"fault|sense|status|tach|pulse|flow|feedback|alarm|diag|meas|monitor|enc\b|closed|isense|temp")
LEVEL = "the column Level"


class PullFact(Struct, frozen=True):
    """A resistor: ``ohms`` and ``volts`` of its rail, None where not stated. ``early``: there before firmware runs.

    ``internal``: stated to be a controller's own, which firmware has to switch on. ``part``: its designator, where it
    is one of the parts list.
    """

    side: Side
    way: Literal["up", "down"]
    ohms: Decimal | None
    volts: Decimal | None
    where: str
    early: bool
    internal: bool = False
    part: str = ""


class Load(Struct, frozen=True):
    """What a node switches; ``stated``, or only proposed by a name."""

    what: str
    stated: bool


class SideFacts:
    """What is known of one member's side of a node."""

    def __init__(self, side: Side, node: NodeFacts) -> None:
        self.side = side
        self.node = node
        self.member = side.member
        self.name = side.name
        self.signal = side.signal

    @property
    def records(self) -> tuple[Contact | Pin, ...]:
        """Its contacts, then its pins."""
        return self.side.records

    def cell(self, column: str) -> Fact[Reading]:
        """What a column says here: of the first contact or pin that fills it in."""
        for item in self.records:
            if reading := getattr(item, column, EMPTY):
                return Fact(reading, item.origin.of(column))
        title = (CONTACTS.by_name.get(column) or PINS.by_name[column]).title
        return unknown(f"the column {title[:1].upper()}{title[1:]}")

    @cached_property
    def directions(self) -> frozenset[str]:
        """Of its contacts; of its pins where no contact states one."""
        stated = frozenset(item.direction.word for item in self.side.contacts if item.direction)
        return stated or frozenset(item.direction.word for item in self.side.pins if item.direction)

    @cached_property
    def _own(self) -> frozenset[str]:
        """The directions of what is on the board itself, where the signal only passes through its connectors."""
        if not self.passes:
            return self.directions
        return frozenset(item.direction.word for item in self.side.pins if item.direction)

    @property
    def passes(self) -> bool:
        """Whether the signal comes in by one connector of the board and goes out by another."""
        return {"in", "out"} <= self.directions

    @cached_property
    def drive(self) -> Fact[Drive]:
        """How it drives the node, firmware included: the strongest of all its ends."""
        if not self.directions:
            return unknown("the column Direction", essential=True)
        stated = {item.drive.word for item in self.records}
        wanted = {need.direction.word for _, need, _ in self.side.uses}
        if "open drain" in stated or "open drain" in self._own:
            return Fact("open drain")
        if "releasing" in stated:
            return Fact("releasing")
        if "out" in self._own or "out" in wanted - self._own:
            return Fact("push-pull")
        if "analog out" in self._own:
            return Fact("analog")
        return Fact("releasing" if "bidirectional" in self._own else "none")

    @cached_property
    def driving(self) -> tuple[Program, ...]:
        """The releases that drive here what nothing else of the board drives."""
        if self.drive.value != "push-pull" or "out" in self._own:
            return ()
        return tuple({id(item): item for item, need, _ in self.side.uses if need.direction.word == "out"}.values())

    @property
    def driver(self) -> str:
        """``SYNC of base``, with the releases that drive it where those do."""
        who = " and ".join(item.contract.title for item in self.driving)
        return f"{self.signal} of {self.member.name}{f' (driven by {who})' if who else ''}"

    @cached_property
    def reads(self) -> bool:
        """Whether something on the board listens."""
        return bool(self._own & {"in", "bidirectional", "open drain"})

    @property
    def acts(self) -> bool:
        """Whether something here switches by the signal, or switches it: it doesn't only pass through."""
        return self.directions != {"passive"}

    @cached_property
    def takes(self) -> bool:
        """Whether the voltage of the node reaches an input on this side."""
        return bool(self._own & {"in", "bidirectional", "open drain", "analog in", "passive"})

    def _volts(self, records: Iterable[Contact | Pin]) -> list[tuple[Span, Contact | Pin]]:
        found = ((read_span(item.level.raw, "V"), item) for item in records)
        return [(span, item) for span, item in found if span is not None]

    @cached_property
    def level(self) -> Fact[Decimal]:
        """The high level that it gives: the highest stated of its contacts, else of its pins."""
        for records in (self.side.contacts, self.side.pins):
            if found := self._volts(records):
                span, record = max(found, key=lambda item: item[0].high)
                return Fact(span.high, record.origin.of("level"))
        return unknown(LEVEL, essential=True)

    @cached_property
    def own_level(self) -> Fact[Decimal]:
        """The supply of what reads here: the lowest stated level of its records."""
        if found := self._volts(self.records):
            span, record = min(found, key=lambda item: item[0].high)
            return Fact(span.high, record.origin.of("level"))
        return unknown(LEVEL, essential=True)

    @cached_property
    def family(self) -> Fact[Family]:
        """The logic family: stated, else the JEDEC one of the level."""
        for item in self.records:
            if item.family:
                known = family_named(item.family.raw)
                return Fact(known, item.origin) if known else unknown(f"a known family in place of {item.family.raw!r}")
        volts = self.own_level.value
        if volts is None:
            return unknown(LEVEL)
        jedec = family_at(volts)
        if jedec is None:
            return unknown("a column Family (TTL, LS, HC, HCT, CMOS, LVTTL …)", essential=True)
        return Fact(jedec, source=jedec.source)

    @cached_property
    def thresholds(self) -> Fact[Levels]:
        """Thresholds and outputs of the family at the level of this side."""
        family, volts = self.family, self.own_level.value
        if family.value is None or volts is None:
            return Fact(None, needs=family.needs or LEVEL, essential=family.essential)
        fixed = family.value.ratio == "none" and family.value.voh_drop is None
        return Fact(family.value.at(None if fixed else volts), source=family.value.source)

    def stands(self, volts: Decimal) -> Fact[Decimal]:
        """The highest voltage that an input of this side takes, for a voltage that may reach it."""
        stated = [(found.magnitude, item) for item in self.records if (found := item.maximum.quantity) is not None]
        if stated:
            limit, record = min(stated, key=lambda item: item[0])
            return Fact(limit, record.origin, source="the column Maximum of the design")
        own = self.own_level
        said = [answer for item in self.records if (answer := tolerant(item)) is not None]
        measured = "analog in" in self._own
        for pin in self.side.pins:
            given = self.node.node.arrangement.controller(self.member, pin.device)
            limit_of = given.tolerant_limit if said and all(said) and not measured else given.input_limit
            if limit_of is not None:
                return Fact(limit_of, pin.origin, source=given.source or "the design's manifest")
        if said and all(said) and not measured:
            return Fact(_TOLERANT, source="stated to be 5 V tolerant: 5 V and a tenth")
        if own.value is None:
            return unknown(LEVEL)
        if volts <= own.value * _NEAR:
            return Fact(max(own.value, volts))
        if said and volts >= Decimal("4.5"):
            return Fact(own.value, source="stated not to be 5 V tolerant")
        return unknown("a column 5V tolerant or Maximum", essential=True)

    @cached_property
    def series(self) -> Decimal:
        """Series resistance at its pins."""
        found = (item.resistance.quantity for item in self.records)
        return max((item.magnitude for item in found if item is not None), default=Decimal(0))

    @cached_property
    def pin_limit(self) -> Fact[Decimal]:
        """A that its outputs stand: the least of all controllers here."""
        devices = {pin.device for pin in self.side.pins}
        found = [pin_limit(self.node.node.arrangement, self.member, device) for device in sorted(devices) or [""]]
        return min(found, key=lambda item: item.value or PIN_LIMIT)

    @cached_property
    def active(self) -> Fact[str]:
        """The level at which the signal is on, as this side states it."""
        for item in self.records:
            if item.active.word in ("high", "low"):
                return Fact(item.active.word, item.origin.of("active"))
        return unknown("the column Active")

    @cached_property
    def load(self) -> Load | None:
        """What it switches here: stated by a column (Switches, Purpose) or the manifest, else proposed by its names."""
        for item in self.records:
            if item.switches:
                return Load(item.switches.raw, True)
        if stated := self._stated_load():
            return Load(stated, True)
        for pin in self.side.pins:
            if (
                pin.direction.word == "out"
                and _LOADS.search(pin.purpose.word)
                and not _REPORTS.search(pin.purpose.word)
            ):
                return Load(pin.purpose.raw, True)
        words = " ".join(self.side.words).replace("_", " ")
        found = _LOADS.search(words)
        return Load(found[0], False) if found and not _REPORTS.search(words) else None

    def _stated_load(self) -> str:
        """What the manifest says; a change can't take back what the trusted revision says."""
        trusted = self.node.node.arrangement.trusted
        base = trusted.boards.get(self.member.board.name) if trusted is not None else None
        known = {word: word for word in self.side.words}
        before = {self.member.was(word): word for word in self.side.words}
        for board, words in ((self.member.board, known), (base, before)):
            if board is not None and (found := words.keys() & board.sections.switches.keys()):
                return board.sections.switches[min(found)]
        return ""

    @cached_property
    def pulls(self) -> tuple[PullFact, ...] | None:
        """Its resistors, one resistor that several rows name counted once; None where nothing is said of any."""
        sections = self.member.board.sections
        listed = [item for word in sorted(self.side.words) for item in sections.pulls.get(word, ())]
        drawn = [found for word in sorted(self.side.words) if (found := self._drawn.get(word)) is not None]
        if listed or drawn:
            resistors = [item for found in drawn for item in found] if self.disputed_pulls or not listed else listed
            given = tuple(
                PullFact(self.side, item.way, item.ohms, self._rail(item.way, item.rail), item.ref, True, part=item.ref)
                for item in resistors
                if item.fitted
            )
            return given if listed else (*given, *(item for item in self._stated_pulls() or () if item.internal))
        return self._stated_pulls()

    @cached_property
    def disputed_pulls(self) -> str:
        """What manifest and netlist say of its resistors, where one contradicts the other; empty where none does."""
        found = disputed_pulls(self.member.board)
        return "; ".join(found[word] for word in sorted(self.side.words) if word in found)

    @property
    def _drawn(self) -> Mapping[str, tuple[Pull, ...]]:
        """What the netlist shows of resistors."""
        return wired_pulls(self.member.board)

    def _stated_pulls(self) -> tuple[PullFact, ...] | None:
        """Those that columns state."""
        others = {fold(name) for name in self.member.design.boards} - {fold(self.member.board.name)}
        found: dict[str, PullFact] = {}
        said = False
        for item in self.records:
            given = stated_pull(item)
            if given is None or pull_elsewhere(item) in others:
                continue
            said = True
            way, ohms = given
            if way not in ("up", "down"):
                continue
            pull = PullFact(
                self.side,
                "up" if way == "up" else "down",
                ohms,
                self._rail(way, ""),
                item.name,
                _early(item, ohms),
                _internal(item),
            )
            before = found.get(way)
            if (
                before is None
                or (not before.early and pull.early)
                or (ohms is not None and (before.ohms is None or ohms < before.ohms))
            ):
                found[way] = pull
        return tuple(found.values()) if said else None

    def _rail(self, way: str, rail: str) -> Decimal | None:
        if way == "down":
            return Decimal(0)
        if not rail:
            return self.level.value
        board = self.member.board
        contacts = board.contacts
        both: tuple[Contact | Pin, ...] = (*contacts, *board.pins.values())
        on_rail = [item for item in both if item.signal.word == rail]
        if found := self._volts(on_rail):
            return max(span.high for span, _ in found)
        named = read_quantity(rail.lstrip("+").upper(), "V")
        return named.magnitude if named is not None and named.unit == "V" else None


def pin_limit(arrangement: Arrangement, member: Member, device: str) -> Fact[Decimal]:
    """A that an output of a controller stands: as the manifest has it, else what one well-known part stands."""
    given = arrangement.controller(member, device)
    if given.output_current is not None:
        return Fact(given.output_current, source=given.source or "the design's manifest")
    return Fact(
        PIN_LIMIT,
        assumed=f"{show(PIN_LIMIT, 'A')} for a pin ({PIN_SOURCE}); output_current in "
        f"[controllers.{member.board.name}.DEVICE] would state it",
    )


@lru_cache(maxsize=4096)
def show(value: Decimal, unit: str) -> str:
    """Four figures."""
    return exact(Quantity(plain_decimal(Decimal(f"{value:.4g}")), unit))


def _early(item: Contact | Pin, ohms: Decimal | None) -> bool:
    """Whether a pull is a resistor that is there before firmware runs: not a controller's own, which has no value."""
    return not _internal(item) and (ohms is not None or isinstance(item, Contact))


def _internal(item: Contact | Pin) -> bool:
    """Whether a pull is stated to be the controller's own."""
    return "intern" in item.pull.raw.lower()


def stated_pull(record: Contact | Pin) -> tuple[str, Decimal | None] | None:
    """(up, down or none; Ω where stated) of a record; None where nothing is said."""
    if isinstance(record, Contact):
        return pull_of(record)
    if _internal(record):
        return ("down" if "down" in fold(record.pull.raw) else "up"), None
    meaning = record.pull.meaning
    if not isinstance(meaning, tuple) or not meaning or not isinstance(meaning[0], str):
        return ("none", None) if fold(record.pull.raw) in ("no", "none") else None
    ohms = meaning[1] if len(meaning) > 1 else None
    return meaning[0], ohms.magnitude if isinstance(ohms, Quantity) and ohms.magnitude >= 0 else None
