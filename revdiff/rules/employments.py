"""Every firmware release on every board revision that two revisions make possible."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from revdiff.compare.comparison import Comparison
from revdiff.design import Board, Contract


@dataclass(frozen=True, slots=True)
class Employment:
    """One firmware release on one board revision. ``crossing`` says which of the two is new.

    ``names`` translates folded signal names of the contract to those of the board. ``before`` is the release on
    the board it was released with; None where the old revision does not hold it.
    """

    contract: Contract
    board: Board
    label: str
    crossing: str
    names: Mapping[str, str]
    before: Employment | None = None

    @property
    def pairing(self) -> str:
        """``irrigation 1.4.0 + base@rev-c``."""
        return f"{self.contract.title} + {self.label}"


def employments(comparison: Comparison, old_name: str, new_name: str) -> Iterator[Employment]:
    """Every firmware release on every board revision, but for the old one on the old board."""
    before, after = comparison.old, comparison.new
    for key in {**before.contracts, **after.contracts}:
        old, new = before.contracts.get(key), after.contracts.get(key)
        contract = new if new is not None else old
        assert contract is not None
        old_board, new_board = before.boards.get(contract.board), after.boards.get(contract.board)
        forward = dict(comparison.renames.by_board.get(contract.board, {}))
        released = None
        if old is not None and old_board is not None:
            released = Employment(old, old_board, f"{old_board.name}@{old_name}", "as released", {})
        if new_board is not None:
            label = f"{new_board.name}@{new_name}"
            if old is not None and old != new:
                yield Employment(old, new_board, label, "released firmware on the new board", forward, released)
            if new is not None:
                same = old == new
                crossing = "released firmware on the new board" if same else "this firmware on the new board"
                yield Employment(new, new_board, label, crossing, forward if same else {}, released)
        if new is not None and old_board is not None and old != new:
            label = f"{old_board.name}@{old_name}"
            backward = {now: was for was, now in forward.items()}
            yield Employment(new, old_board, label, "new firmware on the released board", backward, released)
