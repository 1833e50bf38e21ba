"""Who became who, as the user states it in the manifest of either revision."""

from __future__ import annotations

from revdiff.compare.change import Match
from revdiff.design import Board

STATED = Match("stated", 1.0, "stated in the manifest")


def stated_pairs(old: Board, new: Board) -> dict[str, str]:
    """Old designators to new ones, as one revision states them and the other one doesn't, each new one once.

    What both state is of an earlier step. What the old revision states alone is of the step back.
    """
    ahead, back = new.sections.renumbered, old.sections.renumbered
    pairs = {one: two for one, two in ahead.items() if back.get(one) != two}
    pairs.update({two: one for one, two in back.items() if ahead.get(one) != two and two not in pairs})
    before, after = designators(old), designators(new)
    found: dict[str, str] = {}
    for one, two in pairs.items():
        if one in before and two in after and two not in found.values():
            found[one] = two
    return found


def unknown_pairs(old: Board, new: Board) -> dict[str, str]:
    """The pairs that the new revision states of parts which the old one doesn't have."""
    back, known = old.sections.renumbered, designators(old)
    return {one: two for one, two in new.sections.renumbered.items() if back.get(one) != two and one not in known}


def designators(board: Board) -> set[str]:
    """Of all parts, connectors and controllers that the tables of a board name."""
    return {*board.parts, *board.connectors, *(pin.device for pin in board.pins.values())}
