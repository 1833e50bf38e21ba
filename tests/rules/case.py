"""What a case of a rule is: edits of the small design that fire it, and others that nearly do."""

from __future__ import annotations

from dataclasses import dataclass

from tests.support import SMALL, Files, edit

Edit = tuple[str, str, str]


@dataclass(frozen=True)
class Case:
    """What makes a rule fire, what nearly does, and (pairing, subject) of what it then says."""

    fires: tuple[Edit, ...]
    near_miss: tuple[Edit, ...]
    says: tuple[tuple[str, str], ...]
    base: tuple[Edit, ...] = ()

    @property
    def old(self) -> Files:
        return edit(SMALL, *self.base)

    @property
    def fired(self) -> Files:
        return edit(self.old, *self.fires)

    @property
    def missed(self) -> Files:
        return edit(self.old, *self.near_miss)
