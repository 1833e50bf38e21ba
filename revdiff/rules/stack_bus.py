"""Rules of stacking: which nets make up a bus, and selects that several boards listen to."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from revdiff.design.sections import Bus
from revdiff.electrical.i2c import Mode, mode_for
from revdiff.quantities.text import fold
from revdiff.rules.contacts import PRACTICE
from revdiff.rules.rule import Rule
from revdiff.rules.stack_joints import Layer
from revdiff.rules.stack_model import Net, Stack
from revdiff.rules.stack_scene import Made, Outcome, finding, signed, stack_rule

_LINE = re.compile(r"^(.*?)[_ ]?(scl|sda)[_ ]?(.*)$")
_SELECT = re.compile(r"(?:^|_)n?(?:ss|cs|ce)n?\d*(?:_n|#|_b)?$")


@dataclass(frozen=True)
class StackBus:
    """One I2C bus over a stack: its lines, and what the manifest says about it (None where it says nothing)."""

    name: str
    lines: tuple[Net, ...]
    stated: Bus | None

    @property
    def mode(self) -> Mode | None:
        """Of the stated speed."""
        return mode_for(self.stated.speed) if self.stated is not None and self.stated.speed is not None else None

    @property
    def layers(self) -> tuple[Layer, ...]:
        """The boards on it."""
        found = {item.layer.label: item.layer for net in self.lines for item in net.stations}
        return tuple(found.values())


def i2c_buses(stack: Stack) -> tuple[StackBus, ...]:
    """The I2C buses of a stack: as the manifest groups their lines, else by the names of SCL and SDA lines."""
    stated = [bus for layer in stack.layers[:1] for bus in layer.design.sections.buses]
    groups: dict[str, list[Net]] = {}
    for net in stack.signals:
        words = {word for station in net.stations for word in station.words}
        bus = next((item for item in stated if words & set(item.signals)), None)
        line = _LINE.match(sorted(words)[0])
        functions = " ".join(item.function.word for item in net.records())
        if line is None and "i2c" not in functions:
            continue
        name = bus.name if bus is not None else (f"{line[1]}{line[3]}".upper() if line is not None else "") or "I2C"
        groups.setdefault(name, []).append(net)
    by_name = {fold(item.name): item for item in stated}
    return tuple(StackBus(name, tuple(nets), by_name.get(fold(name))) for name, nets in sorted(groups.items()))


def _selects(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    for net in stack.signals:
        functions = " ".join(item.function.word for item in net.records())
        if "select" not in functions and not any(_SELECT.search(word) for item in net.stations for word in item.words):
            continue
        yield Made(f"who {net.subject} selects")
        selected = [item for item in net.stations if item.receives]
        if len(selected) < 2:
            continue
        yield finding(
            rule,
            stack,
            [item.layer for item in selected],
            [item.contacts[0] for item in selected],
            subject="–".join(item.name for item in selected),
            message=f"{net.name} selects {' and '.join(item.layer.board.name for item in selected)} at once",
            arithmetic=f"{len(selected)} boards selected; margin {signed(1 - len(selected))}",
            limit="1 board for each select",
        )


RULES = (
    stack_rule(
        _selects,
        name="stack-select-shared",
        title="One select line selects two boards",
        severity="break",
        step="major",
        why="Both boards answer on the same bus at once, with their outputs against each other.",
        how="Boards that read a select line (function select, or a name such as nSS, CS1) and don't just pass it on.",
        remedy="Give each board a select of its own; list the alternatives where it can be jumpered.",
        witness="Two radio boards in one stack both listen to RADIO_nSS.",
        source=PRACTICE,
    ),
)
