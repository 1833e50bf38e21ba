"""What rules can look at: contacts that meet, nodes, two sides of one, a source and who gets it, needs of firmware."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from decimal import Decimal
from functools import partial
from itertools import permutations

from msgspec import Struct

from revdiff.judge.arrangement import Mating, Member
from revdiff.judge.facts import Facts, NodeFacts, Use
from revdiff.judge.nodes import Meet
from revdiff.judge.rule import Item
from revdiff.judge.side import SideFacts


class Reach(Struct, frozen=True):
    """A voltage that one side puts on a node (None where it isn't stated), and a side that it reaches."""

    source: SideFacts
    volts: Decimal | None
    how: str
    taker: SideFacts


SILENT = "may pull it up"


def _side_key(side: SideFacts) -> tuple[object, ...]:
    return side.side.key


def _of_sides(what: object, subject: str, *sides: SideFacts, driving: Iterable[SideFacts] = ()) -> Item:
    """``driving``: the sides whose output it is about, with the firmware that makes it."""
    return Item(
        subject,
        tuple(sorted(map(_side_key, sides))),
        tuple(side.member for side in sides),
        tuple((side.member, record) for side in sides for record in side.records),
        what,
        tuple(program for side in driving for program in side.driving),
    )


def meets(facts: Facts) -> Iterator[Item]:
    """Two contacts that meet, with their node."""
    for meet in facts.meets:
        node = facts.by_word[meet.mating.a.name, meet.a.signal.word]
        yield facts.arrangement.once(("meets", meet.kin), partial(_meet, meet, node), meet.a, meet.b, meet.mating, node)


def _meet(meet: Meet, node: NodeFacts) -> Item:
    a, b = meet.mating.a, meet.mating.b
    return Item(
        f"{a.name}.{meet.a.name}–{b.name}.{meet.b.name}",
        ((a.name, a.was(meet.a.signal.word)), (b.name, b.was(meet.b.signal.word))),
        (a, b),
        ((a, meet.a), (b, meet.b)),
        (meet, node),
    )


def alone(facts: Facts) -> Iterator[Item]:
    """A contact of a joint with a signal that meets an unused contact, or none."""
    for mating in facts.matings:
        yield from facts.arrangement.once("alone", partial(tuple, _alone(mating)), mating)


def _alone(mating: Mating) -> Iterator[Item]:
    for a, b in mating.contacts():
        for here, there, member, mate in ((a, b, mating.a, mating.b), (b, a, mating.b, mating.a)):
            if here is not None and here.signal and not (there is not None and there.signal):
                yield Item(
                    f"{member.name}.{here.name}",
                    (member.name, member.was(here.signal.word), mate.name),
                    (member, mate),
                    ((member, here), *(((mate, there),) if there is not None else ())),
                    (mating, member, mate, here),
                )


def mated(facts: Facts) -> Iterator[Item]:
    """Two connectors that mate."""
    for mating in facts.matings:
        yield facts.arrangement.once("mated", partial(_mated, mating), mating)


def _mated(mating: Mating) -> Item:
    ends = ((mating.a, mating.one), (mating.b, mating.two))
    return Item(mating.name, mating.key, (mating.a, mating.b), ends, mating)


def contacts(facts: Facts) -> Iterator[Item]:
    """Every contact of every board."""
    for member in facts.arrangement.members:
        yield from facts.arrangement.once("contacts", partial(tuple, _contacts(member)), member)


def _contacts(member: Member) -> Iterator[Item]:
    for connector in member.board.connectors.values():
        for contact in connector.contacts.values():
            key = (member.name, member.end(connector.name), contact.number)
            yield Item(f"{member.name}.{contact.name}", key, (member,), ((member, contact),), contact)


def _each(facts: Facts, of: Callable[[NodeFacts], Iterator[Item]]) -> Iterator[Item]:
    """Those of each node; the same objects wherever arrangements share the node."""
    for node in facts.nodes:
        if of not in node.items:
            node.items[of] = tuple(of(node))
        yield from node.items[of]


def nodes(facts: Facts) -> Iterator[Item]:
    """The nodes that carry a signal and whose ends belong together."""
    return _each(facts, _node)


def _node(node: NodeFacts) -> Iterator[Item]:
    if node.judged:
        yield _of_sides(node, node.subject, *node.sides)


def pairs(facts: Facts) -> Iterator[Item]:
    """Two sides of a node that carries a signal, belonging together or not."""
    return _each(facts, _pairs)


def _pairs(node: NodeFacts) -> Iterator[Item]:
    if node.cls == "signal":
        for one, two in node.pairs:
            both = (one, two) if one.drive.value == two.drive.value else ()
            yield _of_sides((node, one, two), f"{one.name}–{two.name}", one, two, driving=both)


def directed(facts: Facts) -> Iterator[Item]:
    """From a side that drives to one that reads."""
    return _each(facts, _directed)


def _directed(node: NodeFacts) -> Iterator[Item]:
    if node.judged and not node.analog:
        for one, two in permutations(node.sides, 2):
            if one.drive.value in ("push-pull", "releasing") and two.reads and two.drive.value != "push-pull":
                yield _of_sides((one, two), f"{one.name}–{two.name}", one, two, driving=(one,))


def reaches(facts: Facts) -> Iterator[Item]:
    """A voltage, and an input that gets it."""
    return _each(facts, _reaches)


def _reaches(node: NodeFacts) -> Iterator[Item]:
    if node.judged:
        sources = [*node.sources]
        if any(side.drive.value == "open drain" for side in node.sides):
            sources += [(side, None, SILENT) for side in node.silent]
        for source, volts, how in sources:
            for taker in node.sides:
                if taker.takes and (taker is not source or how != "drives"):
                    yield _of_sides(
                        Reach(source, volts, how, taker),
                        f"{source.name}–{taker.name}",
                        *dict.fromkeys((source, taker)),
                        driving=(source,) if how == "drives" else (),
                    )


def uses(facts: Facts) -> Iterator[Item]:
    """A need of a firmware release, with the node of the pin that it was built for."""
    for use in facts.uses:
        node = facts.by_word.get((use.member.name, use.built_for.signal.word)) if use.built_for is not None else None
        yield facts.arrangement.once(("uses", use.key), partial(_use, use, node), use.member, use.program, node)


def _use(use: Use, node: NodeFacts | None) -> Item:
    need = use.program.contract.needs[use.key]
    pins = {pin.name: pin for pin in (*use.carrying, use.built_for) if pin is not None}
    return Item(
        f"{use.member.name}.{use.program.device}: {need.signal.raw}",
        (use.member.name, use.program.contract.key, use.member.was(use.program.names.get(use.key, use.key))),
        (use.member,),
        tuple((use.member, pin) for pin in pins.values()),
        (use, node),
        (use.program,),
        ((use.member.board.name, need.signal.raw),),
    )


def held(facts: Facts) -> Iterator[Item]:
    """A load on a controller of which a release is given, and the need that drives it, if any."""
    for program in facts.arrangement.programs:
        for node in facts.nodes:
            if node.load is None or node.cls != "signal":
                continue
            for side in node.sides:
                if side.member.name != program.member:
                    continue
                if any(
                    pin.device == program.device and pin.direction.word in ("out", "open drain", "bidirectional")
                    for pin in side.side.pins
                ):
                    drives = any(
                        running is program and need.direction.word in ("out", "bidirectional", "open drain")
                        for running, need, _ in side.side.uses
                    )
                    item = _of_sides((node, drives, program), node.subject, *node.sides)
                    key = (*item.key, program.contract.key)
                    yield Item(item.subject, key, item.members, item.records, item.what, (program,))


def running(facts: Facts) -> Iterator[Item]:
    """Each release with the member that it runs on: ``what`` is (program, member)."""
    members = {item.name: item for item in facts.arrangement.members}
    for program in facts.arrangement.programs:
        member = members[program.member]
        key, subject = (member.name, program.contract.key), f"{member.name}.{program.device}"
        yield Item(subject, key, (member,), (), (program, member), (program,))
