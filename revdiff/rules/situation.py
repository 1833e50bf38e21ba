"""What the rules look at: the comparison, and every pairing of an old and a new thing that it makes possible."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from revdiff.compare.change import Change
from revdiff.compare.comparison import Comparison
from revdiff.design import Design
from revdiff.rules.employments import Employment, employments
from revdiff.rules.finding import Party
from revdiff.rules.meetings import Meeting, meetings
from revdiff.rules.stack_pairings import StackPairing, stack_pairings


@dataclass(frozen=True)
class Situation:
    """The comparison of two named revisions. ``old_name`` and ``new_name`` are what the user calls them."""

    comparison: Comparison
    old_name: str
    new_name: str
    _index: dict[str, list[str]] = field(default_factory=dict, compare=False)

    @property
    def old(self) -> Design:
        """The old design."""
        return self.comparison.old

    @property
    def new(self) -> Design:
        """The new design."""
        return self.comparison.new

    @property
    def changes(self) -> tuple[Change, ...]:
        """All changes."""
        return self.comparison.changes

    def changes_at(self, board: str, *names: str) -> tuple[str, ...]:
        """The ids of the changes of a board that touch any of these contacts, pins, parts or connectors."""
        if not self._index:
            for change in self.changes:
                touched = {change.subject, *(name for pair in change.pairs for name in pair if name)}
                for board_name in change.board.split(", "):
                    for name in touched:
                        self._index.setdefault(f"{board_name}/{name}", []).append(change.id)
        found = [identity for name in names for identity in self._index.get(f"{board}/{name}", ())]
        return tuple(dict.fromkeys(found))

    def both(self, board: str) -> tuple[Party, ...]:
        """A board in its old and in its new revision."""
        return (
            Party(board, "old", f"{board}@{self.old_name}"),
            Party(board, "new", f"{board}@{self.new_name}"),
        )

    @cached_property
    def meetings(self) -> tuple[Meeting, ...]:
        """Every pairing of stacked boards."""
        return meetings(self.comparison, self.old_name, self.new_name)

    @cached_property
    def stacks(self) -> tuple[StackPairing, ...]:
        """Every stack of old and new boards, beside the one of old boards alone."""
        return stack_pairings(self.comparison, self.old_name, self.new_name)

    @cached_property
    def employments(self) -> tuple[Employment, ...]:
        """Every firmware release on every board revision."""
        return tuple(employments(self.comparison, self.old_name, self.new_name))
