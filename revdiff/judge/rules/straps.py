"""Straps and pulls: a sure level at reset, the same one as where things worked; loads held as strongly as there."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from revdiff.design import Pin
from revdiff.electrical.i2c import parallel
from revdiff.judge.fact import Ask
from revdiff.judge.facts import Facts, NodeFacts
from revdiff.judge.items import nodes
from revdiff.judge.rule import Danger, Item, Margin, Rule, other, smaller
from revdiff.judge.side import SideFacts, show
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import fold

_STRAP = pattern(r"\bstrap|\bboot")
_LOW, _HIGH = Decimal("0.3"), Decimal("0.7")
_LEVEL = {"up": "high", "down": "low"}


def _straps(facts: Facts) -> Iterator[Item]:
    for item in nodes(facts):
        if _reader(item.what) is not None:
            yield item


def _reader(node: NodeFacts) -> SideFacts | None:
    """The side whose controller reads the strap."""
    return next((side for side in node.sides if any(_is_strap(side, pin) for pin in side.side.pins)), None)


def _is_strap(side: SideFacts, pin: Pin) -> bool:
    boot = side.node.node.arrangement.controller(side.member, pin.device).boot
    said = f"{pin.function.word} {pin.purpose.word} {pin.note.word}"
    named = boot & {fold(pin.number), pin.port.word, fold(pin.name), pin.signal.word}
    return bool(_STRAP.search(said) or named or pin.strap)


def _meant(side: SideFacts) -> set[str]:
    """The way that the strap's own board means it to be: as a column Strap says, else as its own resistors pull."""
    said = {pin.strap.word for pin in side.side.pins} & {"low", "high"}
    return {"up" if item == "high" else "down" for item in said} or {pull.way for pull in side.pulls or ()}


def _window(ask: Ask, side: SideFacts) -> tuple[Decimal, Decimal]:
    own = ask(side.own_level)
    levels = side.thresholds.value
    return (levels.vil, levels.vih) if levels is not None else (own * _LOW, own * _HIGH)


def _sound(ask: Ask, item: Item) -> Margin | None:
    node: NodeFacts = item.what
    side = _reader(node)
    assert side is not None
    rest = ask(node.rest)
    if rest.volts is None:
        return Margin(Decimal(-1), f"{node.name} is a strap that nothing pulls", "0 pulls", "at least 1")
    low, high = _window(ask, side)
    wanted = _meant(side)
    ways = {"down": low - rest.volts, "up": rest.volts - high}
    left = max(ways[way] for way in (wanted if len(wanted) == 1 else ways))
    meant = (
        f", and its own board means it to be {_LEVEL[min(wanted)]}" if len(wanted) == 1 else ", neither low nor high"
    )
    message = f"{node.name} is a strap and rests at {show(rest.volts, 'V')}{meant}"
    limit = f"{show(low, 'V')} or below, {show(high, 'V')} or above"
    return Margin(node.settled(ask, left), message, f"{rest.how}; margin {show(left, 'V')}", limit)


def _level(ask: Ask, item: Item) -> Margin | None:
    """The level itself as a margin against the arrangement that worked: where it crossed the middle it is another."""
    node: NodeFacts = item.what
    rest = ask(node.rest)
    if rest.volts is None:
        return None
    side = _reader(node)
    assert side is not None
    middle = sum(_window(ask, side), Decimal(0)) / 2
    message = f"{node.name} is a strap and is read {'high' if rest.volts > middle else 'low'} at reset now"
    return Margin(Decimal(1 if rest.volts > middle else 0), message, rest.how)


def _strength(_ask: Ask, item: Item) -> Margin | None:
    """The pull of a load, in ohms; the engine compares it with the arrangement that worked."""
    node: NodeFacts = item.what
    if node.load is None:
        return None
    values = [pull.ohms for pull in node.pulls if pull.ohms is not None]
    if not values or len(values) < len(node.pulls):
        return None
    total = parallel(values)
    danger: Danger = "caution"
    return Margin(
        -total,
        f"the pull of {node.name} is weaker than before",
        show(total, "Ω"),
        danger=danger,
    )


RULES = (
    Rule(
        name="stack-boot-strap",
        title="A strap has no sure level at reset",
        audience="stacking",
        step="major",
        over=_straps,
        margin=_sound,
        danger="break",
        needs=("Pull", "Level", "Power-on"),
        why="Between the thresholds the controller starts its boot loader on some boards and some days only.",
        how="The level at rest from all fitted resistors against the thresholds of the controller that reads it.",
        remedy="Remove the opposing pull, or make the strap's own much stronger.",
        witness="10k down on the base and 10k up on the radio board: half the supply.",
    ),
    Rule(
        name="stack-pull-weaker",
        title="The pull of a load is weaker than before",
        audience="stacking",
        step="minor",
        over=nodes,
        margin=_strength,
        danger="caution",
        needs=("Pull", "Switches"),
        why="Leakage, interference and the other boards' pulls may win now while no firmware runs.",
        how="1/R = Σ 1/Ri of the fitted pulls over the stack, now against the arrangement that worked.",
        remedy="Keep the pull at least as strong, or check the state at power-on with every partner.",
        witness="10k → 100k on a gate driver's input with 50 µA leakage: 5 V instead of 0.5 V.",
        worse=smaller,
    ),
    Rule(
        name="stack-strap-level",
        title="A strap is read the other way than before",
        audience="stacking",
        step="major",
        over=_straps,
        margin=_level,
        danger="break",
        needs=("Pull", "Level"),
        why="The controller starts in another mode, perhaps in its boot loader.",
        how="The level at rest, now against the arrangement that worked.",
        remedy="Give the strap its old level.",
        witness="A pull-up on the board above holds the strap high, and the controller waits in its boot loader.",
        worse=other,
    ),
)
