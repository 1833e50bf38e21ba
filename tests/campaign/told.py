"""What the program told, in the form in which it is scored: names and texts, none of the program's own types."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Protocol

End = tuple[str, str]
Columns = Mapping[str, tuple[str, str]]
_WITH_FIELDS = ("renumbered", "added", "removed", "moved", "swapped", "renamed", "split", "merged", "signal")


class _Text(Protocol):
    @property
    def raw(self) -> str: ...


class _Field(Protocol):
    @property
    def name(self) -> str: ...
    @property
    def before(self) -> _Text: ...
    @property
    def after(self) -> _Text: ...


class Entry(Protocol):
    """What a change has to offer to be scored."""

    @property
    def kind(self) -> str: ...
    @property
    def board(self) -> str: ...
    @property
    def subject(self) -> str: ...
    @property
    def before(self) -> str: ...
    @property
    def after(self) -> str: ...
    @property
    def pattern(self) -> str: ...
    @property
    def pairs(self) -> tuple[End, ...]: ...
    @property
    def fields(self) -> Iterable[_Field]: ...


@dataclass(frozen=True, eq=False)
class Told:
    """One entry. ``columns``: what it says of each column, by folded name; ``own``: of one part only, by designator.

    ``text``: the entry for a person.
    """

    kind: str
    board: str
    pairs: frozenset[End]
    columns: Columns
    text: str
    own: Mapping[str, Columns] = field(default_factory=dict)

    @property
    def fields(self) -> frozenset[str]:
        return frozenset(self.columns).union(*self.own.values())

    def of(self, ref: str) -> Columns:
        """What it says of each column of one part, by its new designator."""
        return {**self.columns, **self.own.get(ref, {})}


def told(change: Entry) -> Told:
    """A change as it is scored."""
    pairs = frozenset(change.pairs)
    columns: dict[str, tuple[str, str]] = {}
    own: dict[str, dict[str, tuple[str, str]]] = {}
    kind, _, what = change.kind.partition(".")
    if kind == "joint":
        name = "–".join(sorted(change.subject.split("–")))
        pairs = frozenset({("" if what == "added" else name, "" if what == "removed" else name)})
    elif kind == "board":
        pairs = frozenset({("" if what == "added" else change.subject, "" if what == "removed" else change.subject)})
    elif change.kind == "design.field":
        pairs = frozenset({(change.subject, change.subject)})
    elif change.kind in ("connector.added", "connector.removed"):
        pairs = frozenset({("", change.subject) if what == "added" else (change.subject, "")})
    elif change.kind in ("connector.split", "connector.merged"):
        pairs = frozenset((one, two) for one in change.before.split(", ") for two in change.after.split(", "))
    if what not in _WITH_FIELDS and change.kind != "design.field":
        refs = {two for _, two in pairs}
        for item in change.fields:
            ref, dot, name = item.name.partition(".")
            one_part = kind == "part" and dot and ref in refs
            texts = own.setdefault(ref, {}) if one_part else columns
            texts[" ".join((name if one_part else item.name).split()).casefold()] = (item.before.raw, item.after.raw)
    board = ", ".join(sorted(change.board.split(", ")))
    text = f"{change.kind} {change.board} {change.subject}: {change.before} → {change.after} {change.pattern}"
    return Told(change.kind, board, pairs, columns, text, own)
