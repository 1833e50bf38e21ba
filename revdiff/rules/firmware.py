"""Rules of firmware contracts: what a release relies on, and what the board gives it."""

from __future__ import annotations

from functools import partial

from revdiff.design import Need, Pin, Reading
from revdiff.design.reading import compare_readings
from revdiff.rules.employments import Employment
from revdiff.rules.firmware_check import Details, check_needs, drives, needs_met, occupant_of, pin_is
from revdiff.rules.rule import Rule

OWN_DATA = "the firmware contract of the design"


def _lost(employment: Employment, need: Need, pins: list[Pin]) -> Details | None:
    if pins:
        return None
    return {
        "message": f"the firmware needs {need.signal.raw}; no pin of {employment.device} carries it",
        "arithmetic": f"{need.signal.raw} {need.pin.raw or 'on any pin'} → no pin",
        "limit": "every needed signal on one pin",
    }


def _moved(employment: Employment, need: Need, pins: list[Pin]) -> Details | None:
    if not pins or not need.pin or any(pin_is(need.pin, pin) for pin in pins):
        return None
    occupant = occupant_of(employment, need)
    if occupant is None:
        now = f"and pin {need.pin.raw} is gone"
    else:
        now = f"and pin {need.pin.raw} carries {occupant.signal.raw if occupant.signal else 'nothing'}"
    return {
        "message": f"the firmware has {need.signal.raw} on pin {need.pin.raw}; "
        f"the board has it on {pins[0].number}, {now}",
        "arithmetic": f"{need.pin.raw} → {pins[0].number}",
        "limit": "the pin that the firmware was built for",
        "hazard": drives(need) and occupant is not None and bool(occupant.signal),
        "origin_before": need.origin.of("pin"),
        "origin_after": pins[0].origin.of("pin"),
    }


def _differs(field: str, _employment: Employment, need: Need, pins: list[Pin]) -> Details | None:
    """A field that the need states and the pin gives otherwise."""
    wanted: Reading = getattr(need, field)
    given = [getattr(pin, field) for pin in pins]
    if not pins or not wanted or any(_serves(wanted, item) for item in given):
        return None
    name = {"active": "active level", "analog": "analog channel"}.get(field, field)
    return {
        "message": f"the firmware expects the {name} of {need.signal.raw} to be {wanted.raw}; "
        f"on the board it is {given[0].raw or 'not stated'}",
        "arithmetic": f"{wanted.raw} → {given[0].raw or 'nothing'}",
        "limit": "what the firmware was built for",
        "origin_before": need.origin.of(field),
        "origin_after": pins[0].origin.of(field),
    }


def _serves(wanted: Reading, given: Reading) -> bool:
    """Whether what is given is what is wanted, or may be. A pull wanted without a strength may have any."""
    if isinstance(wanted.meaning, tuple) and isinstance(given.meaning, tuple) and len(wanted.meaning) == 1:
        return wanted.meaning[0] == given.meaning[0]
    return compare_readings(wanted, given) != "different"


def _renamed(_employment: Employment, need: Need, pins: list[Pin]) -> Details | None:
    if not pins or pins[0].signal.word == need.signal.word:
        return None
    return {
        "message": f"{need.signal.raw} is called {pins[0].signal.raw} on the board: the source of the firmware is "
        "touched by that, a built firmware is not",
        "arithmetic": f"{need.signal.raw} → {pins[0].signal.raw}",
        "limit": "the name that the source uses",
        "origin_after": pins[0].origin.of("signal"),
    }


__all__ = ["RULES", "needs_met"]

RULES = (
    Rule(
        name="firmware-active-level",
        title="A signal that firmware needs is active at the other level",
        severity="break",
        audience="firmware",
        step="major",
        why="The pin and the name stay, so nothing warns: what was off is on, and what was on is off.",
        how="The active level in the contract is compared with the one in the pin map.",
        remedy="Invert the signal in a firmware release for this board, and let the firmware tell the boards apart.",
        witness="A pump driver that was enabled by a high level runs from power-on until firmware stops it.",
        source=OWN_DATA,
        check=partial(check_needs, partial(_differs, "active")),
        hazard=True,
    ),
    Rule(
        name="firmware-analog-channel",
        title="A signal that firmware measures is on another analog channel",
        severity="break",
        audience="firmware",
        step="major",
        why="The firmware measures another signal and takes it for this one, without an error.",
        how="The analog channel in the contract is compared with the one in the pin map.",
        remedy="Change the channel in a firmware release for this board.",
        witness="The battery reads what the current sensor says; the low-battery cut-off never comes.",
        source=OWN_DATA,
        check=partial(check_needs, partial(_differs, "analog")),
    ),
    Rule(
        name="firmware-direction",
        title="A signal that firmware needs has another direction",
        severity="break",
        audience="firmware",
        step="major",
        why="A pin that the firmware drives may now be driven by the board, and both outputs fight.",
        how="The direction in the contract is compared with the one in the pin map.",
        remedy="Change the direction in a firmware release for this board; until then don't run the old release on it.",
        witness="Firmware drives a reset line high that is now open drain and held low by a supervisor.",
        source=OWN_DATA,
        check=partial(check_needs, partial(_differs, "direction")),
        hazard=True,
    ),
    Rule(
        name="firmware-function",
        title="A signal that firmware needs has another peripheral function",
        severity="break",
        audience="firmware",
        step="major",
        why="The peripheral that the firmware sets up is not connected to this signal any more.",
        how="The function in the contract is compared with the one in the pin map.",
        remedy="Change the peripheral or its instance in a firmware release for this board.",
        witness="Firmware opens the second serial port; the receiver hangs on the third.",
        source=OWN_DATA,
        check=partial(check_needs, partial(_differs, "function")),
    ),
    Rule(
        name="firmware-level",
        title="A signal that firmware needs has another logic level",
        severity="caution",
        audience="firmware",
        step="minor",
        why="Thresholds, pulls and tolerances that the firmware sets may not fit any more.",
        how="The level in the contract is compared with the one in the pin map.",
        remedy="Check the pin's limits and the settings of the firmware.",
        witness="A 5 V flow meter on a 3.3 V input that is not tolerant.",
        source=OWN_DATA,
        check=partial(check_needs, partial(_differs, "level")),
    ),
    Rule(
        name="firmware-pin-moved",
        title="A signal that firmware needs is on another pin",
        severity="break",
        audience="firmware",
        step="major",
        why="Released firmware has the pin as a constant: it now drives or reads whatever took that place.",
        how="The pin in the contract is looked up in the pin map, by number or by port name.",
        remedy="Build a firmware release for this board; until then don't run the old release on it.",
        witness="The heater output of the old release switches the valve that took its pin.",
        source=OWN_DATA,
        check=partial(check_needs, _moved),
    ),
    Rule(
        name="firmware-pull",
        title="A signal that firmware needs has another pull",
        severity="caution",
        audience="firmware",
        step="minor",
        why="Until firmware runs, the pull alone decides the level; an input may now read the wrong way.",
        how="The pull in the contract is compared with the one in the pin map.",
        remedy="Check what the signal does at power-on, and the pull that the firmware sets.",
        witness="A button input floats, since the board's pull-up is gone.",
        source=OWN_DATA,
        check=partial(check_needs, partial(_differs, "pull")),
    ),
    Rule(
        name="firmware-signal-lost",
        title="A signal that firmware needs is gone",
        severity="break",
        audience="firmware",
        step="major",
        why="The firmware waits for, or drives, something that is not there.",
        how="Each needed signal is looked for in the pin map of the contract's device, renames allowed for.",
        remedy="Bring the signal back, or build a firmware release that does without it.",
        witness="Firmware waits for a card-detect input that no longer exists, and never mounts the card.",
        source=OWN_DATA,
        check=partial(check_needs, _lost),
    ),
    Rule(
        name="firmware-signal-renamed",
        title="A signal that firmware needs has another name",
        severity="info",
        audience="firmware",
        step="patch",
        why="A rename breaks the source that uses the name, and not the firmware that was built from it.",
        how="Renames are worked out from the pins and contacts that carry the signal in both revisions.",
        remedy="Rename it in the source of the next release.",
        witness="The build stops at an undefined pin name.",
        source=OWN_DATA,
        check=partial(check_needs, _renamed),
    ),
)
