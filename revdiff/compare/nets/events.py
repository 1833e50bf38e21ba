"""What happened to the nets of a board, event by event, with the terminals that each one explains."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from typing import Literal, TypeAlias

from msgspec import Struct

from revdiff.compare.nets.pairing import NetPairs, cut
from revdiff.compare.nets.wires import Terminal, Wires
from revdiff.quantities.designator import natural_key
from revdiff.quantities.rail import other_voltage

EventKind: TypeAlias = Literal[
    "split", "merged", "turned", "swapped", "rewired", "opened", "connected", "renamed", "voltage", "added", "removed"
]
Chosen: TypeAlias = Callable[[Terminal], bool]
Ends: TypeAlias = tuple[str, str]  # an old and a new net; empty where the terminal is open, or isn't there


class Event(Struct, frozen=True):
    """One thing that happened. ``terminals``: those that changed their net by it, by their names in the newer revision.

    ``nets``: the nets that it is about, old ones and new ones. ``parts``: those that came or went with it.
    """

    kind: EventKind
    terminals: tuple[Terminal, ...]
    before: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()


def _none(_terminal: Terminal) -> bool:
    return False


class _State(Struct):
    """Terminals whose net changed and that no event explains yet."""

    pairs: NetPairs
    moved: dict[Terminal, Ends] = {}
    events: list[Event] = []

    def take(self, event: Event) -> None:
        self.events.append(event)
        for terminal in event.terminals:
            self.moved.pop(terminal, None)


def net_events(pairs: NetPairs, told: Chosen = _none, derived: Chosen = _none) -> list[Event]:
    """The events between two netlists. ``told``: terminals of which a pin map or a connector map tells already.

    ``derived``: those whose row in such a map was read from the netlist itself, so that it only repeats what is here.
    """
    state = _State(pairs)
    came, went = _parts(pairs)
    for terminal in pairs.open:  # a pin that one netlist leaves out is open there
        if terminal[0] not in came and terminal[0] not in went and not pairs.stays(terminal):
            state.moved[terminal] = pairs.old.net_of.get(terminal, ""), pairs.new.net_of.get(terminal, "")
    _follow_parts(state, came, went)
    _divided(state, came, went)
    _turned(state)
    _swapped(state)
    state.events = [
        item
        for item in state.events
        if item.parts
        or not all(map(told, item.terminals))
        or (item.kind in ("split", "merged") and all(map(derived, item.terminals)))
    ]
    state.moved = {terminal: ends for terminal, ends in state.moved.items() if not told(terminal)}
    _opened(state)
    _rewired(state)
    _renamed(state)
    for kind, refs in (("added", came), ("removed", went)):
        for ref in sorted(refs, key=natural_key):
            wires = pairs.new if kind == "added" else pairs.old
            wired = tuple((ref, pin) for pin in wires.pins[ref] if wires.net_of[ref, pin])
            state.events.append(Event("added" if kind == "added" else "removed", wired, parts=(ref,)))
    return state.events


def _parts(pairs: NetPairs) -> tuple[frozenset[str], frozenset[str]]:
    """Parts that only one netlist has: the new ones, the old ones."""
    old, new = ({ref for ref, _ in wires.net_of} for wires in (pairs.old, pairs.new))
    return frozenset(new - old), frozenset(old - new)


def _follow_parts(state: _State, came: frozenset[str], went: frozenset[str]) -> None:
    """What only follows from a part that came or went: a pin that it alone connects."""
    pairs = state.pairs
    beside: dict[tuple[bool, str], int] = {}  # terminals of a net on parts that stayed
    for terminal, (before, after) in list(state.moved.items()):
        if not before:
            net, wires, parts = after, pairs.new, came
        elif not after or pairs.new.alone(after):
            net, wires, parts = before, pairs.old, went
        else:
            continue
        key = (not before, net)
        if key not in beside:
            beside[key] = sum(ref not in parts for ref, _ in wires.members[net])
        if beside[key] == 1 and len(wires.members[net]) > 1:
            del state.moved[terminal]


def _divided(state: _State, came: frozenset[str], went: frozenset[str]) -> None:
    """Nets that became several, or one out of several; the smaller pieces are those that moved."""
    for kind in ("split", "merged"):
        split = kind == "split"
        side = state.pairs.new if split else state.pairs.old
        partners = state.pairs.back if split else state.pairs.pairs
        pieces: dict[str, list[Terminal]] = {}
        for terminal, ends in state.moved.items():
            piece = ends[split]
            if piece and piece not in partners and not side.alone(piece):
                pieces.setdefault(piece, []).append(terminal)
        whole: dict[str, dict[str, list[Terminal]]] = {}
        for piece, terminals in pieces.items():
            origins = {state.moved[item][not split] for item in terminals}
            if (
                len(origins) == 1
                and (origin := origins.pop())
                and _is_piece(state, piece, terminals, origin, split, came | went)
            ):
                whole.setdefault(origin, {})[piece] = terminals
        for origin, found in whole.items():
            own = (state.pairs.pairs if split else state.pairs.back).get(origin)
            together = tuple(item for terminals in found.values() for item in terminals)
            names = tuple(sorted(dict.fromkeys([*((own,) if own else ()), *found]), key=natural_key))
            if len(names) < 2:
                continue
            if all(cut(origin, name) or origin == name for name in names):
                # Names that differ only in what a record has no room for; the reader tells of those.
                for terminal in together:
                    del state.moved[terminal]
                continue
            new_parts = came if split else went
            between = _between(side, names, new_parts)
            state.take(
                Event("split", together, (origin,), names, between)
                if split
                else Event("merged", together, names, (origin,), between)
            )


def _is_piece(
    state: _State, piece: str, terminals: list[Terminal], origin: str, split: bool, fresh: frozenset[str]
) -> bool:
    """Whether a net is a piece of another: several parts of it went together, or a new part lies between the two."""
    if len({ref for ref, _ in terminals}) > 1:
        return True
    side = state.pairs.new if split else state.pairs.old
    own = (state.pairs.pairs if split else state.pairs.back).get(origin)
    return own is not None and bool(_between(side, (piece, own), fresh))


def _between(side: Wires, nets: Iterable[str], fresh: frozenset[str]) -> tuple[str, ...]:
    """The parts that only this netlist has and that lie between some of these nets."""
    if not fresh:
        return ()
    seen: Counter[str] = Counter()
    for net in nets:
        # The smaller of the two decides the time: every piece of one large net asks.
        seen.update(fresh & side.parts_on(net))
    return tuple(sorted((ref for ref, count in seen.items() if count > 1), key=natural_key))


def _ends(state: _State, terminal: Terminal) -> Ends:
    """Where a terminal was and is, both by the newer names."""
    before, after = state.moved[terminal]
    return state.pairs.follow(before) if before in state.pairs.pairs else f"\0{before}" if before else "", after


def _turned(state: _State) -> None:
    """Parts with two terminals, both of which stand where the other one was."""
    for ref in list(dict.fromkeys(ref for ref, _ in state.moved)):
        pins = state.pairs.old.pins.get(ref, ())
        both = [(ref, pin) for pin in pins]
        if len(both) == 2 and all(item in state.moved for item in both):
            one, two = (_ends(state, item) for item in both)
            if one == two[::-1] and all(one):
                state.take(Event("turned", tuple(both)))


def _swapped(state: _State) -> None:
    """Terminals that trade their nets."""
    ways: dict[Ends, list[Terminal]] = {}
    for terminal in state.moved:
        ends = _ends(state, terminal)
        if all(ends):
            ways.setdefault(ends, []).append(terminal)
    for ends in sorted(ways):
        here, there = ways[ends], ways.get(ends[::-1], [])
        if ends < ends[::-1] and there and len(here) == len(there):
            state.take(
                Event(
                    "swapped", tuple(item for way in sorted(map(_ordered, (here, there)), key=_first) for item in way)
                )
            )


def _opened(state: _State) -> None:
    """Pins that lead nowhere any more, and those that lead somewhere now."""
    pairs = state.pairs
    for terminal in _ordered(state.moved):
        before, after = state.moved[terminal]
        if not after or (after not in pairs.back and pairs.new.alone(after)):
            state.take(Event("opened", (terminal,)))
        elif not before or (before not in pairs.pairs and pairs.old.alone(before)):
            state.take(Event("connected", (terminal,)))


def _rewired(state: _State) -> None:
    """Parts with terminals on other nets; those of which the same is to be said together."""
    by_part: dict[str, list[Terminal]] = {}
    for terminal in _ordered(state.moved):
        by_part.setdefault(terminal[0], []).append(terminal)
    alike: dict[tuple[Ends, ...], list[Terminal]] = {}
    for terminals in by_part.values():
        alike.setdefault(tuple(sorted(state.moved[item] for item in terminals)), []).extend(terminals)
    for terminals in alike.values():
        state.take(Event("rewired", tuple(terminals)))


def _renamed(state: _State) -> None:
    """Nets that the same terminals show under another name."""
    pairs = state.pairs
    for before, after in sorted(
        (item for item in pairs.pairs.items() if item[0] != item[1]), key=lambda item: natural_key(item[0])
    ):
        if before not in pairs.proven or pairs.follows(before):
            continue
        kind: EventKind = "voltage" if other_voltage(before, after) else "renamed"
        state.events.append(Event(kind, (), (before,), (after,)))


def _ordered(terminals: Iterable[Terminal]) -> list[Terminal]:
    return sorted(terminals, key=_place)


def _place(terminal: Terminal) -> tuple[object, ...]:
    return natural_key(terminal[0]), natural_key(terminal[1])


def _first(terminals: list[Terminal]) -> tuple[object, ...]:
    return _place(terminals[0])
