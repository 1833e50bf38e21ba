"""What differs between two revisions, as small records of names and values."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from revdiff.compare.kinds import group_of
from revdiff.design import EMPTY, Origin, Reading

Level = Literal["stated", "exact", "identical", "inferred"]


class FieldChange(Struct, frozen=True):
    """One field of a record, before and after. An empty reading: the field was or is empty."""

    name: str
    before: Reading = EMPTY
    after: Reading = EMPTY


class Match(Struct, frozen=True):
    """Why two records are taken for the same thing.

    ``level``: stated by the user, exact name, identical data under another name, or inferred. ``confidence``
    is between 0 and 1; ``evidence`` says in words what it rests on.
    """

    level: Level
    confidence: float
    evidence: str


class OtherReading(Struct, frozen=True):
    """Parts with equal data that were told as removed (``old``) and added (``new``), and may be the same ones.

    ``tie``: there are more of them on one side, and nothing tells which is which. Else their data are too common to
    know them by; ``confidence`` says how improbable the agreement is by chance, between 0 and 1.
    """

    board: str
    old: tuple[str, ...]
    new: tuple[str, ...]
    confidence: float
    tie: bool


class Wire(Struct, frozen=True):
    """A terminal of a part, by its names in both revisions, and the nets it was and is on; empty where it is open."""

    before: str
    after: str
    net_before: str
    net_after: str


class Change(Struct, frozen=True, kw_only=True):
    """One thing that differs, as a person would tell it.

    ``before`` and ``after`` are what a person would put on either side of an arrow; empty where there is
    nothing. ``pairs`` lists (name before, name after) of everything that a renumbering, a move or a swap
    covers; ``pattern`` names its shape. ``fields`` holds all values, so that the change can be applied.
    ``other_reading``: of parts that went or came. ``wires``: the terminals whose nets changed by it.
    ``connectors``: the names before and after, where one was split or some were merged.
    """

    kind: str
    boards: tuple[str, ...]
    subject: str
    before: str = ""
    after: str = ""
    fields: tuple[FieldChange, ...] = ()
    pairs: tuple[tuple[str, str], ...] = ()
    pattern: str = ""
    origin_before: Origin | None = None
    origin_after: Origin | None = None
    match: Match | None = None
    other_reading: OtherReading | None = None
    wires: tuple[Wire, ...] = ()
    connectors: tuple[tuple[str, ...], tuple[str, ...]] = ((), ())
    id: str = ""

    @property
    def board(self) -> str:
        """The boards that it is of, as printed; empty where it is of the design as a whole."""
        return ", ".join(self.boards)

    @property
    def group(self) -> str:
        """Who mainly wants to know: stacking, firmware, wiring, assembly, buying or documentation."""
        return group_of(self.kind)

    def field(self, name: str) -> FieldChange | None:
        """The change of one field; None where that field did not change."""
        return next((item for item in self.fields if item.name == name), None)


class Unclear(Struct, frozen=True):
    """A field that could not be compared: one of its texts can mean two things, or one table has no such column."""

    board: str
    subject: str
    field: str
    before: str
    after: str
    origin: Origin
    no_column: bool = False


def with_ids(changes: list[Change]) -> tuple[Change, ...]:
    """The changes with ids that are the same in every run: kind, board and subject, numbered where that repeats."""
    seen: dict[str, int] = {}
    found = []
    for change in changes:
        name = "/".join(item for item in (change.kind, change.board, change.subject) if item)
        seen[name] = seen.get(name, 0) + 1
        found.append(replace(change, id=name if seen[name] == 1 else f"{name}#{seen[name]}"))
    return tuple(found)
