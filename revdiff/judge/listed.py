"""What the parts list says of things that other tables state: the gender of connectors, and the resistors of pulls.

Whoever builds the board goes by the parts list, and whoever judges it by the other tables.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from functools import lru_cache
from typing import Literal

from msgspec import Struct

from revdiff.design import Board, Connector, Contact, Part, Pin
from revdiff.judge.columns import pull_elsewhere
from revdiff.judge.names import ById
from revdiff.judge.side import stated_pull
from revdiff.quantities.designator import letters_of
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import fold

# Words for the two kinds of pin connectors in several languages; a socket may be called a female header. Common
# practice, no source.
_FEMALE = pattern(r"female|socket|receptacle|buchse|femelle|hembra|weiblich|prise\b")
_MALE = pattern(r"\bmale|header|pin strip|\bplugs?\b|stift|stecker|mâle|macho|männlich")
_WORDS = pattern(r"[\w+#/-]+")
_KEPT = 512
_RESISTOR = pattern(r"\bR\d+\b")
# What a resistor does that is called after a signal and holds it. Common practice, no source.
_HOLDS = pattern(r"pull|\blow\b|\bhigh\b|hochzieh|nach masse|rappel")

_WAYS = {"up": pattern(r"\bhigh\b|pull-?ups?\b"), "down": pattern(r"\blow\b|pull-?downs?\b")}


class Resistor(Struct, frozen=True):
    """The resistor of a pull that ``record`` states; ``part``: None where the parts list has no such one."""

    ref: str
    part: Part | None
    record: Pin | Contact
    way: str
    ohms: Decimal


def other_gender(board: Board, connector: Connector) -> Part | None:
    """The part of a connector that the parts list describes as one of the other gender; else None."""
    part = board.parts.get(connector.name)
    stated = connector.gender.word
    if part is None or stated not in ("male", "female"):
        return None
    words = f"{part.data.value.raw} {part.data.package.raw} {part.data.description.raw}".lower()
    said: Literal["male", "female", ""] = "female" if _FEMALE.search(words) else "male" if _MALE.search(words) else ""
    return part if said not in ("", stated) else None


def holding(board: Board) -> tuple[Resistor, ...]:
    """The resistors of the pulls that a column states with their resistance, and the manifest doesn't.

    A note beside the pull names it, else the parts list calls it after that signal. Where several are named nobody
    says which is meant, and none counts.
    """
    return _holding(ById(board))


@lru_cache(maxsize=_KEPT)
def _holding(held: ById) -> tuple[Resistor, ...]:
    return tuple(_holders(held.design))


def _holders(board: Board) -> Iterator[Resistor]:
    stated = _stated(board)
    called: dict[str, list[str]] = {}
    for part in board.parts.values() if stated else ():
        told = part.data.description.raw
        if letters_of(part.ref) == "R" and _HOLDS.search(told.lower()):
            named = {fold(word) for word in _WORDS.findall(told)} & stated.keys()
            if len(named) == 1:
                called.setdefault(named.pop(), []).append(part.ref)
    yield from _left_out(board)
    for word, (record, way, ohms) in stated.items() if board.parts else ():
        refs = _RESISTOR.findall(record.note.raw.upper()) or called.get(word, [])
        if len(refs) == 1:
            yield Resistor(refs[0], board.parts.get(refs[0]), record, way, ohms)


def _left_out(board: Board) -> Iterator[Resistor]:
    """Those that the manifest names for a pull which a column states, too, and that are not fitted."""
    records: tuple[Pin | Contact, ...] = (*board.pins.values(), *board.contacts)
    seen: set[str] = set()
    for record in records:
        given = stated_pull(record) if record.signal.word in board.sections.pulls else None
        for item in board.sections.pulls.get(record.signal.word, ()) if given is not None else ():
            if not item.fitted and item.ref not in seen and given is not None and given[:1] == (item.way,) and given[1]:
                seen.add(item.ref)
                yield Resistor(item.ref, board.parts.get(item.ref), record, item.way, given[1])


def _stated(board: Board) -> dict[str, tuple[Pin | Contact, str, Decimal]]:
    """By signal the first row that states a resistance; the manifest's resistors, and other boards', aside."""
    found: dict[str, tuple[Pin | Contact, str, Decimal]] = {}
    records: tuple[Pin | Contact, ...] = (*board.pins.values(), *board.contacts)
    for record in records:
        word = record.signal.word
        if word and word not in board.sections.pulls and not pull_elsewhere(record):
            given = stated_pull(record)
            if given is not None and given[0] in ("up", "down") and given[1] is not None:
                found.setdefault(word, (record, given[0], given[1]))
    return found


def not_as_stated(item: Resistor) -> str:
    """Why a resistor is not the one that the column Pull states; empty where it is."""
    if item.part is None:
        return "in no parts list"
    value, told = item.part.data.value, item.part.data.description.raw
    if item.part.data.fitted.meaning is False:
        return "not fitted in the parts list"
    ways = {way for way, words in _WAYS.items() if words.search(told.lower())}
    if len(ways) == 1 and item.way not in ways:
        return f"called {told} in the parts list"
    other = value.quantity is not None and value.quantity.unit == "Ω" and value.quantity.magnitude != item.ohms
    return f"{value.raw} in the parts list" if other else ""
