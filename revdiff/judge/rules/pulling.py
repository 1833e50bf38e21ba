"""Pulls that are too strong for the output that has to overcome them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from typing import Literal

from revdiff.electrical.currents import PIN_LIMIT, contention
from revdiff.electrical.i2c import parallel
from revdiff.judge.fact import Ask
from revdiff.judge.facts import NodeFacts
from revdiff.judge.items import nodes
from revdiff.judge.rule import Item, Margin, Rule
from revdiff.judge.side import HIGH_SHARE, PullFact, SideFacts, show


def _overcome(ask: Ask, item: Item) -> Margin | None:
    """The worst of all outputs against all resistors that pull the other way."""
    node: NodeFacts = item.what
    found = [margin for side in node.sides for margin in _of_side(ask, node, side)]
    return min(found, key=lambda margin: margin.value, default=None)


def _of_side(ask: Ask, node: NodeFacts, side: SideFacts) -> Iterator[Margin]:
    ways: dict[str, tuple[Literal["up", "down"], ...]] = {
        "push-pull": ("up", "down"),
        "releasing": ("up", "down"),
        "open drain": ("up",),
    }
    for way in ways.get(side.drive.value or "", ()):
        pulls = [pull for pull in node.pulls if pull.way == way and pull.ohms is not None]
        volts = max((pull.volts for pull in pulls if pull.volts), default=None) if way == "up" else side.level.value
        if pulls and volts:
            yield from _against(ask, side, way, pulls, volts)


def _against(
    ask: Ask, side: SideFacts, way: Literal["up", "down"], pulls: Sequence[PullFact], volts: Decimal
) -> Iterator[Margin]:
    """The current of the output; and the level that is left behind its series resistance, where another board reads."""
    at_pin = any(pull.side is side.side for pull in pulls)  # perhaps before the series resistance
    ohms, series = _together(pulls), Decimal(0) if at_pin else side.series
    amps = contention(volts, ohms + series)
    level = "low" if way == "up" else "high"
    names = " and ".join(dict.fromkeys(pull.part or pull.where or pull.side.member.name for pull in pulls))
    message = f"{side.driver} has to drive {level} against {names}, {show(ohms, 'Ω')} {way}"
    if amps is None or amps > (side.pin_limit.value or PIN_LIMIT):
        limit = ask(side.pin_limit)  # only a finding rests on what was assumed for it
        over = -amps / limit if amps is not None else Decimal("-Infinity")
        told = "nothing limits it" if amps is None else show(amps, "A")
        figures = f"I = V / (R + series) = {show(volts, 'V')} / {show(ohms + series, 'Ω')}: {told}"
        yield Margin(over, f"{message}: more than it stands", figures, f"{show(limit, 'A')} for a pin")
    beyond = [pull for pull in pulls if pull.side is not side.side]
    if beyond and any(other.reads for other in side.node.sides if other is not side):
        ohms = _together(beyond)
        share = ohms / (ohms + side.series) if side.series else Decimal(1)
        left = f"{show(volts * share, 'V')}"
        figures = f"V × R / (R + series) = {show(volts, 'V')} × {show(ohms, 'Ω')} / {show(ohms + side.series, 'Ω')}"
        message = f"{message}: of {show(volts, 'V')} it moves the line by {left} only"
        limit_told = show(volts * HIGH_SHARE, "V")
        yield Margin(share - HIGH_SHARE, message, f"{figures} = {left}", limit_told, "break")


def _together(pulls: Iterable[PullFact]) -> Decimal:
    return parallel(pull.ohms for pull in pulls if pull.ohms is not None)


RULES = (
    Rule(
        name="stack-pull-overload",
        about=("pull", "value"),
        title="An output can't overcome a pull",
        audience="stacking",
        step="major",
        over=nodes,
        margin=_overcome,
        danger="hazard",
        needs=("Direction", "Level", "Pull", "Series resistance"),
        why="A link in the place of a pull is a short: the signal never changes, and the output may be damaged.",
        how="Every output against all resistors of the net that pull the other way, in parallel: the current, by the "
        "level over resistance and series resistance, against the limit of a pin; and where another board reads, seven "
        "tenths of the level have to be left behind the series resistance.",
        remedy="Fit a resistor of the usual size (some kΩ), or leave it out.",
        witness="0 Ω in the place of the 100 kΩ that hold the heater off: it can't be switched on any more.",
        source="the controller's stated limit, else 25 mA: STM32F405/407 data sheet DocID022152, table 12; 0.7 VDD: "
        "NXP UM10204, table of the SDA and SCL lines",
    ),
)
