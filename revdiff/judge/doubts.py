"""What no rule asks about and leaves open whether boards fit: unreadable cells, parts left out, ports given twice.

Nobody can tell by half a table. Faults in the tables of terminals, in the contracts and in the manifest count; of a
parts list the cells of the parts that the manifest names, since no rule of arrangements reaches the others.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from functools import lru_cache

from msgspec import Struct

from revdiff.compare.part_changes import describe
from revdiff.design import Board, Contact, Design, Pin
from revdiff.judge.contacts import class_of
from revdiff.judge.drift import contrary_directions
from revdiff.judge.finding import Audience
from revdiff.judge.listed import holding, not_as_stated, other_gender
from revdiff.judge.names import ById
from revdiff.judge.rule import Record
from revdiff.quantities.pattern import pattern
from revdiff.quantities.ports import port_line
from revdiff.quantities.span import read_span
from revdiff.quantities.text import as_number

_KEPT = 1024
_REF = pattern(r"\b[A-Z]+\d+[A-Z]?\b")
_ITEMS = pattern(r"[;,\s]+")
_NEARLY = Decimal("0.1")  # of the greater; levels so near may be one; common practice, no source


class Doubt(Struct, frozen=True):
    """One thing that leaves it open. ``key`` is the same in every revision that has it; the rest is for people."""

    key: tuple[str, ...]
    place: str
    audience: Audience
    check: str = "what could not be read"
    why: str = "faults in the data"
    needs: str = "each fault mended"


def doubts(design: Design, board: str) -> tuple[Doubt, ...]:
    """All of a board of a design, each once."""
    return _doubts(ById(design), board)


@lru_cache(maxsize=_KEPT)
def _doubts(held: ById, board: str) -> tuple[Doubt, ...]:
    design: Design = held.design
    files = _files(design, board)
    found = [
        Doubt((item.code, item.found or item.message), f"{item.origin} ({item.message})", files[_file(item)])
        for item in design.diagnostics
        if item.severity == "fault" and _file(item) in files
    ]
    found += _of_no_table(design)
    found += _unclear_parts(design.boards[board], named_parts(design, board))
    found += _unjoined(design, board)
    found += _unplaced(design, board)
    found += _unfed(design, board)
    found += _contrary(design.boards[board])
    found += _otherwise_listed(design, board)
    found += _stated_otherwise(design.boards[board])
    found += _other_addresses(design, design.boards[board])
    found += _doubled_ports(design.boards[board])
    found += _disputed(design.boards[board])
    return tuple({item.key: item for item in found}.values())


def _of_no_table(design: Design) -> Iterator[Doubt]:
    """Faults in files of which nothing could be read, so that nobody knows what they would have said."""
    faults = [item for item in design.diagnostics if item.severity == "fault"]
    known = {file for name in design.boards if faults for file in _files(design, name)}
    listed = (part for board in design.boards.values() if faults for part in board.parts.values())
    known |= {_file(part) for part in listed}
    for item in faults:
        if _file(item) not in known:
            yield Doubt((item.code, item.found or item.message), f"{item.origin} ({item.message})", "stacking")


def _disputed(board: Board) -> Iterator[Doubt]:
    """Signals that are ground or a supply at one contact of a board and something else at another: one is a slip."""
    found: dict[str, dict[str, Contact]] = {}
    for contact in board.contacts:
        if contact.signal and contact.direction.word not in ("", "passive"):
            found.setdefault(contact.signal.word, {}).setdefault(class_of(contact), contact)
    for word, classes in found.items():
        if len(classes) > 1:
            told = ", ".join(f"{name} at {contact.name}" for name, contact in sorted(classes.items()))
            place = f"{next(iter(classes.values())).signal.raw} of {board.name}: {told}"
            check, why = "what a signal is that goes by several kinds", "its contacts disagree"
            yield Doubt(
                ("class", word, *sorted(classes)), place, "stacking", check, why, "one Direction or another Signal"
            )


def _unjoined(design: Design, board: str) -> Iterator[Doubt]:
    """Connectors that are there to join boards, in a design that declares joints, and none for them."""
    ends = {end for item in design.joints for end in item.ends}
    for name, connector in design.boards[board].connectors.items() if ends and not design.lent_by else ():
        if connector.role.word == "joint" and (board, name) not in ends:
            check, why = "what meets at joints that nothing declares", "its role is joint, and no joint names it"
            yield Doubt(("joint", name), f"{board}.{name}", "stacking", check, why, "[[joints]], or another Role")


def _ends(design: Design, board: str) -> list[str]:
    """The connectors of a board that joints name."""
    return [name for item in design.joints for one, name in item.ends if one == board]


def _unplaced(design: Design, board: str) -> Iterator[Doubt]:
    """Connectors of joints, and what runs firmware or answers it, that the parts list says are not fitted."""
    held = design.boards[board]
    devices = [
        *(pin.device for pin in held.pins.values()),
        *(item.device for item in design.contracts.values() if item.board == board),
        *(item.part for item in design.sections.software.values() if item.board == board),
    ]
    audiences: dict[str, Audience] = {
        **dict.fromkeys(devices, "firmware"),
        **dict.fromkeys(_ends(design, board), "stacking"),
    }
    for ref, audience in sorted(audiences.items()):
        part = held.parts.get(ref)
        if part is not None and part.data.fitted.meaning is False:
            check, why = "what a part does that is not placed", "the parts list says that it isn't fitted"
            yield Doubt(("unplaced", ref), f"{board}.{ref}", audience, check, why, f"{ref} fitted in the parts list")
    lists_connectors = bool(held.connectors.keys() & held.parts.keys())  # many lists leave them out as a whole
    for end in (
        sorted(set(_ends(design, board)) & held.connectors.keys() - held.parts.keys()) if lists_connectors else ()
    ):
        check, why = "whether connectors mate", "the parts list has other connectors of the board, and not this one"
        yield Doubt(("unlisted", end), f"{board}.{end}", "stacking", check, why, f"{end} in the parts list")


def _unfed(design: Design, name: str) -> Iterator[Doubt]:
    """Rails that the manifest says a board feeds, and that it takes by all its contacts of joints."""
    board = design.boards[name]
    ends = _ends(design, name)
    for word in board.sections.feeds:
        found = [one for one in board.contacts if one.connector in ends and one.signal.word == word]
        ways = {one.direction.word: one for one in found}
        if ways.keys() == {"supply in"}:
            signal, check = ways["supply in"].signal.raw, "who feeds a rail"
            why, needs = (
                "its contacts say supply in, the manifest that it feeds it",
                "Direction supply or supply out, or no feeds",
            )
            yield Doubt(("unfed", word), f"{signal} of {board.name}", "stacking", check, why, needs)


def _contrary(board: Board) -> Iterator[Doubt]:
    """Signals that the connector map takes in and the pin map gives out, or the other way round."""
    for contact, pin in contrary_directions(board):
        place = f"{contact.signal.raw} of {board.name}: {contact.direction.raw} at {contact.name}, {pin.direction.raw}"
        check, why = "who drives a signal", "the connector map and the pin map say opposite directions"
        key = ("direction", contact.signal.word)
        yield Doubt(key, f"{place} at {pin.name}", "stacking", check, why, "one Direction in both")


def _stated_otherwise(board: Board) -> Iterator[Doubt]:
    """Signals of which two rows of a board state levels that don't meet, or opposite active levels: one is a slip."""
    rows: dict[str, list[Contact | Pin]] = {}
    records: tuple[Contact | Pin, ...] = (*board.contacts, *board.pins.values())
    for item in records:
        if item.signal:
            rows.setdefault(item.signal.word, []).append(item)
    for word, items in rows.items():
        for field, key, why in (
            ("level", _apart, "two rows state levels that don't meet"),
            ("active", _opposite, "two rows state opposite active levels"),
        ):
            if pair := key(items):
                told = ", ".join(f"{getattr(one, field).raw} at {one.name}" for one in pair)
                place = f"{items[0].signal.raw} of {board.name}: {told}"
                check = f"what the {'' if field == 'level' else 'active '}level of a signal is"
                texts = sorted(getattr(one, field).word for one in pair)
                yield Doubt((field, word, *texts), place, "stacking", check, why, "one of them corrected")


def _apart(items: list[Contact | Pin]) -> tuple[Contact | Pin, ...]:
    """Two rows whose levels, give or take a tenth, have nothing in common; empty where there are none.

    An input that stands 5 V, or sits behind a resistor, may have another level than its line.
    """
    direct = [item for item in items if item.direction.word == "out" or not _apart_from_line(item)]
    spans = [(span, item) for item in direct if (span := read_span(item.level.raw, "V")) is not None]
    if len(spans) < 2:
        return ()
    (low, first), (high, last) = min(spans, key=lambda one: one[0].high), max(spans, key=lambda one: one[0].low)
    return (first, last) if high.low - low.high > _NEARLY * max(abs(high.low), abs(low.high)) else ()


def _apart_from_line(item: Contact | Pin) -> bool:
    return bool(item.resistance) or item.tolerant.meaning is True


def _opposite(items: list[Contact | Pin]) -> tuple[Contact | Pin, ...]:
    ways = {item.active.word: item for item in items if item.active.word in ("high", "low")}
    return tuple(ways.values()) if len(ways) > 1 else ()


def _other_addresses(design: Design, board: Board) -> Iterator[Doubt]:
    """Parts that software talks to whose pins state another address than the manifest."""
    for name, item in design.sections.software.items():
        told = item.address_on(board, design.sections.packing_suffixes) if item.board == board.name else ""
        pins = [pin for pin in board.pins.values() if told and pin.device.upper() == item.part and pin.address]
        other = [pin for pin in pins if as_number(told) not in set(map(as_number, _ITEMS.split(pin.address.raw)))]
        if other:
            place = f"{name}: {told} in the manifest, {other[0].address.raw} at {other[0].name}"
            check, why = "at which address a part answers", "the pin map has another one"
            yield Doubt(("address", name, told), place, "firmware", check, why, "one address in both")


def _otherwise_listed(design: Design, name: str) -> Iterator[Doubt]:
    """Connectors of joints, and resistors, that the parts list has otherwise than the tables that are judged."""
    board = design.boards[name]
    for end in sorted(set(_ends(design, name)) & board.connectors.keys()):
        part = other_gender(board, board.connectors[end])
        if part is not None:
            place = f"{name}.{end}: {board.connectors[end].gender.raw} in its table, {describe(part.data)} in the list"
            check, why = "whether connectors mate", "the parts list describes one of the other gender"
            yield Doubt(("gender", end), place, "stacking", check, why, "one gender in both")
    for item in holding(board):
        if said := not_as_stated(item):
            place = f"{item.record.signal.raw} of {name}: {item.ref} is {said}"
            check, why = "what a resistor does", "a column Pull states another one"
            yield Doubt(("held", item.record.signal.word, said), place, "stacking", check, why, "one resistor in both")


def _doubled_ports(board: Board) -> Iterator[Doubt]:
    """Ports of a controller that stand at several pins, each with a signal of its own: one is a slip."""
    found: dict[tuple[str, str, int], dict[str, Pin]] = {}
    for pin in board.pins.values():
        line = port_line(pin.port.raw) if pin.signal else None
        if line is not None:
            found.setdefault((pin.device, *line), {}).setdefault(pin.signal.word, pin)
    for (device, bank, number), pins in found.items():
        if len(pins) > 1:
            told = ", ".join(f"{pin.signal.raw} at {pin.name}" for pin in pins.values())
            place = f"{next(iter(pins.values())).port.raw} of {board.name}: {told}"
            check, why = "what a port carries that several pins have", "the pin map gives it to several signals"
            yield Doubt(
                ("port", device, bank, str(number), *sorted(pins)),
                place,
                "firmware",
                check,
                why,
                "one pin for each port",
            )


def _files(design: Design, board: str) -> dict[str, Audience]:
    """The files that rules of arrangements look into, and who relies on each."""
    found = design.boards[board]
    contacts = (one for item in found.connectors.values() for one in item.contacts.values())
    stacked: tuple[Record, ...] = (*found.connectors.values(), *contacts, *found.nodes.values(), *design.joints)
    files: dict[str, Audience] = dict.fromkeys(map(_file, stacked), "stacking")
    contracts = [item for item in design.contracts.values() if item.board == board]
    run: tuple[Record, ...] = (
        *found.pins.values(),
        *contracts,
        *(need for item in contracts for need in item.needs.values()),
    )
    files |= dict.fromkeys(map(_file, run), "firmware")
    return {**files, design.origin.file: "stacking"}


def _file(item: Record) -> str:
    """Without the worksheet: a fault may be one of the whole workbook."""
    return item.origin.file.partition("#")[0]


def named_parts(design: Design, board: str) -> frozenset[str]:
    """The designators that the manifest, or a part that software talks to, names on a board, and perhaps others."""
    texts = [design.boards[board].sections.texts, design.sections.texts]
    parts = [(item.part, *item.straps) for item in design.sections.software.values() if item.board == board]
    return frozenset(_REF.findall(f"{texts} {parts}".upper()))


def _unclear_parts(board: Board, named: frozenset[str]) -> Iterator[Doubt]:
    for ref in sorted(named & board.parts.keys()):
        part = board.parts[ref]
        for name in ("value", "fitted"):
            reading = getattr(part.data, name)
            if reading.unclear:
                yield Doubt((ref, name, reading.raw), f"{name} of {ref} at {part.origin}", "stacking")
