"""What is together on the bench: boards at revisions, by place, and the firmware release on each controller."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property, partial
from typing import Any, Literal, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from revdiff.design import Board, Connector, Contact, Contract, Design, Pin, Reading
from revdiff.design.derived import Derived
from revdiff.design.sections import Controller, Policy
from revdiff.judge.finding import Party, Role
from revdiff.judge.joining import Layer, OpenJoint, joints_between
from revdiff.judge.meetings import Meeting
from revdiff.judge.names import belonging
from revdiff.judge.placement import place
from revdiff.quantities.designator import natural_key
from revdiff.quantities.text import fold

T = TypeVar("T")
Names = Mapping[str, str]
Belonging = frozenset[tuple[tuple[str, str], tuple[str, str]]]


class Member(Struct, frozen=True, dict=True):
    """One board at one revision. ``place`` tells equal boards of one stack apart; else it is the board's name.

    ``before``: folded signal names of this revision to those in the arrangement that worked, where they differ; and
    ``connectors``: names of its connectors, likewise.
    """

    design: Design
    board: Board
    revision: str
    role: Role = ""
    place: str = ""
    before: Names = {}
    connectors: Names = {}

    @property
    def name(self) -> str:
        """The board's name, with its place where that is another."""
        return self.place or self.board.name

    @property
    def party(self) -> Party:
        """As findings name it."""
        return Party(self.name, self.role, f"{self.name}@{self.revision}")

    @cached_property
    def _pins_at(self) -> Mapping[tuple[str, str], Pin]:
        found: dict[tuple[str, str], Pin] = {}
        for pin in self.board.pins.values():
            for name in places_of(pin):
                found.setdefault((pin.device, name), pin)
        return found

    @cached_property
    def _pins_with(self) -> Mapping[tuple[str, str], tuple[Pin, ...]]:
        found: dict[tuple[str, str], list[Pin]] = {}
        for pin in self.board.pins.values():
            found.setdefault((pin.device, pin.signal.word), []).append(pin)
        return {key: tuple(pins) for key, pins in found.items()}

    @cached_property
    def carrying(self) -> Mapping[str, tuple[Contact | Pin, ...]]:
        """By folded signal name its contacts, then its pins."""
        found: dict[str, list[Contact | Pin]] = {}
        contacts = self.board.contacts
        both: tuple[Contact | Pin, ...] = (*contacts, *self.board.pins.values())
        for record in both:
            if record.signal:
                found.setdefault(record.signal.word, []).append(record)
        return {word: tuple(records) for word, records in found.items()}

    def pin_at(self, device: str, stated: Reading) -> Pin | None:
        """The pin of a controller with this number or port."""
        return self._pins_at.get((device, fold(stated.raw))) if stated else None

    def pins_with(self, device: str, word: str) -> tuple[Pin, ...]:
        """The pins of a controller that carry a signal, by its folded name."""
        return self._pins_with.get((device, word), ())

    def was(self, word: str) -> str:
        """The name that a signal had in the arrangement that worked."""
        return self.before.get(word, word)

    def end(self, connector: str) -> str:
        """The name that a connector had in the arrangement that worked; one that took another's name is a new one."""
        taken = connector in self.connectors.values() and connector not in self.connectors
        return f"new {connector}" if taken else self.connectors.get(connector, connector)


class Current(Struct, frozen=True):
    """A, as stated; and as trusted: a change can't make its own loads smaller, or its own feeds larger."""

    stated: Decimal | None
    trusted: Decimal | None


class Program(Struct, frozen=True):
    """A firmware release on a controller of a member.

    ``names``: folded names of the contract to those of the board. ``stands_in``: no contract lists its needs; the pin
    map of the revision it ships with does. ``kept``: both of two revisions ship it.
    """

    contract: Contract
    member: str
    device: str
    role: Role = ""
    names: Names = {}
    stands_in: bool = False
    kept: bool = False

    @property
    def party(self) -> Party:
        """As findings name it."""
        named = self.contract.title
        if self.stands_in and not self.contract.version:
            named = f"firmware for {self.member}.{self.device}"  # the label alone holds the revision
        return Party(named, self.role, self.contract.title, firmware=True)


class Mating(Struct, frozen=True):
    """Two connectors that mate. ``agreed``: both revisions say alike, or the drawings show, how the contacts meet."""

    a: Member
    b: Member
    one: Connector
    two: Connector
    meeting: Meeting
    agreed: bool

    @property
    def name(self) -> str:
        """``base.J1–valves.J1``."""
        return f"{self.a.name}.{self.one.name}–{self.b.name}.{self.two.name}"

    @property
    def key(self) -> tuple[str, ...]:
        """The same in every arrangement."""
        return self.a.name, self.a.end(self.one.name), self.b.name, self.b.end(self.two.name)

    def contacts(self) -> Iterator[tuple[Contact | None, Contact | None]]:
        """The contacts that meet; None where one side has no contact there."""
        return self.meeting.contacts()


@dataclass(frozen=True)
class Arrangement:
    """``taught``: ends that belong together though their names differ, in the names of this arrangement.

    ``based``: the pairs of ends are those of an arrangement that worked: what did not meet there is strange here.
    ``doubted``: ends of which nobody can tell: the name of one has changed, and nothing proves that to be a rename.
    ``trusted``: the design that limits and allowances come from; else each member's own, the strictest of all.
    ``shared``: what arrangements with the same trusted design, whose members and programs are the same objects, have
    worked out already.
    """

    members: tuple[Member, ...]
    programs: tuple[Program, ...] = ()
    taught: Belonging = frozenset()
    based: bool = False
    doubted: Belonging = frozenset()
    trusted: Design | None = None
    shared: dict[object, Any] = field(default_factory=dict, compare=False, repr=False)

    @staticmethod
    def of(members: Iterable[Member], programs: Iterable[Program] = (), **more: object) -> Arrangement:
        """In one order, whatever the order of naming."""
        listed = sorted(members, key=lambda item: natural_key(item.name))
        if len({item.name for item in listed}) < len(listed):
            counts: dict[str, int] = {}
            for index, item in enumerate(listed):
                counts[item.name] = counts.get(item.name, 0) + 1
                if counts[item.name] > 1:
                    listed[index] = replace(item, place=f"{item.name} ({counts[item.name]})")
        running = sorted(programs, key=lambda item: natural_key(item.contract.title))
        return Arrangement(tuple(listed), tuple(running), **more)  # type: ignore[arg-type]

    @property
    def title(self) -> str:
        """``base@rev-c + valves@rev-b``."""
        return " + ".join(item.party.label for item in self.members)

    @cached_property
    def policy(self) -> Policy:
        """The limits, from the trusted design; without one, the strictest of all members."""
        if self.trusted is not None:
            return self.trusted.sections.policy
        stated = [item.design.sections.policy for item in self.members]
        return Policy(
            placement_tolerance=min(item.placement_tolerance for item in stated),
            height_tolerance=min(item.height_tolerance for item in stated),
            contact_derating=max(item.contact_derating for item in stated),
            noise_margin=max(item.noise_margin for item in stated),
            allow=frozenset.intersection(*(item.allow for item in stated)),
        )

    @cached_property
    def _joints(self) -> tuple[tuple[tuple[Mating, ...], tuple[OpenJoint, ...]], ...]:
        count = len(self.members)
        pairs = ((self.members[i], self.members[j]) for i in range(count) for j in range(i + 1, count))
        return tuple(self.once("joints", partial(self._between, a, b), a, b) for a, b in pairs)

    def once(self, what: object, make: Callable[[], T], *of: object) -> T:
        """What follows from these objects alone, worked out once for all arrangements that share."""
        key = (what, *map(id, of))
        if key not in self.shared:
            self.shared[key] = make(), of  # an id is one object's only as long as that is kept
        found: T = self.shared[key][0]
        return found

    @property
    def matings(self) -> tuple[Mating, ...]:
        """Every two connectors that mate."""
        return tuple(item for found, _ in self._joints for item in found)

    @property
    def open_joints(self) -> tuple[OpenJoint, ...]:
        """The joints that only one side has."""
        return tuple(item for _, found in self._joints for item in found)

    @cached_property
    def loose(self) -> frozenset[tuple[str, str]]:
        """(member, connector) of the joints whose other board is not in the arrangement."""
        there = {item.board.name for item in self.members}
        found = set()
        for item in self.members:
            for joint in item.design.joints:
                ends = joint.ends
                for (board, connector), (other, _) in (ends, ends[::-1]):
                    if board == item.board.name and other not in there:
                        found.add((item.name, connector))
        return frozenset(found)

    def _between(self, a: Member, b: Member) -> tuple[tuple[Mating, ...], tuple[OpenJoint, ...]]:
        layers = _layer(a), _layer(b)
        joints, unmet = joints_between(*layers)
        again = {
            (item.connector_b, item.connector_a): item.contacts for item in joints_between(layers[1], layers[0])[0]
        }
        ends = [
            (a.board.connectors[item.connector_a], b.board.connectors[item.connector_b], item)
            for item in joints
            if item.connector_a in a.board.connectors and item.connector_b in b.board.connectors
        ]
        lie = place([(one, two) for one, two, _ in ends])
        found = []
        for one, two, joint in ends:
            meeting = Meeting(joint, one, two, lie)
            back = again.get((one.name, two.name), joint.contacts)
            turned_back = tuple((y, x) for x, y in back) if isinstance(back, tuple) else back
            by_table = dict(meeting.pairs)
            other = replace(meeting, joint=dataclasses.replace(joint, contacts=turned_back))
            found.append(Mating(a, b, one, two, meeting, dict(other.pairs) == by_table))
        return tuple(found), unmet

    @cached_property
    def connected(self) -> bool:
        """Whether joints hold all boards together."""
        reached = {self.members[0].name} if self.members else set()
        for _ in self.members:
            for item in self.matings:
                if {item.a.name, item.b.name} & reached:
                    reached |= {item.a.name, item.b.name}
        return len(reached) == len(self.members)

    @cached_property
    def _known(self) -> dict[tuple[str, str], frozenset[tuple[str, str]]]:
        return {}

    def known(self, a: Member, b: Member) -> frozenset[tuple[str, str]]:
        """(signal of a, signal of b) that belong together whatever their names."""
        key = (a.name, b.name)
        if key not in self._known:
            names = (a.board.name, b.board.name)
            self._known[key] = (
                belonging(a.design, b.design, *names, self.taught)
                if not self.based
                else frozenset((x[1], y[1]) for x, y in self.taught if (x[0], y[0]) == names)
            )
        return self._known[key]

    @cached_property
    def _used(self) -> dict[tuple[str, int], list[tuple[Program, str]]]:
        """Who uses what, by member and id of the pin: that of the stated number or port, else all with the signal."""
        found: dict[tuple[str, int], list[tuple[Program, str]]] = {}
        members = {item.name: item for item in self.members}
        for program in self.programs:
            member = members[program.member]
            for key, need in program.contract.needs.items():
                stated = member.pin_at(program.device, need.pin)
                carrying = member.pins_with(program.device, program.names.get(key, key))
                for pin in ((stated,) if stated is not None else ()) if need.pin else carrying:
                    found.setdefault((member.name, id(pin)), []).append((program, key))
        return found

    def needs(self, member: Member, pin: Pin) -> Iterable[tuple[Program, str]]:
        """The programs that use a pin of a member; and the need."""
        return self._used.get((member.name, id(pin)), ())

    def controller(self, member: Member, device: str) -> Controller:
        """What is stated of a controller. A change doesn't raise its own limits: the trusted design's word counts."""
        board = member.board.name
        if self.trusted is not None and any(pin.device == device for pin in self._trusted_pins(board)):
            return self.trusted.sections.controller(board, device)
        return member.design.sections.controller(board, device)

    def current(self, member: Member, which: Literal["feeds", "loads"], words: Iterable[str]) -> Current:
        """A that a member gives to a rail or takes from one, as its manifest states it, in any of the rail's names."""
        own = _amps(member.board, which, words)
        base = self.trusted.boards.get(member.board.name) if self.trusted is not None else None
        known = _amps(base, which, [member.was(word) for word in words]) if base is not None else None
        if member.role != "new" or known is None:
            return Current(own, own)
        if own is None:
            return Current(known, known)
        return Current(own, max(own, known) if which == "loads" else min(own, known))

    def derived(self, member: Member) -> Iterator[tuple[Derived, Derived]]:
        """Each derived quantity of a member's board, as stated and with the limits that are trusted.

        A change can't widen its own limits, and what it no longer states goes on as the base has it.
        """
        name = member.board.name
        own = {key: item for key, item in member.design.sections.derived.items() if item.board == name}
        known = self.trusted.sections.derived if self.trusted is not None and member.role == "new" else {}
        for key, item in {**{key: one for key, one in known.items() if one.board == name}, **own}.items():
            base = known.get(key, item)
            yield item, replace(item, low=base.low, high=base.high, accept=base.accept)

    def _trusted_pins(self, board: str) -> Iterable[Pin]:
        found = self.trusted.boards.get(board) if self.trusted is not None else None
        return found.pins.values() if found is not None else ()


def _amps(board: Board, which: Literal["feeds", "loads"], words: Iterable[str]) -> Decimal | None:
    stated = board.sections.feeds if which == "feeds" else board.sections.loads
    return next((stated[word] for word in sorted(words) if word in stated), None)


def places_of(pin: Pin) -> frozenset[str]:
    """The folded names of a pin's place: its number, its port, its number with the device."""
    return frozenset({fold(pin.number), pin.port.word, fold(pin.name)} - {""})


def _layer(item: Member) -> Layer:
    return Layer(item.design, item.board, item.name, False)


def member(design: Design, board: str, revision: str, place: str = "") -> Member:
    """A board of a design as a member of an arrangement."""
    return Member(design, design.boards[board], revision, place=place)
