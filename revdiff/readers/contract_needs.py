"""Needs of a firmware contract from what a firmware's own sources say of its pins."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from revdiff.design import EMPTY, Need, Origin, Reading
from revdiff.errors import DataFault
from revdiff.quantities.text import clean, fold

LARGEST = 2 * 1024 * 1024
MOST = 2000


@dataclass(frozen=True, slots=True)
class FoundPin:
    """A signal, the pin that a source has for it (number or port name), and its line; ``active``: high, low or open."""

    signal: str
    pin: str
    line: int
    active: str = ""


class ContractFault(DataFault):
    """A source of a contract that can't be read. ``line`` is 0 where the whole file is meant."""

    def __init__(self, file: str, line: int, message: str) -> None:
        self.file, self.line, self.message = file, line, message
        super().__init__(f"{file}:{line}: {message}" if line else f"{file}: {message}")


def needs_from(pins: Iterable[FoundPin], file: str) -> dict[str, Need]:
    """The needs by folded signal. Raises ContractFault where one signal has two pins, or there are too many."""
    found: dict[str, Need] = {}
    for item in pins:
        key = fold(item.signal)
        if key in found:
            raise ContractFault(file, item.line, f"{item.signal} has a second pin; each signal needs one")
        if len(found) >= MOST:
            raise ContractFault(file, item.line, f"there are more than {MOST} signals")
        found[key] = Need(
            signal=Reading(clean(item.signal), key),
            pin=Reading(item.pin, fold(item.pin)),
            active=Reading(item.active, item.active) if item.active else EMPTY,
            origin=Origin(file, item.line),
        )
    return found


def decoded(data: bytes, file: str) -> str:
    """The text of a source file. Raises ContractFault for one that is too large or no UTF-8."""
    if len(data) > LARGEST:
        raise ContractFault(file, 0, f"larger than {LARGEST // 1024} kB")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise ContractFault(file, line, f"byte 0x{data[error.start]:02x} is no UTF-8") from None
