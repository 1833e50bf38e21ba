"""What a release relies on beside pins: the clock, bus addresses, constants; and quantities that parts work out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from functools import partial

from revdiff.design import Board, Contract
from revdiff.design.derived import Derived, parts_of, show_value, work_out
from revdiff.judge.arrangement import Member
from revdiff.judge.fact import Ask, Fact, unknown
from revdiff.judge.facts import Facts
from revdiff.judge.rule import OWN_LIMIT, Item, Margin, Rule, holds, smaller
from revdiff.judge.rules.buses import buses
from revdiff.judge.side import SideFacts, show
from revdiff.quantities.designator import letters_of
from revdiff.quantities.dimension import read_in_unit
from revdiff.quantities.formula import FormulaFault
from revdiff.quantities.text import as_number
from revdiff.quantities.worst_case import Result

# Slower crystals keep a calendar; they are no controller's main clock. Common practice, no source.
_SLOWEST = Decimal("1e6")
_ABSENT = "not fitted"


def _programs(facts: Facts) -> Iterator[Item]:
    members = {item.name: item for item in facts.arrangement.members}
    for program in facts.arrangement.programs:
        member = members[program.member]
        key = (member.name, program.contract.key)
        subject = f"{member.name}.{program.device}"
        touched = facts.arrangement.once("clocks", partial(_clocks, member), member)
        yield Item(subject, key, (member,), (), (program, member), (program,), touched)


def _clocks(member: Member) -> tuple[tuple[str, str], ...]:
    return tuple(
        (member.board.name, ref)
        for ref, part in member.board.parts.items()
        if part.data.value.quantity and part.data.value.quantity.unit == "Hz"
    )


def _clock(ask: Ask, item: Item) -> Margin | None:
    program, member = item.what
    wanted = program.contract.clock.quantity
    if wanted is None or wanted.unit != "Hz":
        return None
    native = member.design.contracts.get(program.contract.key)
    declared = member.design.sections.controller(member.board.name, program.device).clock
    if declared and (part := member.board.parts.get(declared)) is not None and part.data.fitted.meaning is False:
        message = f"{program.contract.title} runs by {declared}, which is not fitted on {member.name}"
        return holds(False, message, f"{declared} {_ABSENT}", f"{declared} fitted")
    given = ask(_given(member, declared, program.device, wanted.magnitude, native))
    factor = given / wanted.magnitude
    message = (
        f"{program.contract.title} was built for {show(wanted.magnitude, 'Hz')}; {member.name} has "
        f"{show(given, 'Hz')}: every "
        f"time and baud rate is off by a factor of {float(factor):.4g}"
    )
    figures = f"{show(given, 'Hz')} / {show(wanted.magnitude, 'Hz')} = {float(factor):.4g}"
    return Margin(-abs(factor - 1), message, figures, show(wanted.magnitude, "Hz"))


def _given(member: Member, declared: str, device: str, wanted: Decimal, native: Contract | None) -> Fact[Decimal]:
    """The clock: of the part that the manifest names, else a crystal, of several the one that is wanted; else as the
    board's own release has it, unless a part is there that may be the clock and says otherwise or nothing.
    """
    board = member.board
    fitted, absent, silent = _crystals(board)
    if declared:
        if declared in fitted:
            return Fact(fitted[declared])
        return unknown(f"the value of {declared} in the parts list", essential=True)
    if wanted in fitted.values():
        return Fact(wanted)
    if len(fitted) == 1:
        return Fact(next(iter(fitted.values())))
    if not fitted and (doubtful := sorted((*silent, *(ref for ref, hertz in absent.items() if hertz == wanted)))):
        needs = f"clock in [controllers.{board.name}.{device}]: {', '.join(doubtful)} not fitted, or without a value"
        return unknown(needs, essential=True)
    own = native.clock.quantity if native is not None else None
    if own is not None and own.unit == "Hz":
        return Fact(own.magnitude)
    return unknown(f"clock in [controllers.{board.name}.{device}]")


def _crystals(board: Board) -> tuple[dict[str, Decimal], dict[str, Decimal], tuple[str, ...]]:
    """Crystals and oscillators that are fast enough for a main clock, designator to Hz: fitted, then not fitted.

    Last, fitted parts of class letter Y (IEEE 315-1975: crystal units) of which no frequency is stated.
    """
    fitted: dict[str, Decimal] = {}
    absent: dict[str, Decimal] = {}
    silent = []
    for ref, part in board.parts.items():
        value = part.data.value.quantity
        if value is not None and value.unit == "Hz":
            if value.magnitude >= _SLOWEST:
                (absent if part.data.fitted.meaning is False else fitted)[ref] = value.magnitude
        elif letters_of(ref) == "Y" and part.data.fitted.meaning is not False:
            silent.append(ref)
    return fitted, absent, tuple(silent)


def _addressed(facts: Facts) -> Iterator[Item]:
    members = {item.board.name: item for item in facts.arrangement.members}
    for item in _programs(facts):
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
    given = _ABSENT if part.missing_on(there.board) else part.address_on(there.board)
    if not given:
        ask(unknown(f"the address in [software.{name}]"))
    where = f"{there.name}.{part.part}"
    answers = f"is {given}" if given == _ABSENT else f"answers at {given}"
    message = f"{program.contract.title} looks for {name} at {wanted.raw}; {where} {answers}"
    return holds(as_number(given) == as_number(wanted.raw), message, f"{wanted.raw} → {given}")


def _answered(facts: Facts) -> Iterator[Item]:
    """The addresses that a release looks at and no section explains, with all at which the tables say somebody is."""
    answering = {device.address for bus in buses(facts) for device in bus.devices}
    stated = [
        (side.member, pin) for node in facts.nodes for side in node.sides for pin in side.side.pins if pin.address
    ]
    for item in _programs(facts) if answering else ():
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


def _derived(facts: Facts) -> Iterator[Item]:
    for member in facts.arrangement.members:
        boards = {item.board.name: item.board for item in facts.arrangement.members}
        for item, trusted in facts.arrangement.derived(member):
            touched = tuple((member.board.name, ref) for ref in item.formula.names)
            key, what = (member.name, item.name), (item, trusted, boards)
            yield Item(f"{member.name}: {item.name}", key, (member,), ((member, item),), what, (), touched)


def _result(ask: Ask, item: Derived, boards: dict[str, Board]) -> Result:
    try:
        return work_out(item, boards)
    except FormulaFault as fault:
        ask(unknown(f"derived.{item.name}: {fault}", essential=True))
        raise


def _limit(ask: Ask, given: Item) -> Margin | None:
    item, trusted, boards = given.what
    if (item.low, item.high, trusted.low, trusted.high) == (None,) * 4:
        return None
    found = _result(ask, item, boards)
    own, known = (_within(one, found, given.members[0].name) for one in (item, trusted))
    held = _stricter(own, known)
    if held is not None and held.value >= 0 and (exact := _without_tolerance(item, boards)):
        ask(unknown(f"the Tolerance of {', '.join(exact)} of {item.board}"))
    return held


def _without_tolerance(item: Derived, boards: dict[str, Board]) -> list[str]:
    """The parts that a worst case takes to be exact, since nothing says how far they are off."""
    parts = (boards[board].parts.get(ref) for board, ref in parts_of(item) if board in boards)
    return [part.ref for part in parts if part is not None and not part.data.tolerance]


def _stricter(own: Margin | None, trusted: Margin | None) -> Margin | None:
    """The own one, but where only the trusted one doesn't hold: then a person has to confirm the new limit."""
    if trusted is not None and trusted.value < 0 and (own is None or own.value >= 0):
        return replace(trusted, message=trusted.message + OWN_LIMIT, danger="doubt")
    return own


def _within(item: Derived, found: Result, where: str) -> Margin | None:
    if item.low is None and item.high is None:
        return None
    shown = partial(show_value, unit=item.unit)
    lefts = [found.low - item.low] if item.low is not None else []
    lefts += [item.high - found.high] if item.high is not None else []
    worst = f"{shown(found.low)} to {shown(found.high)}"
    limits = f"{shown(item.low) if item.low is not None else ''} to {shown(item.high) if item.high is not None else ''}"
    message = f"{item.name} of {where} is {shown(found.nominal)}, {worst} at worst"
    return Margin(min(lefts), message, f"{item.formula.text} = {shown(found.nominal)} ({worst})", limits.strip())


def _constants(facts: Facts) -> Iterator[Item]:
    for item in _programs(facts):
        program, member = item.what
        boards = {one.board.name: one.board for one in facts.arrangement.members}
        for derived, trusted in facts.arrangement.derived(member):
            fits = derived.firmware in ("", program.contract.key, program.contract.name)
            if derived.constant in program.contract.constants and fits:
                touched = tuple((member.board.name, ref) for ref in derived.formula.names)
                key = (*item.key, derived.name)
                yield Item(
                    f"{item.subject}: {derived.constant}",
                    key,
                    item.members,
                    ((member, derived),),
                    (program, derived, trusted, boards),
                    item.programs,
                    touched,
                )


def _constant(ask: Ask, given: Item) -> Margin | None:
    program, item, trusted, boards = given.what
    taken = read_in_unit(program.contract.constants[item.constant].raw, item.unit)
    if taken is None:
        ask(unknown(f"{item.constant} in {item.unit.text or 'plain figures'}"))
        return None
    found = _result(ask, item, boards)
    own, known = (_taken(one, found, taken, program.contract.title) for one in (item, trusted))
    return _stricter(own, known)


def _taken(item: Derived, found: Result, taken: Decimal, who: str) -> Margin:
    shown = partial(show_value, unit=item.unit)
    off = abs(taken / found.nominal - 1) if found.nominal else Decimal(1)
    if item.accept is not None:
        left = item.accept - off
    elif found.low == found.high:  # no tolerances are known: the constant's own figures decide
        exponent = taken.as_tuple().exponent
        left = Decimal(1).scaleb(exponent if isinstance(exponent, int) else 0) / 2 - abs(taken - found.nominal)
    else:
        left = min(taken - found.low, found.high - taken)
    message = f"{who} takes {item.constant} to be {shown(taken)}; the parts give {shown(found.nominal)}"
    limit = (
        f"within {float(item.accept * 100):.4g} %"
        if item.accept is not None
        else f"{shown(found.low)} to {shown(found.high)}"
    )
    return Margin(
        left, message, f"{item.formula.text} = {shown(found.nominal)}; off by {float(off * 100):.3g} %", limit
    )


def _pins(facts: Facts) -> Iterator[Item]:
    for node in facts.nodes:
        for side in node.sides:
            for pin in side.side.pins:
                if node.cls == "signal" and (pin.level.quantity is not None or pin.tolerant.meaning is False):
                    key = (side.member.name, pin.device, pin.number)
                    yield Item(
                        f"{side.member.name}.{pin.name}", key, (side.member,), ((side.member, pin),), (side, pin)
                    )


def _overstressed(ask: Ask, item: Item) -> Margin | None:
    side: SideFacts
    side, pin = item.what
    if pin.level.quantity is None:
        ask(unknown("the column Level of a pin that isn't 5 V tolerant", essential=True))
    volts = pin.level.quantity.magnitude
    given = side.node.node.arrangement.controller(side.member, pin.device)
    tolerant = pin.tolerant.meaning is True and not pin.direction.word.startswith("analog")
    stated = given.tolerant_limit if tolerant else given.input_limit
    if stated is None and pin.tolerant.meaning is None:
        if volts >= Decimal("4.5"):
            ask(unknown("a column 5V tolerant, or input_limit in [controllers.BOARD.DEVICE]"))
        return None
    limit = stated or Decimal("5.5" if tolerant else "4.5")
    source = given.source or "the design's manifest" if stated else "5V tolerant as the pin map states it"
    ask(Fact(limit, source=source))
    message = f"{pin.signal.raw} is at {show(volts, 'V')}; pin {pin.said} takes {show(limit, 'V')}"
    return Margin(
        limit - volts,
        message,
        f"{show(limit, 'V')} − {show(volts, 'V')} = {show(limit - volts, 'V')}",
        show(limit, "V"),
    )


RULES = (
    Rule(
        name="derived-constant",
        silent=True,
        title="Firmware has a constant that the parts of the board don't give",
        audience="firmware",
        step="major",
        over=_constants,
        margin=_constant,
        danger="break",
        needs=("[derived.NAME]",),
        why="A scale that belongs to the board's resistors makes every reading wrong by the same factor, in silence.",
        how="The formula over the part values against the constant of the release, within the share that is accepted, "
        "else within the worst case of the tolerances.",
        remedy="Build a release with the constant of this board.",
        witness="The current limit is off by a third since the sense resistor changed.",
        source="the formula of the design",
    ),
    Rule(
        name="derived-limit",
        silent=True,
        title="A derived quantity leaves its limits",
        audience="firmware",
        step="major",
        over=_derived,
        margin=_limit,
        danger="break",
        needs=("[derived.NAME]",),
        why="Something relies on the quantity: a supply, a divider into a converter, a filter.",
        how="The formula over all tolerances at their worst, against the stated limits.",
        remedy="Choose parts that keep it within its limits.",
        witness="The feedback divider gives 3.6 V in the place of 3.3 V.",
        source="the limits of the design",
    ),
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
        remedy="Change the address in a firmware release for this board, or let it look at both.",
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
        remedy="Change the address in a firmware release for this board, or let it look at both.",
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
    Rule(
        name="firmware-clock",
        title="The controller's clock is another one than firmware expects",
        audience="firmware",
        step="major",
        over=_programs,
        margin=_clock,
        danger="break",
        needs=("clock in [firmware.NAME]", "[controllers.BOARD.DEVICE]"),
        why="Every baud rate, time and frequency that the firmware makes is off by the same factor; USB stops.",
        how="The clock in the contract against the part that [controllers.BOARD.DEVICE] names, else the crystals "
        "of the board above 1 MHz.",
        remedy="Build a firmware release for the new clock.",
        witness="With 16 MHz in the place of 8 MHz the serial port talks at twice its speed.",
    ),
    Rule(
        name="firmware-pin-overstressed",
        about=("level",),
        title="A pin sees a higher voltage than it tolerates",
        audience="firmware",
        step="major",
        over=_pins,
        margin=_overstressed,
        danger="hazard",
        needs=("Level", "5V tolerant", "[controllers.BOARD.DEVICE]"),
        why="Above its limit a pin conducts into the supply or breaks down, whatever the firmware does.",
        how="The stated level of the signal against what the pin is stated to take: the controller's limits, else "
        "whether it is 5 V tolerant.",
        remedy="Divide or shift the level, or move the signal to a pin that tolerates it.",
        witness="A 5 V flow meter on a pin that isn't 5 V tolerant.",
        source="what the design states of the pin",
    ),
)
