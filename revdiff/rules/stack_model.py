"""Boards on boards: what mates in one stack, and the nets that run through it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from revdiff.design import Connector, Contact, Design, Pin
from revdiff.design.sections import Policy
from revdiff.quantities.designator import natural_key
from revdiff.rules.contacts import class_of
from revdiff.rules.finding import Party
from revdiff.rules.meetings import Meeting, Side
from revdiff.rules.stack_columns import column
from revdiff.rules.stack_joints import Layer, OpenJoint, joints_between
from revdiff.rules.stack_names import belonging
from revdiff.rules.stack_placement import Placement, place, turned

Taught = frozenset[tuple[tuple[str, str], tuple[str, str]]]


@dataclass(frozen=True)
class Station:
    """What one board has on a net: its contacts in joints of the stack, and pins of its controllers."""

    layer: Layer
    contacts: tuple[Contact, ...]
    pins: tuple[Pin, ...]

    @cached_property
    def directions(self) -> frozenset[str]:
        """Of its contacts; of its pins where no contact states one."""
        stated = frozenset(item.direction.word for item in self.contacts if item.direction)
        return stated or frozenset(item.direction.word for item in self.pins if item.direction)

    @cached_property
    def passes(self) -> bool:
        """Whether the signal comes in on one connector and goes on at another."""
        return {"in", "out"} <= self.directions

    @cached_property
    def drives(self) -> bool:
        """Whether the board drives the net with an output that is never off."""
        if any(_released(item) for item in self.contacts):
            return False
        if self.passes:
            return any(item.direction.word == "out" for item in self.pins)
        return "out" in self.directions

    @cached_property
    def receives(self) -> bool:
        """Whether something on the board reads the net."""
        if self.passes:
            return any(item.direction.word == "in" for item in self.pins)
        return "in" in self.directions

    @property
    def records(self) -> tuple[Contact | Pin, ...]:
        """Its contacts, then its pins."""
        return (*self.contacts, *self.pins)

    @property
    def name(self) -> str:
        """The first contact of the board on the net: ``base.J1.5``."""
        return f"{self.layer.board.name}.{self.contacts[0].name}"

    @property
    def signal(self) -> str:
        """As the board names it."""
        return self.contacts[0].signal.raw

    @property
    def words(self) -> frozenset[str]:
        """The folded names that the board has for the net."""
        return frozenset(item.signal.word for item in self.contacts)


def _released(contact: Contact) -> bool:
    return "".join(filter(str.isalpha, column(contact, "drive").lower())) in ("tristate", "highimpedance", "opendrain")


@dataclass(frozen=True)
class Net:
    """What is connected over at least two boards."""

    stations: tuple[Station, ...]

    @property
    def name(self) -> str:
        """As the first board names it."""
        return self.stations[0].signal

    @property
    def subject(self) -> str:
        """``base.J1.5–valves.J1.5``: one contact of each board."""
        return "–".join(item.name for item in self.stations)

    def records(self) -> Iterator[Contact | Pin]:
        """All contacts and pins of the net."""
        return (record for station in self.stations for record in station.records)

    def contacts(self) -> Iterator[Contact]:
        """All contacts of the net."""
        return (contact for station in self.stations for contact in station.contacts)

    def pins(self) -> Iterator[Pin]:
        """All pins of the net."""
        return (pin for station in self.stations for pin in station.pins)


@dataclass(frozen=True)
class Stack:
    """Boards stacked on each other. ``fresh``: judged on its own; else one of the pairings of two revisions.

    ``taught``: pairs of ((board, folded signal), (board, folded signal)) that belong together, from pairings declared
    good at other revisions. ``trusted``: the design that the policy comes from, else that of the first board.
    """

    layers: tuple[Layer, ...]
    taught: Taught = frozenset()
    fresh: bool = True
    trusted: Design | None = None

    @property
    def pairing(self) -> str:
        """``base@rev-c + radio@rev-b``."""
        return self.label(self.layers)

    def label(self, layers: Iterable[Layer]) -> str:
        """The pairing of some of the layers, in the order of the stack; of all where it is fewer than two."""
        return " + ".join(party.label for party in self.parties(layers))

    def parties(self, layers: Iterable[Layer]) -> tuple[Party, ...]:
        """Some of the layers, in the order of the stack; all where it is fewer than two."""
        names = {item.label for item in layers}
        chosen = [item for item in self.layers if item.label in names]
        shown = chosen if len(chosen) > 1 else self.layers
        return tuple(Party(item.board.name, item.role, item.label) for item in shown)

    @cached_property
    def policy(self) -> Policy:
        """The limits of the trusted design."""
        return (self.trusted if self.trusted is not None else self.layers[0].design).sections.policy

    @cached_property
    def pairs(self) -> tuple[tuple[Layer, Layer], ...]:
        """Every two boards that a joint connects."""
        count = len(self.layers)
        both = ((self.layers[i], self.layers[j]) for i in range(count) for j in range(i + 1, count))
        return tuple((a, b) for a, b in both if joints_between(a, b)[0] or joints_between(a, b)[1])

    @cached_property
    def placements(self) -> dict[tuple[str, str], Placement | None]:
        """Per pair of boards, by their labels, how one lies on the other."""
        found = {}
        for a, b in self.pairs:
            ends = ((_end(a, joint.connector_a), _end(b, joint.connector_b)) for joint in joints_between(a, b)[0])
            found[a.label, b.label] = place([(one, two) for one, two in ends if one is not None and two is not None])
        return found

    @cached_property
    def meetings(self) -> tuple[Meeting, ...]:
        """Every two connectors that mate."""
        return tuple(meeting for a, b in self.pairs for meeting in self._meetings(a, b))

    @cached_property
    def open_joints(self) -> tuple[OpenJoint, ...]:
        """The joints that only one side has."""
        return tuple(item for a, b in self.pairs for item in joints_between(a, b)[1])

    def _meetings(self, a: Layer, b: Layer) -> Iterator[Meeting]:
        for joint in joints_between(a, b)[0]:
            one, two = _end(a, joint.connector_a), _end(b, joint.connector_b)
            if one is None or two is None:
                continue
            half = turned(one, two, self.placements[a.label, b.label]) or False
            sides = Side(a.board, one, a.label, a.new, a.role), Side(b.board, two, b.label, b.new, b.role)
            meeting = Meeting(joint, *sides, frozenset(), False, half, self.fresh)
            strangers = [pair for pair in meeting.met() if pair[0].signal.word != pair[1].signal.word]
            if strangers:
                meeting = replace(meeting, known=belonging(a.design, b.design, a.board.name, b.board.name, self.taught))
            yield meeting

    @cached_property
    def connected(self) -> bool:
        """Whether joints hold all boards together."""
        reached = {self.layers[0].label}
        for _ in self.layers:
            for a, b in self.pairs:
                if {a.label, b.label} & reached:
                    reached |= {a.label, b.label}
        return len(reached) == len(self.layers)

    @cached_property
    def nets(self) -> tuple[Net, ...]:
        """The nets over at least two boards, in natural order of their names."""
        found = [Net(tuple(self._stations(group))) for group in self._groups()]
        return tuple(sorted((net for net in found if len(net.stations) > 1), key=lambda net: natural_key(net.subject)))

    @cached_property
    def signals(self) -> tuple[Net, ...]:
        """The nets that carry nothing but signals."""
        return tuple(net for net in self.nets if all(class_of(contact) == "signal" for contact in net.contacts()))

    def _groups(self) -> list[set[tuple[str, str]]]:
        """Sets of (label, folded signal) that are connected."""
        groups: dict[tuple[str, str], set[tuple[str, str]]] = {}
        for meeting in self.meetings:
            for a, b in meeting.met():
                one, two = (meeting.a.label, a.signal.word), (meeting.b.label, b.signal.word)
                first, second = groups.setdefault(one, {one}), groups.setdefault(two, {two})
                if first is not second:
                    first |= second
                    groups.update(dict.fromkeys(second, first))
        return list({id(group): group for group in groups.values()}.values())

    def _stations(self, group: set[tuple[str, str]]) -> Iterator[Station]:
        for layer in self.layers:
            words = {word for label, word in group if label == layer.label}
            contacts = [item for word in sorted(words) for item in self._joined.get((layer.label, word), ())]
            if contacts:
                pins = (pin for pin in layer.board.pins.values() if pin.signal.word in words)
                yield Station(layer, tuple(sorted(contacts, key=lambda item: natural_key(item.name))), tuple(pins))

    @cached_property
    def _joined(self) -> dict[tuple[str, str], list[Contact]]:
        """The contacts that meet another used one, by (label, folded signal)."""
        found: dict[tuple[str, str], list[Contact]] = {}
        for meeting in self.meetings:
            for a, b in meeting.met():
                found.setdefault((meeting.a.label, a.signal.word), []).append(a)
                found.setdefault((meeting.b.label, b.signal.word), []).append(b)
        return found


def _end(layer: Layer, connector: str) -> Connector | None:
    return layer.board.connectors.get(connector)
