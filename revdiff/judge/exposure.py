"""Whether a revision ever left the house: ``shipped = true`` or ``false`` in ``[boards.NAME]`` of the base.

Whoever holds an old board can be hurt by a break; an old revision that nobody holds can break nothing for others. A
hazard stays one, for it burns hardware in the house, too; and so does what the new revision breaks within itself.
"""

from __future__ import annotations

from msgspec.structs import replace

from revdiff.judge.engine import Judged, Verdict
from revdiff.judge.revisions import Revisions


def exposed(verdict: Verdict, revisions: Revisions) -> Verdict:
    """Each break of a verdict with what is known of the old boards in it; one step down where none was ever shipped."""
    return replace(verdict, judged=tuple(_told(item, revisions) for item in verdict.judged))


def _told(item: Judged, revisions: Revisions) -> Judged:
    if item.danger not in ("hazard", "break") or not _mixes(item):
        return item
    base, name = revisions.old, revisions.old_name
    boards = [member.board.name for member in item.item.members if member.role != "new"]
    boards = boards or [member.board.name for member in item.item.members]
    known = {board: base.boards[board].sections.shipped for board in boards if board in base.boards}
    if not known or None in known.values():
        return item
    out = [board for board, given in known.items() if given] or list(known)
    said = "was shipped" if any(known.values()) else "was never shipped"
    message = f"{item.margin.message}; {', '.join(f'{board}@{name}' for board in out)} {said}"
    danger = item.danger if any(known.values()) or item.danger == "hazard" else "caution"
    return replace(item, danger=danger, margin=replace(item.margin, message=message))


def _mixes(item: Judged) -> bool:
    """Whether anything in it is of the old revision alone: a release that the new one ships unchanged is its own."""
    boards = any(member.role == "old" for member in item.item.members)
    return boards or any(program.role == "old" and not program.kept for program in item.item.programs)
