"""The manifest's sections beyond tables, joints and firmware, by a declared schema; every fault told at its line.

::

    [stacking]                       # policy of the design
    placement_tolerance = "0.2 mm"   # of joints between two boards
    height_tolerance = "0 mm"
    contact_derating = "0 %"
    noise_margin = "0 V"             # that must be left
    allow = ["stack-pull-conflict"]  # rules that this design does without

    [buses.I2C1]                     # a bus over the whole stack
    signals = ["I2C1_SCL", "I2C1_SDA"]
    speed = "400 kHz"
    capacitance = "150 pF"           # of what no board states itself

    [[known_good]]                   # boards that were stacked and work, here or at other revisions
    boards = ["base", "valves@rev-b"]
    signals = { "base.CTRL" = "valves.DRIVE" }   # or just which signals belong together

    [boards.NAME]
    shipped = true                   # this revision reached users
    [boards.NAME.feeds]              # current that the board gives to a rail
    "+3V3" = "1.5 A"
    [boards.NAME.loads]              # current that the board takes from a rail
    "+3V3" = "0.4 A"
    [boards.NAME.blocking]           # the part that keeps a rail from being fed backwards
    "+5V" = "D3"
    [boards.NAME.pulls]              # resistors on signals, with the part that decides value and fitting
    HEAT_EN = "down 10k R14"
    SDA = "up 4k7 R18 to +5V"
    [boards.NAME.switches]           # what a signal switches
    HEAT_EN = "heater"
    [boards.NAME.renumbered]         # parts that have another number since the last revision, old = new
    R5 = "R105"
    [boards.NAME.buses.I2C1]
    capacitance = "40 pF"
    addresses = ["0x20"]

    [[waivers]]                      # a finding that somebody decided to live with
    rule = "joint-supply-voltage"
    subject = "base.J1.1–radio.J1.1" # as the finding names it; a plain hyphen does as well
    between = "base + radio"         # optional: only of these boards, or of this firmware and this board
    reason = "the radio's regulator takes 16 V"
    who = "M. Maintainer"
    until = 2026-12-31               # the last day that it counts; or "rev-d": the tag from which on it doesn't

``[controllers.BOARD.DEVICE]``, ``[software.NAME]``, ``[identity.BOARD]``, ``[derived.NAME]``: see the records of
``design/sections.py`` and ``design/derived.py``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date, datetime
from decimal import Decimal
from functools import partial
from typing import Any, Final

from revdiff.design import Board, Design, Origin
from revdiff.design.sections import (
    Bus,
    Controller,
    Identity,
    KnownGood,
    Policy,
    Sections,
    SoftwarePart,
    Waiver,
)
from revdiff.quantities.quantity import read_quantity
from revdiff.quantities.text import fold
from revdiff.readers.entries import MANIFEST
from revdiff.readers.manifest_values import Values
from revdiff.readers.references import check_references, some
from revdiff.readers.schema import (
    MISSING,
    Place,
    Reader,
    choice,
    entries,
    names,
    plain,
    quantity,
    record,
    table,
    text,
    texts,
    unknown_keys,
    upper,
)
from revdiff.readers.sections_board import signals_of_board
from revdiff.readers.sections_derived import MOST_DERIVED, derived
from revdiff.readers.words import NO, PLACEHOLDERS, YES

DESIGN_KEYS: Final = (
    "stacking",
    "buses",
    "known_good",
    "controllers",
    "software",
    "identity",
    "derived",
    "packing_suffixes",
    "waivers",
)


def split(data: Mapping[str, Any], known: tuple[str, ...]) -> tuple[dict[str, Any], dict[str, Any]]:
    """The keys that a schema knows, and the user's own."""
    ours = {key: value for key, value in data.items() if key in known}
    return ours, {key: value for key, value in data.items() if key not in known}


def _key(data: Mapping[str, Any], key: str, place: Place, reader: Reader, empty: Any) -> Any:
    found = reader(data[key], place.at(key)) if key in data else MISSING
    return empty if found is MISSING else found


def _of_bus(known: frozenset[str], given: object, place: Place) -> Any:
    found = texts(given, place)
    for name in () if found is MISSING or not known else found:
        if fold(name) not in known:
            place.wrong(name, "a signal of a board", "no contact, pin or net has this name")
    return _unless_missing(_folded, found)


def design_sections(design: Design, data: Mapping[str, Any], values: Values) -> Sections:
    """The sections of a design whose boards are read; ``design.extra`` holds the keys that no schema knows."""
    whole = Place(values, (), Origin(MANIFEST, 1))
    unknown_keys(design.extra, DESIGN_KEYS, whole, strict=False)
    boards = design.boards
    policy = record(
        plain(Policy),
        placement_tolerance=quantity("m"),
        height_tolerance=quantity("m"),
        contact_derating=quantity("%", below=Decimal(100)),
        noise_margin=quantity("V"),
        allow=lambda given, place: _unless_missing(frozenset, texts(given, place)),
    )
    bus = record(
        plain(Bus),
        signals=partial(_of_bus, frozenset(name for board in boards.values() for name in signals_of_board(board))),
        speed=quantity("Hz"),
        capacitance=quantity("F"),
    )
    controller = record(
        plain(Controller),
        clock=upper,
        output_current=quantity("A", above=True),
        input_limit=quantity("V", above=True),
        tolerant_limit=quantity("V", above=True),
        reset=names,
        boot=names,
        debug=names,
        source=text,
    )
    software = record(
        partial(_software, boards),
        board=text,
        part=upper,
        address=text,
        by_part_number=table(text),
        straps=lambda given, place: _unless_missing(_upper, texts(given, place)),
        by_strap=table(text),
    )
    identity = record(
        lambda place, **given: Identity(origin=place.origin, **given),
        by=choice("strap", "divider", "memory", "label"),
        code=text,
        codes=table(text),
        windows=table(_window),
        derived=text,
    )
    buses = _key(data, "buses", whole, table(bus), {})
    controllers = _key(data, "controllers", whole, _of_boards(boards, table(controller, str.upper)), {})
    stated = _key(data, "software", whole, table(software), {})
    known = {(item.board, item.part) for item in stated.values()}
    marked = {name: item for name, item in _marked_parts(boards) if (item.board, item.part) not in known}
    formulas = _key(data, "derived", whole, table(partial(derived, boards)), {})
    if len(formulas) > MOST_DERIVED:
        whole.at("derived").wrong(len(formulas), f"at most {MOST_DERIVED} derived quantities")
        formulas = {}
    sections = Sections(
        policy=_key(data, "stacking", whole, policy, Policy()),
        buses=tuple(
            Bus(name=name, signals=b.signals, speed=b.speed, capacitance=b.capacitance) for name, b in buses.items()
        ),
        known_good=tuple(_known_good(data["known_good"], whole.at("known_good"))) if "known_good" in data else (),
        controllers={(board, device): item for board, found in controllers.items() for device, item in found.items()},
        software={**marked, **stated},
        identities=_key(data, "identity", whole, _of_boards(boards, identity), {}),
        derived=formulas,
        waivers=tuple(_waivers(data["waivers"], whole.at("waivers"))) if "waivers" in data else (),
        packing_suffixes=_key(data, "packing_suffixes", whole, texts, ()),
        texts=data,
    )
    check_references(design, sections, stated, whole)
    return sections


def _unless_missing(make: Callable[[Any], Any], given: Any) -> Any:
    return given if given is MISSING else make(given)


def _folded(items: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(map(fold, items))


def _upper(items: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(item.upper() for item in items)


def _of_boards(boards: Mapping[str, Board], reader: Reader) -> Reader:
    """A section whose keys are boards of the design."""

    def read(given: object, place: Place) -> Any:
        if board := place.path[-1] if place.path[-1] not in boards else "":
            place.wrong(board, some(boards), "the design has no such board")
            return MISSING
        return reader(given, place)

    return table(read)


def _software(boards: Mapping[str, Board], place: Place, **given: Any) -> Any:
    board = given.pop("board", "") or (next(iter(boards)) if len(boards) == 1 else "")
    part = given.pop("part", "")
    if board not in boards:
        place.at("board").wrong(board or "nothing", some(boards), "the design has no such board")
    elif boards[board].parts and part not in boards[board].parts:
        near = some(boards[board].parts)
        place.at("part").wrong(part or "nothing", near, f"{board} has no such part")
    return SoftwarePart(board=board, part=part, origin=place.origin, **given)


def _window(given: object, place: Place) -> Any:
    pair = [read_quantity(item, "V") for item in given if isinstance(item, str)] if isinstance(given, list) else []
    low, high = pair if len(pair) == 2 else (None, None)
    if low is None or high is None or low.unit != "V" or high.unit != "V" or low.magnitude >= high.magnitude:
        return place.wrong(given, '["0.20 V", "0.40 V"], lower end first')
    return low.magnitude, high.magnitude


def _known_good(given: object, place: Place) -> Iterator[KnownGood]:
    expected = 'boards = ["BOARD", "BOARD@REVISION"], or signals = { "BOARD.SIGNAL" = "BOARD.SIGNAL" }'
    reader = record(plain(dict), boards=texts, signals=table(text), note=text)
    for entry, at in entries(given, place):
        found = reader(entry, at)
        if found is MISSING:
            continue
        boards = found.get("boards", ())
        pairs = found.get("signals", {})
        ends = [(_end(one), _end(two)) for one, two in pairs.items()]
        if len(boards) == 1 or not (boards or ends) or not all(one and two for one, two in ends):
            at.wrong(entry, expected)
            continue
        yield KnownGood(boards=boards, signals=tuple((one, two) for one, two in ends if one and two))


def _waivers(given: object, place: Place) -> Iterator[Waiver]:
    """Each waiver that has all it needs; one with a fault doesn't count."""
    needed = ("rule", "subject", "reason", "who")
    reader = record(plain(dict), **dict.fromkeys((*needed, "between"), text), until=_until)
    for entry, at in entries(given, place):
        before = len(at.values.faults.found)
        found = reader(entry, at)
        for name in needed:
            if name not in entry:
                at.wrong("nothing", f'{name} = "..."', f"a waiver needs its {name}")
        if len(at.values.faults.found) == before:
            yield Waiver(**found, origin=at.origin)


def _until(given: object, place: Place) -> Any:
    """A day, or the name of a tag."""
    if isinstance(given, date):
        return given.date() if isinstance(given, datetime) else given
    if isinstance(given, str) and given.strip():
        try:
            return date.fromisoformat(given.strip())
        except ValueError:
            return given.strip()
    return place.wrong(given, 'a day, such as 2026-12-31, or a tag, such as "rev-d"')


def _end(given: str) -> tuple[str, str] | None:
    board, _, signal = given.partition(".")
    return (board, fold(signal)) if board and signal else None


def _marked_parts(boards: Mapping[str, Board]) -> Iterator[tuple[str, SoftwarePart]]:
    """Parts that a column Software of the parts list marks: its text is their name, a plain yes stands for the part.

    A column Address beside it holds the bus address.
    """
    for board in boards.values():
        for ref, part in board.parts.items():
            mark = part.data.software
            if not mark or mark.word in NO | PLACEHOLDERS:
                continue
            name = f"{board.name}.{ref}" if mark.word in YES else mark.raw
            yield name, SoftwarePart(board=board.name, part=ref, address=part.data.address.raw, origin=part.origin)
