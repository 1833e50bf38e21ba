"""Who answers at the bus addresses that a release looks at."""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.design import Contract
from revdiff.judge.fact import Ask, unknown
from revdiff.judge.facts import Facts
from revdiff.judge.items import running
from revdiff.judge.rule import Item, Margin, Rule, holds, smaller
from revdiff.judge.rules.buses import buses
from revdiff.quantities.text import as_number

_ABSENT = "not fitted"


def _addressed(facts: Facts) -> Iterator[Item]:
    members = {item.board.name: item for item in facts.arrangement.members}
    for item in running(facts):
        program, member = item.what
        for name, wanted in program.contract.addresses.items():
            part = member.design.sections.software.get(name)
            native = member.design.contracts.get(program.contract.key)
            if part is None and native is not None and name in native.addresses:
                what = (program, member, native, wanted)
                own = ((member.board.name, program.contract.key),)
                subject = f"{item.subject}: {name}"
                yield Item(subject, (*item.key, name), item.members, (), what, item.programs, own)
            if part is not None and part.board in members:
                there = members[part.board]
                touched = tuple((part.board, ref) for ref in (part.part, *part.straps))
                key = (*item.key, name)
                yield Item(
                    f"{item.subject}: {name}",
                    key,
                    item.members,
                    (),
                    (program, there, part, wanted),
                    item.programs,
                    touched,
                )


def _address(ask: Ask, item: Item) -> Margin | None:
    program, there, part, wanted = item.what
    name = item.subject.rpartition(": ")[2]
    if isinstance(part, Contract):
        given = part.addresses[name].raw
        message = (
            f"{program.contract.title} looks for {name} at {wanted.raw}; {part.title}, the release for {there.name}, "
            f"finds it at {given}"
        )
        return holds(as_number(given) == as_number(wanted.raw), message, f"{wanted.raw} → {given}")
    given = (
        _ABSENT
        if part.missing_on(there.board)
        else part.address_on(there.board, there.design.sections.packing_suffixes)
    )
    if not given:
        number = there.board.parts[part.part].data.part_number.raw if part.part in there.board.parts else ""
        ways = f"in by_strap one for {', '.join(part.straps)} as they are fitted" if part.straps else ""
        ways = ways or (f"in by_part_number an ending of {number or 'its part number'}" if part.by_part_number else "")
        ask(unknown(f"an address in [software.{name}]{f': {ways}' if ways else ''}", essential=bool(ways)))
    where = f"{there.name}.{part.part}"
    known = not there.board.parts or part.part in there.board.parts
    answers = (f"is {given}" if known else "is in no parts list") if given == _ABSENT else f"answers at {given}"
    message = f"{program.contract.title} looks for {name} at {wanted.raw}; {where} {answers}"
    return holds(as_number(given) == as_number(wanted.raw), message, f"{wanted.raw} → {given}")


def _answered(facts: Facts) -> Iterator[Item]:
    """The addresses that a release looks at and no section explains, with all at which the tables say somebody is."""
    answering = {device.address for bus in buses(facts) for device in bus.devices}
    stated = [
        (side.member, pin) for node in facts.nodes for side in node.sides for pin in side.side.pins if pin.address
    ]
    for item in running(facts) if answering else ():
        program, member = item.what
        for name, wanted in program.contract.addresses.items():
            if name not in member.design.sections.software:
                what = (program, name, wanted, answering)
                subject, key = f"{item.subject}: {name}", (*item.key, name)
                yield Item(subject, key, item.members, tuple(stated), what, item.programs)


def _answered_anywhere(facts: Facts) -> Iterator[Item]:
    """The same, where every board is there that may answer, and one of them lists who does."""
    stated = (bus for item in facts.arrangement.members for bus in item.board.sections.buses.values())
    if not facts.arrangement.loose and any(bus.addresses for bus in stated):
        yield from _answered(facts)


def _unlisted(_ask: Ask, item: Item) -> Margin | None:
    program, name, wanted, answering = item.what
    there = ", ".join(f"0x{address:02X}" for address in sorted(answering))
    message = f"{program.contract.title} looks for {name} at {wanted.raw}, and no table says who answers there"
    return holds(as_number(wanted.raw) in answering, message, f"{wanted.raw} is none of {there}")


def _unanswered(_ask: Ask, item: Item) -> Margin | None:
    program, name, wanted, answering = item.what
    there = ", ".join(f"0x{address:02X}" for address in sorted(answering))
    message = f"{program.contract.title} looks for {name} at {wanted.raw}, where something was and nothing is any more"
    return holds(as_number(wanted.raw) in answering, message, f"{wanted.raw} is none of {there}")


RULES = (
    Rule(
        name="firmware-address",
        title="A part answers at another bus address than firmware expects",
        audience="firmware",
        step="major",
        over=_addressed,
        margin=_address,
        danger="break",
        needs=("[software.NAME]",),
        why="The firmware finds nobody at the address, or somebody else.",
        how="The addresses in the contract against [software.NAME]: an address, one for each end of a part number, or "
        "one for each strap code; without such a section against the board's own release.",
        remedy="Change the address in a release for this board, or let it look at both.",
        witness="The climate sensor is the variant with address 0x45; the old release reports it missing.",
    ),
    Rule(
        name="firmware-address-unanswered",
        title="Nothing answers any more at a bus address that firmware looks at",
        audience="firmware",
        step="major",
        over=_answered,
        margin=_unanswered,
        danger="break",
        worse=smaller,
        needs=("Address of the pins, or boards.NAME.buses.BUS", "addresses in [firmware.NAME]"),
        why="The firmware finds nobody at the address, or somebody else.",
        how="The addresses in the contract that no [software.NAME] explains, against all that the tables state for the "
        "boards in the stack: told where one was answered before and isn't any more.",
        remedy="Change the address in a release for this board, or let it look at both.",
        witness="The strap of the expander moved: it answers at 0x21, and the old release switches no valve.",
    ),
    Rule(
        name="firmware-address-unlisted",
        title="No table says who answers at a bus address that firmware looks at",
        audience="firmware",
        step="major",
        over=_answered_anywhere,
        margin=_unlisted,
        danger="doubt",
        needs=("boards.NAME.buses.BUS with addresses", "addresses in [firmware.NAME]"),
        why="The firmware may find nobody there; a list that has others and not this one can't tell.",
        how="The addresses in the contract that no [software.NAME] explains, against all that the tables state, where "
        "boards.NAME.buses lists addresses and no board of a joint is missing.",
        remedy="List the address where the part is, or correct the contract.",
        witness="The contract has 0x44, the boards list 0x45.",
    ),
)
