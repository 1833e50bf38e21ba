"""Needs of a firmware contract from what a firmware's own sources say of its pins."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from revdiff.design import EMPTY, Need, Origin, Reading
from revdiff.quantities.text import clean, fold
from revdiff.readers.source_fault import SourceFault

LARGEST = 2 * 1024 * 1024
MOST = 2000


class FoundPin(Struct, frozen=True):
    """A signal, the pin that a source has for it (number or port name), and its line.

    ``active``: high or low; ``pull``: up or down; ``direction``: in or out; each empty where the source doesn't say.
    ``labelled``: the name is that of a node in the source, and need not be that of the signal on the board.
    """

    signal: str
    pin: str
    line: int
    active: str = ""
    note: str = ""
    pull: str = ""
    direction: str = ""
    labelled: bool = False


def needs_from(pins: Iterable[FoundPin], file: str) -> dict[str, Need]:
    """The needs by folded signal. Raises SourceFault where one signal has two pins, or there are too many."""
    found: dict[str, Need] = {}
    for item in pins:
        key = fold(item.signal)
        if key in found and found[key].pin.meaning == fold(item.pin):
            continue
        if key in found:
            raise SourceFault(file, item.line, f"{item.signal} has a second pin; each signal needs one")
        if len(found) >= MOST:
            raise SourceFault(file, item.line, f"there are more than {MOST} signals")
        found[key] = Need(
            signal=Reading(clean(item.signal), key),
            pin=Reading(item.pin, fold(item.pin)),
            direction=_word(item.direction),
            active=_word(item.active),
            pull=Reading(item.pull, (item.pull,)) if item.pull else EMPTY,
            note=_word(item.note),
            origin=Origin(file, item.line),
        )
    return found


def _word(text: str) -> Reading:
    return Reading(text, fold(text)) if text else EMPTY


def decoded(data: bytes, file: str) -> str:
    """The text of a source file. Raises SourceFault for one that is too large or no UTF-8."""
    if len(data) > LARGEST:
        raise SourceFault(file, 0, f"larger than {LARGEST // 1024} kB")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise SourceFault(file, line, f"byte 0x{data[error.start]:02x} is no UTF-8") from None
