"""What is known of a node, of the needs of firmware, and of an arrangement as a whole.

With ``side.py`` this is all that rules may look at. Units: V, A, Ω.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from functools import cached_property
from itertools import combinations
from typing import Any, Literal, TypeAlias

from msgspec import Struct

from revdiff.design import Contact, Pin, Reading
from revdiff.electrical.i2c import idle_voltage
from revdiff.judge.arrangement import Arrangement, Mating, Member, Program, places_of
from revdiff.judge.columns import power_on, pull_elsewhere
from revdiff.judge.contacts import class_of
from revdiff.judge.fact import Ask, Fact, unknown
from revdiff.judge.nodes import Meet, Node, Nodes
from revdiff.judge.side import LEVEL, Load, PullFact, SideFacts, show, stated_pull
from revdiff.quantities.text import fold

Class: TypeAlias = Literal["supply", "ground", "signal"]
Source: TypeAlias = "tuple[SideFacts, Decimal | None, str]"


class Rest(Struct, frozen=True):
    """The level of a node while no firmware runs; ``volts`` None: it floats. ``how``: by what, in figures.

    ``driven``: the member that drives it at power-on; empty where only resistors hold it.
    """

    volts: Decimal | None
    how: str
    driven: str = ""


class NodeFacts:
    """What is known of a node."""

    def __init__(self, node: Node) -> None:
        self.node = node
        self.sides = tuple(SideFacts(item, self) for item in node.sides)
        self.members = tuple(item.member for item in node.sides)
        self.subject = node.subject
        self.name = node.name
        self.items: dict[object, tuple[Any, ...]] = {}  # what rules look at here, by what lists it

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
            for item in _partners(side, other) if other is not side else ():
                given = stated_pull(item)
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

    def settled(self, ask: Ask, left: Decimal) -> Decimal:
        """A margin that rests on all resistors: where it holds, and a side says nothing of any, nobody can be sure."""
        if left >= 0 and self.silent and not (self.rest.value is not None and self.rest.value.driven):
            names = " and ".join(side.member.name for side in self.silent)
            ask(unknown(f"the column Pull of {names}, or boards.NAME.pulls"))
        return left

    @property
    def elsewhere(self) -> str:
        """What is needed where only a board that is not there could tell."""
        return f"the board at {', '.join(self.node.open)} in the stack"

    @cached_property
    def rest(self) -> Fact[Rest]:
        """Its level while no firmware runs: of whoever drives it at power-on, else worked out from all resistors."""
        for side in self.sides:
            for item in side.side.contacts:
                state = power_on(item)
                if state in ("high", "low"):
                    volts = side.level.value if state == "high" else Decimal(0)
                    if volts is None:
                        return unknown(LEVEL)
                    return Fact(Rest(volts, f"{side.member.name} drives it {state}", side.member.name), item.origin)
        early = [item for item in self.pulls if item.early]
        if disputed := [side.disputed_pulls for side in self.sides if side.disputed_pulls]:
            return unknown(f"one word on resistors: {'; '.join(disputed)}", essential=True)
        if not early and self.node.open:
            return unknown(self.elsewhere)
        if not early:
            if self.silent or not all(item.internal for item in self.pulls):
                return unknown("the column Pull with a value, or boards.NAME.pulls")
            own = "nothing but a controller's own pull, which firmware switches on, holds it"
            return Fact(Rest(None, own if self.pulls else "nothing pulls it"))
        ways = {item.way for item in early}
        if unstated := [item.part for item in early if item.part and item.ohms is None]:
            return unknown(f"the value of {', '.join(unstated)}")
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
        """(side, volts, by what) of everything that lifts the node; None where the voltage isn't stated."""
        found: list[Source] = []
        for side in self.sides:
            if side.drive.value in ("push-pull", "releasing", "analog"):
                found.append((side, side.level.value, "drives"))
            for pull in side.pulls or ():
                if pull.way == "up":
                    volts = pull.volts if self._divided is None else min(pull.volts or self._divided, self._divided)
                    how = f"pulls it up with {show(pull.ohms, 'Ω') if pull.ohms else 'a resistor'}"
                    found.append((side, volts, how))
        return tuple(found)

    @cached_property
    def _divided(self) -> Decimal | None:
        """What resistors up and down leave together, V; None where they are no divider, or one isn't known."""
        ways = {item.way for item in self.pulls}
        known = [(item.ohms, item.volts) for item in self.pulls if item.ohms is not None and item.volts is not None]
        if len(ways) < 2 or len(known) < len(self.pulls) or any(item.internal for item in self.pulls):
            return None
        return idle_voltage(known)

    @cached_property
    def pairs(self) -> tuple[tuple[SideFacts, SideFacts], ...]:
        """Every two sides."""
        return tuple(combinations(self.sides, 2))


class Use(Struct, frozen=True):
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
        self.kept: dict[object, Any] = {}  # what several rules list alike
        self._nodes = Nodes(arrangement)
        self.nodes = tuple(map(self._known, self._nodes.all))
        self.by_word = {
            (side.member.name, word): node for node in self.nodes for side in node.sides for word in side.side.words
        }

    def _known(self, node: Node) -> NodeFacts:
        """The facts of a node; the same where another arrangement that shares them has one with the same ends."""
        ends = [
            item
            for side in node.sides
            for item in (side.member, *side.records, *(one for use in side.uses for one in use))
        ]
        return self.arrangement.once((node.kin, node.open), lambda: NodeFacts(node), *ends)

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
            for key, need in program.contract.needs.items():
                wanted = program.names.get(key, key)
                carrying = member.pins_with(program.device, wanted)
                built_for = member.pin_at(program.device, need.pin)
                if not need.pin and carrying:
                    built_for = carrying[0]
                yield Use(program, member, key, carrying, built_for, self.arrangement)


def _partners(side: SideFacts, other: SideFacts) -> Iterator[Contact | Pin]:
    """What the partner's board has on this node in the revision that ``side`` is of: that is whose remarks count."""
    if other.member.design is side.member.design:
        yield from other.records
        return
    board = side.member.design.boards.get(other.member.board.name)
    if board is not None:
        words = other.side.words | side.side.words
        contacts = board.contacts
        both: tuple[Contact | Pin, ...] = (*contacts, *board.pins.values())
        yield from (item for item in both if item.signal.word in words)


def at_pin(stated: Reading, pin: Pin) -> bool:
    """Whether a pin is the one that is meant, by its number or port."""
    return fold(stated.raw) in places_of(pin)


def _class_of_pin(pin: Pin) -> Class:
    word = pin.direction.word
    return "ground" if word == "ground" else "supply" if word.startswith("supply") else "signal"


def _loads_by_all(node: NodeFacts) -> bool:
    return all(side.load is not None for side in node.sides)
