"""Two connectors that mate: every pairing of stacked boards that two revisions make possible, and what met before."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Protocol

from revdiff.compare.comparison import Comparison
from revdiff.design import Board, Connector, Contact, Joint
from revdiff.rules.finding import Party, Role
from revdiff.rules.stack_digest import connector_face
from revdiff.rules.stack_placement import place, turned
from revdiff.rules.stack_position import by_place, stated_pairs


@dataclass(frozen=True, slots=True)
class Side:
    """One board at one revision in a pairing. ``label`` names both, as ``base@rev-c``."""

    board: Board
    connector: Connector
    label: str
    new: bool
    role: Role = ""


@dataclass(frozen=True)
class Meeting:
    """Two connectors that mate in one pairing, and what their contacts met where it was known to work.

    ``known`` holds the (signal of a, signal of b) that belong together, in the names of this pairing: they met in
    the old pairing, or in one declared good. ``worked`` is false where there was no old pairing to compare with.
    ``turned``: the connectors' rotations say that they meet by half a turn. ``fresh``: judged on its own, without
    an old pairing, so that neither side is the new one.
    """

    joint: Joint
    a: Side
    b: Side
    known: frozenset[tuple[str, str]]
    worked: bool
    turned: bool = False
    fresh: bool = False

    @property
    def pairing(self) -> str:
        """``base@rev-c + valves@rev-b``."""
        return f"{self.a.label} + {self.b.label}"

    @property
    def parties(self) -> tuple[Party, ...]:
        """The two boards."""
        return tuple(Party(side.board.name, side.role, side.label) for side in (self.a, self.b))

    @property
    def name(self) -> str:
        """``base.J1–valves.J1``."""
        return f"{self.a.board.name}.{self.a.connector.name}–{self.b.board.name}.{self.b.connector.name}"

    @property
    def crossing(self) -> str:
        """``new base on released valves``; which of the two boards is new."""
        a, b = self.a.board.name, self.b.board.name
        if self.fresh:
            return ""
        if self.a.new and self.b.new:
            return f"new {a} with new {b}" if self.worked else f"{a} with {b}, newly joined"
        return f"new {a} with released {b}" if self.a.new else f"released {a} with new {b}"

    @property
    def size(self) -> int:
        """Contacts of the larger side."""
        return max(self.a.connector.size, self.b.connector.size)

    @cached_property
    def pairs(self) -> Mapping[str, str]:
        """Which contact of b each contact of a meets: by place where the data says so, else as the joint states."""
        placed = by_place(self.a.connector, self.b.connector, turned=self.turned)
        if placed is not None:
            return placed
        return stated_pairs(self.joint, self.a.connector, self.size)

    def contacts(self) -> Iterator[tuple[Contact | None, Contact | None]]:
        """The contacts that meet; None where one side has no contact there."""
        met = set()
        for number, contact in self.a.connector.contacts.items():
            mate = self.pairs.get(number)
            other = self.b.connector.contacts.get(mate) if mate is not None else None
            if other is not None:
                met.add(other.number)
            yield contact, other
        for number, contact in self.b.connector.contacts.items():
            if number not in met:
                yield None, contact

    def met(self) -> Iterator[tuple[Contact, Contact]]:
        """The contacts that meet with a signal on both."""
        for a, b in self.contacts():
            if a is not None and b is not None and a.signal and b.signal:
                yield a, b


class Joined(Protocol):
    """Connectors that mate, whatever brought them together: two revisions compared, or one stack judged."""

    @property
    def meetings(self) -> tuple[Meeting, ...]:
        """Every two connectors that mate."""

    def changes_at(self, board: str, *names: str) -> tuple[str, ...]:
        """The ids of the changes of a board that touch any of these names."""


def meetings(comparison: Comparison, old_name: str, new_name: str) -> tuple[Meeting, ...]:
    """Every joint of the new design, in every pairing of an old and a new board that is not the old pairing.

    Where a board's connector did not change, its old and its new revision are one side: ``radio@rev-b/rev-c``.
    """
    finder = _Finder(comparison, old_name, new_name)
    return tuple(meeting for joint in comparison.new.joints for meeting in finder.of(joint))


class _Finder:
    def __init__(self, comparison: Comparison, old_name: str, new_name: str) -> None:
        self.comparison = comparison
        self.old = comparison.old
        self.new = comparison.new
        self.old_name = old_name
        self.new_name = new_name

    def of(self, joint: Joint) -> Iterator[Meeting]:
        ends = ((joint.board_a, joint.connector_a), (joint.board_b, joint.connector_b))
        new_a, new_b = (self._side(board, connector, new=True) for board, connector in ends)
        old_a, old_b = (self._side(board, connector, new=False) for board, connector in ends)
        if new_a is None or new_b is None:
            return
        before = self._old_joint(joint)
        if before is None or old_a is None or old_b is None:
            yield Meeting(joint, new_a, new_b, frozenset(), worked=False)
            return
        again = before.contacts != joint.contacts
        a_changed = again or _interface(old_a) != _interface(new_a)
        b_changed = again or _interface(old_b) != _interface(new_b)
        both = f"{self.old_name}/{self.new_name}"
        pairs = []
        if a_changed and b_changed:
            pairs = [(new_a, new_b), (new_a, old_b), (old_a, new_b)]
        elif a_changed:
            pairs = [(new_a, replace(new_b, label=f"{new_b.board.name}@{both}", new=False, role=""))]
        elif b_changed:
            pairs = [(replace(new_a, label=f"{new_a.board.name}@{both}", new=False, role=""), new_b)]
        for a, b in pairs:
            yield Meeting(joint, a, b, self._known(before, a, b), worked=True, turned=self._turned(joint, a, b))

    def _turned(self, joint: Joint, a: Side, b: Side) -> bool:
        """Whether the rotations say that two connectors meet by half a turn, all joints of their boards considered."""
        if by_place(a.connector, b.connector) is None:
            return False
        ends = [(a.connector, b.connector)]
        for other in self.new.joints:
            if other is not joint and (other.board_a, other.board_b) == (joint.board_a, joint.board_b):
                one, two = a.board.connectors.get(other.connector_a), b.board.connectors.get(other.connector_b)
                ends += [(one, two)] if one is not None and two is not None else []
        return turned(*ends[0], place(ends)) or False

    def _side(self, board: str, connector: str, *, new: bool) -> Side | None:
        design, name = (self.new, self.new_name) if new else (self.old, self.old_name)
        if not new:
            back = {after: before for before, after in self.comparison.connectors.get(board, {}).items()}
            connector = back.get(connector, connector)
        found = design.boards.get(board)
        if found is None or connector not in found.connectors:
            return None
        return Side(found, found.connectors[connector], f"{board}@{name}", new, "new" if new else "old")

    def _old_joint(self, joint: Joint) -> Joint | None:
        """The old joint of the same two connectors, seen from the same side; its numbers may differ."""
        maps = self.comparison.connectors
        for old in self.old.joints:
            a = (old.board_a, maps.get(old.board_a, {}).get(old.connector_a, old.connector_a))
            b = (old.board_b, maps.get(old.board_b, {}).get(old.connector_b, old.connector_b))
            if (a, b) == ((joint.board_a, joint.connector_a), (joint.board_b, joint.connector_b)):
                return old
            if (b, a) == ((joint.board_a, joint.connector_a), (joint.board_b, joint.connector_b)):
                pairs = old.contacts
                turned = tuple((two, one) for one, two in pairs) if isinstance(pairs, tuple) else pairs
                return replace(
                    old,
                    board_a=old.board_b,
                    connector_a=old.connector_b,
                    board_b=old.board_a,
                    connector_b=old.connector_a,
                    contacts=turned,
                )
        return None

    def _known(self, joint: Joint, a: Side, b: Side) -> frozenset[tuple[str, str]]:
        """Which signals met in the old pairing, as folded names that sides ``a`` and ``b`` use for them."""
        board_a, board_b = self.old.boards[joint.board_a], self.old.boards[joint.board_b]
        old = Meeting(
            joint,
            replace(a, board=board_a, connector=board_a.connectors[joint.connector_a]),
            replace(b, board=board_b, connector=board_b.connectors[joint.connector_b]),
            frozenset(),
            True,
        )
        renames = self.comparison.renames
        found = set()
        for one, two in old.contacts():
            if one is not None and two is not None and one.signal and two.signal:
                name_a = renames.of(joint.board_a, one.signal.word) if a.new else one.signal.word
                name_b = renames.of(joint.board_b, two.signal.word) if b.new else two.signal.word
                found.add((name_a, name_b))
        return frozenset(found)


def _interface(side: Side) -> object:
    """What a mate sees of a connector: equal interfaces are one side of a pairing."""
    return connector_face(side.connector)
