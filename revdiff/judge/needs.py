"""What a firmware without a contract relies on: the pins of its map that carry a signal of a program."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from revdiff.design import Board, Need, Pin, Reading
from revdiff.design.tables import NEEDS, PINS
from revdiff.judge.names import ById
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import fold

_KEPT = 256
_SHARED = tuple(name for name in NEEDS.kinds if name in PINS.kinds)  # columns of a need that a pin map has too
# Pins that carry no signal of a program: with no contract, these are not taken for needs.
_NOT_FIRMWARE = frozenset({"supply", "supply in", "supply out", "ground", "passive"})
# Names of supplies, grounds and pins without a signal, by which a pin is known of which nothing else is told
# (common practice, no source).
_NO_SIGNAL = pattern(
    r"\+.*|v(?:cc|dd|ss|ee|in|bat|sys|bus|ref)(?:io|[adp+-])?[0-9]*|[0-9]+v[0-9]*|[adps]?gnd[0-9]*|ground|n\.?/?c\.?"
)


def needs_of_pins(board: Board, device: str) -> Mapping[str, Need]:
    """What a firmware that was built for this pin map relies on: every pin that carries a signal of a program."""
    return _by_device(ById(board)).get(device, {})


@lru_cache(maxsize=_KEPT)
def _by_device(key: ById) -> dict[str, dict[str, Need]]:
    board: Board = key.design
    found: dict[str, dict[str, Need]] = {}
    for pin in board.pins.values():
        needs = found.setdefault(pin.device, {})
        if is_used(pin) and pin.signal.word not in needs:
            shared = {name: getattr(pin, name) for name in _SHARED}
            needs[pin.signal.word] = Need(pin=_number(pin), extra=pin.extra, origin=pin.origin, **shared)
    return found


def is_used(pin: Pin) -> bool:
    """Whether a pin carries a signal that a program has to do with."""
    known = bool(pin.direction or pin.function)
    return bool(pin.signal) and known and pin.direction.word not in _NOT_FIRMWARE


def is_told(pin: Pin) -> bool:
    """Whether a notice tells what becomes of a pin: a used one, or one with nothing but the name of a signal.

    A pin without direction and function is no need of a stand-in contract: whether a program has to do with it
    is not known. That its signal is on another pin now is a fact all the same.
    """
    if pin.direction or pin.function:
        return is_used(pin)
    return bool(pin.signal) and _NO_SIGNAL.fullmatch(pin.signal.word) is None


def _number(pin: Pin) -> Reading:
    return Reading(pin.number, fold(pin.number))
