"""What belongs to a place (a pin of a chip, a contact of a connector) whatever it carries, and what to the signal."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from revdiff.compare.change import FieldChange
from revdiff.compare.moves import Moves, Pair
from revdiff.compare.records import all_fields
from revdiff.design import EMPTY, Contact, Pin, Reading
from revdiff.design.model import readings_of
from revdiff.design.tables import BY_RECORD, PINS
from revdiff.quantities.text import fold

# Given with the chip: changes with every move of a signal, so a move covers it.
OF_THE_PLACE = PINS.names(bound="place")
# Words in the header of a column that the trade ties to the place, where the data leave it open (common practice, no
# source): what is wired, crimped and rated there.
_HABIT = frozenset(
    {"wire", "wires", "core", "colour", "color", "cable", "awg", "gauge", "crimp", "terminal", "rating", "rated"}
    | {"port", "pad", "ball", "bank", "row", "side", "position", "x", "y", "ader", "farbe", "kabel", "fil", "couleur"}
)
Rows = Mapping[str, Pin] | Mapping[str, Contact]


class Binding(Struct, frozen=True):
    """``columns``: those that belong to the place, ``given`` of them whatever the data say.

    ``exchanged``: (old place, new place) of each that one signal left and another one came to.
    """

    columns: frozenset[str]
    given: frozenset[str]
    exchanged: tuple[Pair, ...] = ()

    def of_the_place(self, old: Pin | Contact, new: Pin | Contact) -> tuple[FieldChange, ...]:
        """What a signal meets at its new place instead of what it had at its old one."""
        return tuple(item for item in all_fields(old, new) if item.name in self.columns)

    def by_data(self, name: str) -> bool:
        """Whether a column stays at its place because the data say so: what differs there is a change of its own."""
        return name in self.columns and name not in self.given


def bind_columns(old: Rows, new: Rows, moves: Moves, home: Mapping[str, str]) -> Binding:
    """Binds each column to the place or to the signal, by the places whose signal moved.

    ``home``: where an old place is expected, if elsewhere than under its own name. A column belongs to what leaves
    fewer changes; on a tie the habit of the trade decides.
    """
    given = frozenset(next((BY_RECORD[type(row)].names(bound="place") for row in (*old.values(), *new.values())), ()))
    moved = [(one, two) for one, two in moves.matched if home.get(one, one) != two]
    if not moved:
        return Binding(given, given)
    sources, targets = {one for one, _ in moved}, {two for _, two in moved}
    expected = [(place, home.get(place, place)) for place in old]
    stays = [(one, two) for one, two in expected if two in new and (one in sources or two in targets)]
    before = {place: _cells(old[place]) for place in (*sources, *(one for one, _ in stays))}
    after = {place: _cells(new[place]) for place in (*targets, *(two for _, two in stays))}
    names = {name for cells in (*before.values(), *after.values()) for name in cells} - {"signal", *given}
    found = set(given)
    for name in names:
        with_signal = sum(before[one].get(name, EMPTY) != after[two].get(name, EMPTY) for one, two in moved)
        with_signal += sum(name in after[place] for _, place in moves.vacated)
        at_place = sum(before[one].get(name, EMPTY) != after[two].get(name, EMPTY) for one, two in stays)
        if at_place < with_signal or (at_place == with_signal and not _HABIT.isdisjoint(fold(name).split())):
            found.add(name)
    exchanged = tuple((one, two) for one, two in stays if one in sources and two in targets)
    return Binding(frozenset(found), given, exchanged)


def _cells(row: Pin | Contact) -> dict[str, Reading]:
    return {**{name: item for name, item in readings_of(row).items() if item}, **dict(row.extra)}
