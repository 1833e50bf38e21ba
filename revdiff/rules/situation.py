"""What the rules look at: the comparison, and every pairing of an old and a new thing that it makes possible."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from revdiff.compare.change import Change
from revdiff.compare.comparison import Comparison
from revdiff.design import Board, Connector, Contact, Contract, Design, Joint


@dataclass(frozen=True, slots=True)
class Side:
    """One board at one revision in a pairing. ``label`` names both, as ``base@rev-c``."""

    board: Board
    connector: Connector
    label: str
    new: bool


@dataclass(frozen=True, slots=True)
class Meeting:
    """Two connectors that mate in one pairing, and what their contacts met where it was known to work.

    ``known`` holds the (signal of a, signal of b) that met in the old pairing, in the names of this one.
    ``worked`` is false where there was no old pairing to compare with.
    """

    joint: Joint
    a: Side
    b: Side
    known: frozenset[tuple[str, str]]
    worked: bool

    @property
    def pairing(self) -> str:
        """``base@rev-c + valves@rev-b``."""
        return f"{self.a.label} + {self.b.label}"

    def contacts(self) -> Iterator[tuple[Contact | None, Contact | None]]:
        """The contacts that meet; None where one side has no contact there."""
        size = max(self.a.connector.size, self.b.connector.size)
        met = set()
        for number, contact in self.a.connector.contacts.items():
            mate = self.joint.mate(number, size)
            other = self.b.connector.contacts.get(mate) if mate is not None else None
            if other is not None:
                met.add(other.number)
            yield contact, other
        for number, contact in self.b.connector.contacts.items():
            if number not in met:
                yield None, contact


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

    # stacking

    @cached_property
    def meetings(self) -> tuple[Meeting, ...]:
        """Every joint of the new design, in every pairing of an old and a new board that is not the old pairing.

        Where a board's connector did not change, its old and its new revision are one side: ``radio@rev-b/rev-c``.
        """
        return tuple(meeting for joint in self.new.joints for meeting in self._meetings_of(joint))

    def _meetings_of(self, joint: Joint) -> Iterator[Meeting]:
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
            pairs = [(new_a, replace(new_b, label=f"{new_b.board.name}@{both}"))]
        elif b_changed:
            pairs = [(replace(new_a, label=f"{new_a.board.name}@{both}"), new_b)]
        for a, b in pairs:
            yield Meeting(joint, a, b, self._known(before, a, b), worked=True)

    def _side(self, board: str, connector: str, *, new: bool) -> Side | None:
        design, name = (self.new, self.new_name) if new else (self.old, self.old_name)
        if not new:
            back = {after: before for before, after in self.comparison.connectors.get(board, {}).items()}
            connector = back.get(connector, connector)
        found = design.boards.get(board)
        if found is None or connector not in found.connectors:
            return None
        return Side(found, found.connectors[connector], f"{board}@{name}", new)

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

    # firmware

    @cached_property
    def employments(self) -> tuple[Employment, ...]:
        """Every firmware release on every board revision, but for the old one on the old board."""
        return tuple(self._employments())

    def _employments(self) -> Iterator[Employment]:
        for key in {**self.old.contracts, **self.new.contracts}:
            old, new = self.old.contracts.get(key), self.new.contracts.get(key)
            contract = new if new is not None else old
            assert contract is not None
            old_board, new_board = self.old.boards.get(contract.board), self.new.boards.get(contract.board)
            forward = dict(self.comparison.renames.by_board.get(contract.board, {}))
            released = None
            if old is not None and old_board is not None:
                released = Employment(old, old_board, f"{old_board.name}@{self.old_name}", "as released", {})
            if new_board is not None:
                label = f"{new_board.name}@{self.new_name}"
                if old is not None and old != new:
                    yield Employment(old, new_board, label, "released firmware on the new board", forward, released)
                if new is not None:
                    same = old == new
                    crossing = "released firmware on the new board" if same else "this firmware on the new board"
                    yield Employment(new, new_board, label, crossing, forward if same else {}, released)
            if new is not None and old_board is not None and old != new:
                label = f"{old_board.name}@{self.old_name}"
                backward = {after: before for before, after in forward.items()}
                yield Employment(new, old_board, label, "new firmware on the released board", backward, released)


def _interface(side: Side) -> object:
    """What a mate sees of a connector: equal interfaces are one side of a pairing."""
    connector = side.connector
    contacts = tuple(
        (number, item.signal, item.direction, item.level, item.current)
        for number, item in sorted(connector.contacts.items())
    )
    return (connector.count, connector.rows, connector.pitch, connector.gender, connector.height, contacts)
