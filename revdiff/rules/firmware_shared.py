"""Two signals that a controller can serve only one of: an interrupt line, a timer channel, an analog channel."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from functools import partial
from itertools import combinations

from revdiff.design import Need, Pin
from revdiff.quantities.quantity import read_quantity, show
from revdiff.rules.employments import Employment
from revdiff.rules.firmware_check import Details, check_new, needs_met
from revdiff.rules.rule import Rule

_LINE = re.compile(r"(?:exti|irq|int|line)?[ _-]?([0-9]{1,2})")
_ANY_LINE = frozenset({"yes", "y", "x", "exti", "irq", "int"})
_PORT = re.compile(r"p[a-z][_.]?([0-9]{1,2})")
_TIMER = re.compile(r"(tim|tc|tcc|timer|pwm|ftm|tpm)_?([0-9a-z]+)[_.]?(?:ch|cc|wo|c)_?([0-9a-d]+)(n?)")
_FREQUENCY = re.compile(r"(?<![0-9.])([0-9.]{1,20} ?[kM]?Hz)", re.IGNORECASE)
Used = tuple[Need, Pin]


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


def _used(employment: Employment) -> list[Used]:
    return [(need, pins[0]) for need, pins in needs_met(employment) if pins]


def _pairs(employment: Employment, key: Callable[[Pin], str]) -> Iterator[tuple[str, Used, Used]]:
    by_key: dict[str, list[Used]] = {}
    for need, pin in _used(employment):
        name = key(pin)
        if name:
            by_key.setdefault(name, []).append((need, pin))
    for name, users in by_key.items():
        for one, two in combinations(users, 2):
            if one[1].name != two[1].name:
                yield name, one, two


def _shared(what: str, limit: str, key: Callable[[Pin], str], employment: Employment) -> Iterator[tuple[str, Details]]:
    for name, one, two in _pairs(employment, key):
        yield _told(f"{what} {name.upper()}", limit, one, two)


def _told(what: str, limit: str, one: Used, two: Used, more: str = "") -> tuple[str, Details]:
    first, second = one[1], two[1]
    return (
        f"{one[0].signal.raw}, {two[0].signal.raw}",
        {
            "message": f"{first.signal.raw} on pin {first.number} and {second.signal.raw} on pin {second.number} both "
            f"use {what}{more}",
            "arithmetic": f"{what}: {_place(first)} and {_place(second)}",
            "same": f"{what}: {one[0].signal.word}, {two[0].signal.word}",
            "limit": limit,
            "touched": (first.name, second.name, first.signal.raw, second.signal.raw),
            "origin_before": one[0].origin.of("signal"),
            "origin_after": second.origin.of("signal"),
        },
    )


def _place(pin: Pin) -> str:
    return pin.port.raw or pin.number


def _channels(employment: Employment) -> Iterable[tuple[str, Details]]:
    """Also an output and its complement: they carry one signal and its mirror."""

    def key(pin: Pin) -> str:
        timer, channel, _ = timer_channel(pin)
        return f"{timer} channel {channel}" if timer else ""

    for name, one, two in _pairs(employment, key):
        mirrored = timer_channel(one[1])[2] != timer_channel(two[1])[2]
        more = ": one is the mirror of the other" if mirrored else ""
        yield _told(name, "one signal for each channel", one, two, more)


def _timers(employment: Employment) -> Iterable[tuple[str, Details]]:
    """One timer has one counter: capturing and switching on it, or two frequencies, don't go together."""
    for name, one, two in _pairs(employment, lambda pin: timer_channel(pin)[0]):
        if timer_channel(one[1])[1] == timer_channel(two[1])[1]:
            continue
        ways = {_way(pin) for _, pin in (one, two)}
        speeds = [_frequency(need) for need, _ in (one, two)]
        if len(ways) == 2:
            yield _told(name, "one way of counting for each timer", one, two, ", one as input and one as output")
        elif all(speeds) and speeds[0] != speeds[1]:
            more = f", one at {speeds[0]} and one at {speeds[1]}"
            yield _told(name, "one frequency for each timer", one, two, more)


def _way(pin: Pin) -> str:
    return "in" if pin.direction.word == "in" else "out"


def _frequency(need: Need) -> str:
    stated = next((reading.raw for name, reading in need.extra if name == "frequency"), "")
    found = _FREQUENCY.search(stated or need.note.raw)
    value = read_quantity(found[1]) if found else None
    return show(value) if value is not None and value.unit == "Hz" else ""


RULES = (
    Rule(
        name="firmware-analog-shared",
        title="Two signals are on one analog channel",
        severity="break",
        audience="firmware",
        step="major",
        why="The converter sees one voltage at a time on a channel; two signals that share it are mixed up.",
        how="The analog channels in the pin map, for the signals that the firmware uses.",
        remedy="Give each signal a channel of its own, or correct the pin map.",
        witness="Battery and solar voltage always read the same.",
        source="common practice, no source",
        check=partial(
            check_new, partial(_shared, "analog channel", "one signal for each channel", lambda pin: pin.analog.word)
        ),
    ),
    Rule(
        name="firmware-interrupt-shared",
        title="Two signals came to share an interrupt line",
        severity="break",
        audience="firmware",
        step="major",
        why="On many controllers a line serves the pin of one port only: the second signal is never seen, without an "
        "error.",
        how="The interrupt lines in the pin map; for a plain yes the number of the port, since line n takes pin n of "
        "one port.",
        remedy="Move one of the two to a pin with another number.",
        witness="PA10 and PB10 both want line 10; whichever is set up last works.",
        source="STM32 reference manuals on SYSCFG_EXTICRx, as told at efton.sk/STM32/gotcha/g146.html",
        check=partial(check_new, partial(_shared, "interrupt line", "one pin for each interrupt line", interrupt_line)),
    ),
    Rule(
        name="firmware-timer-channel-shared",
        title="Two signals came to share a timer channel",
        severity="break",
        audience="firmware",
        step="major",
        why="Both pins carry the same waveform, or each other's mirror, whatever the firmware sets.",
        how="Timer and channel are read from the functions in the pin map, for the signals that the firmware uses.",
        remedy="Move one of the two to another channel.",
        witness="The second pump runs whenever the first does.",
        source="common practice, no source",
        check=partial(check_new, _channels),
    ),
    Rule(
        name="firmware-timer-shared",
        title="Two signals with different needs came to share a timer",
        severity="caution",
        audience="firmware",
        step="minor",
        why="The channels of a timer share its counter: capturing an input and switching an output, or two "
        "frequencies, get in each other's way.",
        how="Timers are read from the functions in the pin map; directions from it, frequencies from the column "
        "Frequency or the note of the need.",
        remedy="Check whether one setting of the timer serves both; else move one of the two.",
        witness="Since the pump runs at 20 kHz, the flow meter on the same timer counts nothing.",
        source="common practice, no source",
        check=partial(check_new, _timers),
    ),
)
