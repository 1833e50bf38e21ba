"""Which connector is which: the same name, another number, split in two, or merged into one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from revdiff.compare.assignment import best_pairs
from revdiff.compare.change import Match
from revdiff.compare.devices import renamed
from revdiff.compare.moves import link
from revdiff.design import Board, Connector
from revdiff.quantities.designator import natural_key

_ALIKE = 0.6  # share of signals two connectors have in common to be taken for one
_STRANGE = 0.25  # share of signals below which two connectors of one name are looked at again
_INSIDE = 0.8  # share of a connector's signals found in another of which it may be a part


@dataclass(frozen=True, slots=True)
class ConnectorMatches:
    """Who is who among the connectors of a board.

    ``renumbered``: old name to (new name, why). ``split``: old name to the new ones. ``merged``: new name to
    the old ones.
    """

    renumbered: Mapping[str, tuple[str, Match]]
    split: Mapping[str, tuple[str, ...]]
    merged: Mapping[str, tuple[str, ...]]

    def names(self) -> dict[str, str]:
        """Old name to new name of connectors that were renumbered."""
        return {old: new for old, (new, _) in self.renumbered.items()}


def match_connectors(old: Board, new: Board, *, strict: bool) -> ConnectorMatches:
    """Matches the connectors of a board whose name doesn't settle it. ``strict``: none of them."""
    if strict:
        return ConnectorMatches({}, {}, {})
    gone = {name: item for name, item in old.connectors.items() if name not in new.connectors}
    come = {name: item for name, item in new.connectors.items() if name not in old.connectors}
    split = _divided(old.connectors, new.connectors, come)
    merged = _divided(new.connectors, old.connectors, {name: item for name, item in gone.items() if name not in split})
    apart = {*split, *(name for pieces in merged.values() for name in pieces)}
    taken = {*merged, *(name for pieces in split.values() for name in pieces)}
    for name, item in old.connectors.items():
        if name in new.connectors and _strangers(item, new.connectors[name]):
            gone[name] = item
            come[name] = new.connectors[name]
    left = sorted(name for name in gone if name not in apart)
    right = sorted(name for name in come if name not in taken)
    pairs = best_pairs(left, right, lambda one, two: round(1000 * _likeness(gone[one], come[two])))
    renumbered = {one: (two, _why(gone[one], come[two])) for one, two in pairs if one != two}
    return ConnectorMatches(renumbered, split, merged)


def _signals(connector: Connector) -> Counter[str]:
    return Counter(item.signal.word for item in connector.contacts.values() if item.signal)


def _strangers(old: Connector, new: Connector) -> bool:
    """Two connectors of one name that have hardly a signal in common: the name may have been used again."""
    before, after = _signals(old), _signals(new)
    return len(before) > 1 and len(after) > 1 and (before & after).total() < _STRANGE * (before | after).total()


def _likeness(old: Connector, new: Connector) -> float:
    """Between 0 and 1; 0 where the two are too unlike to be one connector."""
    before, after = _signals(old), _signals(new)
    if before and after:
        share = (before & after).total() / (before | after).total()
        same_place = sum(
            1
            for number, item in old.contacts.items()
            if item.signal and number in new.contacts and new.contacts[number].signal == item.signal
        )
        bonus = 0.1 * same_place / max(len(old.contacts), len(new.contacts))
        return min(1.0, share * 0.9 + bonus) if share >= _ALIKE else 0.0
    if before or after:
        return 0.0
    here = [(getattr(old, name), getattr(new, name)) for name in ("part_number", "count", "x", "y")]
    known = [(one, two) for one, two in here if one and two]
    return 0.7 if len(known) >= 2 and all(one == two for one, two in known) else 0.0


def _why(old: Connector, new: Connector) -> Match:
    before, after = _signals(old), _signals(new)
    if not before:
        return Match("inferred", 0.6, "the same part number, size and place")
    shared, every = (before & after).total(), (before | after).total()
    return Match("inferred", round(_likeness(old, new), 2), f"{shared} of {every} contacts carry the same signals")


def _divided(
    wholes: Mapping[str, Connector], others: Mapping[str, Connector], fresh: Mapping[str, Connector]
) -> dict[str, tuple[str, ...]]:
    """Connectors whose contacts are shared out among two or more others, of which one may have kept the name.

    Each piece lies mostly inside the whole, no signal is there more often than before, and together the pieces
    cover most of the whole.
    """
    found: dict[str, tuple[str, ...]] = {}
    free = set(fresh)
    for name in sorted(wholes):
        left = _signals(wholes[name])
        size = left.total()
        pieces = []
        for piece in [name] * (name in others) + sorted(free):
            own = _signals(others[piece])
            if own and own.total() < size and (own & left).total() >= _INSIDE * own.total():
                pieces.append(piece)
                left -= own
        if len(pieces) >= 2 and left.total() <= (1 - _INSIDE) * size:
            found[name] = tuple(pieces)
            free -= set(pieces)
    return found


def contact_places(old: Board, new: Board, matches: ConnectorMatches) -> dict[tuple[str, str], tuple[str, str]]:
    """Where the contacts of connectors that were numbered anew, split or merged are expected in the new revision.

    Old (connector, number) to new (connector, number), decided from the signal names that stayed.
    """
    found: dict[tuple[str, str], tuple[str, str]] = {}
    names = matches.names()
    for name, item in old.connectors.items():
        other = new.connectors.get(renamed(names, name))
        if other is not None and name not in matches.split and item.contacts.keys() and other.contacts.keys():
            links = link(_numbered(item), _numbered(other), patterns=True)
            found.update({(name, number): (other.name, target) for number, target in links.home.items() if target})
    for before, after in (
        *(((name,), pieces) for name, pieces in matches.split.items()),
        *((pieces, (name,)) for name, pieces in matches.merged.items()),
    ):
        waiting: dict[str, list[tuple[str, str]]] = {}
        for name in after:
            for number, signal in _numbered(new.connectors[name]).items():
                waiting.setdefault(signal, []).append((name, number))
        rest = []
        for name in before:
            for number, signal in _numbered(old.connectors[name]).items():
                if waiting.get(signal):
                    found[name, number] = waiting[signal].pop(0)
                else:
                    rest.append((name, number))
        # As many without a partner on either side: in their order, a renamed signal is the likeliest partner.
        left = [place for places in waiting.values() for place in places]
        if len(rest) == len(left):
            found.update(
                zip(rest, sorted(left, key=lambda place: (natural_key(place[0]), natural_key(place[1]))), strict=True)
            )
    return found


def _numbered(connector: Connector) -> dict[str, str]:
    return {number: item.signal.word for number, item in connector.contacts.items()}
