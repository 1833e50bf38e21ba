"""Drive: at most one output on a signal, at least one, and something that lifts an open drain."""

from __future__ import annotations

from decimal import Decimal

from revdiff.electrical.currents import contention, series_minimum
from revdiff.judge.fact import Ask, unknown
from revdiff.judge.facts import NodeFacts
from revdiff.judge.items import nodes, pairs
from revdiff.judge.rule import FINE, Danger, Item, Margin, Rule, holds
from revdiff.judge.side import HIGH_SHARE, SideFacts, show
from revdiff.quantities.pattern import pattern

_TAKING = (frozenset({"in"}), frozenset({"analog in"}), frozenset({"in", "analog in"}))
_SELECT = pattern(r"(?:^|_)n?(?:ss|cs|ce)n?\d*(?:_n|#|_b)?$")


def _two(ask: Ask, item: Item) -> Margin | None:
    node: NodeFacts
    one: SideFacts
    two: SideFacts
    node, one, two = item.what
    drives = {one.drive.value, two.drive.value}
    if not drives <= {"push-pull", "analog", "open drain", None} or _taking_turns(node) or drives == {"open drain"}:
        return FINE
    ask(one.drive), ask(two.drive)
    if drives != {"push-pull"}:
        return _unlike(node, one, two)
    high = max(one.level.value or Decimal(0), two.level.value or Decimal(0))
    series = one.series + two.series
    current = contention(high, series) if high else None
    least = min(one.pin_limit, two.pin_limit, key=lambda item: item.value or 0)
    limit = ask(least) if current is not None else least.value or Decimal(0)
    danger: Danger = "caution" if current is not None and current <= limit else "hazard"
    told = show(current, "A") if current is not None else "nothing limits it"
    end = "the level is undefined" if danger == "caution" else "both may be damaged"
    message = f"{one.driver} and {two.driver} both drive: {end}"
    figures = f"I = V / R = {show(high, 'V')} / {show(series, 'Ω')}: {told}"
    needs = f"; within the limit from {show(series_minimum(high, limit), 'Ω')}" if high else ""
    return holds(False, message, figures + needs, f"{show(limit, 'A')} for a pin", danger)


def _unlike(node: NodeFacts, one: SideFacts, two: SideFacts) -> Margin:
    """Two outputs of which one is analog, or pulls low only."""
    said = " and ".join(f"{side.signal} of {side.member.name} ({side.drive.value})" for side in (one, two))
    drain = "open drain" in {one.drive.value, two.drive.value}
    # UM10204, 3.1.1 and 3.1.9: a clock may be driven both ways where no target stretches it.
    fine = drain and any("scl" in word for side in node.sides for word in side.side.words)
    danger: Danger = "caution" if drain else "break"
    what = "low against high: let the other go, or limit the current" if drain else "neither has the say"
    return holds(fine, f"{said} both drive: {what}", "2 outputs", "1 output that never lets go", danger)


def _taking_turns(node: NodeFacts) -> bool:
    """The answer line of a bus with selects: whoever isn't selected lets go."""
    return any("miso" in word or "sdo" in word for side in node.sides for word in side.side.words)


def _none(ask: Ask, item: Item) -> Margin | None:
    node: NodeFacts = item.what
    if len(node.sides) < 2:
        return None
    drives = [ask(side.drive) for side in node.sides]
    listening = [side for side in node.sides if side.directions in _TAKING]
    passing = [side for side in node.sides if side.passes]
    if not listening or len(listening) + len(passing) < len(node.sides):
        return None if node.analog else FINE
    if node.node.open:
        ask(unknown(node.elsewhere))
    names = " and on ".join(side.member.name for side in listening)
    held = any(item != "none" for item in drives)
    message = f"{node.name} is an input on {names}, and nothing drives it"
    return holds(held, message, f"{len(listening)} inputs, 0 outputs", "at least 1 output")


def _drain(ask: Ask, item: Item) -> Margin | None:
    node: NodeFacts = item.what
    drives = [side.drive.value for side in node.sides]
    if "open drain" not in drives or "push-pull" in drives or "releasing" in drives or len(node.sides) < 2:
        return None
    ups = [pull for pull in node.pulls if pull.way == "up"]
    rest, high = node.rest.value, max((pull.volts for pull in ups if pull.volts), default=None)
    downs = any(pull.way == "down" for pull in node.pulls)
    if downs and rest is not None and rest.volts is not None and high:
        left = rest.volts - high * HIGH_SHARE
        message = f"{node.name} is open drain, and rests at {show(rest.volts, 'V')}: a pull-down holds it"
        return Margin(left, message, rest.how, f"{show(high * HIGH_SHARE, 'V')} for a high")
    if not ups and node.node.open:
        ask(unknown(node.elsewhere))
    if not ups and node.silent:
        ask(unknown("the column Pull, or boards.NAME.pulls", essential=True))
    message = f"{node.name} is open drain, and no board pulls it up: it never becomes high"
    return holds(bool(ups), message, f"{len(ups)} pull-ups in the stack", "at least 1 pull-up")


def _selected(_ask: Ask, item: Item) -> Margin | None:
    node: NodeFacts = item.what
    functions = " ".join(record.function.word for side in node.sides for record in side.records)
    if "select" not in functions and not any(_SELECT.search(word) for side in node.sides for word in side.side.words):
        return None
    there = [side.member.name for side in node.sides if side.reads and side.drive.value == "none"]
    message = f"{node.name} selects {' and '.join(there)} at once"
    return Margin(Decimal(1 - len(there)), message, f"{len(there)} boards selected", "1 board for each select")


RULES = (
    Rule(
        name="stack-no-driver",
        title="A signal is an input on every board",
        audience="stacking",
        step="major",
        over=nodes,
        margin=_none,
        danger="caution",
        needs=("Direction",),
        why="An input that nothing drives floats: it reads noise, and may draw current.",
        how="The directions of all contacts and pins on the net over the whole stack.",
        remedy="Correct the directions, or add the driver or a pull.",
        witness="Both boards wait for the other's ready line; receive meets receive.",
    ),
    Rule(
        name="stack-open-drain-pull",
        title="An open-drain line is pulled up by nothing, or held low",
        audience="stacking",
        step="major",
        over=nodes,
        margin=_drain,
        danger="break",
        needs=("Direction", "Pull"),
        why="Open-drain outputs only pull low. Without a resistor the line never becomes high.",
        how="The fitted pulls of all boards on the net: boards.NAME.pulls, the column Pull of contacts and pins. "
        "Against pull-downs they have to leave seven tenths of the level.",
        remedy="Fit a pull-up on one board, and say which; leave out what pulls the other way.",
        witness="The pull-ups went to the valve board; base and radio without it have no bus.",
        source="NXP UM10204, section 3.1.1",
    ),
    Rule(
        name="stack-select-shared",
        title="One select line selects two boards",
        audience="stacking",
        step="major",
        over=nodes,
        margin=_selected,
        danger="break",
        needs=("Direction", "Function"),
        why="Both boards answer on the same bus at once, with their outputs against each other.",
        how="Boards that read a select line (function select, or a name such as nSS, CS1) and don't just pass it on.",
        remedy="Give each board a select of its own; list the alternatives where it can be jumpered.",
        witness="Two radio boards in one stack both listen to RADIO_nSS.",
    ),
    Rule(
        name="stack-two-drivers",
        title="Two outputs drive one signal",
        audience="stacking",
        step="major",
        over=pairs,
        margin=_two,
        danger="hazard",
        needs=("Direction", "Level", "Series resistance"),
        why="When one is high and the other low, the current between them is limited by little; beyond the limit both "
        "may be damaged, within it the level is valid for neither.",
        how="Outputs that never let go, over the whole stack, firmware included. The current is the level over the "
        "series resistors of both, the outputs' own resistance left out, against the smaller limit of the two pins.",
        remedy="Don't stack these, or fit a series resistor on one side.",
        witness="Two transmitters on one UART line: 3.3 V / 100 Ω = 33 mA, over 25 mA.",
        source="the controller's stated limit, else 25 mA: STM32F405/407 data sheet DocID022152, table 12",
    ),
)
