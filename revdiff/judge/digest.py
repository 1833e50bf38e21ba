"""A name for everything of a board that rules can reach, whatever notation it is kept in."""

from __future__ import annotations

import json
from collections.abc import Callable, Hashable, Mapping
from functools import lru_cache
from operator import attrgetter
from typing import Any, Final

from revdiff.design import Connector, Contact, Contract, Design, Need, Part, PartData, Pin, Reading
from revdiff.design.tables import BY_RECORD
from revdiff.judge.divided import divided
from revdiff.judge.doubts import doubts
from revdiff.judge.names import ById, words_of
from revdiff.judge.programs import releases
from revdiff.judge.terminals import crossings, leading_nowhere
from revdiff.judge.wired import disputed_pulls, wired_pulls
from revdiff.quantities.designator import letters_of

_KEPT = 4096
_BUYING = frozenset({"buying"})
# By kind of record, the cells of the columns that more than a buyer sees.
_JUDGED: Final[Mapping[type, Callable[[Any], tuple[Reading, ...]]]] = {
    record: attrgetter(*(item.name for item in BY_RECORD[record].columns if item.seen_by != _BUYING))
    for record in (Connector, Contact, Need, PartData, Pin)
}


def digest(design: Design, board: str) -> Hashable:
    """Equal digests, equal verdicts.

    All columns count, so that none is forgotten, but for what only a buyer sees, and parts that nothing names.
    """
    return _digest(ById(design), board)


@lru_cache(maxsize=_KEPT)
def _digest(key: ById, board: str) -> Hashable:
    design = key.design
    found = design.boards[board]
    joints = sorted(
        (item.board_a, item.connector_a, item.board_b, item.connector_b, str(item.contacts))
        for item in design.joints
        if board in (item.board_a, item.board_b)
    )
    texts = json.dumps([found.sections.texts, design.sections.texts], sort_keys=True, default=str)
    named = [(item.part, *item.straps) for item in design.sections.software.values() if item.board == board]
    said = f"{texts.upper()} {named}"
    tables = (
        tuple([(name, _cells(item), _rows(item.contacts)) for name, item in sorted(found.connectors.items())]),
        tuple([(key, item.doubled, _cells(item)) for key, item in sorted(found.pins.items())]),
        _rows({ref: part.data for ref, part in found.parts.items() if _reached(part, said)}),
        tuple([_contract(item) for _, item in sorted(design.contracts.items()) if item.board == board]),
    )
    rest = (
        texts,
        sorted((net, pulls) for net, pulls in wired_pulls(found).items() if net in words_of(found)),
        sorted(place for key, place in found.joined.items() if place in leading_nowhere(found)),
        (sorted(crossings(found).items()), sorted(disputed_pulls(found).items())),
        [divided(item, found) for _, item in sorted(design.sections.derived.items()) if item.board == board],
        joints,
        sorted(item.key for item in doubts(design, board)),
    )
    return tables, repr(rest)


def firmware_digest(design: Design, board: str) -> Hashable:
    """Equal digests, and firmware means the same on the board and to it, whatever the revisions are called."""
    needs = [
        (item.contract.title if item.listed else "", item.key, _contract(item.contract))
        for item in releases(design, board, "")
    ]
    return digest(design, board), tuple(needs)


def _reached(part: Part, texts: str) -> bool:
    """Whether a rule of arrangements can reach a part: the manifest names it, or it is, or may be, a clock."""
    value = part.data.value
    clock = letters_of(part.ref) == "Y" or (value.quantity is not None and value.quantity.unit == "Hz")
    return clock or value.unclear or part.ref.upper() in texts


def _contract(item: Contract) -> Hashable:
    """What runs on the board relies on; what the release is called is nothing that a rule looks at."""
    stated = (_meaning(item.clock), _meaning(item.recognises))
    tables = (
        tuple([(key, _meaning(one)) for key, one in sorted(found.items())])
        for found in (item.constants, item.addresses)
    )
    return item.device, stated, *tables, _rows(item.needs)


def _rows(records: Mapping[Any, Any]) -> Hashable:
    return tuple([(key, _cells(one)) for key, one in sorted(records.items())])


def _cells(record: Any) -> Hashable:
    extra = record.extra and tuple([(name, _meaning(item)) for name, item in record.extra])
    return tuple([_meaning(item) for item in _JUDGED[type(record)](record)]), extra


def _meaning(reading: Reading) -> Hashable:
    return reading.meaning if not reading.unclear else (reading.raw,)
