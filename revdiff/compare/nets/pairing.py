"""Which net of one netlist is which of the other: by their terminals; names are one sign only."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property

from msgspec import Struct

from revdiff.compare.nets.wires import Terminal, Wires, has_polarity
from revdiff.design import Board

# Characters that a record of IPC-D-356A holds of a net's name; 17 where a program runs on into the blank columns.
CUT = (14, 17)
_PROOF = 2  # parts that two nets of different names must share: one pin may have been given to another signal


class NetPairs(Struct, frozen=True, dict=True):
    """The nets of two netlists, and who is who: ``pairs`` old net to new net, ``back`` the other way.

    ``proven``: the old nets whose terminals show it, so that another name is a rename. ``open``: the terminals that may
    be on another net now; all others stayed.
    """

    old: Wires
    new: Wires
    pairs: Mapping[str, str]
    proven: frozenset[str]
    open: tuple[Terminal, ...]

    @cached_property
    def back(self) -> Mapping[str, str]:
        """New net to old net."""
        return {new: old for old, new in self.pairs.items()}

    @cached_property
    def moved(self) -> frozenset[str]:
        """The parts with a terminal that is on another net now."""
        return frozenset(item[0] for item in self.open if not self.stays(item))

    def stays(self, terminal: Terminal) -> bool:
        """Whether a terminal is on the same net in both; one that a netlist leaves out is open there."""
        before, after = self.old.net_of.get(terminal, ""), self.new.net_of.get(terminal, "")
        return self.pairs.get(before) == after if before else not after

    def follows(self, net: str) -> bool:
        """Whether the other name of a net is no change: a program made both, or cut one of them."""
        other = self.pairs[net]
        return (self.old.nameless(net) and self.new.nameless(other)) or cut(net, other)

    def shared(self, net: str) -> tuple[int, int]:
        """How many terminals of an old net are on its partner, and on how many parts."""
        other = self.pairs[net]
        both = [item for item in self.old.members[net] if self.new.net_of.get(item) == other]
        return len(both), len({ref for ref, _ in both})

    def follow(self, net: str) -> str:
        """What an old net is called in the newer revision."""
        return self.pairs.get(net, net)


def cut(one: str, two: str) -> bool:
    """Whether one name is the other one, cut to what a record of IPC-D-356 holds of it."""
    short, long = sorted((one, two), key=len)
    return len(short) in CUT and len(long) > len(short) and long.startswith(short)


def same_names(old: Wires, new: Wires) -> NetPairs:
    """Nets of one name are one net, and no others are."""
    pairs = {name: name for name in old.members if name in new.members}
    return NetPairs(old, new, pairs, frozenset(pairs), _open(old, new, [net for net in pairs if _equal(old, new, net)]))


def _equal(old: Wires, new: Wires, net: str) -> bool:
    return old.members[net] == new.members.get(net)


def _open(old: Wires, new: Wires, settled: Iterable[str]) -> tuple[Terminal, ...]:
    """The terminals of all nets but the settled ones, in order."""
    nets = set(settled)
    found = {item for wires in (old, new) for net, ends in wires.members.items() if net not in nets for item in ends}
    return tuple(sorted(found))


def pair_nets(old: Wires, new: Wires, boards: tuple[Board, Board]) -> NetPairs:
    """Who is who among the nets of two netlists, whose terminals go by the same names.

    Equal terminals decide; then the same name together with a shared terminal; then the most shared terminals, where
    those are of several parts, or a name says nothing. Parts that work either way round may have been turned: what is
    given back has them turned back. The way back gives the mirror image.
    """
    settled = [net for net in old.members if _equal(old, new, net)]
    candidates = _open(old, new, settled)
    loose = _loose(old, new, boards, candidates)
    if turned := _by_names(old, new, loose):
        new = _turned(new, [_ends(old, ref) for ref in turned])
    found = _paired(old, new, candidates)
    turned = [ref for ref in loose if _better_turned(found, ref)]
    return _paired(old, _turned(new, [_ends(old, ref) for ref in turned]), candidates) if turned else found


def _ends(wires: Wires, ref: str) -> tuple[Terminal, Terminal]:
    one, two = wires.pins[ref]
    return (ref, one), (ref, two)


def _loose(old: Wires, new: Wires, boards: tuple[Board, Board], candidates: Iterable[Terminal]) -> list[str]:
    """Parts with two terminals that differ in nothing, both of which may be on other nets."""
    return [
        ref
        for ref in dict.fromkeys(ref for ref, _ in candidates)
        if len(pins := old.pins.get(ref, ())) == 2 and all((ref, pin) in new.net_of for pin in pins)
        if not any(_polar(ref, pins[0], wires, board) for wires, board in zip((old, new), boards, strict=True))
    ]


def _polar(ref: str, pin: str, wires: Wires, board: Board) -> bool:
    own = wires.nodes[ref, pin].ref
    part = board.parts.get(own)
    return has_polarity(own, None if part is None else part.data)


def _by_names(old: Wires, new: Wires, loose: Iterable[str]) -> list[str]:
    """Those whose nets, by name, stand at the other terminal."""
    found = []
    for ref in loose:
        one, two = old.pins[ref]
        before, after = (old.net_of[ref, one], old.net_of[ref, two]), (new.net_of[ref, one], new.net_of[ref, two])
        if _same(before, after[::-1]) > _same(before, after):
            found.append(ref)
    return found


def _same(before: tuple[str, str], after: tuple[str, str]) -> int:
    return (before[0] == after[0]) + (before[1] == after[1])


def _better_turned(pairs: NetPairs, ref: str) -> bool:
    one, two = pairs.old.pins[ref]
    before = pairs.follow(pairs.old.net_of[ref, one]), pairs.follow(pairs.old.net_of[ref, two])
    after = pairs.new.net_of[ref, one], pairs.new.net_of[ref, two]
    return _same(before, after[::-1]) > _same(before, after)


def _turned(wires: Wires, ends: Iterable[tuple[Terminal, Terminal]]) -> Wires:
    """The wires with some parts with two terminals turned round."""
    nodes, net_of = dict(wires.nodes), dict(wires.net_of)
    members = dict(wires.members)
    for one, two in ends:
        nodes[one], nodes[two] = nodes[two], nodes[one]
        for net in (net_of[one], net_of[two]):
            if net:
                members[net] = {two if item == one else one if item == two else item for item in members[net]}
        net_of[one], net_of[two] = net_of[two], net_of[one]
    return Wires(nodes, net_of, members)


def _paired(old: Wires, new: Wires, candidates: tuple[Terminal, ...]) -> NetPairs:
    both: dict[tuple[str, str], list[Terminal]] = {}
    sizes: tuple[dict[str, int], dict[str, int]] = ({}, {})
    for terminal in candidates:
        before, after = old.net_of.get(terminal), new.net_of.get(terminal)
        if before is None or after is None:
            continue
        if before:
            sizes[0][before] = sizes[0].get(before, 0) + 1
        if after:
            sizes[1][after] = sizes[1].get(after, 0) + 1
        if before and after:
            both.setdefault((before, after), []).append(terminal)
    settled = {net for net in old.members if net not in sizes[0] and _equal(old, new, net)}
    pairs: dict[str, str] = {net: net for net in settled}
    taken = set(settled)
    for before, after in sorted(both, key=lambda pair: _rank(pair, both[pair], sizes, old, new)):
        if before in pairs or after in taken:
            continue
        named = before == after or cut(before, after)
        if named or _proof(both[before, after]) or old.nameless(before) or new.nameless(after):
            pairs[before] = after
            taken.add(after)
    for name in old.members:
        free = name not in pairs and name in new.members and name not in taken and not old.nameless(name)
        if free and (name not in sizes[0] or name not in sizes[1]):
            pairs[name] = name  # nothing of it is in both netlists but its name
    proven = frozenset(
        net
        for net, other in pairs.items()
        if net in settled
        or (net == other and not old.nameless(net))
        or (_proof(both.get((net, other), [])) and _mostly(len(both[net, other]), net, other, sizes))
    )
    return NetPairs(old, new, pairs, proven, candidates)


def _rank(
    pair: tuple[str, str],
    shared: list[Terminal],
    sizes: tuple[Mapping[str, int], Mapping[str, int]],
    old: Wires,
    new: Wires,
) -> tuple[object, ...]:
    before, after = pair
    same = before == after or cut(before, after)
    count, named = len(shared), same and not old.nameless(before) and not new.nameless(after)
    equal = count == sizes[0][before] == sizes[1][after] and _proof(shared)
    return not equal, not named, -2 * count / (sizes[0][before] + sizes[1][after]), before != after, sorted(pair)


def _proof(shared: list[Terminal]) -> bool:
    return len(shared) >= _PROOF and len({ref for ref, _ in shared}) >= _PROOF


def _mostly(shared: int, before: str, after: str, sizes: tuple[Mapping[str, int], Mapping[str, int]]) -> bool:
    return 2 * shared >= max(sizes[0][before], sizes[1][after])
