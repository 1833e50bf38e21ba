"""The same extra column under a header in other case or spacing: brought to one spelling before comparing."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from msgspec.structs import replace

from revdiff.design import Board, Design
from revdiff.quantities.text import fold


def aligned(old: Design, new: Design) -> Design:
    """``new`` with the columns that the program has no name for spelled as in ``old``; ``new`` itself where they are.

    Records are compared as wholes on the way, so that ``Remark`` and ``REMARK`` must not make two records differ.
    """
    boards = {
        name: _aligned_board(old.boards[name], board) if name in old.boards else board
        for name, board in new.boards.items()
    }
    contracts = dict(new.contracts)
    for key, contract in new.contracts.items():
        if key in old.contracts:
            needs = _aligned(old.contracts[key].needs, contract.needs)
            contracts[key] = contract if needs is contract.needs else dataclasses.replace(contract, needs=needs)
    if all(boards[name] is board for name, board in new.boards.items()) and all(
        contracts[key] is contract for key, contract in new.contracts.items()
    ):
        return new
    return dataclasses.replace(new, boards=boards, contracts=contracts)


def _aligned_board(old: Board, new: Board) -> Board:
    parts = _aligned_parts(old, new)
    pins = _aligned(old.pins, new.pins)
    connectors = _aligned(old.connectors, new.connectors)
    spelling = _spelling(
        old.contacts,
        new.contacts,
    )
    if spelling:
        connectors = {
            name: replace(item, contacts={number: _spelled(row, spelling) for number, row in item.contacts.items()})
            for name, item in connectors.items()
        }
    if parts is new.parts and pins is new.pins and connectors is new.connectors:
        return new
    return dataclasses.replace(new, parts=parts, pins=pins, connectors=connectors)


def _aligned_parts(old: Board, new: Board) -> Mapping[str, Any]:
    before = {id(part.data): part.data for part in old.parts.values()}
    after = {id(part.data): part.data for part in new.parts.values()}
    spelling = _spelling(before.values(), after.values())
    if not spelling:
        return new.parts
    spelled = {key: _spelled(data, spelling) for key, data in after.items()}
    return {ref: dataclasses.replace(part, data=spelled[id(part.data)]) for ref, part in new.parts.items()}


def _aligned(old: Mapping[Any, Any], new: Mapping[Any, Any]) -> Mapping[Any, Any]:
    spelling = _spelling(old.values(), new.values())
    return {key: _spelled(item, spelling) for key, item in new.items()} if spelling else new


def _spelling(old: Iterable[Any], new: Iterable[Any]) -> dict[str, str]:
    """The new spellings that differ from an old one, with the old one."""
    before = dict.fromkeys(_columns(old))
    known = {fold(name): name for name in before}
    return {
        name: known[fold(name)] for name in dict.fromkeys(_columns(new)) if name not in before and fold(name) in known
    }


def _columns(records: Iterable[Any]) -> Iterator[str]:
    return (name for record in records if record.extra for name, _ in record.extra)


def _spelled(record: Any, spelling: Mapping[str, str]) -> Any:
    if not any(name in spelling for name, _ in record.extra):
        return record
    return dataclasses.replace(record, extra=tuple((spelling.get(name, name), item) for name, item in record.extra))
