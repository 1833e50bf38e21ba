"""The C header of two revisions of a board, from their review: who is who, and which board ID each has."""

from __future__ import annotations

from revdiff.design import Board
from revdiff.errors import UsageFault
from revdiff.release.review import Review
from revdiff.report.pins_c import to_selecting_header
from revdiff.report.pins_table import export_pins


def selecting_header(review: Review, board: Board, device: str, start: str = "") -> str:
    """The header. Board IDs are the codes of ``[identity.BOARD]``; 0 and 1 where neither revision states one.

    Raises UsageFault where the codes don't tell the two apart, or the old revision has no such board.
    """
    comparison = review.comparison
    before = comparison.old.boards.get(board.name)
    if before is None:
        raise UsageFault(f"{review.old.name} has no board {board.name}.")
    back = {new: old for old, new in comparison.devices.get(board.name, {}).items()}
    codes = [
        item.code if (item := design.sections.identities.get(board.name)) is not None else ""
        for design in (comparison.old, comparison.new)
    ]
    numbers = [0, 1] if not any(codes) else [_number(code, board.name) for code in codes]
    return to_selecting_header(
        board.name,
        device,
        [
            (review.old.name, numbers[0], export_pins(before, back.get(device, device))),
            (review.new.name, numbers[1], export_pins(board, device)),
        ],
        comparison.renames.by_board.get(board.name, {}),
        start,
    )


def _number(code: str, board: str) -> int:
    try:
        number = int(code, 0)
    except ValueError:
        number = -1
    if not 0 <= number < 2**31:
        raise UsageFault(f"the code {code!r} in [identity.{board}] is no number, so a C header can't select by it.")
    return number
