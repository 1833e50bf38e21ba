"""One pair of revisions in the making, and the truth about it."""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random

from tests.campaign.sheets import TABLES, BoardSheets, Row, Sheets, name_of

End = tuple[str, str]


@dataclass(frozen=True)
class Event:
    """One thing that was done, as a person would tell it, before names are known.

    ``ends``: (uid before, uid after) of the rows of ``table`` it concerns, empty where there was or is none; for
    ``table`` "" the names themselves. ``fields``: the columns it changes, for kinds that change columns.
    ``breaks``: a pairing with an unchanged board or firmware no longer works. ``also``: other kinds by which a person
    could tell it. ``or_else``: the part has so many like it that "removed, and one more added" is as good an account.
    ``entries``: how many a person may need for each row of equal data.
    """

    kind: str
    board: str
    table: str
    ends: tuple[End, ...]
    fields: frozenset[str] = frozenset()
    mutation: str = ""
    breaks: bool = False
    also: tuple[str, ...] = ()
    or_else: bool = False
    entries: int = 1


@dataclass(frozen=True)
class Expected:
    """An event by names: what a right answer has to say."""

    kind: str
    board: str
    pairs: frozenset[End]
    fields: frozenset[str]
    mutation: str
    breaks: bool
    also: tuple[str, ...] = ()
    or_else: bool = False
    entries: int = 1

    @property
    def fields_folded(self) -> frozenset[str]:
        """The columns as the comparison compares their names: without regard to case."""
        return frozenset(name.casefold() for name in self.fields)


@dataclass
class Trial:
    """``old`` stays; ``new`` is what mutations change. ``touched`` keeps events apart from each other.

    On boards with long rows, ``spans`` are the numbers that blocks left or took, by class letter, and ``blocks`` the
    uids that moved together. ``tolerated``: columns that came, went or were renamed as a whole, which may be told once.
    """

    old: Sheets
    new: Sheets
    rng: Random
    events: list[Event] = field(default_factory=list)
    touched: set[tuple[str, ...]] = field(default_factory=set)
    mutation: str = ""
    breaks: bool = False
    spans: dict[str, list[tuple[int, int]]] = field(default_factory=dict)
    blocks: list[frozenset[str]] = field(default_factory=list)
    tolerated: set[str] = field(default_factory=set)

    def board(self) -> BoardSheets:
        """One of the boards that both revisions have."""
        names = [name for name in self.new.boards if name in self.old.boards]
        return self.new.boards[self.rng.choice(names)]

    def free(self, *keys: tuple[str, ...]) -> bool:
        return not any(key in self.touched for key in keys)

    def take(self, *keys: tuple[str, ...]) -> None:
        self.touched.update(keys)

    def tell(
        self,
        kind: str,
        board: str,
        table: str,
        ends: list[End],
        fields: list[str] | tuple[str, ...] = (),
        *,
        also: tuple[str, ...] = (),
        or_else: bool = False,
        entries: int = 1,
    ) -> None:
        """Adds an event to the truth."""
        names = frozenset(fields)
        self.events.append(
            Event(kind, board, table, tuple(ends), names, self.mutation, self.breaks, also, or_else, entries)
        )

    def truth(self) -> list[Expected]:
        """The events by the names that their rows have in the two revisions."""
        before, after = _names(self.old), _names(self.new)
        found = []
        for item in self.events:
            pairs = item.ends
            if item.table:
                pairs = tuple((before.get(one, ""), after.get(two, "")) for one, two in item.ends)
            if item.kind.endswith(".renumbered") or (item.table == "parts" and item.fields):
                # What was removed afterwards, or came before, has no other number and no other data.
                pairs = tuple(pair for pair in pairs if all(pair))
            if not pairs:
                continue
            found.append(
                Expected(
                    item.kind,
                    item.board,
                    frozenset(pairs),
                    item.fields,
                    item.mutation,
                    item.breaks,
                    item.also,
                    item.or_else,
                    item.entries,
                )
            )
        return found

    def fresh_number(self, rows: list[Row], column: str, prefix: str) -> int:
        """A number no part or connector of these letters has, right after the last or a little beyond."""
        before = [item for board in self.old.boards.values() for item in (*board.parts, *board.connectors)]
        used = [
            int(item[column][len(prefix) :])
            for item in [*rows, *(item for item in before if column in item)]
            if item[column].startswith(prefix) and item[column][len(prefix) :].isdigit()
        ]
        return max(used, default=0) + self.rng.choice((1, 1, 1, 2, 5))


def _names(sheets: Sheets) -> dict[str, str]:
    return {
        item["uid"]: name_of(table, item)
        for board in sheets.boards.values()
        for table in TABLES
        for item in getattr(board, table)
    }
