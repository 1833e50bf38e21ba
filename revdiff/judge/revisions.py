"""Two revisions of a design side by side: what the rules of a change may look at."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property

from msgspec import Struct

from revdiff.compare.change import Change
from revdiff.compare.comparison import Comparison
from revdiff.design import Design
from revdiff.judge.arrangement import Member
from revdiff.judge.finding import Role


class Revisions(Struct, frozen=True, dict=True):
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
    def _at(self) -> dict[tuple[str, str], list[int]]:
        found: dict[tuple[str, str], list[int]] = {}
        for index, change in enumerate(self.changes):
            for board in change.boards:
                for name in {change.subject, *(name for pair in change.pairs for name in pair if name)}:
                    found.setdefault((board, name), []).append(index)
        return found

    def touching(self, places: Iterable[tuple[str, str]]) -> tuple[str, ...]:
        """The ids of the changes that touch any of these (board, part, pin, contact, connector or signal)."""
        return tuple(self.changes[one].id for one in sorted({one for at in places for one in self._at.get(at, ())}))
