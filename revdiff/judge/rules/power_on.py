"""Before any firmware runs, and where two boards take on for off: loads that are on by themselves."""

from __future__ import annotations

from decimal import Decimal

from msgspec.structs import replace

from revdiff.electrical.logic import family_at
from revdiff.judge.fact import Ask, unknown
from revdiff.judge.facts import NodeFacts, Rest
from revdiff.judge.items import held, nodes, pairs
from revdiff.judge.rule import FINE, Danger, Item, Margin, Rule, holds
from revdiff.judge.side import Load, SideFacts, show

# Thresholds of an input of which only the level is known, in parts of it: of 74HC data sheets.
_LOW, _HIGH = Decimal("0.3"), Decimal("0.7")
_WAY = {"high": "up", "low": "down"}
_OFF = {"high": "low", "low": "high"}
_PROPOSED = "; only its name says that it switches a load: state it in the column Switches"


def danger_of(load: Load | None) -> Danger:
    """A stated load that is switched, or left on, by what isn't meant for it hurts; a name only proposes one."""
    return "hazard" if load is not None and load.stated else "break"


def told(load: Load | None) -> str:
    """What a message adds where a load is only proposed."""
    return _PROPOSED if load is not None and not load.stated else ""


def at_rest(ask: Ask, node: NodeFacts, side: SideFacts) -> tuple[Decimal, Rest, str]:
    """(V by which the load is surely off, what is at rest, what that means for the load)."""
    active = _active(ask, node, side)
    if node.rest.value is None and node.pulls and {pull.way for pull in node.pulls} == {_WAY[active]}:
        # A resistor or a controller's own pull: it is on, or it floats; in neither case is it held off.
        how = f"pulled {_WAY[active]} at most, {active} is on"
        return Decimal(-1), Rest(None, how), f"may be on: nothing holds {node.name} {_OFF[active]}"
    known = node.rest
    stated = node.load is not None and node.load[1].stated
    rest = ask(replace(known, essential=stated or known.essential) if known.value is None else known)
    if rest.volts is None:
        return Decimal(-1), rest, f"may be on: {node.name} floats, and {active} is on"
    own = ask(side.own_level)
    family = side.family.value or family_at(own)
    levels = side.thresholds.value
    low, high = (levels.vil, levels.vih) if levels is not None and family is not None else (own * _LOW, own * _HIGH)
    off, on = low - rest.volts, rest.volts - high
    off, on = (off, on) if active == "high" else (on, off)
    sure = "is on" if on >= 0 else "may be on"
    return off, rest, f"{sure}: {node.name} is at {show(rest.volts, 'V')}, and {active} is on"


def _active(ask: Ask, node: NodeFacts, side: SideFacts) -> str:
    stated = side.active.value or next((item.active.value for item in node.sides if item.active.value), None)
    sure = node.load is not None and node.load[1].stated
    return stated if stated is not None else ask(replace(side.active, essential=sure))


def _load_on(ask: Ask, item: Item) -> Margin | None:
    node: NodeFacts = item.what
    if node.load is None or node.analog:
        return None
    side, load = node.load
    left, rest, means = at_rest(ask, node, side)
    message = f"from power-on until firmware drives it, {load.what} {means}{told(load)}"
    figures = rest.how if rest.volts is None else f"{rest.how}; margin {show(left, 'V')}"
    return Margin(node.settled(ask, left), message, figures, danger=danger_of(load))


def _polarity(ask: Ask, item: Item) -> Margin | None:
    node: NodeFacts
    one: SideFacts
    two: SideFacts
    node, one, two = item.what
    if node.node.kin != "yes" or one.active.value is two.active.value is None:
        return None
    if (one.active.value is None and one.acts) or (two.active.value is None and two.acts):
        ask(unknown("the column Active of both sides"))
    if one.active.value is None or two.active.value is None:
        return None
    load = node.load[1] if node.load is not None else None
    runs = f": {load.what} is on while it is meant to be off" if load is not None and load.stated else told(load)
    message = (
        f"{node.name} is active {one.active.value} on {one.member.name} "
        f"and active {two.active.value} on {two.member.name}{runs}"
    )
    same = one.active.value == two.active.value
    figures = f"{one.name} {one.active.value} ≠ {two.name} {two.active.value}"
    return holds(same, message, figures, danger=danger_of(load))


def _left_on(ask: Ask, item: Item) -> Margin | None:
    node, drives, program = item.what
    side, load = node.load
    if drives:
        return FINE
    left, rest, means = at_rest(ask, node, side)
    message = f"{program.contract.title} never drives {node.name}; as long as it runs, {load.what} {means}{told(load)}"
    return Margin(node.settled(ask, left), message, rest.how, danger=danger_of(load))


def _early(ask: Ask, item: Item) -> Margin | None:
    node: NodeFacts = item.what
    rest = node.rest.value
    if rest is None or rest.volts is None or not rest.driven:
        return None
    ask(node.rest)
    high = rest.volts > 0
    against = [
        pull for pull in node.pulls if pull.way == ("down" if high else "up") and pull.side.member.name != rest.driven
    ]
    who = ", ".join(pull.side.member.name for pull in against)
    message = f"{rest.how} at power-on, and {who} pulls {node.name} {'down' if high else 'up'}"
    return holds(not against, message, rest.how)


RULES = (
    Rule(
        name="firmware-load-left-on",
        title="Firmware leaves a load alone that nothing holds off",
        audience="firmware",
        step="major",
        over=held,
        margin=_left_on,
        danger="hazard",
        needs=("Switches", "Active", "Pull"),
        why="A release that doesn't know of a load makes its pin an input: resistors decide for as long as it runs.",
        how="Every load on a controller that the release doesn't drive: its level at rest, worked out from all fitted "
        "resistors, against the level that is on.",
        remedy="Don't run this release on this board, or fit a resistor that holds the load off.",
        witness="New firmware on the old board: its heater pin became an input, and a resistor pulls the heater on.",
    ),
    Rule(
        name="stack-active-level",
        title="A signal is active at the other level on another board",
        audience="stacking",
        step="major",
        over=pairs,
        margin=_polarity,
        danger="break",
        needs=("Active", "Switches"),
        why="Nothing warns: what one board holds off, the other has on.",
        how="The active level that each side states, in its contacts or pins. It can hurt where a load hangs on it.",
        remedy="Don't stack these. Turn the signal on one board, and let the boards be told apart.",
        witness="A gate driver that is on at a high level behind an enable that is off at a high level: the pump runs "
        "from power-on.",
    ),
    Rule(
        name="stack-power-on-drive",
        title="A board drives a shared contact at power-on against another board's pull",
        audience="stacking",
        step="minor",
        over=nodes,
        margin=_early,
        danger="caution",
        needs=("Power-on", "Pull"),
        why="Other boards rely on their pull to stay off until firmware runs.",
        how="The column Power-on of the contacts against the pulls of the other boards.",
        remedy="Keep the output at high impedance until firmware enables it, or drive it the way that the others pull.",
        witness="An add-on drives its ready line high from power-on; the host uses it as an enable with pull-down.",
    ),
    Rule(
        name="stack-power-on-load",
        title="A load isn't held off while no firmware runs",
        audience="stacking",
        step="major",
        over=nodes,
        margin=_load_on,
        danger="hazard",
        needs=("Switches", "Active", "Pull", "Power-on"),
        why="Until firmware runs, and whenever it is erased or stuck, only resistors decide: the heater "
        "or the pump is on by itself.",
        how="The level at rest from all fitted resistors, V = Σ(V/R) / Σ(1/R), without a controller's own, against the "
        "threshold of what it switches. A load is stated by the column Switches or boards.NAME.switches.",
        remedy="Fit a pull that holds it off, on the board that has the load.",
        witness="100k down and 4k7 up on a heater enable: 3.15 V, on.",
    ),
)
