"""Rules of stacking: pulls against each other, and the straps that a controller reads at reset."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal

from revdiff.electrical.i2c import idle_voltage
from revdiff.electrical.logic import FAMILIES, Levels, family_at
from revdiff.rules.contacts import PRACTICE
from revdiff.rules.rule import Rule
from revdiff.rules.stack_columns import column
from revdiff.rules.stack_model import Net, Stack
from revdiff.rules.stack_power_on import drives_load, early_driver, listed
from revdiff.rules.stack_pulls import NetPull, pulls_on
from revdiff.rules.stack_scene import Made, Outcome, Unmade, amount, finding, stack_rule
from revdiff.rules.stack_signals import level

_STRAP = re.compile(r"\bstrap|\bboot")


def _conflict(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    for net in stack.signals:
        pulls = pulls_on(net)
        ups, downs = pulls.ways("up"), pulls.ways("down")
        if not pulls.found:
            continue
        yield Made(f"whether pulls of {net.subject} agree")
        boards = {item.layer.label for item in (*ups, *downs)}
        if not ups or not downs or len(boards) < 2:
            continue
        stations = [item for item in net.stations if item.layer.label in boards]
        idle = _idle(pulls.found)
        levels = _thresholds(net)
        result = "not computed: a value isn't stated" if idle is None else f"Σ(V/R) / Σ(1/R) = {amount(idle, 'V')}"
        if idle is not None and levels is not None:
            result += f"; margin {amount(max(levels.vil - idle, idle - levels.vih), 'V')}"
        yield finding(
            rule,
            stack,
            [item.layer for item in stations],
            [item.contacts[0] for item in stations],
            subject=net.subject,
            message=f"{net.name} is pulled both ways: {listed(pulls)}",
            arithmetic=result,
            limit="no pull against another board's"
            + (
                f"; {amount(levels.vil, 'V')} or below, {amount(levels.vih, 'V')} or above"
                if levels is not None
                else ""
            ),
            hazard=drives_load(net),
        )


def _idle(pulls: tuple[NetPull, ...]) -> Decimal | None:
    known = [(item.ohms, item.volts) for item in pulls if item.ohms is not None and item.volts is not None]
    return idle_voltage(known) if known and len(known) == len(pulls) else None


def _thresholds(net: Net) -> Levels | None:
    volts = max((found for item in net.stations if (found := level(item)) is not None), default=None)
    if volts is None:
        return None
    family = family_at(volts) or FAMILIES["CMOS"]
    return family.at(volts)


def _strap(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    for net in stack.signals:
        for station in net.stations:
            straps = [pin for pin in station.pins if _STRAP.search(f"{pin.function.word} {pin.purpose.word}")]
            if not straps:
                continue
            pin, pulls = straps[0], pulls_on(net)
            own = [item.way for item in pulls.found if item.layer is station.layer]
            wanted = {"high": "high", "low": "low"}.get(column(pin, "strap", "reset level").lower(), "")
            wanted = wanted or ({"up": "high", "down": "low"}.get(own[0], "") if own else "")
            what = f"level of the strap {station.layer.board.name}.{pin.name} at reset"
            if not wanted:
                yield Unmade(
                    what, "the level that it needs isn't stated", "a column Strap (high or low) in the pin map"
                )
                continue
            idle, levels, driven = _idle(pulls.found), _thresholds(net), early_driver(net)
            if driven is None and (idle is None or levels is None or pulls.unstated):
                yield Unmade(
                    what, "a pull's value or a board's pulls aren't stated", "Pull with a value (up 10k) on every board"
                )
                continue
            yield Made(what)
            if driven is not None:
                good, text = driven[2] == wanted, f"{driven[0].layer.board.name} drives it {driven[2]}; margin none"
            else:
                assert idle is not None
                assert levels is not None
                margin = levels.vil - idle if wanted == "low" else idle - levels.vih
                good = margin >= 0
                text = f"{listed(pulls)}: Σ(V/R) / Σ(1/R) = {amount(idle, 'V')}; margin {amount(margin, 'V')}"
            if good:
                continue
            others = [item for item in net.stations if item is not station]
            limit = "any" if levels is None else amount(levels.vil if wanted == "low" else levels.vih, "V")
            yield finding(
                rule,
                stack,
                [station.layer, *(item.layer for item in others)],
                [pin, *(item.contacts[0] for item in others)],
                subject=net.subject,
                message=f"the strap {pin.signal.raw} of {station.layer.board.name} needs {wanted} at reset "
                "and doesn't get it",
                arithmetic=text,
                limit=f"{'at most' if wanted == 'low' else 'at least'} {limit} at reset",
            )


RULES = (
    stack_rule(
        _strap,
        name="stack-boot-strap",
        title="A boot strap doesn't get its level at reset",
        severity="break",
        step="major",
        why="The controller reads its straps once, at reset, with whatever the whole stack does to them: it may start "
        "another program, or none.",
        how="The idle voltage of all boards' pulls, Σ(V/R) / Σ(1/R), against VIL or VIH; a contact that is driven at "
        "power-on decides alone. The level that is needed is in the column Strap, else the board's own pull.",
        remedy="Take the other board's pull off the strap, or make the own pull ten times stronger.",
        witness="A strap with 10k down meets 4k7 up on the next board: 2.24 V is no low.",
        source="JEDEC JESD8 input thresholds",
    ),
    stack_rule(
        _conflict,
        name="stack-pull-conflict",
        title="Two boards pull one signal opposite ways",
        severity="caution",
        step="minor",
        why="No board may pull a shared signal against another's pull: the others rely on it to stay off.",
        how="The pulls of all boards on the net; the idle voltage is Σ(V/R) / Σ(1/R).",
        remedy="Remove one of them; the board with the load decides.",
        witness="10k up meets 10k down: 1.65 V, neither low nor high.",
        source=PRACTICE,
    ),
)
