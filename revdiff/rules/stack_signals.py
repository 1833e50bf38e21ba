"""Rules of stacking: who drives a signal, who reads it, and who pulls it up."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from itertools import combinations

from revdiff.electrical.currents import PIN_LIMIT, PIN_SOURCE, contention, series_minimum
from revdiff.rules.contacts import PRACTICE
from revdiff.rules.rule import Rule
from revdiff.rules.stack_columns import level_of
from revdiff.rules.stack_model import Net, Stack, Station
from revdiff.rules.stack_pulls import pulls_on
from revdiff.rules.stack_scene import Made, Outcome, Unmade, amount, finding, stack_rule


def is_analog(net: Net) -> bool:
    """Whether a net carries a voltage to be measured, not a level."""
    words = {item.direction.word for item in net.records()}
    return bool(words & {"analog in", "analog out"}) or any(item.function.word == "analog" for item in net.contacts())


def level(station: Station) -> Decimal | None:
    """The logic level of a board's side of a net, V: of its contacts, else of its pins."""
    return next((found for item in station.records if (found := level_of(item)) is not None), None)


def _two_drivers(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    for net in stack.signals:
        if any(not station.directions for station in net.stations):
            lacking = [station.name for station in net.stations if not station.directions]
            yield Unmade(f"who drives {net.subject}", f"no direction at {', '.join(lacking)}", "the column Direction")
            continue
        yield Made(f"who drives {net.subject}")
        for one, two in combinations([item for item in net.stations if item.drives], 2):
            if _is_shared_answer(net):
                continue
            high = max((level(item) or Decimal(0)) for item in (one, two))
            series = sum((_series(item) for item in (one, two)), Decimal(0))
            current = contention(high, series)
            if current is not None and high and current <= PIN_LIMIT:
                continue
            told = "nothing limits it" if current is None or not high else amount(current, "A")
            margin = "none" if current is None or not high else amount(PIN_LIMIT - current, "A")
            uart = "uart" in " ".join(item.function.word for item in net.records())
            yield finding(
                rule,
                stack,
                (one.layer, two.layer),
                (one.contacts[0], two.contacts[0]),
                subject=f"{one.name}–{two.name}",
                message=f"{one.signal} of {one.layer.board.name} and {two.signal} of {two.layer.board.name} both drive"
                + (": two transmitters on one line" if uart else ""),
                arithmetic=f"I = V / R = {amount(high, 'V')} / {amount(series, 'Ω')}: {told}; margin {margin}"
                + (f"; needs {amount(series_minimum(high), 'Ω')} in series" if high else ""),
                limit=PIN_SOURCE,
            )


def _is_shared_answer(net: Net) -> bool:
    """The answer line of a bus with selects: whoever is not selected lets go."""
    return any("miso" in name or "sdo" in name for station in net.stations for name in station.words)


def _series(station: Station) -> Decimal:
    stated = [item.resistance.quantity for item in station.pins]
    return max((item.magnitude for item in stated if item is not None and item.unit == "Ω"), default=Decimal(0))


def _no_driver(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    for net in stack.signals:
        stations = net.stations
        if any(not station.directions for station in stations) or is_analog(net):
            continue
        yield Made(f"whether something drives {net.subject}")
        if all(station.directions == {"in"} for station in stations) and not any(
            pin.direction.word not in ("in", "") for pin in net.pins()
        ):
            yield finding(
                rule,
                stack,
                [item.layer for item in stations],
                [item.contacts[0] for item in stations],
                subject=net.subject,
                message=f"{net.name} is an input on {' and on '.join(item.layer.board.name for item in stations)}, "
                "and nothing drives it",
                arithmetic=f"{len(stations)} inputs, 0 outputs; margin −1",
                limit="at least 1 output",
            )


def _open_drain(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    for net in stack.signals:
        open_ones = [item for item in net.stations if "open drain" in item.directions]
        if not open_ones or any(item.drives for item in net.stations):
            continue
        pulls = pulls_on(net)
        ups = [item for item in pulls.found if item.way == "up"]
        if not ups and pulls.unstated:
            boards = ", ".join(pulls.unstated)
            yield Unmade(
                f"pull-up of {net.subject}", f"{boards} states no pull for it", "the column Pull, or boards.NAME.pulls"
            )
            continue
        yield Made(f"pull-up of {net.subject}")
        if not ups:
            yield finding(
                rule,
                stack,
                [item.layer for item in net.stations],
                [item.contacts[0] for item in net.stations],
                subject=net.subject,
                message=f"{net.name} is open drain, and no board pulls it up: it never becomes high",
                arithmetic="0 pull-ups in the stack; margin −1",
                limit="at least 1 pull-up",
            )


RULES = (
    stack_rule(
        _no_driver,
        name="stack-no-driver",
        title="A signal is an input on every board",
        severity="caution",
        step="major",
        why="An input that nothing drives floats: it reads noise, and may draw current.",
        how="The directions of all contacts and pins on the net over the whole stack.",
        remedy="Correct the directions, or add the driver or a pull.",
        witness="Both boards wait for the other's ready line.",
        source=PRACTICE,
    ),
    stack_rule(
        _open_drain,
        name="stack-open-drain-pull",
        title="An open-drain line has no pull-up in the stack",
        severity="break",
        step="major",
        why="Open-drain outputs only pull low. Without a resistor the line never becomes high.",
        how="The fitted pulls of all boards on the net: boards.NAME.pulls, the column Pull of contacts and pins.",
        remedy="Fit a pull-up on one board, and say which.",
        witness="The pull-ups went to the valve board; base and radio without it have no bus.",
        source="NXP UM10204, section 3.1.1",
    ),
    stack_rule(
        _two_drivers,
        name="stack-two-drivers",
        title="Two outputs drive one signal",
        severity="break",
        step="major",
        hazard=True,
        why="When one is high and the other low, the current between them is limited by little; both may be damaged, "
        "and neither level is valid.",
        how="Outputs that never let go, over the whole stack; a board that only passes a signal on is none. The "
        "current is the level over the series resistors of both pins, the outputs' own resistance left out.",
        remedy="Don't stack these, or fit a series resistor on one side.",
        witness="Two transmitters on one UART line: 3.3 V / 100 Ω = 33 mA, over 25 mA.",
        source=PIN_SOURCE,
    ),
)
