"""A pin map as a fragment of devicetree source: ``gpio-line-names`` for each bank (Devicetree Specification v0.4)."""

from __future__ import annotations

import re
from collections.abc import Sequence

from revdiff.errors import UsageFault
from revdiff.report.pins_c import c_comment
from revdiff.report.pins_table import ExportPin

_MOST_LINES = 100
_STEM = 25  # characters before "-gpios"


def to_fragment(board: str, device: str, revision: str, pins: Sequence[ExportPin], label: str = "gpio{}") -> str:
    """One node reference for each bank; ``label`` makes the controller's label from the bank (``gpiob``, ``gpio0``).

    Entry i names line i, an empty string an unused one. Pins whose port names no line are listed in a comment.
    Raises UsageFault where no pin has a line.
    """
    banks: dict[str, dict[int, str]] = {}
    left: list[str] = []
    for item in pins:
        if item.line is None or item.line[1] >= _MOST_LINES:
            left.append(f"{item.signal} on {item.pin}")
            continue
        bank, line = item.line
        banks.setdefault(bank, {})[line] = item.signal
    if not banks:
        raise UsageFault(
            f"no port name of {board}.{device} tells a bank and a line (PA5, P0.13, GPIO5): nothing to name."
        )
    lines = [f"/* Lines of {c_comment(f'{board}.{device} at {revision}')}; written by revdiff. */"]
    lines += [f"/* No line of a bank: {c_comment(text)} */" for text in left]
    for bank, names in sorted(banks.items()):
        lines += ["", f"&{label.format(bank)} {{", "\tgpio-line-names ="]
        entries = [dts_string(names.get(number, "")) for number in range(max(names) + 1)]
        lines += [f"\t\t{entry}{',' if number < len(entries) - 1 else ';'}" for number, entry in enumerate(entries)]
        lines.append("};")
    lines += _levels(pins, label)
    return "\n".join(lines) + "\n"


def _levels(pins: Sequence[ExportPin], label: str) -> list[str]:
    """A node with a property for each signal whose active level is stated: the line, and flag 1 where it is active low.

    Devicetree Specification v0.4, 2.2.4: names of properties have up to 31 characters. The flag is that of the usual
    bindings (dt-bindings/gpio/gpio.h, GPIO_ACTIVE_LOW), from memory.
    """
    lines: list[str] = []
    taken: set[str] = set()
    for item in pins:
        if item.line is None or item.line[1] >= _MOST_LINES or item.idle is None:
            continue
        bank, line = item.line
        stem = re.sub(r"[^a-z0-9]+", "-", item.signal.lower(), flags=re.ASCII).strip("-")[:_STEM] or "x"
        name, count = stem, 1
        while name in taken:
            count += 1
            name = f"{stem[: _STEM - 4]}-{count}"
        taken.add(name)
        lines.append(f"\t\t{name}-gpios = <&{label.format(bank)} {line} {item.idle}>;")
    return ["", "/ {", "\tboard-signals {", *lines, "\t};", "};"] if lines else []


def dts_string(text: str) -> str:
    """A string of the text's UTF-8 bytes; what isn't a plain sign is an octal escape. A NUL would end it: left out."""
    safe = "".join(
        chr(byte) if 32 <= byte < 127 and chr(byte) not in '"\\' else f"\\{byte:03o}"
        for byte in text.encode("utf-8", "replace")
        if byte
    )
    return '"' + safe.replace("##", "#\\043") + '"'
