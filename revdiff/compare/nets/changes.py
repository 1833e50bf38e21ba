"""Net events as changes: what a person would say of each, and which terminals it covers."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Iterator, Mapping, Sequence
from functools import cached_property

from msgspec.structs import replace

from revdiff.compare.change import Change, Match, Wire
from revdiff.compare.nets.events import Chosen, Event, net_events
from revdiff.compare.nets.pairing import NetPairs
from revdiff.compare.nets.wires import NOWHERE, Terminal, Wires, controllers
from revdiff.compare.records import contact_list
from revdiff.design import Board, Node
from revdiff.quantities.designator import compress, natural_key

UNLISTED = "not in the parts list"
RENUMBERED = "by the netlist"
_SHOWN = 6  # terminals of a net or of a part that a text lists
_PLACES = frozenset({"moved", "swapped", "signal", "added", "removed"})


def net_changes(
    board: Board, newer: Board, pairs: NetPairs, before: Sequence[Change], follow: Callable[[str], str]
) -> list[Change]:
    """The changes of one board: those so far, with what the nets add to them, and those of the nets.

    ``follow``: what a signal of the pin map and connector map is called now.
    """
    found: list[Change] = []
    followed: set[str] = set()
    beside: dict[str, str] = {}  # terminal to what lies between it and where it was
    pins = controllers(board), controllers(newer)
    told = _told(before, *pins)
    carried = _carried(board), _carried(newer)
    devices = {name.rpartition(".")[0] for name in pins[1].values()}
    written = _Written(board, newer, pairs, devices)
    placed: dict[str, list[Event]] = {}
    derived = {*_derived(board), *_derived(newer)}

    def among(names: Container[str]) -> Chosen:
        return lambda terminal: f"{terminal[0]}.{terminal[1]}" in names

    for event in net_events(pairs, among(told), among(derived)):
        if event.kind in ("added", "removed"):
            if event.terminals and f"{event.kind} {event.parts[0].removeprefix(NOWHERE)}" not in told:
                placed.setdefault(event.kind, []).append(event)
        elif event.kind not in ("renamed", "voltage") or not (
            # What the tables carry, they tell of.
            follow(event.before[0]) == event.after[0]
            or (event.before[0] in carried[0] and event.after[0] in carried[1])
        ):
            change = written.change(event)
            names = {name for pair in change.pairs for name in pair if name}
            if event.terminals and names <= told and not names <= derived:
                beside.update({name: change.pattern for _, name in change.pairs})
            else:
                found.append(change)
                followed |= names
    found += [written.placed(kind == "added", events) for kind, events in placed.items()]
    found += _pads(board, pairs)
    kept = (change for change in before if not _follows(change, followed & derived))
    return [*(_with_nets(change, written, beside) for change in kept), *found]


def _pads(board: Board, pairs: NetPairs) -> Iterator[Change]:
    """What the netlists say of the copper of a terminal that both have, where they say something else now."""
    alike: dict[tuple[tuple[str, str, str], ...], list[tuple[Node, Node]]] = {}
    for terminal, one in pairs.old.nodes.items():
        two = pairs.new.nodes.get(terminal)
        if two is not None and one.pad is not two.pad and one.pad != two.pad:
            stated = ((name, getattr(one.pad, name), getattr(two.pad, name)) for name in ("hole", "access", "mask"))
            different = tuple((name, old, new) for name, old, new in stated if old and new and old != new)
            if different:
                alike.setdefault(different, []).append((one, two))
    for different, nodes in alike.items():
        nodes.sort(key=lambda pair: (natural_key(pair[1].ref), natural_key(pair[1].pin)))
        before, after = (", ".join(f"{item[0]} {item[side]}" for item in different) for side in (1, 2))
        yield Change(
            kind="pad.changed",
            boards=(board.name,),
            subject=compress(list(dict.fromkeys(two.ref for _, two in nodes))),
            before=before,
            after=after,
            pairs=tuple((f"{one.ref}.{one.pin}", f"{two.ref}.{two.pin}") for one, two in nodes),
            origin_before=nodes[0][0].origin,
            origin_after=nodes[0][1].origin,
        )


def _derived(board: Board) -> Iterator[str]:
    """The pins and contacts that were read from the netlist itself, no table having them."""
    contacts = board.contacts
    for place, item in [((item.connector, item.number), item) for item in contacts] + list(board.pins.items()):
        node = board.nodes.get(place)
        if node is not None and node.origin == item.origin:
            yield item.name


def _follows(change: Change, derived: Container[str]) -> bool:
    """Whether a change of a pin or contact only repeats what an event of the nets tells with others."""
    family, _, what = change.kind.partition(".")
    if family not in ("pin", "contact") or what not in _PLACES:
        return False
    return all(name in derived for pair in change.pairs for name in pair if name)


def _with_nets(change: Change, written: _Written, beside: Mapping[str, str]) -> Change:
    """A change of a table with what the nets say of it: the terminals of parts, and a part that lies between now."""
    if change.kind in ("part.added", "part.removed"):
        return replace(change, wires=written.of_parts(change.pairs))
    if change.kind in ("contact.signal", "pin.signal") and change.pairs[0][1] in beside:
        return replace(change, pattern=beside[change.pairs[0][1]])
    return change


def _told(changes: Iterable[Change], old: Mapping[str, str], new: Mapping[str, str]) -> set[str]:
    """Terminals and parts that a table's change speaks of already. ``old`` and ``new``: pins to their terminals."""
    found: set[str] = set()
    for change in changes:
        family, _, what = change.kind.partition(".")
        if family in ("pin", "contact") and what in _PLACES:
            for before, after in change.pairs:
                found |= {old.get(before, before), new.get(after, after)} - {""}
        elif change.kind in ("part.added", "part.removed", "connector.added", "connector.removed"):
            what = change.kind.rpartition(".")[2]
            found.update(f"{what} {name}" for pair in change.pairs for name in pair if name)
            found.add(f"{what} {change.subject}")
    return found


def _carried(board: Board) -> Container[str]:
    """The signals that the pin map and the connector map name."""
    contacts = (item.signal for item in board.contacts)
    return {signal.word for signal in (*contacts, *(pin.signal for pin in board.pins.values())) if signal}


class _Written:
    def __init__(self, board: Board, newer: Board, pairs: NetPairs, devices: Container[str]) -> None:
        self._name = board.name
        self._newer = newer
        self._pairs = pairs
        self._devices = devices
        self._called: dict[tuple[bool, str], str] = {}

    @cached_property
    def _names(self) -> Mapping[str, str]:
        return {node.ref: ref for (ref, _), node in self._pairs.old.nodes.items()}

    def change(self, event: Event) -> Change:
        """The change that a person would be told."""
        kind = f"net.{event.kind}"
        pattern = ""
        if event.kind in ("renamed", "voltage", "split", "merged"):
            olds = [self._net(self._pairs.old, net) for net in event.before]
            news = [self._net(self._pairs.new, net) for net in event.after]
            subject = (olds if event.kind == "split" else news)[0]
            before, after = ", ".join(olds), ", ".join(news)
            if event.parts:
                pattern = f"{compress([ref.removeprefix(NOWHERE) for ref in event.parts])} between" + (
                    "" if event.kind == "split" else " before"
                )
        else:
            before, after = (self._sides(event.terminals, side) for side in ("before", "after"))
            subject = self._subject(event)
        if event.kind in ("opened", "connected"):
            mapped = event.terminals[0][0] in self._devices
            kind = f"pin.{event.kind}" if mapped else "net.left" if event.kind == "opened" else "net.joined"
        return self._made(kind, event, subject, before, after, pattern)

    def placed(self, added: bool, events: list[Event]) -> Change:
        """Parts that came to the board or went from it, and that no parts list tells of."""
        refs = [ref.removeprefix(NOWHERE) for event in events for ref in event.parts]
        terminals = tuple(terminal for event in events for terminal in event.terminals)
        event = Event("added" if added else "removed", terminals, parts=tuple(refs))
        text = self._sides(terminals, "after" if added else "before")
        unlisted = not any(ref in self._newer.parts for ref in refs)
        return self._made(
            "net.part_added" if added else "net.part_removed",
            event,
            compress(refs),
            "" if added else text,
            text if added else "",
            UNLISTED if unlisted and self._newer.parts else "",
        )

    def of_parts(self, pairs: Iterable[tuple[str, str]]) -> tuple[Wire, ...]:
        """The terminals of parts that came or went, with their nets."""
        found = []
        for before, after in pairs:
            wires, ref = (self._pairs.new, after) if after else (self._pairs.old, self._names.get(before, before))
            found += [self.wire((ref, pin)) for pin in wires.pins.get(ref, ())]
        return tuple(found)

    def _made(self, kind: str, event: Event, subject: str, before: str, after: str, pattern: str) -> Change:
        wires = tuple(self.wire(terminal) for terminal in event.terminals)
        if event.terminals:
            one, two = self._node(self._pairs.old, event.terminals[0]), self._node(self._pairs.new, event.terminals[0])
        else:
            one = self._pairs.old.nodes[min(self._pairs.old.members[event.before[0]])]
            two = self._pairs.new.nodes[min(self._pairs.new.members[event.after[0]])]
        match = None
        if event.kind in ("renamed", "voltage"):
            shared, parts = self._pairs.shared(event.before[0])
            match = Match("inferred", 0.95, f"the same {shared} terminals of {parts} parts")
        pairs = tuple((wire.before, wire.after) for wire in wires)
        return Change(
            kind=kind,
            boards=(self._name,),
            subject=subject,
            before=before,
            after=after,
            pairs=pairs or ((event.before[0], event.after[0]),),
            pattern=pattern,
            wires=wires,
            origin_before=None if one is None else one.origin,
            origin_after=None if two is None else two.origin,
            match=match,
        )

    def wire(self, terminal: Terminal) -> Wire:
        """A terminal with its nets."""
        one, two = self._node(self._pairs.old, terminal), self._node(self._pairs.new, terminal)
        return Wire(
            "" if one is None else f"{one.ref}.{one.pin}",
            "" if two is None else f"{two.ref}.{two.pin}",
            "" if one is None else self._on(self._pairs.old, terminal),
            "" if two is None else self._on(self._pairs.new, terminal),
        )

    def _on(self, wires: Wires, terminal: Terminal) -> str:
        net = wires.net_of.get(terminal, "")
        return self._net(wires, net) if net else ""

    def _net(self, wires: Wires, net: str) -> str:
        """What a person calls a net: its name, or what is on it, if a program made the name."""
        key = (wires is self._pairs.old, net)
        if key not in self._called:
            self._called[key] = wires.written(net) if not wires.nameless(net) else f"net of {self._members(wires, net)}"
        return self._called[key]

    @staticmethod
    def _members(wires: Wires, net: str) -> str:
        names = sorted(
            (f"{wires.nodes[item].ref}.{wires.nodes[item].pin}" for item in wires.members[net]), key=natural_key
        )
        return ", ".join(names[:_SHOWN]) + (", …" if len(names) > _SHOWN else "")

    @staticmethod
    def _node(wires: Wires, terminal: Terminal) -> Node | None:
        return wires.nodes.get(terminal)

    def _sides(self, terminals: Iterable[Terminal], side: str) -> str:
        wires = [self.wire(terminal) for terminal in terminals]
        texts = [(getattr(item, side), getattr(item, f"net_{side}") or "open") for item in wires]
        if len({net for _, net in texts}) == 1:
            return texts[0][1]
        listed = [f"{name} on {net}" if name else net for name, net in texts if name or net]
        return ", ".join(listed[:_SHOWN]) + (", …" if len(listed) > _SHOWN else "")

    def _subject(self, event: Event) -> str:
        names = [wire.after or wire.before for wire in map(self.wire, event.terminals)]
        if event.kind == "swapped":
            half = len(names) // 2
            return f"{contact_list(names[:half])} ↔ {contact_list(names[half:])}"
        refs = list(dict.fromkeys(name.rpartition(".")[0] for name in names))
        return names[0] if len(names) == 1 else compress(refs)
