"""Firmware on a board: each need against the pin that the release was built for, and the one that has the signal."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal
from functools import partial

from revdiff.design import Need, Pin, Reading
from revdiff.design.reading import compare_readings
from revdiff.design.tables import PINS
from revdiff.electrical.currents import contention
from revdiff.judge.arrangement import Member
from revdiff.judge.fact import Ask, unknown
from revdiff.judge.facts import Facts, NodeFacts, Use, at_pin
from revdiff.judge.finding import Step
from revdiff.judge.items import uses
from revdiff.judge.rule import FINE, PRACTICE, Danger, Item, Margin, Record, Rule, holds
from revdiff.judge.rules.power_on import danger_of, told
from revdiff.judge.rules.roles import role_of
from revdiff.judge.side import pin_limit, show
from revdiff.quantities.text import fold

_OUTPUTS = frozenset({"out", "bidirectional", "open drain", "analog out"})
_DRIVEN = frozenset({"in", "bidirectional", "open drain", "analog in", "supply", "supply in", "supply out", "ground"})


def _of(item: Item) -> tuple[Use, Need, NodeFacts | None]:
    use, node = item.what
    return use, use.program.contract.needs[use.key], node


def _own(use: Use, pin: Pin) -> bool:
    return pin.signal.word == use.program.names.get(use.key, use.key)


def _lost(ask: Ask, item: Item) -> Margin | None:
    use, need, _ = _of(item)
    if not use.member.board.pins:
        ask(unknown(f"boards.{use.member.board.name}.pins", essential=True))
    if use.carrying:
        return FINE
    message = f"{use.program.contract.title} needs {need.signal.raw}; no pin of {use.program.device} carries it"
    return holds(False, message, f"{need.signal.raw} {need.pin.raw} → no pin")


def _renamed(_ask: Ask, item: Item) -> Margin | None:
    use, need, _ = _of(item)
    if not use.carrying:
        return None
    name = use.carrying[0].signal
    if name.word == need.signal.word:
        return FINE
    message = (
        f"{need.signal.raw} is called {name.raw} on the board: the source of {use.program.contract.title} no longer "
        "builds against its pin map; a built one runs as before"
    )
    return holds(False, message, f"{need.signal.raw} → {name.raw}")


def _constants(facts: Facts) -> Iterator[Item]:
    """Constants that the board's own release has, too, and no formula works out: those derived-constant judges."""
    members = {item.name: item for item in facts.arrangement.members}
    for program in facts.arrangement.programs:
        member = members[program.member]
        native = member.design.contracts.get(program.contract.key)
        worked_out = {item.constant for item in member.design.sections.derived.values()}
        for name, wanted in program.contract.constants.items() if native is not None else ():
            given = native.constants.get(name) if native is not None else None
            if given is not None and name not in worked_out:
                records: tuple[tuple[Member, Record], ...] = (
                    (member, program.contract),
                    (member, native or member.board),
                )
                key = (member.name, program.contract.key, name)
                what = (program, native, name, wanted, given)
                touched = ((member.board.name, program.contract.key),)
                yield Item(
                    f"{member.name}.{program.device}: {name}", key, (member,), records, what, (program,), touched
                )


def _constant(_ask: Ask, item: Item) -> Margin | None:
    program, native, name, wanted, given = item.what
    same = wanted == given or (wanted.quantity is not None and wanted.quantity == given.quantity)
    one, two = wanted.quantity, given.quantity
    known = one is not None and two is not None and one.unit == two.unit and one.magnitude
    ratio = f" (× {float(two.magnitude / one.magnitude):.4g})" if known else ""
    message = (
        f"{program.contract.title} has {name} = {wanted.raw}; {native.title}, the release for this board, has "
        f"{given.raw}: what is worked out with it is off"
    )
    return holds(same, message, f"{wanted.raw} → {given.raw}{ratio}")


def _moved(_ask: Ask, item: Item) -> Margin | None:
    use, need, _ = _of(item)
    if not use.carrying or not need.pin:
        return None
    pin = use.carrying[0]
    there = use.built_for
    if any(at_pin(need.pin, one) for one in use.carrying):
        return FINE
    now = (
        f"pin {need.pin.raw} is gone" if there is None else f"pin {there.said} carries {there.signal.raw or 'nothing'}"
    )
    message = (
        f"{use.program.contract.title} has {need.signal.raw} on pin {there.said if there else need.pin.raw}; "
        f"the board has it on pin {pin.said}, and {now}"
    )
    return holds(False, message, f"{there.said if there else need.pin.raw} → {pin.said}")


def _differs(field: str, _ask: Ask, item: Item) -> Margin | None:
    use, need, node = _of(item)
    wanted: Reading = getattr(need, field)
    given = [getattr(pin, field) for pin in use.carrying]
    if not wanted or not any(given):
        return None
    if wanted in given or any(_serves(wanted, one) for one in given):
        return FINE
    name = PINS.by_name[field].said
    load = node.load[1] if node is not None and node.load is not None and field == "active" else None
    message = (
        f"{use.program.contract.title} takes the {name} of {need.signal.raw} to be {wanted.raw}; it is {given[0].raw}"
    )
    runs = f": {load.what} is on while the firmware means off" if load is not None and load.stated else told(load)
    danger: Danger | None = danger_of(load) if field == "active" else None
    return holds(False, message + runs, f"{wanted.raw} → {given[0].raw}", danger=danger)


def _serves(wanted: Reading, given: Reading) -> bool:
    """Whether what is given is what is wanted, or may be. A pull wanted without a strength may have any."""
    if isinstance(wanted.meaning, tuple) and isinstance(given.meaning, tuple) and len(wanted.meaning) == 1:
        return wanted.meaning[0] == given.meaning[0]
    if given.word == "bidirectional" and wanted.word in ("in", "out", "open drain"):
        return True
    return compare_readings(wanted, given) != "different"


def _other_load(ask: Ask, item: Item) -> Margin | None:
    use, need, node = _of(item)
    pin = use.built_for
    if not need.direction and pin is not None and pin.signal and not _own(use, pin):
        ask(unknown("the column Direction of the needs, or of the pin map that they ship with"))
    if need.direction.word not in _OUTPUTS or pin is None or not pin.signal or pin.direction.word in _DRIVEN:
        return None
    if _own(use, pin):
        return FINE
    load = node.load[1] if node is not None and node.load is not None else None
    role = role_of(pin, use.arrangement.controller(use.member, pin.device))
    strap = f"; it is a {role} pin" if role else ""
    message = f"{_happens(use, need, pin, load.what if load is not None else '')}{strap}{told(load)}"
    return holds(False, message, f"pin {pin.said}: {need.signal.raw} → {pin.signal.raw}", danger=danger_of(load))


def _happens(use: Use, need: Need, pin: Pin, load: str) -> str:
    """What the occupant of the pin does when the firmware means its own signal."""
    title, meant = use.program.contract.title, need.signal.raw
    there = f"{pin.signal.raw} ({load})" if load and fold(load) not in pin.signal.word else pin.signal.raw
    levels = {need.active.word, pin.active.word}
    if levels == {"high", "low"}:
        return f"while {title} has {meant} off, pin {pin.said} switches {there} on; {meant} is not switched at all"
    if levels & {"high", "low"} or load:
        return f"when {title} switches {meant} on through pin {pin.said}, {there} goes on and {meant} does not"
    return f"what {title} sends as {meant} through pin {pin.said} goes to {there}, and {meant} gets nothing"


def _opposed(ask: Ask, item: Item) -> Margin | None:
    use, need, _ = _of(item)
    pin = use.built_for
    if need.direction.word not in _OUTPUTS or pin is None or not pin.signal:
        return None
    wanted, given = need.direction.word, pin.direction.word
    fights = given in _DRIVEN and given != wanted and not (_own(use, pin) and given not in ("in", "analog in"))
    if not fights or {given, wanted} <= {"open drain", "bidirectional"}:
        return FINE
    levels = [one.quantity.magnitude for one in (need.level, pin.level) if one.quantity is not None]
    series = pin.resistance.quantity.magnitude if pin.resistance.quantity is not None else Decimal(0)
    current = contention(max(levels), series) if levels else None
    stated = pin_limit(use.arrangement, use.member, pin.device)
    limit = ask(stated) if current is not None else stated.value or Decimal(0)
    over = given != "analog in" and (current is None or current > limit)
    amps = show(current, "A") if current is not None else "nothing limits the current"
    message = (
        f"{use.program.contract.title} drives {need.signal.raw} through pin {pin.said}, where {pin.signal.raw} is "
        f"{given} on this board: {amps}"
    )
    across = show(max(levels), "V") if levels else "a level that is not stated"
    figures = f"I = V / R = {across} / {show(series, 'Ω')}: {amps}"
    return holds(False, message, figures, f"{show(limit, 'A')} for a pin", "hazard" if over else "caution")


def _field(field: str) -> Callable[[Ask, Item], Margin | None]:
    return partial(_differs, field)


def _rule(
    name: str,
    title: str,
    margin: Callable[[Ask, Item], Margin | None],
    danger: Danger,
    *,
    about: tuple[str, ...] = (),
    silent: bool = False,
    **texts: str,
) -> Rule:
    steps: dict[Danger, Step] = {"info": "patch", "caution": "minor"}
    texts.setdefault("source", PRACTICE)
    texts.setdefault("needs", "a firmware contract, or the pin map that it ships with")
    return Rule(
        name=name,
        title=title,
        audience="firmware",
        step=steps.get(danger, "major"),
        over=uses,
        margin=margin,
        danger=danger,
        why=texts["why"],
        how=texts["how"],
        remedy=texts["remedy"],
        witness=texts["witness"],
        source=texts["source"],
        needs=(texts["needs"],),
        about=about,
        silent=silent,
    )


RULES = (
    _rule(
        "firmware-active-level",
        "A signal that firmware needs is active at the other level",
        _field("active"),
        "break",
        about=("active",),
        silent=True,
        why="The pin and the name stay, so nothing warns: what was off is on, and what was on is off.",
        how="The active level in the contract against the pin map. It can hurt where the signal switches a load.",
        remedy="Invert the signal in a firmware release for this board, and let the firmware tell the boards apart.",
        witness="A pump driver that was enabled by a high level runs from power-on until firmware stops it.",
    ),
    _rule(
        "firmware-analog-channel",
        "A signal that firmware measures is on another analog channel",
        _field("analog"),
        "break",
        about=("analog",),
        silent=True,
        why="The firmware measures another signal and takes it for this one, without an error.",
        how="The analog channel in the contract is compared with the one in the pin map.",
        remedy="Change the channel in a firmware release for this board.",
        witness="The battery reads what the current sensor says; the low-battery cut-off never comes.",
    ),
    _rule(
        "firmware-direction",
        "A signal that firmware needs has another direction",
        _field("direction"),
        "break",
        about=("direction",),
        why="A pin that the firmware drives may now be driven by the board, or nobody drives it.",
        how="The direction in the contract is compared with the one in the pin map.",
        remedy="Change the direction in a firmware release for this board; until then don't run the old release on it.",
        witness="Firmware drives a reset line high that is now open drain and held low by a supervisor.",
    ),
    _rule(
        "firmware-drives-other-load",
        "Firmware drives another load than it was built for",
        _other_load,
        "break",
        about=("moved", "swapped", "signal", "removed"),
        why="The pin number is a constant in the firmware. Whatever carries that pin now is switched in the place of "
        "what the firmware means: a heater for a lamp, a pump for a valve.",
        how="For every output of the contract, the signal that this board has on that pin; each pin on its own, also "
        "where signals trade places. It can hurt where that signal switches a load.",
        remedy="Don't let this firmware drive this board; build a release for it that checks which board it runs on.",
        witness="The blinking status lamp of the old release switches the heater on and off.",
    ),
    _rule(
        "firmware-function",
        "A signal that firmware needs has another peripheral function",
        _field("function"),
        "break",
        about=("function",),
        why="The peripheral that the firmware sets up is not connected to this signal any more.",
        how="The function in the contract is compared with the one in the pin map.",
        remedy="Change the peripheral or its instance in a firmware release for this board.",
        witness="Firmware opens the second serial port; the receiver hangs on the third.",
    ),
    _rule(
        "firmware-level",
        "A signal that firmware needs has another logic level",
        _field("level"),
        "caution",
        about=("level",),
        why="Thresholds, pulls and tolerances that the firmware sets may not fit any more.",
        how="The level in the contract is compared with the one in the pin map.",
        remedy="Check the pin's limits and the settings of the firmware.",
        witness="A 5 V flow meter on a 3.3 V input that is not tolerant.",
    ),
    _rule(
        "firmware-output-contention",
        "Firmware drives a pin against another driver",
        _opposed,
        "hazard",
        about=("direction", "moved", "swapped", "signal"),
        why="Two outputs at opposite levels are a short circuit: only series resistance limits the current. Beyond the "
        "pin's limit the weaker stage is destroyed, sometimes slowly; within it the level is valid for neither.",
        how="Where the firmware has an output and the board an input, a bus or a supply: the highest stated level over "
        "the series resistance, the outputs' own left out, against the current that a pin may carry.",
        remedy="Don't run this firmware on this board. A series resistor of level / limit makes the pin survive it.",
        witness="At 3.3 V and 100 Ω two outputs drive 33 mA through each other; the pin is made for 25 mA.",
        source="the controller's stated limit, else 25 mA: STM32F405/407 data sheet DocID022152, table 12",
    ),
    _rule(
        "firmware-pin-moved",
        "A signal that firmware needs is on another pin",
        _moved,
        "break",
        about=("moved", "swapped"),
        why="Released firmware has the pin as a constant: it now drives or reads whatever took that place.",
        how="The pin in the contract is looked up in the pin map, by number or by port name.",
        remedy="Build a firmware release for this board; until then don't run the old release on it.",
        witness="The heater output of the old release switches the valve that took its pin.",
    ),
    _rule(
        "firmware-pull",
        "A signal that firmware needs has another pull",
        _field("pull"),
        "caution",
        about=("pull",),
        why="The idle level is another one, or two pulls work against each other.",
        how="The pull in the contract is compared with the one in the pin map.",
        remedy="Check the idle level, and the pull that the firmware switches on.",
        witness="A button that the firmware expects pulled up is pulled down by the board: it reads as pressed.",
    ),
    _rule(
        "firmware-signal-lost",
        "A signal that firmware needs is gone",
        _lost,
        "break",
        about=("removed", "signal"),
        why="The firmware drives or reads a pin that isn't connected to what it means.",
        how="Every need of the contract is looked up in the pin map, renames allowed for.",
        remedy="Build a firmware release for this board that does without the signal.",
        witness="The fan that the firmware starts above 50 °C isn't connected any more.",
    ),
    _rule(
        "firmware-signal-renamed",
        "A signal that firmware needs has another name",
        _renamed,
        "info",
        about=("renamed",),
        why="A rename breaks the source that uses the name, and not the firmware that was built from it.",
        how="Renames are worked out from the pins and contacts that carry the signal in both revisions.",
        remedy="Rename it in the source of the next release.",
        witness="The build stops at an undefined pin name.",
    ),
    Rule(
        name="firmware-constant",
        title="The release for this board has a constant that this firmware has otherwise",
        audience="firmware",
        step="minor",
        over=_constants,
        margin=_constant,
        danger="caution",
        needs=("constants in [firmware.NAME]",),
        why="A scale that belongs to the board's resistors makes every reading wrong by the same factor, in silence.",
        how="The constants of the two releases are compared; with a formula in [derived.NAME] derived-constant judges.",
        remedy="Check whether the constant belongs to the board; if so, use the one of the release for the board.",
        witness="The current limit is off by a third since the sense resistor changed.",
    ),
)
