"""The sections of one board: resistors, supplies, buses, switches, renumbered parts, against its tables."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Mapping
from functools import partial
from typing import Any, Final

from revdiff.design import Board, Contact, Pin
from revdiff.design.sections import BoardBus, BoardSections, Pull
from revdiff.quantities.designator import parse_designator
from revdiff.quantities.pattern import pattern
from revdiff.quantities.quantity import read_quantity
from revdiff.quantities.text import fold
from revdiff.readers.manifest_values import Values
from revdiff.readers.schema import (
    MISSING,
    Place,
    Reader,
    flag,
    plain,
    quantity,
    record,
    several,
    table,
    text,
    texts,
    unknown_keys,
    upper,
)

_PULL = pattern(
    r"(up|down)(?:\s+(?!r\d+\b|to\b)(\S+))?(?:\s+(?!to\b)([a-z]+\d+[a-z]?))?(?:\s+to\s+(\S+))?", re.IGNORECASE
)
_A_PULL = '"down 10k", "up 4k7 R18", "up R18" or "up 4k7 R18 to +5V"'
BOARD_KEYS: Final = ("feeds", "loads", "blocking", "pulls", "buses", "switches", "shipped", "renumbered")


def board_sections(board: Board, data: Mapping[str, Any], own: Mapping[str, Any], values: Values) -> BoardSections:
    """The sections of a board. ``own``: its keys that no schema knows, searched for slips of the pen."""
    place = Place(values, ("boards", board.name), board.origin)
    unknown_keys(own, BOARD_KEYS, place, strict=False)
    bus = record(plain(BoardBus), capacitance=quantity("F"), addresses=texts)
    of_signal = partial(_of_signals, board, frozenset(signals_of_board(board)))
    readers: dict[str, Reader] = {
        "feeds": of_signal(quantity("A")),
        "loads": of_signal(quantity("A")),
        "blocking": of_signal(partial(_blocking, board)),
        "pulls": of_signal(_pulls(board)),
        "buses": table(bus, fold),
        "switches": of_signal(text),
        "shipped": flag,
        "renumbered": _renumbered(board),
    }
    found = {key: readers[key](value, place.at(key)) for key, value in data.items()}
    texts_of = {key: value for key, value in data.items() if key != "renumbered"}
    return BoardSections(**{key: value for key, value in found.items() if value is not MISSING}, texts=texts_of)


def signals_of_board(board: Board) -> Iterator[str]:
    """The folded names of all signals of a board that any table or the netlist has."""
    contacts = board.contacts
    records: tuple[Contact | Pin, ...] = (*contacts, *board.pins.values())
    yield from (item.signal.word for item in records if item.signal)
    yield from (node.net.word for node in board.nodes.values() if node.net)


def _of_signals(board: Board, known: frozenset[str], reader: Reader) -> Reader:
    """A section whose keys are signals of a board: what is said of one that it hasn't would be said of nothing."""

    def read(given: object, place: Place) -> Any:
        name = place.path[-1]
        if known and fold(name) not in known:
            near = difflib.get_close_matches(fold(name), known, 1, 0)
            expected = f"a signal of {board.name}, such as {near[0].upper()}" if near else f"a signal of {board.name}"
            place.wrong(name, expected, "no contact, pin or net has this name")
        return reader(given, place)

    return table(read, fold)


def _renumbered(board: Board) -> Reader:
    """Old designators to those that the board has now, each one once."""

    def new_ref(given: object, place: Place) -> Any:
        ref = upper(given, place)
        if ref is MISSING or not _known(board, ref, place):
            return MISSING
        if parse_designator(place.path[-1]) is None:
            return place.wrong(place.path[-1], "an old designator, such as R5", "its name is no designator")
        return ref

    def read(given: object, place: Place) -> Any:
        found = table(new_ref, str.upper)(given, place)
        if found is MISSING:
            return MISSING
        taken: dict[str, str] = {}
        for old, new in found.items():
            if taken.setdefault(new, old) != old:
                place.at(old).wrong(new, "each new designator once", f"{taken[new]} became {new}, too")
        return {old: new for new, old in taken.items()}

    return read


def _blocking(board: Board, given: object, place: Place) -> Any:
    ref = upper(given, place)
    if ref is MISSING or not _known(board, ref, place):
        return MISSING
    return ref if _fitted(board, ref) and not _passive(board, ref) else ""


def _passive(board: Board, ref: str) -> bool:
    """Whether the part has a resistance, capacitance or inductance for its value: none of these blocks a current."""
    value = board.parts[ref].data.value.quantity if ref in board.parts else None
    return value is not None and value.unit in ("Ω", "F", "H")


def _pulls(board: Board) -> Reader:
    """The resistors on one signal, each named once: a second mention would count as a second one in parallel."""
    rails = _rails(board)

    def read(given: object, place: Place) -> Any:
        found: tuple[Pull, ...] = several(partial(_pull, board))(given, place)
        refs = [item.ref for item in found if item.ref]
        if twice := sorted({ref for ref in refs if refs.count(ref) > 1}):
            place.wrong(", ".join(twice), "each resistor once", "it is named twice")
        for item in found:
            if item.way == "up" and item.rail and (why := _no_rail(rails, item.rail)):
                place.wrong(item.rail.upper(), "a supply", why)
        return found

    return read


def _rails(board: Board) -> Mapping[str, frozenset[str]]:
    """By the folded name of each signal the directions that tables state."""
    found: dict[str, set[str]] = {word: set() for word in signals_of_board(board)}
    records: tuple[Contact | Pin, ...] = (*board.contacts, *board.pins.values())
    for item in records:
        if item.signal and item.direction:
            found[item.signal.word].add(item.direction.word)
    return {word: frozenset(directions) for word, directions in found.items()}


def _no_rail(rails: Mapping[str, frozenset[str]], word: str) -> str:
    """Why a resistor can't pull up to it; empty where it can. A supply inside the board may be in no table."""
    if word not in rails:
        named = read_quantity(word.lstrip("+").upper(), "V")
        return "" if not rails or (named is not None and named.unit == "V") else "no contact, pin or net has this name"
    supplies = any(item.startswith("supply") for item in rails[word])
    return "" if supplies or not rails[word] else "it is no supply"


def _pull(board: Board, given: object, place: Place) -> Any:
    found = _PULL.fullmatch(given.strip()) if isinstance(given, str) else None
    if found is None:
        return place.wrong(given, _A_PULL)
    way, value, ref = found[1].lower(), found[2], (found[3] or "").upper()
    ohms = read_quantity(value, "Ω") if value else None
    if value and (ohms is None or ohms.unit != "Ω" or ohms.magnitude <= 0):
        return place.wrong(given, _A_PULL)
    if ref and not _known(board, ref, place):
        return MISSING
    written = ohms.magnitude if ohms is not None else None
    listed = board.parts[ref].data.value.quantity if ref in board.parts else None
    placed = listed.magnitude if listed is not None and listed.unit == "Ω" else written
    return Pull(
        "up" if way == "up" else "down",
        placed,
        ref,
        _fitted(board, ref),
        fold(found[4] or ""),
        written if written != placed else None,
        place.origin,
    )


def _known(board: Board, ref: str, place: Place) -> bool:
    if board.parts and ref not in board.parts:
        place.wrong(ref, f"a part of {board.name}", "the parts list has no such part")
        return False
    return True


def _fitted(board: Board, ref: str) -> bool:
    part = board.parts.get(ref)
    return part is None or part.data.fitted.meaning is not False
