"""Which signals were renamed: decided from the pins and contacts that carry them, and from what these do."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from difflib import SequenceMatcher
from types import MappingProxyType

from msgspec import Struct

from revdiff.compare.assignment import best_pairs
from revdiff.compare.change import Change, FieldChange, Match
from revdiff.compare.connector_match import ConnectorMatches, contact_places
from revdiff.compare.devices import renamed
from revdiff.compare.nets.pairing import NetPairs
from revdiff.compare.places import OF_THE_PLACE
from revdiff.design import Board, Contact, Design, Origin, Pin, Reading
from revdiff.quantities.rail import other_voltage, rail_volts
from revdiff.quantities.text import squeeze

# What a pin or contact does, besides carrying a signal; equal facts speak for a rename.
_FACTS = ("function", "direction", "active", "analog", "purpose", "level")
# What it is for: a signal that does another thing now is another signal, wherever it stands.
_STRONG = ("function", "direction")

# What tells one signal from another where both stand at one place; most signals share direction and level.
_USE = ("function", "active", "analog", "purpose")

_ALONE = 0.25  # confidence in a rename that one place shows, where nothing is stated
_TELLING = 3  # letters, from which on a name that is kept says something

ContactPlaces = Mapping[tuple[str, str], tuple[str, str]]  # (connector, number) before to (connector, number) after
Place = tuple[str, str, str]  # ("pin" or "contact", device or connector, number)


class Carriers(Struct, frozen=True):
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


class Renames(Struct, frozen=True):
    """Renamed signals: per board the folded old name to the folded new one, and a change for each.

    ``supplies``: the same for supplies that have another voltage under their new name, which is no rename.
    ``doubtful``: what one pin or contact alone shows, and nothing proves.
    """

    by_board: Mapping[str, Mapping[str, str]]
    changes: tuple[Change, ...] = ()
    supplies: Mapping[str, Mapping[str, str]] = {}
    doubtful: Mapping[str, Mapping[str, str]] = {}

    def of(self, board: str, signal: str) -> str:
        """The folded name that ``signal`` of the old revision has in the new one."""
        return self.by_board.get(board, {}).get(signal, signal)

    def doubted(self, board: str, signal: str) -> str:
        """The same, be it without proof."""
        return self.doubtful.get(board, {}).get(signal) or self.of(board, signal)

    def follow(self, board: str, signal: str) -> str:
        """The folded name of what stands in the new revision where ``signal`` stood, be its voltage another one."""
        return self.supplies.get(board, {}).get(signal) or self.of(board, signal)


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
    nets: Mapping[str, NetPairs] = MappingProxyType({}),
) -> Renames:
    """The renames between two designs. ``devices``: per board, old name to new name; ``connectors``: who is who.

    ``nets``: per board with two netlists, who is who among its nets; what a netlist knows is decided by it.
    """
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
        made = _made_names(nets[name], before, after) if name in nets else {}
        gone[name] = {signal: item for signal, item in before.items() if signal not in after or signal in made}
        come[name] = {signal: item for signal, item in after.items() if signal not in before or signal in made.values()}

    def kept(board: str) -> frozenset[str]:
        return frozenset().union(*(signals for name, signals in carried.items() if name != board))

    for name in shared:
        found[name] = _on_board(gone[name], come[name], {}, kept(name), nets.get(name))
    shown: dict[tuple[str, str], dict[str, int]] = {}
    for name, renames in found.items():
        for signal, (other, match, _, _) in renames.items():
            shown.setdefault((signal, other), {})[name] = 1 if match.confidence == _ALONE else 2
    doubtful: dict[str, dict[str, str]] = {}
    for name in shared:
        elsewhere = {
            pair: others
            for pair, boards in shown.items()
            if (others := sum(weight for board, weight in boards.items() if board != name))
        }
        all_of_it = _on_board(gone[name], come[name], elsewhere, kept(name), nets.get(name))
        found[name] = {signal: item for signal, item in all_of_it.items() if item[1].confidence != _ALONE}
        doubtful[name] = {signal: item[0] for signal, item in all_of_it.items() if signal not in found[name]}
    by_board: dict[str, dict[str, str]] = {name: {} for name in shared}
    supplies: dict[str, dict[str, str]] = {}
    for name, renames in found.items():
        for signal, (other, _, before_, after_) in renames.items():
            into = supplies.setdefault(name, {}) if _other_supply(before_, after_) else by_board[name]
            into[signal] = other
    return Renames(by_board, _changes(found, old, new, nets), supplies, doubtful)


def _made_names(nets: NetPairs, before: Container[str], after: Container[str]) -> dict[str, str]:
    """Names that a program made from parts that have other names now: old to new, among those that are carried."""
    found = {
        one: two
        for one, two in nets.pairs.items()
        if one != two and nets.follows(one) and one in before and two in after
    }
    while clashing := [one for one, two in found.items() if two in before and two not in found]:
        for one in clashing:
            del found[one]
    return found


def _other_supply(old: Carriers, new: Carriers) -> bool:
    """Whether the two names are those of supplies with different voltages, by their names or the stated levels."""
    if other_voltage(old.name, new.name):
        return True
    shared = [place for place in old.places if place in new.places]
    levels = [(old.places[place].level, new.places[place].level) for place in shared if _is_supply(old.places[place])]
    stated = [(one, two) for one, two in levels if one and two]
    return bool(stated) and all(one != two for one, two in stated)


def _is_supply(record: Pin | Contact) -> bool:
    return record.direction.word.startswith("supply") or rail_volts(record.signal.word) is not None


def _on_board(
    gone: Mapping[str, Carriers],
    come: Mapping[str, Carriers],
    elsewhere: Mapping[tuple[str, str], int],
    kept: Container[str],
    nets: NetPairs | None,
) -> dict[str, tuple[str, Match, Carriers, Carriers]]:
    """The renames on one board, those too that one pin or contact alone shows. ``elsewhere``: what other boards show.

    Of those, a board that proves it counts two, one with a single place one. Where the same two names come and go on
    other boards of the stack, this weighs more than anything here; two single places on two boards prove it together.
    ``kept``: signals that other boards still carry.
    """
    at: dict[Place, list[str]] = {}
    for signal, item in come.items():
        for place in item.places:
            at.setdefault(place, []).append(signal)
    matches: dict[tuple[str, str], Match] = {}

    def candidates(signal: str) -> list[str]:
        here = {other for place in gone[signal].places for other in at.get(place, ())}
        if nets is not None and nets.pairs.get(signal) in come:
            here.add(nets.pairs[signal])
        return sorted(here | {other for one, other in elsewhere if one == signal and other in come})

    def gain(signal: str, other: str) -> int:
        if nets is not None and signal in nets.old.members and other in nets.new.members:
            match, boards = _by_netlist(nets, signal, other), 0
        else:
            match = _judge(gone[signal], come[other], kept=signal in kept)
            boards = elsewhere.get((signal, other), 0)
        if boards > 1 if match is None else boards and match.confidence == _ALONE:
            match = Match("inferred", 0.8, "the same rename on another board of the stack")
        if match is None:
            return 0
        matches[signal, other] = match
        return round(match.confidence * 1000) + 1000 * boards

    pairs = best_pairs(sorted(gone), sorted(come), gain, candidates)
    return {old: (new, matches[old, new], gone[old], come[new]) for old, new in pairs}


def _by_netlist(nets: NetPairs, signal: str, other: str) -> Match | None:
    """A rename that the terminals of the net show: several parts are on it in both revisions."""
    if nets.pairs.get(signal) != other:
        return None
    if signal not in nets.proven and not nets.follows(signal):
        return None
    shared, parts = nets.shared(signal)
    return Match("inferred", 0.98, f"the same {shared} terminals of {parts} parts in both netlists")


def _judge(old: Carriers, new: Carriers, *, kept: bool) -> Match | None:
    """Whether the new name is the old signal renamed.

    All places shared: a rename unless what they do says otherwise. Some shared (a rename together with a
    move): only where what they do agrees, or where nothing is said of that and the names are alike. Neither
    where function and direction speak against it. A signal at one place only needs more than that place;
    ``kept``: another board still goes by the old name. One pin or contact proves nothing by itself (``_ALONE``): what
    it is for has to be stated, or one name has to hold the other.
    """
    shared = old.places.keys() & new.places.keys()
    every = old.places.keys() | new.places.keys()
    share = len(shared) / len(every)
    agree, known = _facts(old, new, _FACTS)
    acts, stated = _facts(old, new, _STRONG)
    alike = SequenceMatcher(None, old.name.casefold(), new.name.casefold(), autojunk=False).ratio()
    agreement = agree / known if known else 0.5
    sure = share == 1 and (agreement >= 0.5 if known else True)
    alone = False
    if len(every) == 1:
        # One place alone proves nothing: another signal looks the same there. Nothing stated may differ, either.
        told, _ = _facts(old, new, _USE)
        sure = sure and (agreement >= 0.99 or not known)
        alone = not told and (kept or not _extended(old.name, new.name))
    likely = (
        share >= 0.25 and len(every) > 1 and ((known > 0 and agreement >= 0.99) or (alike >= 0.6 and agreement >= 0.5))
    )
    if not (sure or likely) or (stated and acts < stated * (0.5 if alike >= 0.6 else 0.75)):
        return None
    if alone:
        return Match("inferred", _ALONE, "one pin or contact, which proves nothing alone")
    confidence = round(min(0.99, 0.3 + 0.4 * share + 0.2 * agreement + 0.1 * alike), 2)
    evidence = f"the same {len(shared)} of {len(every)} pins and contacts"
    if known:
        evidence += f", {agree} of {known} stated facts about them equal"
    return Match("inferred", confidence, evidence)


def _extended(one: str, two: str) -> bool:
    """Whether one name holds the other one and says more: ``RESET`` and ``nRESET``, not ``HEAT1`` and ``HEAT2``."""
    short, long = sorted((squeeze(one), squeeze(two)), key=len)
    rest = long.replace(short, "", 1)
    return len(short) >= _TELLING and short in long and not short[-1].isdecimal() and not rest.isdecimal()


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
    found: Mapping[str, Mapping[str, tuple[str, Match, Carriers, Carriers]]],
    old: Design,
    new: Design,
    nets: Mapping[str, NetPairs],
) -> tuple[Change, ...]:
    """One change for each rename, whichever boards it touches; the contracts that followed it in ``fields``."""
    boards: dict[tuple[str, str], list[str]] = {}
    changes = []
    for name, renames in found.items():
        for signal, item in renames.items():
            known = nets.get(name)
            if known is None or signal not in known.pairs or not known.follows(signal):
                boards.setdefault((signal, item[0]), []).append(name)
    for (signal, other), names in boards.items():
        names.sort()
        _, match, before, after = found[names[0]][signal]
        changes.append(
            Change(
                kind="signal.voltage" if _other_supply(before, after) else "signal.renamed",
                boards=tuple(names),
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
