"""Nodes: what is connected over one or more boards, with all its ends."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property

from msgspec import Struct

from revdiff.design import Contact, Need, Pin
from revdiff.judge.arrangement import Arrangement, Mating, Member, Program
from revdiff.judge.belonging import Kin, kin
from revdiff.quantities.designator import natural_key


class Meet(Struct, frozen=True):
    """Two contacts that meet, both with a signal; ``kin``: whether the signals belong together."""

    mating: Mating
    a: Contact
    b: Contact
    kin: Kin


class Side(Struct, frozen=True, dict=True):
    """What one member has on a node: contacts, pins, and the needs of firmware that uses these pins."""

    member: Member
    contacts: tuple[Contact, ...]
    pins: tuple[Pin, ...]
    uses: tuple[tuple[Program, Need, Pin], ...]

    @property
    def records(self) -> tuple[Contact | Pin, ...]:
        """Its contacts, then its pins."""
        return (*self.contacts, *self.pins)

    @property
    def name(self) -> str:
        """Its first contact in a joint, else its first pin: ``base.J1.5``."""
        return f"{self.member.name}.{self.records[0].name}"

    @property
    def signal(self) -> str:
        """As the member names it."""
        return self.records[0].signal.raw

    @cached_property
    def words(self) -> frozenset[str]:
        """Its folded names."""
        return frozenset(item.signal.word for item in self.records)

    @cached_property
    def key(self) -> tuple[str, str]:
        """The same in every arrangement: the member, and the name that the signal had where things worked."""
        return self.member.name, min(self.member.was(word) for word in self.words)


class Node(Struct, frozen=True, dict=True):
    """What is connected. ``kin`` is the weakest bond of all its meetings.

    ``open``: the connectors by which it goes on to boards that are not in the arrangement.
    """

    sides: tuple[Side, ...]
    meets: tuple[Meet, ...]
    arrangement: Arrangement
    open: tuple[str, ...] = ()

    @cached_property
    def kin(self) -> Kin:
        """Whether all ends belong together."""
        found = {item.kin for item in self.meets}
        return "no" if "no" in found else "unknown" if "unknown" in found else "yes"

    @property
    def name(self) -> str:
        """As the first member names it."""
        return self.sides[0].signal

    @property
    def subject(self) -> str:
        """``base.J1.5–valves.J1.5``."""
        return "–".join(item.name for item in self.sides)


class Nodes:
    """All nodes of an arrangement, worked out once."""

    def __init__(self, arrangement: Arrangement) -> None:
        self.arrangement = arrangement
        self.meets = tuple(self._meets())
        self.all = tuple(sorted(self._nodes(), key=lambda item: natural_key(item.subject)))

    def _meets(self) -> Iterator[Meet]:
        for mating in self.arrangement.matings:
            for a, b in mating.contacts():
                if a is not None and b is not None and a.signal and b.signal:
                    yield Meet(mating, a, b, kin(self.arrangement, mating, a, b))

    def _nodes(self) -> Iterator[Node]:
        groups: dict[tuple[str, str], set[tuple[str, str]]] = {}
        joined: set[int] = set()
        for item in self.arrangement.members:
            groups |= {(item.name, word): {(item.name, word)} for word in item.carrying}
        by_end: dict[tuple[str, str], list[Meet]] = {}
        for meet in self.meets:
            one, two = (meet.mating.a.name, meet.a.signal.word), (meet.mating.b.name, meet.b.signal.word)
            by_end.setdefault(one, []).append(meet)
            joined |= {id(meet.a), id(meet.b)}
            if groups[one] is not groups[two]:
                groups[one] |= groups[two]
                groups.update(dict.fromkeys(groups[two], groups[one]))
        members = {item.name: item for item in self.arrangement.members}
        for group in {id(item): item for item in groups.values()}.values():
            sides = []
            loose: list[str] = []
            for name in sorted({name for name, _ in group}, key=natural_key):
                found = [item for key in sorted(group) if key[0] == name for item in members[name].carrying[key[1]]]
                connectors = {item.connector for item in found if isinstance(item, Contact)}
                loose += [f"{name}.{one}" for one in sorted(connectors) if (name, one) in self.arrangement.loose]
                sides.append(self._side(members[name], found, joined))
            meets = tuple(meet for key in sorted(group) for meet in by_end.get(key, ()))
            yield Node(tuple(sides), meets, self.arrangement, tuple(loose))

    def _side(self, member: Member, found: list[Contact | Pin], joined: set[int]) -> Side:
        contacts = [item for item in found if isinstance(item, Contact)]
        contacts.sort(key=lambda item: (id(item) not in joined, natural_key(item.name)))
        if any(id(item) in joined for item in contacts):
            contacts = [item for item in contacts if id(item) in joined]
        pins = tuple(sorted((item for item in found if isinstance(item, Pin)), key=lambda item: natural_key(item.name)))
        uses = tuple(
            (program, program.contract.needs[key], pin)
            for pin in pins
            for program, key in self.arrangement.needs(member, pin)
        )
        return Side(member, tuple(contacts), pins, uses)
