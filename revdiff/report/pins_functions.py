"""Whether each function of a pin map exists on its pin: the check of ``revdiff pins --functions``."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from revdiff.design import Board
from revdiff.judge.needs import is_used
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import squeeze
from revdiff.readers.contract_functions import Functions, key_of, read_functions
from revdiff.report.visible import visible

# Functions that every general-purpose pin has, or that say nothing of a peripheral.
_PLAIN = frozenset({"gpio", "", "in", "out", "input", "output", "io", "exti"})
_ANALOG = pattern(r"adc[0-9]*(in[0-9]+)?")


class FunctionCheck(Struct, frozen=True):
    """One function of one pin, and whether the reference has it; ``unknown`` where it doesn't know the pin."""

    pin: str
    signal: str
    function: str
    answer: Literal["yes", "no", "unknown"]


def check_functions(board: Board, device: str, functions: Functions) -> tuple[FunctionCheck, ...]:
    """Every function and analog channel of the used pins of a controller."""
    found = []
    for pin in board.pins.values():
        if pin.device != device or not is_used(pin):
            continue
        port = squeeze(pin.port.raw) if squeeze(pin.port.raw) in functions else squeeze(pin.number)
        known = functions.get(port)
        for text in (pin.function.raw, pin.analog.raw):
            name = key_of(text)
            if name in _PLAIN or (text == pin.function.raw and _ANALOG.fullmatch(name)):
                continue
            answer: Literal["yes", "no", "unknown"] = "unknown"
            if known is not None:
                answer = "yes" if name in known else "no"
            found.append(FunctionCheck(f"{pin.number} ({pin.port.raw})", pin.signal.raw, text, answer))
    return tuple(found)


def checked_functions(board: Board, device: str, source: str) -> str:
    """The check as text: what the pins can't do, what the reference doesn't know, and how many agree."""
    checks = check_functions(board, device, read_functions(source))
    wrong = [item for item in checks if item.answer == "no"]
    unknown = [item for item in checks if item.answer == "unknown"]
    agreed = len(checks) - len(wrong) - len(unknown)
    lines = [f"Functions of {board.name}.{device} against {source}"]
    lines.append(f"  {agreed} of {len(checks)} exist on their pins.")
    lines += [f"  {item.signal}: pin {item.pin} has no {item.function}" for item in wrong]
    lines += [f"  {item.signal}: nothing is known of pin {item.pin} ({item.function})" for item in unknown]
    return "\n".join(visible(line) for line in lines) + "\n"
