"""What firmware may damage on a board that it wasn't built for: pin by pin, whatever the signals are called."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from functools import partial
from typing import Final

from revdiff.compare.devices import renamed
from revdiff.design import Need, Pin
from revdiff.design.sections import Controller
from revdiff.electrical.currents import PIN_LIMIT, PIN_SOURCE, contention
from revdiff.quantities.quantity import Quantity, show
from revdiff.rules.employments import Employment
from revdiff.rules.finding import Finding
from revdiff.rules.firmware_check import Details, check_new, drives, occupant_of
from revdiff.rules.firmware_roles import role_of
from revdiff.rules.rule import Rule
from revdiff.rules.situation import Situation

PRACTICE = "common practice, no source"
INPUT_LIMIT: Final = Decimal("4.0")
TOLERANT_LIMIT: Final = Decimal("5.5")
INPUT_SOURCE: Final = "STM32F405/407 data sheet DocID022152, tables 11 and 44"
_SUPPLIES = frozenset({"supply", "supply in", "supply out", "ground"})
_SAID = {"in": "an input", "analog in": "an analog input", "bidirectional": "a bus", "supply out": "a supply output"}
_DRIVEN = frozenset({"in", "bidirectional", "open drain"})


def _outputs(employment: Employment) -> Iterator[tuple[Need, Pin, bool]]:
    """Every need that the firmware drives, the pin of this board that it drives, whether its own signal is there."""
    for key, need in employment.contract.needs.items():
        pin = occupant_of(employment, need)
        if drives(need) and pin is not None and pin.signal:
            yield need, pin, pin.signal.word == employment.names.get(key, key)


def _controller(employment: Employment) -> Controller:
    return employment.design.sections.controller(employment.board.name, employment.device)


def _other_load(employment: Employment) -> Iterator[tuple[str, Details]]:
    """The old constant drives another load. Evaluated for every pin, so that no swap hides a member of a cycle."""
    controller = _controller(employment)
    for need, pin, own in _outputs(employment):
        if own or pin.direction.word in _SUPPLIES | _DRIVEN | {"analog in"}:
            continue
        what = f" ({pin.purpose.raw})" if pin.purpose else ""
        role = role_of(pin, controller)
        strap = f"; it is a {role} pin" if role else ""
        yield (
            f"pin {pin.number}",
            {
                "message": f"the firmware drives {need.signal.raw} through pin {pin.number}; on this board that is "
                f"{pin.signal.raw}{what}{_at_rest(need, pin)}{strap}",
                "arithmetic": f"pin {pin.number}: {need.signal.raw} → {pin.signal.raw}",
                "limit": "the load that the firmware was built for",
                "touched": (need.signal.raw, pin.signal.raw, pin.name),
                "origin_before": need.origin.of("pin"),
                "origin_after": pin.origin.of("signal"),
            },
        )


def _at_rest(need: Need, pin: Pin) -> str:
    """What the occupant does while the firmware thinks that its own signal is off."""
    rest = {"high": "low", "low": "high"}.get(need.active.word, "")
    if not rest or not pin.active:
        return ""
    on = pin.active.word == rest
    return f", which is {'on' if on else 'off'} while the firmware holds {need.signal.raw} off ({rest})"


def _opposed(employment: Employment) -> Iterator[tuple[str, Details, bool]]:
    """Every output of the firmware that meets another driver, and whether the current may exceed the pin's limit."""
    controller = _controller(employment)
    for need, pin, own in _outputs(employment):
        direction = pin.direction.word
        measured = direction == "analog in"
        if own and direction != "in" and not measured:
            continue
        if direction not in _DRIVEN | _SUPPLIES and not measured:
            continue
        if direction == need.direction.word:
            continue  # two open drains with a pull-up, or a bus that takes turns
        volts = _highest(employment, need, pin)
        current, worked = _current(volts, pin)
        limit = controller.output_current or PIN_LIMIT
        over = not measured and (current is None or current > limit)
        meets = "a measured voltage" if measured else "a supply" if direction in _SUPPLIES else "another driver"
        yield (
            f"pin {pin.number}",
            {
                "message": f"the firmware drives {need.signal.raw} through pin {pin.number}, where it meets {meets}: "
                f"{pin.signal.raw} is {_SAID.get(direction, direction)} on this board",
                "arithmetic": worked,
                "same": f"{need.signal.word} → {pin.signal.word} {direction}: {worked}",
                "limit": f"{show(Quantity(limit, 'A'))} for a pin",
                "source": _stated_by(controller) if controller.output_current else PIN_SOURCE,
                "touched": (need.signal.raw, pin.signal.raw, pin.name),
                "origin_before": need.origin.of("direction"),
                "origin_after": pin.origin.of("direction"),
            },
            over,
        )


def _highest(employment: Employment, need: Need, pin: Pin) -> Decimal | None:
    """V: the highest level that is stated for the signal or its pin, else the controller's supply."""
    stated = [item.quantity for item in (need.level, pin.level)]
    if not any(stated):
        supplies = [item for item in employment.board.pins.values() if item.device == employment.device]
        stated = [item.level.quantity for item in supplies if item.direction.word in ("supply", "supply in")]
    volts = [item.magnitude for item in stated if item is not None and item.unit == "V"]
    return max(volts, default=None)


def _current(volts: Decimal | None, pin: Pin) -> tuple[Decimal | None, str]:
    """A at opposite levels, bounded by the series resistance alone; None where nothing bounds it."""
    series = pin.resistance.quantity
    across = show(Quantity(volts, "V")) if volts is not None else "a level that is not stated"
    if series is None or series.unit not in ("Ω", "") or series.magnitude <= 0:
        return None, f"{across} / 0 Ω (no series resistance is stated): nothing limits the current"
    if volts is None:
        return None, f"{across} / {show(Quantity(series.magnitude, 'Ω'))}"
    current = contention(volts, series.magnitude)
    assert current is not None
    shown = show(Quantity(round(current, 5), "A"))
    return current, f"{across} / {show(Quantity(series.magnitude, 'Ω'))} = {shown}"


def _contention(wanted: bool, employment: Employment) -> Iterator[tuple[str, Details]]:
    for subject, details, over in _opposed(employment):
        if over == wanted:
            yield subject, details


def _overstressed(rule: Rule, situation: Situation) -> Iterator[Finding]:
    """A pin that sees a higher level than it tolerates, and did not before."""
    old_sections, new_sections = situation.old.sections, situation.new.sections
    for name, board in situation.new.boards.items():
        before = situation.old.boards.get(name)
        devices = {now: was for was, now in situation.comparison.devices.get(name, {}).items()}
        for pin in board.pins.values():
            excess = _excess(pin, new_sections.controller(name, pin.device))
            if excess is None:
                continue
            device = renamed(devices, pin.device)
            was = before.pins.get((device, pin.number)) if before is not None else None
            if was is not None and _excess(was, old_sections.controller(name, device)) == excess:
                continue
            level, limit, source = excess
            over = show(Quantity(level - limit, "V"))
            yield rule.found(
                parties=situation.both(name),
                subject=pin.name,
                message=f"{pin.signal.raw or 'the pin'} is at {show(Quantity(level, 'V'))}; pin {pin.number} takes "
                f"{show(Quantity(limit, 'V'))}",
                arithmetic=f"{show(Quantity(level, 'V'))} − {show(Quantity(limit, 'V'))} = {over} too much",
                limit=show(Quantity(limit, "V")),
                source=source,
                changes=situation.changes_at(name, pin.name, pin.signal.raw),
                origin_before=was.origin.of("level") if was is not None else None,
                origin_after=pin.origin.of("level"),
            )


def _excess(pin: Pin, controller: Controller) -> tuple[Decimal, Decimal, str] | None:
    """(level, limit, source) of a pin whose stated level is above what it takes. Tolerance is lost in analog mode."""
    level = pin.level.quantity
    if level is None or level.unit != "V" or pin.direction.word in _SUPPLIES or pin.tolerant.meaning is None:
        return None
    tolerant = pin.tolerant.meaning is True and pin.direction.word not in ("analog in", "analog out")
    stated = controller.tolerant_limit if tolerant else controller.input_limit
    limit = stated or (TOLERANT_LIMIT if tolerant else INPUT_LIMIT)
    source = _stated_by(controller) if stated else INPUT_SOURCE
    return (level.magnitude, limit, source) if level.magnitude > limit else None


def _stated_by(controller: Controller) -> str:
    return controller.source or "the design's manifest"


RULES = (
    Rule(
        name="firmware-drives-other-load",
        title="Firmware drives another load than it was built for",
        severity="break",
        audience="firmware",
        step="major",
        why="The pin number is a constant in the firmware. Whatever carries that pin now is switched in the place of "
        "what the firmware means: a heater for a lamp, a pump for a valve.",
        how="For every output of the contract, the signal that this board has on that pin; each pin on its own, also "
        "where signals trade places. Then the level that the firmware holds at rest against the active level there.",
        remedy="Don't run this firmware on this board. Build a release for it that checks which board it runs on.",
        witness="The blinking status lamp of the old release switches the heater on and off.",
        source=PRACTICE,
        check=partial(check_new, _other_load),
        hazard=True,
    ),
    Rule(
        name="firmware-output-contention",
        title="Firmware drives a pin against another driver, beyond the pin's limit",
        severity="break",
        audience="firmware",
        step="major",
        why="Two outputs at opposite levels are a short circuit: only series resistance limits the current, and the "
        "weaker output stage is destroyed, sometimes slowly.",
        how="Where the firmware has an output and the board an input, a bus or a supply: the highest level over the "
        "stated series resistance, the outputs' own resistance left out, against the current that a pin may carry. "
        "Two open drains don't fight.",
        remedy="Don't run this firmware on this board. A series resistor of level / limit makes the pin survive it.",
        witness="At 3.3 V and 100 Ω two outputs drive 33 mA through each other; the pin is made for 25 mA.",
        source="STM32F405/407 data sheet DocID022152, table 12, unless the manifest names another limit",
        check=partial(check_new, partial(_contention, True)),
        hazard=True,
    ),
    Rule(
        name="firmware-output-opposed",
        title="Firmware drives a pin against another source, within the pin's limit",
        severity="caution",
        audience="firmware",
        step="minor",
        why="Nothing is destroyed, but the level is neither one thing nor the other, and the current flows on and on.",
        how="As for firmware-output-contention, where the series resistance keeps the current within the limit, and "
        "where the firmware drives a voltage that the board measures.",
        remedy="Make the pin an input in a firmware release for this board.",
        witness="A measured battery voltage reads 3.3 V, since the firmware drives the input.",
        source="STM32F405/407 data sheet DocID022152, table 12, unless the manifest names another limit",
        check=partial(check_new, partial(_contention, False)),
    ),
    Rule(
        name="firmware-pin-overstressed",
        title="A pin sees a higher voltage than it tolerates",
        severity="break",
        audience="firmware",
        step="major",
        why="Above its limit a pin conducts into the supply or breaks down, whatever the firmware does.",
        how="The stated level of the signal minus what the pin takes: 5.5 V where it is stated to be 5 V tolerant and "
        "not used for measuring, else 4.0 V, or what the manifest says of the controller.",
        remedy="Divide or shift the level, or move the signal to a pin that tolerates it.",
        witness="A 5 V flow meter on a pin that isn't 5 V tolerant.",
        source="STM32F405/407 data sheet DocID022152, tables 11 and 44, unless the manifest names other limits",
        check=_overstressed,
        hazard=True,
    ),
)
