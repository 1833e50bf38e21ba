"""Pins with a part in starting, resetting or debugging a controller: which they are, and when one gets another use."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import partial

from revdiff.compare.devices import renamed
from revdiff.design import Pin
from revdiff.design.sections import Controller
from revdiff.quantities.text import fold
from revdiff.rules.finding import Finding
from revdiff.rules.rule import Rule
from revdiff.rules.situation import Situation

PRACTICE = "common practice, no source"
# What makers call these pins in port and function names. Common practice, no source.
_BY_NAME = {
    "boot-strap": re.compile(r"(sys_)?boot[0-9]?|strap|(?<![a-z])[a-z]*_strap"),
    "reset": re.compile(r"n?reset|n?re?se?t|rst_?n|mclr|run"),
    "debug": re.compile(
        r"(sys_|debug_)?(swdio|swclk|swo|swd|jt(ms|ck|di|do|rst)[a-z_-]*|t(ms|ck|di|do)|n?j?trst|updi)"
    ),
}
_STRAP_NOTE = re.compile(r"\bboot[0-9]?\b|\bboot[ -]?strap|\bstrap\b")


def role_of(pin: Pin, controller: Controller) -> str:
    """``boot strap``, ``reset``, ``debug``, or an empty text: as the manifest says, else as the pin map calls it."""
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


def _given_away(roles: tuple[str, ...], rule: Rule, situation: Situation) -> Iterator[Finding]:
    """A pin that had the role, and whose signal is another one now."""
    sections = situation.old.sections
    for name, board in situation.old.boards.items():
        later = situation.new.boards.get(name)
        if later is None:
            continue
        devices = situation.comparison.devices.get(name, {})
        for pin in board.pins.values():
            role = role_of(pin, sections.controller(name, pin.device))
            device = renamed(devices, pin.device)
            now = later.pins.get((device, pin.number))
            if role not in roles or now is None or not now.signal:
                continue
            same = situation.comparison.renames.of(name, pin.signal.word) == now.signal.word
            if _role_of_use(now) == role or (same and now.function == pin.function):
                continue
            was = pin.signal.raw or pin.port.raw
            yield rule.found(
                parties=situation.both(name),
                subject=now.name,
                message=f"the {role} pin {pin.number} ({was}) carries {now.signal.raw} now",
                arithmetic=f"{was} → {now.signal.raw}",
                limit=f"a {role} pin for nothing else",
                changes=situation.changes_at(name, pin.name, now.name, pin.signal.raw, now.signal.raw),
                origin_before=pin.origin.of("signal"),
                origin_after=now.origin.of("signal"),
            )


RULES = (
    Rule(
        name="firmware-debug-pin-reused",
        title="A debug pin was put to other use",
        severity="caution",
        audience="firmware",
        step="minor",
        why="While the pin has its other use nobody can program or debug the board, or the use is disturbed by it.",
        how="Pins called as debug pins are, or listed under debug in the manifest, are followed by their number.",
        remedy="Say how the board is programmed now; set the pin to its other use only late in the start.",
        witness="After the first start the probe doesn't connect any more.",
        source=PRACTICE,
        check=partial(_given_away, ("debug",)),
    ),
    Rule(
        name="firmware-start-pin-reused",
        title="A boot-strap or reset pin was put to other use",
        severity="break",
        audience="firmware",
        step="major",
        why="The level at power-on now comes from a signal that was not there: the controller may start its boot "
        "loader, another memory, or not at all.",
        how="Pins called as strap and reset pins are, or listed under boot and reset in the manifest, are followed by "
        "their number; a strap that a note names counts, too.",
        remedy="Move the signal, or show the level of the strap at reset with every board of the stack.",
        witness="A pull-up on the board above holds the strap high, and the controller waits in its boot loader.",
        source=PRACTICE,
        check=partial(_given_away, ("boot-strap", "reset")),
    ),
)
