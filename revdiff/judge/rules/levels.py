"""Levels: what is given is understood, and stood."""

from __future__ import annotations

from decimal import Decimal

from revdiff.electrical.logic import margins
from revdiff.judge.fact import Ask, unknown
from revdiff.judge.items import SILENT, Reach, directed, reaches
from revdiff.judge.rule import FINE, Item, Margin, Rule
from revdiff.judge.side import LEVEL, SideFacts, show


def _understood(ask: Ask, item: Item) -> Margin | None:
    driver: SideFacts
    reader: SideFacts
    driver, reader = item.what
    high, own = ask(driver.level), ask(reader.own_level)
    alike = abs(high - own) <= high / 10
    if alike and (driver.family.value is None or reader.family.value is None):
        if driver.family.value is not reader.family.value:
            ask(unknown("the column Family of both sides"))
        return FINE  # one domain, whatever its family
    out, into = ask(driver.thresholds), ask(reader.thresholds)
    one, two = ask(driver.family), ask(reader.family)
    if alike and one.name == two.name:
        return FINE  # a family understands itself
    left = margins(out, into)
    least = driver.node.node.arrangement.policy.noise_margin
    message = (
        f"{reader.member.name} ({two.name}, {show(own, 'V')}) can't be sure to understand "
        f"{driver.driver} ({one.name}, {show(high, 'V')})"
    )
    figures = (
        f"VOH − VIH = {show(out.voh, 'V')} − {show(into.vih, 'V')} = {show(left.high, 'V')}; "
        f"VIL − VOL = {show(into.vil, 'V')} − {show(out.vol, 'V')} = {show(left.low, 'V')}"
    )
    return Margin(left.worst - least, message, figures, f"both at least {show(least, 'V')}")


def _stood(ask: Ask, item: Item) -> Margin | None:
    reach: Reach = item.what
    if reach.how == SILENT:
        ask(unknown(f"the column Pull of {reach.source.member.name}, or boards.NAME.pulls"))
    if reach.volts is None:
        ask(unknown(LEVEL, essential=len(reach.taker.node.sides) > 1))
        return None
    limit = ask(reach.taker.stands(reach.volts))
    message = (
        f"{reach.source.member.name} {reach.how}: {reach.source.signal} reaches {show(reach.volts, 'V')}; "
        f"{reach.taker.member.name} stands {show(limit, 'V')} there"
    )
    left = limit - reach.volts
    figures = f"limit − level = {show(limit, 'V')} − {show(reach.volts, 'V')}; margin {show(left, 'V')}"
    if left < 0 and reach.taker.family.value is None and limit < Decimal(0):
        return None
    return Margin(left, message, figures, show(limit, "V"))


RULES = (
    Rule(
        name="stack-logic-level",
        about=("level",),
        title="An input may not understand the level that drives it",
        audience="stacking",
        step="major",
        over=directed,
        margin=_understood,
        danger="break",
        needs=("Level", "Family"),
        why="Between the thresholds an input may read either, or oscillate, on some boards and some days only.",
        how="VOH,min − VIH,min and VIL,max − VOL,max of the two families at their supplies: the column Family where "
        "there is one, else the JEDEC family of the stated level. Within one domain of one family nothing is found.",
        remedy="Put a level translator between, or a receiver with TTL thresholds (HCT) where 3.3 V drives 5 V.",
        witness="A 3.3 V output (2.4 V at least) into 5 V CMOS (3.5 V needed): 1.1 V short.",
        source="JEDEC JESD8C.01, JESD8-5A.01, JESD8-7A; 74 series data sheets",
    ),
    Rule(
        name="stack-overvoltage",
        about=("level", "pull"),
        title="An input gets more than it stands",
        audience="stacking",
        step="major",
        over=reaches,
        margin=_stood,
        danger="hazard",
        needs=("Level", "Maximum", "5V tolerant"),
        why="Above its absolute maximum an input conducts into the supply or breaks down; the board feeds itself "
        "through it, or dies. Most tolerance is gone while the board has no supply.",
        how="Everything that lifts the node, outputs and pull-ups by the voltage of their rail, against what the input "
        "is stated to stand: the column Maximum, the controller's limits, 5V tolerant. Where nothing is stated and the "
        "voltage is above the input's own level, nobody can tell.",
        remedy="Don't stack these. Add a divider, a translator or a series resistor that limits the current.",
        witness="A 5 V flow meter output meets a 3.3 V pin that isn't tolerant.",
        source="what the design states of the input",
    ),
)
