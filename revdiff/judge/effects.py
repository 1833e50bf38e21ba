"""Parts that changed, and of which nothing says what they do in the circuit: no formula, no pull, no rule reaches them.

Whoever reads "nothing breaks" has to know that another feedback resistor stood in the data.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from revdiff.compare.change import Change
from revdiff.compare.part_changes import REPLACED
from revdiff.design import Board, Design
from revdiff.design.derived import parts_of
from revdiff.judge.drift import is_bought
from revdiff.judge.engine import NOT_STATED
from revdiff.judge.finding import NotChecked
from revdiff.judge.revisions import Revisions
from revdiff.quantities.designator import compress

_LISTED = 4  # designators that are named


def unjudged_parts(revisions: Revisions) -> Mapping[str, tuple[str, ...]]:
    """By board the designators, new ones where there is one, of parts with another value, or placed in one revision."""
    found: dict[str, dict[str, None]] = {}
    judged: dict[str, frozenset[str]] = {}
    for change in revisions.of_kind("part.added", "part.removed", "part.fitted", *REPLACED):
        if not {change.board} <= revisions.old.boards.keys() & revisions.new.boards.keys():
            continue
        old, new = revisions.old.boards[change.board], revisions.new.boards[change.board]
        if change.board not in judged:
            judged[change.board] = _spoken_for(revisions.old, old) | _spoken_for(revisions.new, new)
        for ref in _other(change, old, new):
            if ref not in judged[change.board] and is_bought(ref):
                found.setdefault(change.board, {})[ref] = None
    return {board: tuple(refs) for board, refs in found.items()}


def _spoken_for(design: Design, board: Board) -> frozenset[str]:
    """The parts of which the manifest says what they do, or a table of their own."""
    sections, own = design.sections, board.sections
    software = [item for item in sections.software.values() if item.board == board.name]
    return frozenset(
        (
            *(ref for item in sections.derived.values() for where, ref in parts_of(item) if where == board.name),
            *(item.ref for pulls in own.pulls.values() for item in pulls),
            *own.blocking.values(),
            *(item.clock for (where, _), item in sections.controllers.items() if where == board.name),
            *(ref for item in software for ref in (item.part, *item.straps)),
            *board.connectors,
            *(pin.device for pin in board.pins.values()),
        )
    )


def _other(change: Change, old: Board, new: Board) -> Iterator[str]:
    """The designators of a change that do something else now than before."""
    for one, two in change.pairs:
        before, after = old.parts.get(one), new.parts.get(two)
        placed = [part is not None and part.data.fitted.meaning is not False for part in (before, after)]
        if not any(placed):
            continue
        if all(placed) and before is not None and after is not None and before.data.value == after.data.value:
            continue  # the same value in another make, package or rating
        yield two or one


def effects(revisions: Revisions) -> Iterator[NotChecked]:
    """For people, all boards together."""
    told = []
    for board, refs in unjudged_parts(revisions).items():
        more = f" and {len(refs) - _LISTED} more" if len(refs) > _LISTED else ""
        told.append(f"{compress(refs[:_LISTED])}{more} of {board}")
    if told:
        yield NotChecked(
            f"what changed parts do in the circuit: {'; '.join(told)}",
            NOT_STATED,
            "[derived.NAME] with a formula and limits, or boards.NAME.pulls",
            ("stacking", "assembly"),
        )
