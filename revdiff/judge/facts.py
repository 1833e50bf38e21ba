"""What is known of a side of a node, and of the node: typed facts, each with its origin or the column that it needs.

This is all that rules may look at. Units: V, A, Ω.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from itertools import combinations
from typing import Literal, TypeAlias

from revdiff.design import Contact, Pin, Reading
from revdiff.electrical.currents import PIN_LIMIT, PIN_SOURCE
from revdiff.electrical.i2c import idle_voltage
from revdiff.electrical.logic import Family, Levels, family_at, family_named
from revdiff.judge.arrangement import Arrangement, Mating, Member, Program
from revdiff.judge.fact import Fact, unknown
from revdiff.judge.nodes import Meet, Node, Nodes, Side
from revdiff.quantities.quantity import Quantity, read_quantity
from revdiff.quantities.span import Span, read_span
from revdiff.quantities.text import fold, squeeze
from revdiff.rules.contacts import class_of
from revdiff.rules.stack_columns import column, power_on, pull_elsewhere, pull_of, tolerant

Drive: TypeAlias = Literal["push-pull", "releasing", "open drain", "analog", "none"]
Class: TypeAlias = Literal["supply", "ground", "signal"]
Source: TypeAlias = "tuple[SideFacts, Decimal, str]"

_TOLERANT = Decimal("5.5")  # what "5 V tolerant" says: 5 V and a tenth
_NEAR = Decimal("1.02")
_RELEASED = frozenset({"tristate", "highimpedance", "highz", "hiz"})
_DRAIN = frozenset({"opendrain", "opencollector", "od", "oc"})
# Words that propose a load; a column Switches states one. Common practice, no source.
_LOADS = re.compile(r"heat|pump|motor|valve|relay|solenoid|igni|gate|\bdrive\b|\bload\b|heiz|pumpe|ventil|laser|fan\b")
_REPORTS = re.compile(r"fault|sense|status|tach|pulse|flow|feedback|alarm|diag|meas|monitor|enc\b|closed|isense|temp")
_LEVEL = "the column Level"


@dataclass(frozen=True, slots=True)
class PullFact:
    """A resistor: ``ohms`` and ``volts`` of its rail, None where not stated. ``early``: there before firmware runs."""

    side: Side
    way: Literal["up", "down"]
    ohms: Decimal | None
    volts: Decimal | None
    where: str
    early: bool


@dataclass(frozen=True, slots=True)
class Rest:
    """The level of a node while no firmware runs; ``volts`` None: it floats. ``how``: by what, in figures."""

    volts: Decimal | None
    how: str


@dataclass(frozen=True, slots=True)
class Load:
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

    @cached_property
    def directions(self) -> frozenset[str]:
        """Of its contacts; of its pins where no contact states one."""
        stated = frozenset(item.direction.word for item in self.side.contacts if item.direction)
        return stated or frozenset(item.direction.word for item in self.side.pins if item.direction)

    @cached_property
    def _own(self) -> frozenset[str]:
        """The directions of what is on the board itself, where the signal only passes through its connectors."""
        if not {"in", "out"} <= self.directions:
            return self.directions
        return frozenset(item.direction.word for item in self.side.pins if item.direction)

    @cached_property
    def drive(self) -> Fact[Drive]:
        """How it drives the node, firmware included: the strongest of all its ends."""
        if not self.directions:
            return unknown("the column Direction")
        stated = {squeeze(column(item, "drive")) for item in self.records}
        wanted = {need.direction.word for _, need, _ in self.side.uses}
        if stated & _DRAIN or "open drain" in self._own:
            return Fact("open drain")
        if stated & _RELEASED:
            return Fact("releasing")
        if "out" in self._own or "out" in wanted - self._own:
            return Fact("push-pull")
        if "analog out" in self._own:
            return Fact("analog")
        return Fact("releasing" if "bidirectional" in self._own else "none")

    @cached_property
    def reads(self) -> bool:
        """Whether something on the board listens."""
        return bool(self._own & {"in", "bidirectional", "open drain"})

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
        return unknown(_LEVEL)

    @cached_property
    def own_level(self) -> Fact[Decimal]:
        """The supply of what reads here: the lowest stated level of its records."""
        if found := self._volts(self.records):
            span, record = min(found, key=lambda item: item[0].high)
            return Fact(span.high, record.origin.of("level"))
        return unknown(_LEVEL)

    @cached_property
    def family(self) -> Fact[Family]:
        """The logic family: stated, else the JEDEC one of the level."""
        for item in self.records:
            if text := column(item, "family", "logic family"):
                known = family_named(text)
                return Fact(known, item.origin) if known else unknown(f"a known logic family in place of {text!r}")
        volts = self.own_level.value
        if volts is None:
            return unknown(_LEVEL)
        jedec = family_at(volts)
        if jedec is None:
            return unknown("a column Family (TTL, LS, HC, HCT, CMOS, LVTTL …)", essential=True)
        return Fact(jedec, source=jedec.source)

    @cached_property
    def thresholds(self) -> Fact[Levels]:
        """Thresholds and outputs of the family at the level of this side."""
        family, volts = self.family, self.own_level.value
        if family.value is None or volts is None:
            return Fact(None, needs=family.needs or _LEVEL, essential=family.essential)
        fixed = family.value.ratio == "none" and family.value.voh_drop is None
        return Fact(family.value.at(None if fixed else volts), source=family.value.source)

    def stands(self, volts: Decimal) -> Fact[Decimal]:
        """The highest voltage that an input of this side takes, for a voltage that may reach it."""
        stated = [
            (found.magnitude, item)
            for item in self.records
            if (found := read_quantity(column(item, "maximum", "absolute maximum", "max voltage"), "V")) is not None
        ]
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
            return unknown(_LEVEL)
        if volts <= own.value * _NEAR:
            return Fact(max(own.value, volts))
        if said and volts >= Decimal("4.5"):
            return Fact(own.value, source="stated not to be 5 V tolerant")
        return unknown("a column 5V tolerant or Maximum", essential=True)

    @cached_property
    def series(self) -> Decimal:
        """Series resistance at its pins."""
        found = [item.resistance.quantity for item in self.side.pins]
        columns = (read_quantity(column(item, "series resistance"), "Ω") for item in self.side.contacts)
        return max((item.magnitude for item in (*found, *columns) if item is not None), default=Decimal(0))

    @cached_property
    def pin_limit(self) -> Fact[Decimal]:
        """A that an output stands: of the manifest's controller, else what most do."""
        for pin in self.side.pins:
            given = self.node.node.arrangement.controller(self.member, pin.device)
            if given.output_current is not None:
                return Fact(given.output_current, pin.origin, source=given.source or "the design's manifest")
        return Fact(PIN_LIMIT, source=PIN_SOURCE)

    @cached_property
    def active(self) -> Fact[str]:
        """The level at which the signal is on, as this side states it."""
        for item in self.records:
            text = item.active.word if isinstance(item, Pin) else squeeze(column(item, "active", "active level"))
            for word in ("high", "low"):
                if word in text:
                    return Fact(word, item.origin.of("active"))
        return unknown("the column Active")

    @cached_property
    def load(self) -> Load | None:
        """What it switches here: stated by a column (Switches, Purpose) or the manifest, else proposed by its names."""
        for item in self.records:
            if text := column(item, "switches", "load"):
                return Load(text, True)
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
        if listed:
            return tuple(
                PullFact(self.side, item.way, item.ohms, self._rail(item.way, item.rail), item.ref, True)
                for item in listed
                if item.fitted
            )
        others = {fold(name) for name in self.member.design.boards} - {fold(self.member.board.name)}
        found: dict[str, PullFact] = {}
        said = False
        for item in self.records:
            given = _stated_pull(item)
            if given is None or pull_elsewhere(item) in others:
                continue
            said = True
            way, ohms = given
            if way not in ("up", "down"):
                continue
            pull = PullFact(
                self.side, "up" if way == "up" else "down", ohms, self._rail(way, ""), item.name, _early(item, ohms)
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
        contacts = (one for connector in board.connectors.values() for one in connector.contacts.values())
        both: tuple[Contact | Pin, ...] = (*contacts, *board.pins.values())
        on_rail = [item for item in both if item.signal.word == rail]
        if found := self._volts(on_rail):
            return max(span.high for span, _ in found)
        named = read_quantity(rail.lstrip("+").upper(), "V")
        return named.magnitude if named is not None and named.unit == "V" else None


class NodeFacts:
    """What is known of a node."""

    def __init__(self, node: Node) -> None:
        self.node = node
        self.sides = tuple(SideFacts(item, self) for item in node.sides)
        self.members = tuple(item.member for item in node.sides)
        self.subject = node.subject
        self.name = node.name

    @cached_property
    def cls(self) -> Class:
        """``supply`` or ``ground`` where one of its ends is that."""
        found = {class_of(item) for side in self.sides for item in side.side.contacts}
        found |= {_class_of_pin(item) for side in self.sides for item in side.side.pins}
        return "supply" if "supply" in found else "ground" if "ground" in found else "signal"

    @cached_property
    def analog(self) -> bool:
        """Whether it carries a voltage to be measured."""
        words = {item.direction.word for side in self.sides for item in side.records}
        return bool(words & {"analog in", "analog out"})

    @cached_property
    def judged(self) -> bool:
        """Whether levels, pulls and polarity make sense here: a signal whose ends belong together."""
        return self.cls == "signal" and self.node.kin == "yes"

    @cached_property
    def pulls(self) -> tuple[PullFact, ...]:
        """All resistors on it, those too that a remark on one board says are on another (of the same revision)."""
        return tuple(pull for side in self.sides for pull in (self._lent(side) if side.pulls is None else side.pulls))

    def _lent(self, side: SideFacts) -> tuple[PullFact, ...]:
        for other in self.sides:
            if other is side or other.member.design is not side.member.design:
                continue
            for item in other.records:
                given = _stated_pull(item)
                if given is not None and pull_elsewhere(item) == fold(side.member.board.name):
                    way: Literal["up", "down"] = "up" if given[0] == "up" else "down"
                    return (
                        PullFact(
                            side.side, way, given[1], side.level.value if way == "up" else Decimal(0), item.name, True
                        ),
                    )
        return ()

    @cached_property
    def silent(self) -> tuple[SideFacts, ...]:
        """The sides that say nothing of resistors."""
        return tuple(side for side in self.sides if side.pulls is None and not self._lent(side))

    @cached_property
    def rest(self) -> Fact[Rest]:
        """Its level while no firmware runs: of whoever drives it at power-on, else worked out from all resistors."""
        for side in self.sides:
            for item in side.side.contacts:
                state = power_on(item)
                if state in ("high", "low"):
                    volts = side.level.value if state == "high" else Decimal(0)
                    if volts is None:
                        return unknown(_LEVEL)
                    return Fact(Rest(volts, f"{side.member.name} drives it {state}"), item.origin)
        early = [item for item in self.pulls if item.early]
        if not early:
            if self.silent or self.pulls:
                return unknown("the column Pull with a value, or boards.NAME.pulls")
            return Fact(Rest(None, "nothing pulls it"))
        ways = {item.way for item in early}
        if any(item.ohms is None or item.volts is None for item in early):
            volts_of = [item.volts for item in early if item.volts is not None]
            if len(ways) == 1 and (volts_of or ways == {"down"}):
                volts = max(volts_of, default=Decimal(0))
                return Fact(Rest(volts, f"pulled {next(iter(ways))}"))
            return unknown("the values of all pulls, and the column Level")
        listed = [(item.ohms, item.volts) for item in early if item.ohms is not None and item.volts is not None]
        volts = idle_voltage(listed)
        terms = ", ".join(f"{show(o, 'Ω')} to {show(v, 'V')}" for o, v in listed)
        return Fact(Rest(volts, f"V = Σ(V/R) / Σ(1/R) of {terms} = {show(volts, 'V')}"))

    @cached_property
    def load(self) -> tuple[SideFacts, Load] | None:
        """The side that switches a load, and what; a proposed one only where another end drives it."""
        found = [(side, side.load) for side in self.sides if side.load is not None]
        for side, load in found:
            if load is not None and load.stated:
                return side, load
        driven = any(side.drive.value in ("push-pull", "open drain", "releasing") for side in self.sides)
        for side, load in found:
            controlled = any(pin.direction.word == "out" for other in self.sides for pin in other.side.pins)
            if load is not None and driven and (controlled or side.drive.value == "none" or _loads_by_all(self)):
                return side, load
        return None

    @cached_property
    def sources(self) -> tuple[Source, ...]:
        """(side, volts, by what) of everything that lifts the node."""
        found: list[Source] = []
        for side in self.sides:
            if side.drive.value in ("push-pull", "releasing", "analog") and side.level.value is not None:
                found.append((side, side.level.value, "drives"))
            for pull in side.pulls or ():
                if pull.way == "up" and pull.volts is not None:
                    found.append(
                        (side, pull.volts, f"pulls it up with {show(pull.ohms, 'Ω') if pull.ohms else 'a resistor'}")
                    )
        return tuple(found)

    @cached_property
    def pairs(self) -> tuple[tuple[SideFacts, SideFacts], ...]:
        """Every two sides."""
        return tuple(combinations(self.sides, 2))


@dataclass(frozen=True, slots=True)
class Use:
    """A need of a firmware release on a member: the pins that carry its signal, and the pin that it was built for."""

    program: Program
    member: Member
    key: str
    carrying: tuple[Pin, ...]
    built_for: Pin | None
    arrangement: Arrangement


class Facts:
    """All facts of an arrangement, each worked out once."""

    def __init__(self, arrangement: Arrangement) -> None:
        self.arrangement = arrangement
        self._nodes = Nodes(arrangement)
        self.nodes = tuple(NodeFacts(item) for item in self._nodes.all)
        self.by_word = {
            (side.member.name, word): node for node in self.nodes for side in node.sides for word in side.side.words
        }

    @property
    def meets(self) -> tuple[Meet, ...]:
        """The contacts that meet, both with a signal."""
        return self._nodes.meets

    @property
    def matings(self) -> tuple[Mating, ...]:
        """The connectors that mate."""
        return self.arrangement.matings

    @cached_property
    def uses(self) -> tuple[Use, ...]:
        """Every need of every program."""
        return tuple(self._uses())

    def _uses(self) -> Iterator[Use]:
        members = {item.name: item for item in self.arrangement.members}
        for program in self.arrangement.programs:
            member = members[program.member]
            pins = [item for item in member.board.pins.values() if item.device == program.device]
            for key, need in program.contract.needs.items():
                wanted = program.names.get(key, key)
                carrying = tuple(item for item in pins if item.signal.word == wanted)
                built_for = next((item for item in pins if need.pin and at_pin(need.pin, item)), None)
                if not need.pin and carrying:
                    built_for = carrying[0]
                yield Use(program, member, key, carrying, built_for, self.arrangement)


def at_pin(stated: Reading, pin: Pin) -> bool:
    """Whether a pin is the one that is meant, by its number or port."""
    return fold(stated.raw) in ({fold(pin.number), pin.port.word, fold(pin.name)} - {""})


def show(value: Decimal, unit: str) -> str:
    """Four figures."""
    from revdiff.quantities.quantity import plain_decimal
    from revdiff.quantities.quantity import show as exact

    return exact(Quantity(plain_decimal(Decimal(f"{value:.4g}")), unit))


def _early(item: Contact | Pin, ohms: Decimal | None) -> bool:
    """Whether a pull is a resistor that is there before firmware runs: not a controller's own, which has no value."""
    text = item.pull.raw if isinstance(item, Pin) else column(item, "pull")
    return "intern" not in text.lower() and (ohms is not None or isinstance(item, Contact))


def _stated_pull(record: Contact | Pin) -> tuple[str, Decimal | None] | None:
    if isinstance(record, Contact):
        return pull_of(record)
    meaning = record.pull.meaning
    if not isinstance(meaning, tuple) or not meaning or not isinstance(meaning[0], str):
        return ("none", None) if fold(record.pull.raw) in ("no", "none") else None
    ohms = meaning[1] if len(meaning) > 1 else None
    return meaning[0], ohms.magnitude if isinstance(ohms, Quantity) and ohms.magnitude >= 0 else None


def _class_of_pin(pin: Pin) -> Class:
    word = pin.direction.word
    return "ground" if word == "ground" else "supply" if word.startswith("supply") else "signal"


def _loads_by_all(node: NodeFacts) -> bool:
    return all(side.load is not None for side in node.sides)
