"""Rules of stacking: what loads, enables and straps do while no firmware runs yet."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal

from revdiff.design import Contact
from revdiff.rules.contacts import PRACTICE
from revdiff.rules.finding import Finding
from revdiff.rules.rule import Rule
from revdiff.rules.situation import Situation
from revdiff.rules.stack_columns import column, power_on
from revdiff.rules.stack_model import Net, Stack, Station
from revdiff.rules.stack_pulls import NetPulls, pulls_on, strength
from revdiff.rules.stack_scene import Made, Outcome, Unmade, amount, changes_of, finding, stack_rule
from revdiff.rules.stack_signals import is_analog

_LOADS = re.compile(r"heat|pump|motor|valve|relay|solenoid|igni|gate|\bdrive\b|\bpwm\b|_pwm|\bload\b")
_ENABLES = re.compile(r"enable|\ben\b|_en\b|\ben_|\bshutdown\b|_shdn")
_REPORTS = re.compile(r"fault|sense|status|tach|pulse|flow|feedback|alarm|diag|meas|monitor")


def _words(net: Net) -> str:
    texts = [word for station in net.stations for word in station.words]
    texts += [item.function.word for item in net.records()]
    texts += [pin.purpose.word for pin in net.pins()]
    return " ".join(texts)


def drives_load(net: Net) -> bool:
    """Whether the net switches power, by its names and functions, and an output drives it."""
    words = _words(net)
    return bool(_LOADS.search(words)) and not _REPORTS.search(words) and any(item.drives for item in net.stations)


def _is_control(net: Net) -> bool:
    if is_analog(net):
        return False
    return drives_load(net) or (bool(_ENABLES.search(_words(net))) and any(item.drives for item in net.stations))


def _active(net: Net) -> str:
    """``high``, ``low`` or empty: the level at which the load is on, as the pin maps and contacts state."""
    stated = [pin.active.word for pin in net.pins()] + [column(item, "active").lower() for item in net.contacts()]
    return next((word for word in stated if word in ("high", "low")), "")


def early_driver(net: Net) -> tuple[Station, Contact, str] | None:
    """Who drives the net at power-on, as the column Power-on says."""
    for station in net.stations:
        for contact in station.contacts:
            if power_on(contact) in ("high", "low"):
                return station, contact, power_on(contact)
    return None


def _on_at_power(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    for net in stack.signals:
        if not _is_control(net):
            continue
        what = f"state of {net.subject} at power-on"
        active, driven, pulls = _active(net), early_driver(net), pulls_on(net)
        if not active:
            yield Unmade(what, "the level at which it is on isn't stated", "the column Active of the pin map")
            continue
        ways = {item.way for item in pulls.found}
        if driven is None and not ways and pulls.unstated:
            boards = ", ".join(pulls.unstated)
            yield Unmade(what, f"{boards} states no pull for it", "the column Pull, or boards.NAME.pulls")
            continue
        yield Made(what)
        state = driven[2] if driven is not None else _pulled_to(ways)
        if state not in (active, "floats"):
            continue
        how = "nothing pulls it: it floats" if state == "floats" else f"it is {state}, and {active} is on"
        by = f"{driven[0].layer.board.name} drives it {state}" if driven is not None else listed(pulls)
        yield finding(
            rule,
            stack,
            [item.layer for item in net.stations],
            [item.contacts[0] for item in net.stations],
            subject=net.subject,
            message=f"{net.name} while no firmware runs: {how}",
            arithmetic=f"{by}; on at {active}; margin none",
            limit=f"held {'low' if active == 'high' else 'high'} without firmware",
            hazard=drives_load(net),
        )


def _pulled_to(ways: set[str]) -> str:
    if ways == {"up"}:
        return "high"
    if ways == {"down"}:
        return "low"
    return "both" if ways else "floats"


def listed(pulls: NetPulls) -> str:
    """The pulls for people: ``down 10 kΩ on base, up 4.7 kΩ on top``."""
    texts = [f"{item.way} {_value(item.ohms)} on {item.layer.board.name}" for item in pulls.found]
    return ", ".join(texts) or "0 pulls"


def _value(ohms: Decimal | None) -> str:
    return amount(ohms, "Ω") if ohms is not None else "of unstated value"


def _drives_early(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    for net in stack.signals:
        driven = early_driver(net)
        if driven is None:
            continue
        station, contact, state = driven
        yield Made(f"who drives {net.subject} at power-on")
        against = [
            item
            for item in pulls_on(net).found
            if item.layer is not station.layer and item.way == ("down" if state == "high" else "up")
        ]
        if not against:
            continue
        yield finding(
            rule,
            stack,
            [station.layer, against[0].layer],
            [contact],
            subject=net.subject,
            message=f"{station.layer.board.name} drives {net.name} {state} at power-on, and "
            f"{against[0].layer.board.name} pulls it {against[0].way}",
            arithmetic=f"driven {state}, pulled {against[0].way}; margin none",
            limit="high impedance at power-on, or the way that the others pull",
            hazard=drives_load(net),
        )


def _weaker(rule: Rule, situation: Situation) -> Iterator[Finding]:
    for pairing in situation.stacks:
        if pairing.old is None:
            continue
        before = {
            (station.layer.board.name, word): net
            for net in pairing.old.signals
            for station in net.stations
            for word in station.words
        }
        for stack in pairing.new:
            for net in stack.signals:
                names = [(item.layer.board.name, word) for item in net.stations for word in sorted(item.words)]
                old = next((before[name] for name in names if name in before), None)
                if old is None or not (_is_control(net) or _is_control(old)):
                    continue
                yield from _compared(rule, situation, stack, old, net)


def _compared(rule: Rule, situation: Situation, stack: Stack, old: Net, new: Net) -> Iterator[Finding]:
    was, now = pulls_on(old), pulls_on(new)
    for way in ("up", "down"):
        if not was.ways(way):
            continue
        one, two = strength(was.ways(way)), strength(now.ways(way))
        gone = not now.ways(way)
        if gone and now.unstated and not was.unstated:
            continue  # a board of the new stack says nothing about its pulls
        if not gone and (one is None or two is None or two <= one):
            continue
        after = "none" if gone else amount(two or Decimal(0), "Ω")
        first = _value(one)
        opposite = "; it is pulled the other way now" if gone and now.found else ""
        ratio = "; margin none"
        if not gone and one and two is not None:
            ratio = f" (factor {amount(two / one, '')}); margin {amount(one - two, 'Ω')}"
        item = finding(
            rule,
            stack,
            [station.layer for station in new.stations],
            [station.contacts[0] for station in new.stations],
            subject=new.subject,
            message=f"the pull {way} of {new.name} is {'gone' if gone else 'weaker'}{opposite}",
            arithmetic=f"{first} → {after}{ratio}",
            limit="as strong as in the old stack",
            hazard=drives_load(new) or drives_load(old),
        )
        yield changes_of(
            situation, item, [(station.layer.board.name, pin.name) for station in new.stations for pin in station.pins]
        )


RULES = (
    stack_rule(
        _drives_early,
        name="stack-power-on-drive",
        title="A board drives a shared contact at power-on against another board's pull",
        severity="caution",
        step="minor",
        why="Other boards rely on their pull to stay off until firmware runs.",
        how="The column Power-on of the contacts against the pulls of the other boards.",
        remedy="Keep the output at high impedance until firmware enables it, or drive it the way that the others pull.",
        witness="An add-on drives its ready line high from power-on; the host uses it as an enable with pull-down.",
        source=PRACTICE,
    ),
    stack_rule(
        _on_at_power,
        name="stack-power-on-load",
        title="A load or an enable isn't held off while no firmware runs",
        severity="break",
        step="major",
        hazard=True,
        why="Until firmware runs, and whenever it is erased or stuck, only resistors decide: the heater "
        "or the pump is on by itself.",
        how="For contacts that switch power or enable something: the fitted pulls of all boards, and the column "
        "Power-on, against the active level.",
        remedy="Fit a pull that holds it off, on the board that has the load.",
        witness="A heater enable without pull-down floats: the heater runs until the controller starts.",
        source=PRACTICE,
    ),
    Rule(
        name="stack-pull-weaker",
        title="The pull of a load or an enable is weaker than before, or gone",
        severity="caution",
        audience="stacking",
        step="minor",
        why="Leakage, interference and the other boards' pulls may win now while no firmware runs.",
        how="1/R = Σ 1/Ri of the fitted pulls each way over the stack, now against the old stack.",
        remedy="Keep the pull at least as strong, or check the state at power-on with every partner.",
        witness="10k → 100k on a gate driver's input with 50 µA leakage: 5 V instead of 0.5 V.",
        source=PRACTICE,
        check=_weaker,
    ),
)
