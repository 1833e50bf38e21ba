"""Pin maps out of devicetree sources (Devicetree Specification v0.4): `gpios` properties and `gpio-line-names`.

Read as they stand: nothing is included, no macro is expanded, no overlay is applied; so a file that draws on
others tells only what it says itself. Which pin a controller and a number mean is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from revdiff.design import Origin
from revdiff.errors import DataFault
from revdiff.readers.faults import Faults
from revdiff.readers.grid import Grid
from revdiff.readers.source import MAX_TEXT, without_comments

_TOKEN = re.compile(
    r"(?<![\w,.+&-])(?:([A-Za-z_]\w{0,60}+)\s{0,20}+:\s{0,20}+)?"  # a node begins
    r"(&?[\w,.+-]{1,60}+(?:@[\w,]{1,40}+)?|/)\s{0,20}+\{"
    r"|(?<![\w,.+#-])([\w,.+#-]{1,64}+)(?:(?<=gpio)|(?<=gpios)|(?<=gpio-line-names))\s{0,20}+=([^;{}=]*+);"  # its pins
    r"|(\})"
    r"|(/incbin/|/include/|\#\s{0,20}include)"
)
_SPECIFIER = re.compile(r"&([A-Za-z_]\w{0,40}+)\s{1,20}+(?:0[xX]([0-9A-Fa-f]{1,2})|([0-9]{1,3}))\b([^<>&]{0,200})")
_LETTER = re.compile(r"gpio_?([a-k])", re.IGNORECASE)
_NUMBER = re.compile(r"gpio_?([0-9])", re.IGNORECASE)
_TEXT = re.compile(r'"([^"\n]{0,60})"')
_FIELDS = ("signal", "port", "active", "pull", "note")


def devicetree_grid(text: str, file: str, how: str, faults: Faults) -> Grid:
    """The pins that a file names, as rows of signal, port, active level, pull, comment.

    The signal is called after the node's label or name, and after the property where that says more than
    `gpios`. Raises DataFault for a file larger than MAX_TEXT, and where no property names a pin.
    """
    if len(text) > MAX_TEXT:
        raise DataFault(f"{file}: found a devicetree source of {len(text)} characters, expected {MAX_TEXT} at most.")
    bare, comments = without_comments(text.replace("\r\n", "\n").replace("\r", "\n"))
    rows = []
    for line, signal, port, flags in _pins(bare, file, faults):
        active = "low" if "ACTIVE_LOW" in flags else "high" if "ACTIVE_HIGH" in flags else ""
        if flags.isdecimal() and len(flags) < 4:  # as numbers: GPIO_ACTIVE_HIGH is 0, GPIO_ACTIVE_LOW is 1
            active = "low" if int(flags) & 1 else "high"
        pull = "up" if "PULL_UP" in flags else "down" if "PULL_DOWN" in flags else ""
        rows.append((line, [signal, port, active, pull, comments.get(line, "")]))
    if not rows:
        raise DataFault(
            f"{file}: found no property that names a pin, expected lines such as gpios = <&gpioa 5 GPIO_ACTIVE_LOW>;"
        )
    return Grid(file, tuple(rows), f"{how}, devicetree", _FIELDS)


def _pins(bare: str, file: str, faults: Faults) -> Iterator[tuple[int, str, str, str]]:
    """Line, signal, port and flags of every pin."""
    nodes: list[str] = []
    line, at = 1, 0
    told = False
    for token in _TOKEN.finditer(bare):
        line += bare.count("\n", at, token.start())
        at = token.start()
        label, node, name, value, end, include = token.groups()
        if node:
            nodes.append(label or node.partition("@")[0].strip("&/"))
        elif end:
            nodes[-1:] = []
        elif include:
            if not told:
                faults.notice(
                    "not-included",
                    "this file draws on others, which were not read",
                    Origin(file, line),
                    found=token[0],
                    remedy="Pins that only the other files name are missing here.",
                )
            told = True
        else:
            owner = nodes[-1] if nodes else "pin"
            named = _line_names(owner, value) if name == "gpio-line-names" else _specifiers(owner, name, value)
            for offset, signal, port, flags in named:
                place = token.start(4) + offset
                line += bare.count("\n", at, place)
                at = place
                yield line, signal, port, flags


def _specifiers(owner: str, name: str, value: str) -> Iterator[tuple[int, str, str, str]]:
    """The pins of a `gpios` property, each with its place in the property's value."""
    purpose = name.removesuffix("s").removesuffix("gpio").removesuffix("-")
    signal = f"{owner}_{purpose}" if purpose else owner
    found = list(_SPECIFIER.finditer(value))
    for index, item in enumerate(found):
        name = signal if len(found) == 1 else f"{signal}_{index}"
        pin = int(item[2], 16) if item[2] else int(item[3])
        yield item.start(), name, _port(item[1], pin), item[4].upper().strip()


def _line_names(owner: str, value: str) -> Iterator[tuple[int, str, str, str]]:
    """The lines of a controller by their names: the first text names line 0, an empty one an unused line."""
    for number, item in enumerate(_TEXT.finditer(value)):
        if item[1].strip():
            yield item.start(), item[1], _port(owner, number), ""


def _port(controller: str, pin: int) -> str:
    """`PA5` for pin 5 of `gpioa`, `P0.13` for pin 13 of `gpio0`, `GPIO12` for pin 12 of `gpio`."""
    if found := _LETTER.fullmatch(controller):
        return f"P{found[1].upper()}{pin}"
    if found := _NUMBER.fullmatch(controller):
        return f"P{found[1]}.{pin}"
    return f"GPIO{pin}" if controller.casefold() == "gpio" else f"{controller.upper()}.{pin}"
