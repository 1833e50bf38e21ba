"""Two signals that a controller can serve only one of: an interrupt line, a timer channel, an analog channel."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import partial
from itertools import combinations

from revdiff.design import Need, Pin
from revdiff.judge.fact import Ask
from revdiff.judge.facts import Facts, Use
from revdiff.judge.rule import PRACTICE, Danger, Item, Margin, Rule, holds
from revdiff.quantities.pattern import pattern
from revdiff.quantities.quantity import read_quantity, show
from revdiff.quantities.text import fold

_LINE = pattern(r"(?:exti|irq|int|line)?[ _-]?([0-9]{1,2})")
_ANY_LINE = frozenset({"yes", "y", "x", "exti", "irq", "int"})
_PORT = pattern(r"p[a-z][_.]?([0-9]{1,2})")
_TIMER = pattern(r"(tim|tc|tcc|timer|pwm|ftm|tpm)_?([0-9a-z]+)[_.]?(?:ch|cc|wo|c)_?([0-9a-d]+)(n?)")
_FREQUENCY = pattern(r"(?<![0-9.])([0-9.]{1,20} ?[kM]?Hz)", re.IGNORECASE)


def interrupt_line(pin: Pin) -> str:
    """The interrupt line of a pin: as stated, or for a plain yes the number of its port (STM32: line n is pin n)."""
    word = pin.interrupt.word
    if word in _ANY_LINE:
        port = _PORT.fullmatch(pin.port.word)
        return port[1] if port else ""
    found = _LINE.fullmatch(word)
    return found[1] if found else word


def timer_channel(pin: Pin) -> tuple[str, str, str]:
    """(timer, channel, the mark of a complementary output) of a pin's function; empty texts where it is none."""
    found = _TIMER.fullmatch(pin.function.word)
    return (f"{found[1]}{found[2]}".upper(), found[3], found[4]) if found else ("", "", "")


def _channel(pin: Pin) -> str:
    timer, channel, _ = timer_channel(pin)
    return f"{timer} channel {channel}" if timer else ""


def _sharing(of: Callable[[Pin], str], facts: Facts) -> Iterator[Item]:
    """Every resource that a release uses: each two signals on it, or the one that has it for itself."""
    found: dict[tuple[int, str], list[Use]] = {}
    for use in facts.uses:
        if use.carrying and (resource := of(use.carrying[0])):
            found.setdefault((id(use.program), resource), []).append(use)
    for (_, resource), users in found.items():
        pins = {use.carrying[0].name: use for use in users}
        first = users[0]
        where = (first.member.name, first.program.contract.key)
        if len(pins) == 1:
            yield _item((*where, resource), resource, first)
        for one, two in combinations(pins.values(), 2):
            names = sorted(use.member.was(use.carrying[0].signal.word) for use in (one, two))
            yield _item((*where, *names), resource, one, two)


def _item(key: tuple[object, ...], resource: str, *users: Use) -> Item:
    needs = [use.program.contract.needs[use.key] for use in users]
    member, program = users[0].member, users[0].program
    return Item(
        f"{member.name}.{program.device}: {', '.join(need.signal.raw for need in needs)}",
        key,
        (member,),
        tuple((member, use.carrying[0]) for use in users),
        (resource, tuple(zip(needs, (use.carrying[0] for use in users), strict=True))),
        (program,),
    )


def _alone(what: str, effect: str, _ask: Ask, item: Item) -> Margin | None:
    resource, users = item.what
    name = f"{what} {resource.upper()}".strip()
    if len(users) == 1:
        return holds(True, "", f"{name}: {users[0][1].said}")
    (_, one), (_, two) = users
    mirrored = timer_channel(one)[2] != timer_channel(two)[2]
    more = "; one is the mirror of the other" if mirrored and not what else ""
    message = (
        f"{one.signal.raw} on pin {one.said} and {two.signal.raw} on pin {two.said} both use {name}{more}: {effect}"
    )
    return holds(False, message, f"{name}: {one.said} and {two.said}")


def _one_counter(_ask: Ask, item: Item) -> Margin | None:
    """One timer has one counter: capturing and switching on it, or two frequencies, don't go together."""
    timer, users = item.what
    if len(users) == 1:
        return holds(True, "", f"{timer}: {users[0][1].said}")
    (_, one), (_, two) = users
    if timer_channel(one)[1] == timer_channel(two)[1]:
        return None  # that is told of the channel
    ways = {_way(pin) for _, pin in users}
    speeds = [_frequency(need) for need, _ in users]
    fast = all(speeds) and speeds[0] != speeds[1]
    more = "one as input and one as output" if len(ways) == 2 else f"one at {speeds[0]} and one at {speeds[1]}"
    message = (
        f"{one.signal.raw} on pin {one.said} and {two.signal.raw} on pin {two.said} both use {timer}, {more}: "
        "whichever is set up last decides how the timer counts, for both"
    )
    return holds(len(ways) == 1 and not fast, message, f"{timer}: {one.said} and {two.said}")


def _way(pin: Pin) -> str:
    return "in" if pin.direction.word == "in" else "out"


def _frequency(need: Need) -> str:
    found = _FREQUENCY.search(need.note.raw)
    value = need.frequency.quantity or (read_quantity(found[1]) if found else None)
    return show(value) if value is not None and value.unit == "Hz" else ""


def _rule(name: str, title: str, of: Callable[[Pin], str], **texts: str) -> Rule:
    margin = _one_counter if name == "firmware-timer-shared" else partial(_alone, texts["what"], texts["effect"])
    danger: Danger = "caution" if name == "firmware-timer-shared" else "break"
    return Rule(
        name=name,
        title=title,
        audience="firmware",
        step="minor" if danger == "caution" else "major",
        over=partial(_sharing, of),
        margin=margin,
        danger=danger,
        needs=(texts["needs"],),
        why=texts["why"],
        how=texts["how"],
        remedy=texts["remedy"],
        witness=texts["witness"],
        source=texts.get("source", PRACTICE),
        silent=name == "firmware-analog-shared",
    )


def _pins(facts: Facts) -> Iterator[Item]:
    for member in facts.arrangement.members:
        for pin in member.board.pins.values():
            if pin.doubled:
                key = (member.name, pin.device, pin.number, tuple(map(member.was, map(fold, pin.doubled))))
                yield Item(f"{member.name}.{pin.name}", key, (member,), ((member, pin),), pin)


def _doubled(_ask: Ask, item: Item) -> Margin | None:
    pin: Pin = item.what
    message = f"pin {pin.said} is given to {' and to '.join(pin.doubled)}: what switches the one switches the other"
    return holds(False, message, f"{len(pin.doubled)} uses of one pin", "1 use")


RULES = (
    Rule(
        name="firmware-pin-doubled",
        title="One pin has two outputs or two functions",
        audience="firmware",
        step="minor",
        over=_pins,
        margin=_doubled,
        danger="caution",
        needs=("Direction or Function of a pin map that is keyed by its signals",),
        why="A pin is one wire: two things that firmware drives there by different names are switched together.",
        how="In a pin map keyed by signal names, as firmware keeps it, several names of one pin that are each an "
        "output, or have each a function of their own. Plain further names are none of it.",
        remedy="Give one of them another pin; if they are names of one thing, keep direction and function with one.",
        witness="FAN and HORN both came to GPIO5: whenever it gets warm, the horn sounds.",
    ),
    _rule(
        "firmware-analog-shared",
        "Two signals are on one analog channel",
        lambda pin: pin.analog.word,
        what="analog channel",
        effect="both always read the same",
        needs="Analog of the pin map",
        why="The converter sees one voltage at a time on a channel; two signals that share it are mixed up.",
        how="The analog channels in the pin map, for the signals that the firmware uses.",
        remedy="Give each signal a channel of its own, or correct the pin map.",
        witness="Battery and solar voltage always read the same.",
    ),
    _rule(
        "firmware-interrupt-shared",
        "Two signals came to share an interrupt line",
        interrupt_line,
        what="interrupt line",
        effect="whichever is set up last works, the other is never seen",
        needs="Interrupt of the pin map",
        why="On many controllers a line serves the pin of one port only: the second signal is never seen, without an "
        "error.",
        how="The interrupt lines in the pin map; for a plain yes the number of the port, since line n takes pin n of "
        "one port.",
        remedy="Move one of the two to a pin with another number.",
        witness="PA10 and PB10 both want line 10; whichever is set up last works.",
        source="STM32 reference manuals on SYSCFG_EXTICRx, as told at efton.sk/STM32/gotcha/g146.html",
    ),
    _rule(
        "firmware-timer-channel-shared",
        "Two signals came to share a timer channel",
        _channel,
        what="",
        effect="when the firmware switches one, the other switches too",
        needs="Function of the pin map",
        why="Both pins carry the same waveform, or each other's mirror, whatever the firmware sets.",
        how="Timer and channel are read from the functions in the pin map, for the signals that the firmware uses.",
        remedy="Move one of the two to another channel.",
        witness="The second pump runs whenever the first does.",
    ),
    _rule(
        "firmware-timer-shared",
        "Two signals with different needs came to share a timer",
        lambda pin: timer_channel(pin)[0],
        needs="Function and Direction of the pin map; Frequency or Note of the needs",
        why="The channels of a timer share its counter: capturing an input and switching an output, or two "
        "frequencies, get in each other's way.",
        how="Timers are read from the functions in the pin map; directions from it, frequencies from the column "
        "Frequency or the note of the need.",
        remedy="Check whether one setting of the timer serves both; else move one of the two.",
        witness="Since the pump runs at 20 kHz, the flow meter on the same timer counts nothing.",
    ),
)
