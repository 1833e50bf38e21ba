"""What a pair of revisions for a rule is: edits of the small design that fire it, and others that nearly do."""

from __future__ import annotations

from dataclasses import dataclass, field

from tests.support import SMALL, Files, edit

Edit = tuple[str, str, str]


@dataclass(frozen=True)
class Pair:
    """``alone``: the rule looks at boards that stand alone, not at a change. ``files``: beside the small design's."""

    fires: tuple[Edit, ...]
    near_miss: tuple[Edit, ...]
    base: tuple[Edit, ...] = ()
    alone: bool = False
    files: Files = field(default_factory=dict)

    @property
    def old(self) -> Files:
        return edit({**SMALL, **self.files}, *self.base)

    @property
    def fired(self) -> Files:
        return edit(self.old, *self.fires)

    @property
    def missed(self) -> Files:
        return edit(self.old, *self.near_miss)
