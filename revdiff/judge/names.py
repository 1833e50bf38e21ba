"""Which differently named signals and connectors belong together: taught by pairings declared good, and by renames.

Comparing two designs is dear, and only needed where names differ; the last results are kept.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Any

from revdiff.compare.comparison import Comparison, compare_designs
from revdiff.design import Board, Design, Joint
from revdiff.judge.position import by_place, stated_pairs

_KEPT = 256


class ById:
    """A design or a board by identity: hashing a whole one would cost more than what is kept for it."""

    __slots__ = ("design",)

    def __init__(self, design: Any) -> None:
        self.design = design

    def __hash__(self) -> int:
        return id(self.design)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, ById) and self.design is other.design


@lru_cache(maxsize=_KEPT)
def _compared(old: ById, new: ById) -> Comparison:
    def without_parts(design: Design) -> Design:
        boards = {name: replace(board, parts={}) for name, board in design.boards.items()}
        return replace(design, boards=boards, contracts={})

    return compare_designs(without_parts(old.design), without_parts(new.design))


def words_of(board: Board) -> frozenset[str]:
    """The folded names of the signals that pins and contacts carry."""
    return _words(ById(board))


@lru_cache(maxsize=16 * _KEPT)
def _words(key: ById) -> frozenset[str]:
    found: Board = key.design
    contacts = found.contacts
    return frozenset(one.signal.word for both in (contacts, found.pins.values()) for one in both)


def connector_names(old: Design, new: Design) -> Mapping[str, Mapping[str, str]]:
    """Per board, the names of connectors of ``old`` that ``new`` has under another name."""
    return _compared(ById(old), ById(new)).connectors


def signal_names(old: Design, new: Design, board: str) -> Mapping[str, str]:
    """Folded signal names of a board that were changed from ``old`` to ``new``."""
    if old is new:
        return {}
    both = old.boards.get(board), new.boards.get(board)
    if both[0] is not None and both[1] is not None and words_of(both[0]) == words_of(both[1]):
        return {}  # no name went, and none came
    return _compared(ById(old), ById(new)).renames.by_board.get(board, {})


def belonging(
    one: Design, two: Design, a: str, b: str, taught: Iterable[tuple[tuple[str, str], tuple[str, str]]] = ()
) -> frozenset[tuple[str, str]]:
    """(signal of board a in design ``one``, signal of board b in design ``two``) that belong together."""
    found = {(x[1], y[1]) for x, y in taught if (x[0], y[0]) == (a, b)}
    found |= {(y[1], x[1]) for x, y in taught if (y[0], x[0]) == (a, b)}
    forward, back = signal_names(one, two, b), signal_names(two, one, a)
    found |= {(x, forward.get(y, y)) for x, y in declared_pairs(one, a, b)}
    found |= {(back.get(x, x), y) for x, y in declared_pairs(two, a, b)}
    # A signal renamed on both boards goes by its old name here and by its new one there.
    found |= {(before, after) for before, after in signal_names(one, two, a).items()}
    found |= {(before, after) for after, before in signal_names(two, one, b).items()}
    return frozenset(found)


def declared_pairs(design: Design, a: str, b: str) -> set[tuple[str, str]]:
    """The (signal of a, signal of b) that the design's own known-good pairings teach."""
    found: set[tuple[str, str]] = set()
    for entry in design.sections.known_good:
        for one, two in entry.signals:
            if (one[0], two[0]) == (a, b):
                found.add((one[1], two[1]))
            elif (two[0], one[0]) == (a, b):
                found.add((two[1], one[1]))
        if {a, b} <= set(entry.boards):
            found |= _apart(met_signals(design, design, a, b))
    return found


def _apart(met: set[tuple[str, str]]) -> set[tuple[str, str]]:
    """Those whose names differ and of which neither stands on the other board, too.

    That VALVE1 meets VALVE2 while the other board has a VALVE1 is more likely a slip than a good pairing, and has to be
    stated signal by signal.
    """
    ours, theirs = {one for one, _ in met}, {two for _, two in met}
    return {(one, two) for one, two in met if one == two or not (one in theirs or two in ours)}


def met_signals(one: Design, two: Design, a: str, b: str) -> set[tuple[str, str]]:
    """The signals that meet when board a of ``one`` and board b of ``two`` are stacked by the joints of ``one``."""
    found: set[tuple[str, str]] = set()
    for joint in one.joints:
        if (joint.board_a, joint.board_b) == (a, b):
            found |= _met(one, two, joint)
        elif (joint.board_a, joint.board_b) == (b, a):
            found |= {(y, x) for x, y in _met(two, one, joint)}
    return found


def _met(one: Design, two: Design, joint: Joint) -> set[tuple[str, str]]:
    boards = one.boards.get(joint.board_a), two.boards.get(joint.board_b)
    if boards[0] is None or boards[1] is None:
        return set()
    a, b = boards[0].connectors.get(joint.connector_a), boards[1].connectors.get(joint.connector_b)
    if a is None or b is None:
        return set()
    pairs = by_place(a, b) or stated_pairs(joint, a, max(a.size, b.size))
    return {
        (a.contacts[x].signal.word, b.contacts[y].signal.word)
        for x, y in pairs.items()
        if x in a.contacts and y in b.contacts and a.contacts[x].signal and b.contacts[y].signal
    }
