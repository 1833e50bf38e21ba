"""Pins out of a devicetree source: as a pin map, and as the needs of a firmware contract.

`gpios` properties and `gpio-line-names` name pins (Devicetree Specification v0.4; the kernel's gpio bindings); which
pin a controller and a number mean is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from revdiff.design import Origin
from revdiff.errors import DataFault
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import clean
from revdiff.readers.c_expression import TOKEN, Value, evaluate
from revdiff.readers.c_pins import tell_included
from revdiff.readers.contract_needs import FoundPin
from revdiff.readers.faults import Faults, counted
from revdiff.readers.grid import Grid
from revdiff.readers.source_fault import SourceFault
from revdiff.readers.tree import Cell, Node, Property, Tree, read_tree, specifiers

_BANK = pattern(r"gpio_?(?:port_?)?([a-z]|[0-9]{1,2})", re.IGNORECASE)
_FIELDS = ("signal", "port", "active", "pull", "direction", "note")
# The flags of a pin (the kernel's header of gpio bindings; from memory).
_FLAGS: Final[Mapping[str, int]] = {
    "GPIO_ACTIVE_HIGH": 0,
    "GPIO_ACTIVE_LOW": 1,
    "GPIO_PUSH_PULL": 0,
    "GPIO_OPEN_SOURCE": 2,
    "GPIO_OPEN_DRAIN": 6,
    "GPIO_PULL_UP": 16,
    "GPIO_PULL_DOWN": 32,
    "GPIO_PULL_DISABLE": 64,
}
_LOW, _UP, _DOWN = 1, 16, 32
_HOGS = {"output-high": "out", "output-low": "out", "input": "in"}
_MOST_LINES = 1000


class TreePin(Struct, frozen=True):
    """A pin: the controller and the line of it, and what the source says of it.

    ``labelled``: called after a node, since no line name, which names the signal, says more.
    """

    signal: str
    controller: str
    number: int
    line: int
    active: str = ""
    pull: str = ""
    direction: str = ""
    labelled: bool = False

    @property
    def port(self) -> str:
        """`PA5` for pin 5 of `gpioa`, `P0.13` for pin 13 of `gpio0`, `GPIO12` for pin 12 of `gpio`."""
        if found := _BANK.fullmatch(self.controller):
            bank = found[1].upper()
            return f"P{bank}{self.number}" if bank.isalpha() else f"P{int(bank)}.{self.number}"
        if self.controller.casefold() == "gpio":
            return f"GPIO{self.number}"
        return f"{self.controller.upper()}.{self.number}"

    @property
    def own(self) -> bool:
        """Whether the pin is one of the controller that runs the firmware, by what its bank is called."""
        return self.controller.casefold() == "gpio" or _BANK.fullmatch(self.controller) is not None


def devicetree_grid(text: str, file: str, how: str, faults: Faults) -> Grid:
    """The pins that a file names, as rows of signal, port, active level, pull, direction, comment.

    Raises DataFault for a file that can't be read, and where no property names a pin.
    """
    tree = read_tree(text, file)
    pins = pins_of_tree(tree, file, faults)
    if not pins:
        raise DataFault(
            f"{file}: found no property that names a pin, expected lines such as gpios = <&gpioa 5 GPIO_ACTIVE_LOW>;"
        )
    notes = tree.lines.comments
    rows = tuple(
        (item.line, [item.signal, item.port, item.active, item.pull, item.direction, clean(notes.get(item.line, ""))])
        for item in pins
    )
    return Grid(file, rows, f"{how}, devicetree", _FIELDS)


def pins_of_devicetree(text: str, file: str, port: str = "", faults: Faults | None = None) -> Iterator[FoundPin]:
    """Each pin of the controller's own banks. ``port``: its form, with {bank} and {line}; without it ``PB5``, ``P0.5``.

    Raises SourceFault.
    """
    faults = faults or Faults()
    tree = read_tree(text, file)
    pins = pins_of_tree(tree, file, faults)
    own = [item for item in pins if item.own]
    other = [item for item in pins if not item.own]
    if other and not own:
        message = f"no label of a node with line names tells its bank: {other[0].controller[:60]}"
        raise SourceFault(file, other[0].line, message)
    if other:
        faults.notice(
            "other-controller",
            f"{counted(len(other), 'pin')} left out, on what is no bank of the controller by its label",
            Origin(file, other[0].line),
            found=", ".join(dict.fromkeys(item.controller for item in other)),
            remedy="Label the node as gpioa or gpio0 if it is one.",
        )
    for item in own:
        bank = found[1] if (found := _BANK.fullmatch(item.controller)) else "0"
        name = port.replace("{bank}", bank.upper()).replace("{line}", str(item.number)) if port else item.port
        note = clean(tree.lines.comments.get(item.line, ""))
        yield FoundPin(item.signal, name, item.line, item.active, note, item.pull, item.direction, item.labelled)


def pins_of_tree(tree: Tree, file: str, faults: Faults) -> list[TreePin]:
    """One entry for each name of a pin; what a `gpios` property says of a pin with a line name goes to that one."""
    named: list[TreePin] = []
    used: list[TreePin] = []
    unread: list[tuple[int, str]] = []
    for node in tree.nodes:
        for item in node.properties.values():
            if item.name == "gpio-line-names":
                named += _line_names(node, item)
            elif item.name in ("gpio", "gpios") or item.name.endswith(("-gpio", "-gpios")):
                used += _hog(node, item, tree, unread) if "gpio-hog" in node.properties else _used(
                    node, item, tree, unread
                )  # fmt: skip
    _tell(tree, file, unread, faults)
    said: dict[tuple[str, int], list[TreePin]] = {}
    for pin in used:
        said.setdefault((pin.controller, pin.number), []).append(pin)
    places = {(pin.controller, pin.number) for pin in named}
    pins = [_with(pin, said.get((pin.controller, pin.number), ())) for pin in named]
    pins += [pin for pin in used if (pin.controller, pin.number) not in places]
    conditions = tree.lines.conditions
    conditional = [pin for pin in pins if pin.line in conditions]
    if conditional:
        faults.notice(
            "conditional",
            f"{counted(len(conditional), 'pin')} taken although under a condition, which isn't followed",
            Origin(file, conditional[0].line),
            found=f"{conditional[0].signal} under {conditions[conditional[0].line]}",
            remedy="If the condition doesn't hold for this board, give the source after the preprocessor.",
        )
    return sorted(pins, key=lambda pin: pin.line)


def _with(pin: TreePin, others: Sequence[TreePin]) -> TreePin:
    """The pin with what those that use it say alike."""

    def alike(values: set[str]) -> str:
        return next(iter(values)) if len(values) == 1 else ""

    return replace(
        pin,
        active=alike({item.active for item in others}),
        pull=alike({item.pull for item in others}),
        direction=alike({item.direction for item in others}),
    )


def _line_names(node: Node, item: Property) -> Iterator[TreePin]:
    """The lines of a controller by their names: the first text names line 0, an empty one an unused line."""
    controller = next((label for label in node.labels if _BANK.fullmatch(label)), node.called)
    for number, (text, line) in enumerate(item.texts):
        if text.strip():
            yield TreePin(text, controller, number, line)


def _used(node: Node, item: Property, tree: Tree, unread: list[tuple[int, str]]) -> Iterator[TreePin]:
    """The pins of a `gpios` property, called after the node, and after the property where that says more."""
    purpose = item.name.removesuffix("s").removesuffix("gpio").removesuffix("-")
    signal = f"{node.called}_{purpose}" if purpose else node.called
    parts = list(specifiers(item.cells))
    for index, (reference, cells) in enumerate(parts):
        name = signal if len(parts) == 1 else f"{signal}_{index}"
        number = _number(cells[0], tree).number if 0 < len(cells) < 3 else None
        if number is None or not 0 <= number < _MOST_LINES:
            unread.append((reference.line, _shown((reference, *cells))))
            continue
        active, pull = _flags(cells[1], tree) if len(cells) > 1 else ("", "")
        yield TreePin(name, reference.reference, number, reference.line, active, pull, labelled=True)
    if not parts and item.cells:
        unread.append((item.line, _shown(item.cells)))


def _hog(node: Node, item: Property, tree: Tree, unread: list[tuple[int, str]]) -> Iterator[TreePin]:
    """A pin that its controller itself holds (the kernel's gpio bindings, gpio-hog): no reference, and a direction."""
    number = _number(item.cells[0], tree).number if len(item.cells) == 2 else None
    if number is None or node.owner is None or not 0 <= number < _MOST_LINES:
        unread.append((item.line, _shown(item.cells)))
        return
    name = node.properties.get("line-name")
    signal = name.texts[0][0] if name is not None and name.texts and name.texts[0][0].strip() else node.called
    owner = next((label for label in node.owner.labels if _BANK.fullmatch(label)), node.owner.called)
    active, pull = _flags(item.cells[1], tree)
    direction = next((said for key, said in _HOGS.items() if key in node.properties), "")
    labelled = signal == node.called
    yield TreePin(signal, owner, number, item.cells[0].line, active, pull, direction, labelled)


def _shown(cells: Sequence[Cell]) -> str:
    return " ".join(" ".join(cell.words) for cell in cells)[:60]


def _number(cell: Cell, tree: Tree) -> Value:
    def look(name: str) -> Value | None:
        return Value(number=_FLAGS[name]) if name in _FLAGS else tree.macros.get(name)

    return evaluate(TOKEN.findall(" ".join(cell.words)), look)


def _flags(cell: Cell, tree: Tree) -> tuple[str, str]:
    """(active level, pull) of the flags; from the names among them where one isn't known."""
    number = _number(cell, tree).number
    if number is not None:
        pull = "up" if number & _UP else "down" if number & _DOWN else ""
        return ("low" if number & _LOW else "high"), pull
    words = " ".join(cell.words).upper()
    active = "low" if "ACTIVE_LOW" in words else "high" if "ACTIVE_HIGH" in words else ""
    return active, "up" if "PULL_UP" in words else "down" if "PULL_DOWN" in words else ""


def _tell(tree: Tree, file: str, unread: Sequence[tuple[int, str]], faults: Faults) -> None:
    own = {line: f'"{name}"' if not name.startswith('"') else name for line, name in tree.lines.included.items()}
    own |= {line: f'"{name}"' for line, name in tree.passed_over.items() if name.startswith("/")}
    tell_included(dict(sorted(own.items())), file, faults, "pins")
    macros = {line: name for line, name in tree.passed_over.items() if not name.startswith("/")}
    if macros:
        line, name = next(iter(macros.items()))
        faults.notice(
            "not-expanded",
            f"{counted(len(macros), 'line')} with a macro that stands for more than a number; what it names is missing",
            Origin(file, line),
            found=name,
            remedy="Give the source after the preprocessor.",
        )
    if unread:
        line, shown = unread[0]
        faults.notice(
            "not-worked-out",
            f"{counted(len(unread), 'pin')} left out: no reference to a controller with the number of a line and flags",
            Origin(file, line),
            found=shown,
            remedy="Give the source after the preprocessor, or name the pins in a table.",
        )
