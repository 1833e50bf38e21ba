"""What a controller runs by and stands: its clock, and the voltages on its pins."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from functools import partial

from revdiff.design import Board, Contract
from revdiff.judge.arrangement import Member
from revdiff.judge.fact import Ask, Fact, unknown
from revdiff.judge.facts import Facts
from revdiff.judge.items import running
from revdiff.judge.rule import Item, Margin, Rule, holds
from revdiff.judge.side import SideFacts, show
from revdiff.quantities.designator import letters_of

# Slower crystals keep a calendar; they are no controller's main clock. Common practice, no source.
_SLOWEST = Decimal("1e6")
_LEAST = Decimal(1000)  # of a part that is named as a clock; below that a unit is missing
_ABSENT = "not fitted"


def _clocks(member: Member) -> tuple[tuple[str, str], ...]:
    return tuple(
        (member.board.name, ref)
        for ref, part in member.board.parts.items()
        if part.data.value.quantity and part.data.value.quantity.unit == "Hz"
    )


def _clocked(facts: Facts) -> Iterator[Item]:
    for item in running(facts):
        (member,) = item.members
        yield replace(item, touched=facts.arrangement.once("clocks", partial(_clocks, member), member))


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
        named = board.parts.get(declared)
        stated = named.data.value.quantity if named is not None else None
        if stated is not None and stated.unit == "Hz" and stated.magnitude >= _LEAST:
            return Fact(stated.magnitude)
        return unknown(f"a frequency as the value of {declared} in the parts list", essential=True)
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
        name="firmware-clock",
        title="The controller's clock is another one than firmware expects",
        audience="firmware",
        step="major",
        over=_clocked,
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
