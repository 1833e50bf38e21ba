"""Rules of stacking: whether inputs understand and stand the levels that drive them."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from revdiff.electrical.logic import Family, family_at, family_named, input_limit, margins
from revdiff.rules.rule import Rule
from revdiff.rules.stack_columns import column, level_of, tolerant, volts
from revdiff.rules.stack_model import Net, Stack, Station
from revdiff.rules.stack_scene import Made, Outcome, Unmade, amount, finding, stack_rule
from revdiff.rules.stack_signals import is_analog, level


def _family(station: Station) -> Family | None:
    stated = next((text for item in station.records if (text := column(item, "family", "logic family"))), "")
    if stated:
        return family_named(stated)
    supply = level(station)
    return family_at(supply) if supply is not None else None


def _levels(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    least = stack.policy.noise_margin
    for net in stack.signals:
        if is_analog(net):
            continue
        for driver, reader in _from_to(net):
            place = f"{driver.name}–{reader.name}"
            high, other = level(driver), level(reader)
            if high is None or other is None:
                lacking = driver if high is None else reader
                yield Unmade(
                    f"logic level from {driver.name} to {reader.name}",
                    f"no level at {lacking.name}",
                    "the column Level",
                )
                continue
            one, two = _family(driver), _family(reader)
            if (one is None or two is None) and abs(high - other) <= high / 10:
                yield Made(f"logic level {place}")  # one domain, whatever its family
                continue
            if one is None or two is None:
                lacking = driver if one is None else reader
                yield Unmade(
                    f"noise margin from {driver.name} to {reader.name}",
                    f"{amount(level(lacking) or Decimal(0), 'V')} at {lacking.name} can be TTL or CMOS",
                    "a column Family (TTL, LS, HC, HCT, CMOS, LVTTL …)",
                    essential=True,
                )
                continue
            yield Made(f"logic level {place}")
            out, into = one.at(_scaled(one, high)), two.at(_scaled(two, other))
            left = margins(out, into)
            if left.worst >= least:
                continue
            yield finding(
                rule,
                stack,
                (driver.layer, reader.layer),
                (driver.contacts[0], reader.contacts[0]),
                subject=place,
                message=f"{reader.layer.board.name} ({two.name}, {amount(other, 'V')}) can't be sure to understand "
                f"{driver.signal} of {driver.layer.board.name} ({one.name}, {amount(high, 'V')})",
                arithmetic=f"VOH − VIH = {amount(out.voh, 'V')} − {amount(into.vih, 'V')} = {amount(left.high, 'V')}; "
                f"VIL − VOL = {amount(into.vil, 'V')} − {amount(out.vol, 'V')} = {amount(left.low, 'V')}; "
                f"margin {amount(left.worst - least, 'V')}",
                limit=f"both at least {amount(least, 'V')}",
                source=f"{one.source}; {two.source}",
            )


def _scaled(family: Family, supply: Decimal) -> Decimal | None:
    """The supply that a family's thresholds are scaled to; the sheet's own where they are fixed."""
    return None if family.ratio == "none" and family.voh_drop is None else supply


def _from_to(net: Net) -> Iterator[tuple[Station, Station]]:
    for driver in net.stations:
        for reader in net.stations:
            if driver is not reader and driver.drives and reader.receives and not reader.drives:
                yield driver, reader


def _overvoltage(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    for net in stack.signals:
        for driver in net.stations:
            if not (driver.drives or _pulled(driver)):
                continue
            for reader in net.stations:
                if reader is driver or ("out" in reader.directions and not reader.passes):
                    continue
                yield from _stands(rule, stack, driver, reader)


def _pulled(station: Station) -> bool:
    """Whether a board lifts an open-drain line to its own level with a pull-up."""
    return any(isinstance(pin.pull.meaning, tuple) and pin.pull.meaning[0] == "up" for pin in station.pins)


def _stands(rule: Rule, stack: Stack, driver: Station, reader: Station) -> Iterator[Outcome]:
    high, own = level(driver), _own_level(reader)
    if high is None or own is None:
        return
    place = f"{driver.name}–{reader.name}"
    stated = [
        most
        for item in reader.records
        if (most := volts(item, "maximum", "absolute maximum", "max voltage")) is not None
    ]
    stands = [answer for item in reader.records if (answer := tolerant(item)) is not None]
    if stated:
        limit, source = min(stated), "the column Maximum of the design"
    elif high <= own:
        yield Made(f"highest voltage at {place}")
        return
    elif not stands:
        yield Unmade(
            f"whether {reader.name} stands {amount(high, 'V')}",
            f"its level is {amount(own, 'V')}, its limit isn't stated",
            "a column 5V tolerant or Maximum",
            essential=True,
        )
        return
    else:
        limit, source = input_limit(own, tolerant=all(stands))
    yield Made(f"highest voltage at {place}")
    if high <= limit:
        return
    yield finding(
        rule,
        stack,
        (driver.layer, reader.layer),
        (driver.contacts[0], reader.contacts[0]),
        subject=place,
        message=f"{driver.signal} of {driver.layer.board.name} is {amount(high, 'V')} high; "
        f"{reader.layer.board.name} stands {amount(limit, 'V')} there",
        arithmetic=f"limit − level = {amount(limit, 'V')} − {amount(high, 'V')}; margin {amount(limit - high, 'V')}",
        limit=amount(limit, "V"),
        source=source,
    )


def _own_level(reader: Station) -> Decimal | None:
    """The lowest stated level on the reading side: a pin's own supply counts more than the contact's."""
    found = [item for record in reader.records if (item := level_of(record)) is not None]
    return min(found, default=None)


RULES = (
    stack_rule(
        _levels,
        name="stack-logic-level",
        title="An input may not understand the level that drives it",
        severity="break",
        step="major",
        why="Between the thresholds an input may read either, or oscillate, on some boards and some days only.",
        how="VOH,min − VIH,min and VIL,max − VOL,max of the two families: the column Family where there is one, else "
        "the JEDEC family of the stated level. Within one domain of unknown family nothing is found.",
        remedy="Put a level translator between, or a receiver with TTL thresholds (HCT) where 3.3 V drives 5 V.",
        witness="A 3.3 V output (2.4 V at least) into 5 V CMOS (3.5 V needed): 1.1 V short.",
        source="JEDEC JESD8C.01, JESD8-5A.01, JESD8-7A; 74 series data sheets",
    ),
    stack_rule(
        _overvoltage,
        name="stack-overvoltage",
        title="An input gets more than it stands",
        severity="break",
        step="major",
        hazard=True,
        why="Above its absolute maximum an input conducts into the supply or breaks down; the board feeds itself "
        "through it, or dies. Most tolerance is gone while the board has no supply.",
        how="The level of the driving side against the column Maximum; else 5.5 V for a 5 V tolerant pin and its level "
        "+ 0.3 V for another.",
        remedy="Don't stack these. Add a divider, a translator or a series resistor that limits the current.",
        witness="A 5 V flow meter output meets a 3.3 V pin that isn't tolerant: 3.6 V − 5 V = −1.4 V.",
        source="STM32F103 data sheet, absolute maximum ratings",
    ),
)
