"""Pins with a part in starting, resetting or debugging a controller, and when one gets another use."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from revdiff.compare.devices import renamed
from revdiff.design import Pin
from revdiff.design.sections import Controller
from revdiff.judge.fact import Ask
from revdiff.judge.revisions import Revisions
from revdiff.judge.rule import ChangeRule, Item, Margin, holds
from revdiff.quantities.pattern import pattern
from revdiff.quantities.ports import port_line
from revdiff.quantities.text import fold
from revdiff.readers.faults import counted

# What makers call these pins in port and function names. Common practice, no source.
_BY_NAME = {
    "boot-strap": pattern(r"(sys_)?boot[0-9]?|strap|(?<![a-z])[a-z]*_strap"),
    "reset": pattern(r"n?reset|n?re?se?t|rst_?n|mclr|run"),
    "debug": pattern(r"(sys_|debug_)?(swdio|swclk|swo|swd|jt(ms|ck|di|do|rst)[a-z_-]*|t(ms|ck|di|do)|n?j?trst|updi)"),
}
_SUPPLIES = {"supply": "supply", "supply in": "supply", "supply out": "supply", "ground": "ground"}
_LISTED = 4  # pins that are named
_STRAP_NOTE = pattern(r"\bboot[0-9]?\b|\bboot[ -]?strap|\bstrap\b")


def role_of(pin: Pin, controller: Controller) -> str:
    """``boot-strap``, ``reset``, ``debug``, or an empty text: as the manifest says, else as the pin map calls it."""
    return _role_of_place(pin, controller) or _role_of_use(pin)


def _role_of_place(pin: Pin, controller: Controller) -> str:
    """The role of the pin itself, whatever it carries: listed in the manifest, or so called by the maker."""
    names = {fold(pin.number), fold(pin.name), pin.port.word}
    declared = {"boot-strap": controller.boot, "reset": controller.reset, "debug": controller.debug}
    return next((role for role, pins in declared.items() if names & pins), "") or _called(pin.port.word)


def _role_of_use(pin: Pin) -> str:
    """The role that the pin map gives to what the pin carries."""
    if role := _called(pin.function.word):
        return role
    return "boot-strap" if any(_STRAP_NOTE.search(text) for text in (pin.purpose.word, pin.note.word)) else ""


def _called(text: str) -> str:
    return next((role for role, pattern in _BY_NAME.items() if text and pattern.fullmatch(text)), "")


def _with_role(roles: tuple[str, ...], revisions: Revisions) -> Iterator[Item]:
    """Every pin that had the role and carries a signal now. What pins are is the old revision's word."""
    for name, board in revisions.old.boards.items():
        if name not in revisions.new.boards:
            continue
        old, new = revisions.both(name)
        devices = revisions.comparison.devices.get(name, {})
        for pin in board.pins.values():
            role = role_of(pin, revisions.old.sections.controller(name, pin.device))
            now = new.board.pins.get((renamed(devices, pin.device), pin.number))
            if role in roles and now is not None and now.signal:
                same = revisions.comparison.renames.of(name, pin.signal.word) == now.signal.word
                kept = _role_of_use(now) == role or (same and now.function == pin.function)
                changes = revisions.touching(
                    (name, item) for item in (pin.name, now.name, pin.signal.raw, now.signal.raw)
                )
                what = (role, pin, now, kept)
                yield Item(now.name, (name, pin.name), (new,), ((old, pin), (new, now)), what, changes=changes)


def _other_ports(revisions: Revisions) -> Iterator[Item]:
    """The pins of one controller, with a signal in either revision, that have another port under their number."""
    replaced = {name for change in revisions.of_kind("pin.controller") for name in change.boards}
    for name in revisions.old.boards.keys() & revisions.new.boards.keys() - replaced:
        old, new = revisions.both(name)
        devices = revisions.comparison.devices.get(name, {})
        found: dict[str, list[tuple[Pin, Pin]]] = {}
        for pin in old.board.pins.values():
            now = new.board.pins.get((renamed(devices, pin.device), pin.number))
            if now is not None and (pin.signal or now.signal):
                ports = port_line(pin.port.raw), port_line(now.port.raw)
                supplies = _SUPPLIES.get(pin.direction.word), _SUPPLIES.get(now.direction.word)
                if any(None not in both and both[0] != both[1] for both in (ports, supplies)):
                    found.setdefault(now.device, []).append((pin, now))
        for device, pins in found.items():
            records = [entry for pin, now in pins for entry in ((old, pin), (new, now))]
            told = revisions.touching((name, one.name) for pair in pins for one in pair)
            yield Item(f"{name}.{device}", (name, device), (old, new), tuple(records), pins, changes=told)


def _same_port(_ask: Ask, item: Item) -> Margin | None:
    told = [f"{pin.number} was {_place(pin)} and is {_place(now)}" for pin, now in item.what]
    more = f" and {len(told) - _LISTED} more" if len(told) > _LISTED else ""
    kept = "a controller's pins keep their ports and supplies, so that one of the two maps is wrong"
    return holds(False, f"{kept}: {', '.join(told[:_LISTED])}{more}", f"{counted(len(told), 'pin')} otherwise")


def _place(pin: Pin) -> str:
    return f"{pin.port.raw} ({pin.signal.raw})" if pin.direction.word in _SUPPLIES else pin.port.raw


def _given_away(_ask: Ask, item: Item) -> Margin | None:
    role, pin, now, kept = item.what
    was = pin.signal.raw or pin.port.raw
    message = f"the {role} pin {pin.said}, {was}, carries {now.signal.raw} now: {_EFFECT[role]}"
    return holds(kept, message, f"{was} → {now.signal.raw}")


_EFFECT = {
    "boot-strap": "its level at power-on decides what the controller starts, and comes from that signal now",
    "reset": "what moves that signal can reset the controller, and nothing else can",
    "debug": "while it has that use nobody can program or debug the board through it",
}


RULES = (
    ChangeRule(
        name="firmware-debug-pin-reused",
        title="A debug pin was put to other use",
        audience="firmware",
        step="minor",
        over=partial(_with_role, ("debug",)),
        margin=_given_away,
        danger="caution",
        needs=("Function or Port of the pin map", "debug in [controllers.BOARD.DEVICE]"),
        why="While the pin has its other use nobody can program or debug the board, or the use is disturbed by it.",
        how="Pins called as debug pins are, or listed under debug in the manifest, are followed by their number.",
        remedy="Say how the board is programmed now; set the pin to its other use only late in the start.",
        witness="After the first start the probe doesn't connect any more.",
    ),
    ChangeRule(
        name="firmware-port-changed",
        about=("port", "swapped", "moved", "signal"),
        title="A pin has another port, or is a supply in the place of ground",
        audience="firmware",
        step="major",
        over=_other_ports,
        margin=_same_port,
        danger="doubt",
        needs=("Pin and Port of the pin map",),
        why="Firmware drives ports. Whether it is the number or the port that is wrong, it may drive another load.",
        how="Ports, supplies and grounds of pins that carry a signal, by their numbers, in both revisions; another "
        "controller has others.",
        remedy="Look it up in the data sheet of the controller, and correct the pin map.",
        witness="Two ports traded places in the table; the pump's line is the valve's by one reading.",
    ),
    ChangeRule(
        name="firmware-start-pin-reused",
        title="A boot-strap or reset pin was put to other use",
        audience="firmware",
        step="major",
        over=partial(_with_role, ("boot-strap", "reset")),
        margin=_given_away,
        danger="break",
        needs=("Function or Port of the pin map", "boot and reset in [controllers.BOARD.DEVICE]"),
        why="The level at power-on now comes from a signal that was not there: the controller may start its boot "
        "loader, another memory, or not at all.",
        how="Pins called as strap and reset pins are, or listed under boot and reset in the manifest, are followed by "
        "their number; a strap that a note names counts, too.",
        remedy="Move the signal, or show the level of the strap at reset with every board of the stack.",
        witness="A pull-up on the board above holds the strap high, and the controller waits in its boot loader.",
    ),
)
