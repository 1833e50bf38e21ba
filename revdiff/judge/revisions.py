"""Two revisions of a design side by side: what the rules of a change may look at."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from revdiff.compare.change import Change
from revdiff.compare.comparison import Comparison
from revdiff.design import Design
from revdiff.judge.arrangement import Member
from revdiff.judge.finding import Role


@dataclass(frozen=True)
class Revisions:
    """The comparison of two revisions, under the names that people call them by."""

    comparison: Comparison
    old_name: str
    new_name: str

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

    def of_kind(self, *kinds: str) -> tuple[Change, ...]:
        """The changes of some kinds."""
        return tuple(change for change in self.changes if change.kind in kinds)

    def member(self, board: str, role: Role) -> Member:
        """A board in its old or in its new revision. Raises KeyError where that holds none."""
        design, name = (self.old, self.old_name) if role == "old" else (self.new, self.new_name)
        return Member(design, design.boards[board], name, role)

    def both(self, board: str) -> tuple[Member, ...]:
        """A board in its old and in its new revision, as far as there are both."""
        roles: tuple[Role, ...] = ("old", "new")
        held = {"old": self.old.boards, "new": self.new.boards}
        return tuple(self.member(board, role) for role in roles if board in held[role])

    @cached_property
    def _by_name(self) -> dict[tuple[str, str], list[str]]:
        found: dict[tuple[str, str], list[str]] = {}
        for change in self.changes:
            for board in change.board.split(", "):
                for name in {change.subject, *(name for pair in change.pairs for name in pair if name)}:
                    found.setdefault((board, name), []).append(change.id)
        return found

    def changes_at(self, board: str, *names: str) -> tuple[str, ...]:
        """The ids of the changes of a board that touch any of these parts, pins, contacts, connectors or signals."""
        return tuple(dict.fromkeys(item for name in names for item in self._by_name.get((board, name), ())))
