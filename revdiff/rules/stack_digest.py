"""What others see of a board: equal faces get equal verdicts, so that revisions with one face are judged once."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from typing import Any

from revdiff.design import Board, Connector, Contact, Design, Pin, Reading
from revdiff.rules.stack_columns import column, pull_elsewhere, state_of

_CONTACT_COLUMNS = ("power-on", "power on", "pull", "family", "maximum", "5V tolerant", "drive", "series resistance")
_CONNECTOR_COLUMNS = ("numbering", "view", "board side", "keyed", "shrouded")
_PIN_FIELDS = ("function", "direction", "active", "pull", "level", "resistance", "tolerant", "address", "purpose")
_BOARD_SECTIONS = ("feeds", "loads", "blocking", "pulls", "buses")
_DESIGN_SECTIONS = ("stacking", "buses", "known_good", "waivers")


def contact_face(contact: Contact) -> tuple[object, ...]:
    """What a mate sees of a contact."""
    columns = tuple(column(contact, name) for name in _CONTACT_COLUMNS)
    read = tuple(map(_meaning, (contact.signal, contact.direction, contact.level, contact.current, contact.function)))
    return (contact.number, *read, state_of(contact), *columns)


def connector_face(connector: Connector) -> tuple[object, ...]:
    """What a mate sees of a connector."""
    read = map(_meaning, (connector.count, connector.rows, connector.pitch, connector.gender, connector.height))
    place = map(_meaning, (connector.x, connector.y, connector.rotation, connector.rating))
    columns = (column(connector, name) for name in _CONNECTOR_COLUMNS)
    contacts = (contact_face(item) for _, item in sorted(connector.contacts.items()))
    return (connector.name, *read, *place, *columns, *contacts)


def digest(design: Design, board: str) -> str:
    """A name for everything that judging a stack with this board looks at, whatever the notation it is kept in."""
    found = design.boards[board]
    joints = sorted(
        (item.board_a, item.connector_a, item.board_b, item.connector_b, str(item.contacts))
        for item in design.joints
        if board in (item.board_a, item.board_b)
    )
    ends = {item[1] for item in joints if item[0] == board} | {item[3] for item in joints if item[2] == board}
    joined = [item for name, item in sorted(found.connectors.items()) if name in ends or item.role.word == "joint"]
    signals = {contact.signal.word for item in joined for contact in item.contacts.values() if contact.signal}
    whole = (
        tuple(connector_face(item) for item in joined),
        tuple(_pin_face(item) for _, item in sorted(found.pins.items()) if item.signal.word in signals),
        _plain(found.sections.texts, _BOARD_SECTIONS),
        tuple(_part_face(found, ref) for ref in sorted(set(_references(found)))),
        _plain(design.sections.texts, _DESIGN_SECTIONS),
        joints,
        sorted(design.boards),
    )
    return hashlib.sha256(repr(whole).encode()).hexdigest()


def _pin_face(pin: Pin) -> tuple[object, ...]:
    read = tuple(_meaning(getattr(pin, name)) for name in _PIN_FIELDS)
    columns = tuple(column(pin, name) for name in ("family", "maximum"))
    return (pin.name, pin.signal.word, *read, *columns, pull_elsewhere(pin))


def _part_face(board: Board, ref: str) -> tuple[object, ...]:
    part = board.parts.get(ref)
    return (ref,) if part is None else (ref, _meaning(part.data.value), _meaning(part.data.fitted))


def _references(board: Board) -> Iterable[str]:
    """The parts that the sections about stacking name."""
    for name in ("pulls", "blocking"):
        given = board.sections.texts.get(name)
        for item in given.values() if isinstance(given, dict) else ():
            for text in item if isinstance(item, list) else [item]:
                yield from (word for word in str(text).upper().split() if word in board.parts)


def _plain(data: Any, names: tuple[str, ...]) -> str:
    return json.dumps({name: data[name] for name in names if name in data}, sort_keys=True, default=str)


def _meaning(reading: Reading) -> object:
    return reading.meaning if not reading.unclear else reading.raw
