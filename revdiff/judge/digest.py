"""A name for everything of a board that rules can reach, whatever notation it is kept in."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from revdiff.design import Design, Reading
from revdiff.design.tables import BY_RECORD

_BUYING = frozenset({"buying"})


def digest(design: Design, board: str) -> str:
    """Equal digests, equal verdicts. All columns count, so that none is forgotten, but for what only a buyer sees."""
    found = design.boards[board]
    joints = sorted(
        (item.board_a, item.connector_a, item.board_b, item.connector_b, str(item.contacts))
        for item in design.joints
        if board in (item.board_a, item.board_b)
    )
    whole = (
        [
            (name, _cells(item), [(key, _cells(one)) for key, one in sorted(item.contacts.items())])
            for name, item in sorted(found.connectors.items())
        ],
        [(key, _cells(item)) for key, item in sorted(found.pins.items())],
        [(ref, _cells(part.data)) for ref, part in sorted(found.parts.items())],
        json.dumps([found.sections.texts, design.sections.texts], sort_keys=True, default=str),
        joints,
    )
    return hashlib.sha256(repr(whole).encode()).hexdigest()


def _cells(record: Any) -> tuple[object, ...]:
    columns = (item.name for item in BY_RECORD[type(record)].columns if item.seen_by != _BUYING)
    read = tuple((name, _meaning(cell)) for name in columns if (cell := getattr(record, name)))
    return (*read, *((name, _meaning(item)) for name, item in record.extra))


def _meaning(reading: Reading) -> str:
    return repr(reading.meaning) if not reading.unclear else reading.raw
