"""Which contacts of two connectors that mate meet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property

from msgspec import Struct

from revdiff.design import Connector, Contact, Joint
from revdiff.judge.placement import Placement, turn
from revdiff.judge.position import by_place, stated_pairs


class Meeting(Struct, frozen=True, dict=True):
    """Two connectors by a joint. ``lie``: how b's board lies on a's, where their positions or rotations say it."""

    joint: Joint
    a: Connector
    b: Connector
    lie: Placement | None = None

    @property
    def turn(self) -> int | None:
        """Degrees by which their rotations turn them against each other; None where that can't be told."""
        return turn(self.a, self.b, self.lie)

    @property
    def turned(self) -> bool:
        """Whether their rotations say that they meet by half a turn."""
        return self.turn == 180

    @property
    def size(self) -> int:
        """Contacts of the larger side."""
        return max(self.a.size, self.b.size)

    @cached_property
    def pairs(self) -> Mapping[str, str]:
        """Which contact of b each contact of a meets: by place where the data says so, else as the joint states."""
        placed = by_place(self.a, self.b, turned=self.turned)
        if placed is not None:
            return placed
        return stated_pairs(self.joint, self.a, self.size)

    def contacts(self) -> Iterator[tuple[Contact | None, Contact | None]]:
        """The contacts that meet; None where one side has no contact there."""
        met = set()
        for number, contact in self.a.contacts.items():
            mate = self.pairs.get(number)
            other = self.b.contacts.get(mate) if mate is not None else None
            if other is not None:
                met.add(other.number)
            yield contact, other
        for number, contact in self.b.contacts.items():
            if number not in met:
                yield None, contact
