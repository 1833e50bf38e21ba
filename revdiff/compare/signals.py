"""Which signals were renamed: decided from the pins and contacts that carry them, and from what these do."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

from revdiff.compare.assignment import best_pairs
from revdiff.compare.change import Change, FieldChange, Match
from revdiff.compare.connector_match import ConnectorMatches, contact_places
from revdiff.compare.devices import renamed
from revdiff.compare.places import OF_THE_PLACE
from revdiff.design import Board, Contact, Design, Origin, Pin, Reading

# What a pin or contact does, besides carrying a signal; equal facts speak for a rename.
_FACTS = ("function", "direction", "active", "analog", "purpose", "level")
# What it is for: a signal that does another thing now is another signal, wherever it stands.
_STRONG = ("function", "direction")

# What tells one signal from another where both stand at one place; most signals share direction and level.
_USE = ("function", "active", "analog", "purpose")

ContactPlaces = Mapping[tuple[str, str], tuple[str, str]]  # (connector, number) before to (connector, number) after
Place = tuple[str, str, str]  # ("pin" or "contact", device or connector, number)


@dataclass(frozen=True, slots=True)
class Carriers:
    """Where one signal of a board stands: its places, as the record at each."""

    places: Mapping[Place, Pin | Contact]

    @property
    def name(self) -> str:
        """The signal as it is written at its first place."""
        return self.places[min(self.places)].signal.raw

    @property
    def origin(self) -> Origin:
        """Where its first place was read."""
        return self.places[min(self.places)].origin


@dataclass(frozen=True, slots=True)
class Renames:
    """Renamed signals: per board the folded old name to the folded new one, and a change for each rename."""

    by_board: Mapping[str, Mapping[str, str]]
    changes: tuple[Change, ...] = ()

    def of(self, board: str, signal: str) -> str:
        """The folded name that ``signal`` of the old revision has in the new one."""
        return self.by_board.get(board, {}).get(signal, signal)


def carriers_of(
    board: Board, devices: Mapping[str, str], connectors: Mapping[str, str], contacts: ContactPlaces | None = None
) -> dict[str, Carriers]:
    """Every signal of a board by folded name. Places are named as ``devices`` and ``connectors`` rename them.

    ``contacts``: where else a contact is expected, because its connector was numbered anew, split or merged.
    """
    contacts = contacts or {}
    found: dict[str, dict[Place, Pin | Contact]] = {}
    for pin in board.pins.values():
        if pin.signal:
            place = ("pin", renamed(devices, pin.device), pin.number)
            found.setdefault(pin.signal.word, {})[place] = pin
    for connector in board.connectors.values():
        for contact in connector.contacts.values():
            if contact.signal:
                expected = (renamed(connectors, connector.name), contact.number)
                place = ("contact", *contacts.get((connector.name, contact.number), expected))
                found.setdefault(contact.signal.word, {})[place] = contact
    return {signal: Carriers(places) for signal, places in found.items()}


def find_renames(
    old: Design,
    new: Design,
    devices: Mapping[str, Mapping[str, str]],
    connectors: Mapping[str, ConnectorMatches],
) -> Renames:
    """The renames between two designs. ``devices``: per board, old name to new name; ``connectors``: who is who."""
    found: dict[str, dict[str, tuple[str, Match, Carriers, Carriers]]] = {}
    shared = [name for name in old.boards if name in new.boards]
    gone: dict[str, dict[str, Carriers]] = {}
    come: dict[str, dict[str, Carriers]] = {}
    carried: dict[str, frozenset[str]] = {}
    for name in shared:
        one, two = old.boards[name], new.boards[name]
        places = contact_places(one, two, connectors[name])
        before = carriers_of(one, devices.get(name, {}), connectors[name].names(), places)
        after = carriers_of(two, {}, {})
        carried[name] = frozenset(after)
        gone[name] = {signal: item for signal, item in before.items() if signal not in after}
        come[name] = {signal: item for signal, item in after.items() if signal not in before}

    def kept(board: str) -> frozenset[str]:
        return frozenset().union(*(signals for name, signals in carried.items() if name != board))

    for name in shared:
        found[name] = _on_board(gone[name], come[name], {}, kept(name))
    proven: dict[tuple[str, str], set[str]] = {}
    for name, renames in found.items():
        for signal, item in renames.items():
            proven.setdefault((signal, item[0]), set()).add(name)
    for name in shared:
        elsewhere = {pair: len(boards - {name}) for pair, boards in proven.items() if boards - {name}}
        found[name] = _on_board(gone[name], come[name], elsewhere, kept(name))
    by_board = {name: {signal: item[0] for signal, item in renames.items()} for name, renames in found.items()}
    return Renames(by_board, _changes(found, old, new))


def _on_board(
    gone: Mapping[str, Carriers],
    come: Mapping[str, Carriers],
    elsewhere: Mapping[tuple[str, str], int],
    kept: Container[str],
) -> dict[str, tuple[str, Match, Carriers, Carriers]]:
    """The renames on one board. ``elsewhere``: renames that other boards show, and how many of them.

    Where the same two names come and go on another board of the stack, this weighs more than anything here.
    ``kept``: signals that other boards still carry.
    """
    at: dict[Place, list[str]] = {}
    for signal, item in come.items():
        for place in item.places:
            at.setdefault(place, []).append(signal)
    matches: dict[tuple[str, str], Match] = {}

    def candidates(signal: str) -> list[str]:
        here = {other for place in gone[signal].places for other in at.get(place, ())}
        return sorted(here | {other for one, other in elsewhere if one == signal and other in come})

    def gain(signal: str, other: str) -> int:
        match = _judge(gone[signal], come[other], kept=signal in kept)
        boards = elsewhere.get((signal, other), 0)
        if match is None and boards:
            match = Match("inferred", 0.8, "the same rename on another board of the stack")
        if match is None:
            return 0
        matches[signal, other] = match
        return round(match.confidence * 1000) + 1000 * boards

    pairs = best_pairs(sorted(gone), sorted(come), gain, candidates)
    return {old: (new, matches[old, new], gone[old], come[new]) for old, new in pairs}


def _judge(old: Carriers, new: Carriers, *, kept: bool) -> Match | None:
    """Whether the new name is the old signal renamed.

    All places shared: a rename unless what they do says otherwise. Some shared (a rename together with a
    move): only where what they do agrees, or where nothing is said of that and the names are alike. Neither
    where function and direction speak against it. A signal at one place only needs more than that place;
    ``kept``: another board still goes by the old name.
    """
    shared = old.places.keys() & new.places.keys()
    every = old.places.keys() | new.places.keys()
    share = len(shared) / len(every)
    agree, known = _facts(old, new, _FACTS)
    acts, stated = _facts(old, new, _STRONG)
    alike = SequenceMatcher(None, old.name.casefold(), new.name.casefold(), autojunk=False).ratio()
    agreement = agree / known if known else 0.5
    sure = share == 1 and (agreement >= 0.5 if known else True)
    if len(every) == 1:
        # One place alone proves little: another signal on a contact looks the same. Nothing stated may differ; and
        # where other boards keep the old name, what it is for has to be stated, or the names have to be alike.
        told, _ = _facts(old, new, _USE)
        sure = sure and (agreement >= 0.99 or not known) and (told > 0 or alike >= 0.5 or not kept)
    likely = share >= 0.25 and ((known > 0 and agreement >= 0.99) or (alike >= 0.6 and agreement >= 0.5))
    if not (sure or likely) or (stated and acts < stated * (0.5 if alike >= 0.6 else 0.75)):
        return None
    confidence = round(min(0.99, 0.3 + 0.4 * share + 0.2 * agreement + 0.1 * alike), 2)
    evidence = f"the same {len(shared)} of {len(every)} pins and contacts"
    if known:
        evidence += f", {agree} of {known} stated facts about them equal"
    return Match("inferred", confidence, evidence)


def _facts(old: Carriers, new: Carriers, names: Sequence[str]) -> tuple[int, int]:
    """How many of the stated facts agree, over places paired by name first and then in order."""
    rest_old = sorted(place for place in old.places if place not in new.places)
    rest_new = sorted(place for place in new.places if place not in old.places)
    pairs = [(place, place) for place in old.places if place in new.places]
    for kind in ("pin", "contact"):
        pairs += zip(
            [place for place in rest_old if place[0] == kind],
            [place for place in rest_new if place[0] == kind],
            strict=False,
        )
    agree = known = 0
    for before, after in pairs:
        for name in names:
            if name in OF_THE_PLACE and before != after:
                continue
            one = getattr(old.places[before], name, None)
            two = getattr(new.places[after], name, None)
            if one or two:
                known += 1
                agree += one == two
    return agree, known


def _changes(
    found: Mapping[str, Mapping[str, tuple[str, Match, Carriers, Carriers]]], old: Design, new: Design
) -> tuple[Change, ...]:
    """One change for each rename, whichever boards it touches; the contracts that followed it in ``fields``."""
    boards: dict[tuple[str, str], list[str]] = {}
    for name, renames in found.items():
        for signal, item in renames.items():
            boards.setdefault((signal, item[0]), []).append(name)
    changes = []
    for (signal, other), names in boards.items():
        names.sort()
        _, match, before, after = found[names[0]][signal]
        changes.append(
            Change(
                kind="signal.renamed",
                board=", ".join(names),
                subject=after.name,
                before=before.name,
                after=after.name,
                fields=tuple(
                    FieldChange(f"firmware.{key}", Reading(before.name, signal), Reading(after.name, other))
                    for key in _followed(old, new, names, signal, other)
                ),
                pairs=((signal, other),),
                origin_before=before.origin,
                origin_after=after.origin,
                match=match,
            )
        )
    return tuple(changes)


def _followed(old: Design, new: Design, boards: list[str], signal: str, other: str) -> Iterator[str]:
    """The contracts whose need for the signal bears the new name, too."""
    for key, contract in old.contracts.items():
        later = new.contracts.get(key)
        if later is None or contract.board not in boards:
            continue
        if {signal} == {signal, other} & contract.needs.keys() and {other} == {signal, other} & later.needs.keys():
            yield key
