"""Which connector is which: the same name, another number, split in two, or merged into one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from msgspec import Struct

from revdiff.compare.assignment import best_pairs
from revdiff.compare.change import Match
from revdiff.compare.devices import renamed
from revdiff.compare.moves import link
from revdiff.compare.stated import STATED, stated_pairs
from revdiff.design import Board, Connector, Contact
from revdiff.quantities.designator import natural_key

_ALIKE = 0.5  # likeness from which two connectors are taken for one
_LEAST = 0.2  # share of signals they must have in common, however alike they are otherwise
_TELLING = 4  # weight of the properties that have to be known of both, to count
_PROPERTIES = {"x": 2, "y": 2, "part_number": 2, "count": 1, "rotation": 1, "pitch": 1, "gender": 1, "role": 1}
_SURE = 0.95  # share beyond which a connector is the other one renumbered, and no piece of anything
_STRANGE = 0.25  # share of signals below which two connectors of one name are looked at again
_CLOSER = 0.25  # how much more of the signals another connector must share to take the place of the one of that name
_INSIDE = 0.8  # share of a connector's signals found in another of which it may be a part


class ConnectorMatches(Struct, frozen=True):
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
    """Matches the connectors of a board that neither their name nor the user settles. ``strict``: none of them."""
    if strict:
        return ConnectorMatches({}, {}, {})
    stated = {
        one: two for one, two in stated_pairs(old, new).items() if one in old.connectors and two in new.connectors
    }
    before = {name: item for name, item in old.connectors.items() if name not in stated}
    after = {name: item for name, item in new.connectors.items() if name not in stated.values()}
    gone = {name: item for name, item in before.items() if name not in after}
    come = {name: item for name, item in after.items() if name not in before}
    sure = dict(best_pairs(sorted(gone), sorted(come), lambda one, two: int(_likeness(gone[one], come[two]) >= _SURE)))
    fresh = {name: item for name, item in come.items() if name not in sure.values()}
    split = _divided({name: item for name, item in before.items() if name not in sure}, after, fresh)
    spare = {name: item for name, item in gone.items() if name not in split and name not in sure}
    merged = _divided({name: item for name, item in after.items() if name not in sure.values()}, before, spare)
    apart = {*split, *(name for pieces in merged.values() for name in pieces)}
    taken = {*merged, *(name for pieces in split.values() for name in pieces)}
    lost, newcomers = list(gone.values()), list(come.values())
    for name, item in before.items():
        other = after.get(name)
        if other is None or name in apart or name in taken:
            continue
        own = _share(item, other)
        elsewhere = (*(_share(item, one) for one in newcomers), *(_share(one, other) for one in lost))
        if _strangers(item, other) or any(share >= max(_ALIKE, own + _CLOSER) for share in elsewhere):
            gone[name] = item
            come[name] = other
    left = sorted(name for name in gone if name not in apart)
    right = sorted(name for name in come if name not in taken)
    pairs = best_pairs(left, right, lambda one, two: round(1000 * _likeness(gone[one], come[two])))
    renumbered = {one: (two, _why(gone[one], come[two])) for one, two in pairs if one != two}
    renumbered.update({one: (two, STATED) for one, two in stated.items() if one != two})
    return ConnectorMatches(renumbered, split, merged)


def _signals(connector: Connector) -> Counter[str]:
    """What tells a connector: its signals. Every connector has grounds and open contacts, so they count nothing."""
    return Counter(item.signal.word for item in connector.contacts.values() if item.signal and not item.is_ground)


def _all_signals(connector: Connector) -> Counter[str]:
    """Its signals with the grounds: a piece of a connector may hold nothing else."""
    return Counter(item.signal.word for item in connector.contacts.values() if item.signal)


def _share(old: Connector, new: Connector) -> float:
    before, after = _signals(old), _signals(new)
    return (before & after).total() / (before | after).total() if before and after else 0.0


def _strangers(old: Connector, new: Connector) -> bool:
    """Two connectors of one name that have hardly a signal in common: the name may have been used again."""
    before, after = _signals(old), _signals(new)
    return len(before) > 1 and len(after) > 1 and (before & after).total() < _STRANGE * (before | after).total()


def _likeness(old: Connector, new: Connector) -> float:
    """Between 0 and 1; 0 where the two are too unlike to be one connector.

    Signals speak for three fifths, and what else is known of both, place above all, for the rest.
    """
    before, after = _signals(old), _signals(new)
    share = _share(old, new)
    known = [
        (getattr(old, name) == getattr(new, name), weight)
        for name, weight in _PROPERTIES.items()
        if getattr(old, name) and getattr(new, name)
    ]
    total = sum(weight for _, weight in known)
    alike = sum(weight for same, weight in known if same)
    if total < _TELLING:
        return share if share >= _ALIKE else 0.0
    if not before and not after:
        return 0.7 if alike == total else 0.0
    likeness = 0.6 * share + 0.4 * alike / total
    return likeness if share >= _LEAST and likeness >= _ALIKE else 0.0


def _why(old: Connector, new: Connector) -> Match:
    before, after = _signals(old), _signals(new)
    if not before:
        return Match("inferred", 0.6, "the same part number, size and place")
    shared, every = (before & after).total(), (before | after).total()
    return Match(
        "inferred",
        round(_likeness(old, new), 2),
        f"{shared} of {every} contacts besides grounds carry the same signals",
    )


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
        left = _all_signals(wholes[name])
        size = left.total()
        pieces = []
        for piece in [name] * (name in others) + sorted(free):
            own = _all_signals(others[piece])
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


def in_order(connector: Connector) -> list[Contact]:
    """The contacts of a connector by number, whatever the order of their rows."""
    return sorted(connector.contacts.values(), key=lambda item: natural_key(item.number))


def _numbered(connector: Connector) -> dict[str, str]:
    return {item.number: item.signal.word for item in in_order(connector)}
