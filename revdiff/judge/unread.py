"""What could not be read of what a board is judged by: nobody can tell by half a table that boards fit.

Faults in the tables of terminals, in the contracts and in the manifest count; of a parts list the cells of the parts
that the manifest names, since no rule of arrangements reaches the others.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from revdiff.design import Board, Design
from revdiff.judge.finding import Audience
from revdiff.judge.names import ById
from revdiff.judge.rule import Record

_KEPT = 1024
_REF = re.compile(r"\b[A-Z]+\d+[A-Z]?\b")


@dataclass(frozen=True, slots=True)
class Unread:
    """One fault. ``key`` is the same in every row and revision that has it; ``place`` is for people."""

    key: tuple[str, ...]
    place: str
    audience: Audience


def unread(design: Design, board: str) -> tuple[Unread, ...]:
    """The faults in what a board of a design is judged by, each once."""
    return _unread(ById(design), board)


@lru_cache(maxsize=_KEPT)
def _unread(held: ById, board: str) -> tuple[Unread, ...]:
    design: Design = held.design
    files = _files(design, board)
    found = [
        Unread((item.code, item.found or item.message), str(item.origin), files[item.origin.file])
        for item in design.diagnostics
        if item.severity == "fault" and item.origin.file in files
    ]
    found += _unclear_parts(design.boards[board], named_parts(design, board))
    return tuple({item.key: item for item in found}.values())


def _files(design: Design, board: str) -> dict[str, Audience]:
    """The files that rules of arrangements look into, and who relies on each."""
    found = design.boards[board]
    contacts = (one for item in found.connectors.values() for one in item.contacts.values())
    stacked: tuple[Record, ...] = (*found.connectors.values(), *contacts, *found.nodes.values(), *design.joints)
    files: dict[str, Audience] = dict.fromkeys((item.origin.file for item in stacked), "stacking")
    contracts = [item for item in design.contracts.values() if item.board == board]
    run: tuple[Record, ...] = (
        *found.pins.values(),
        *contracts,
        *(need for item in contracts for need in item.needs.values()),
    )
    files |= dict.fromkeys((item.origin.file for item in run), "firmware")
    return {**files, design.origin.file: "stacking"}


def named_parts(design: Design, board: str) -> frozenset[str]:
    """The designators that the manifest, or a part that software talks to, names on a board, and perhaps others."""
    texts = [design.boards[board].sections.texts, design.sections.texts]
    parts = [(item.part, *item.straps) for item in design.sections.software.values() if item.board == board]
    return frozenset(_REF.findall(f"{texts} {parts}".upper()))


def _unclear_parts(board: Board, named: frozenset[str]) -> Iterator[Unread]:
    for ref in sorted(named & board.parts.keys()):
        part = board.parts[ref]
        for name in ("value", "fitted"):
            reading = getattr(part.data, name)
            if reading.unclear:
                yield Unread((ref, name, reading.raw), f"{name} of {ref} at {part.origin}", "stacking")
