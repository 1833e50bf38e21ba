"""What a netlist says of the resistors on a signal, and of dividers.

A resistor without a value pulls with one that nobody knows.

Which parts are resistors: class letter R (IEEE 315-1975 clause 22.4), with a value in ohms, at two nets.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from functools import lru_cache

from msgspec import Struct

from revdiff.design import Board
from revdiff.design.sections import Pull
from revdiff.judge.contacts import named_supply, of_a_supply
from revdiff.judge.names import ById
from revdiff.quantities.designator import letters_of, natural_key
from revdiff.quantities.rail import other_voltage, rail_volts

_GROUNDS = frozenset({"gnd", "ground", "0v", "vss", "agnd", "dgnd", "pgnd"})
_SERIES = 1000  # Ω, up to which a resistor between two signals lies in series (common practice, no source)
_THROUGH = ("L", "FB")  # what a level passes through
_FURTHEST = 3  # series parts that are followed
_CROWDED = 16  # parts on a net from which on none of them lies in series
_HOLDS = ("U", "IC", "A", "MOD")  # parts that may hold a level themselves
_KEPT = 512


class Divider(Struct, frozen=True):
    """Two resistors from a net ``top`` to ground, with a signal between: ``ratio`` of it is there."""

    upper: str
    lower: str
    top: str
    ratio: Decimal


class _Link(Struct, frozen=True):
    """A part with two terminals at two nets; ``ohms``: of one that ``resists``, where its value is stated."""

    ref: str
    other: str
    ohms: Decimal | None
    resists: bool
    fitted: bool


def wired_pulls(board: Board) -> Mapping[str, tuple[Pull, ...]]:
    """The resistors from each signal to a supply or to ground, those beyond a series resistor, too.

    A signal is left out where nothing can be said: the netlist lacks parts of the board, or a part hangs on the signal
    that may hold it. An empty tuple: nothing pulls it.
    """
    return _pulls(ById(board))


def disputed_pulls(board: Board) -> Mapping[str, str]:
    """By signal, what is wrong where the manifest has other resistors on it than the netlist of the whole board."""
    drawn = wired_pulls(board) if board.sections.pulls else {}
    found = {}
    for word, listed in board.sections.pulls.items():
        wired = drawn.get(word, listed)
        if _differ(listed, wired):
            texts = (", ".join(sorted(map(_said, item))) or "nothing" for item in (listed, wired))
            found[word] = "{} in the manifest, {} in the netlist".format(*texts)
    return found


def _differ(listed: tuple[Pull, ...], wired: tuple[Pull, ...]) -> bool:
    """By designator where all have one, else by the ways that something fitted pulls; a rail by its voltage."""
    if not all(item.ref for item in listed):
        ways, drawn = ({item.way for item in given if item.fitted} for given in (listed, wired))
        return ways != drawn
    if {(item.way, item.ref) for item in listed} != {(item.way, item.ref) for item in wired}:
        return True
    rails = {item.ref: item.rail for item in wired}
    return any(other_voltage(item.rail, rails[item.ref]) for item in listed)


def _said(pull: Pull) -> str:
    return " ".join(filter(None, (pull.ref, pull.way, pull.rail and f"to {pull.rail.upper()}")))


def dividers(board: Board) -> Mapping[str, Divider]:
    """The signals that lie between two fitted resistors, one of them to ground, the only ones on it."""
    links = _links(board)
    found = {}
    for net, own in links.items():
        resistors = [item for item in own if item.ohms and item.fitted]
        down = [item for item in resistors if item.other in _GROUNDS]
        up = [item for item in resistors if item.other not in _GROUNDS]
        if len(down) == len(up) == 1 and not is_rail(net):
            low, high = down[0].ohms or Decimal(0), up[0].ohms or Decimal(0)
            found[net] = Divider(up[0].ref, down[0].ref, up[0].other, low / (low + high))
    return found


@lru_cache(maxsize=_KEPT)
def _pulls(key: ById) -> Mapping[str, tuple[Pull, ...]]:
    board: Board = key.design
    if not board.whole or not board.parts:
        return {}
    links = _links(board)
    mapped = {pin.device for pin in board.pins.values()}
    holding = {
        node.net.word for node in board.nodes.values() if letters_of(node.ref) in _HOLDS and node.ref not in mapped
    }
    found: dict[str, tuple[Pull, ...]] = {}
    for net in {node.net.word for node in board.nodes.values() if node.net}:
        if is_rail(net):
            continue
        reached = list(_reached(net, links))
        pulls = tuple(pull for end, series in reached for pull in _of(links.get(end, ()), series))
        if pulls or not any(end in holding for end, _ in reached):
            found[net] = tuple(sorted(pulls, key=lambda item: natural_key(item.ref)))
    return found


def _reached(net: str, links: Mapping[str, list[_Link]]) -> Iterator[tuple[str, Decimal]]:
    """The net and those behind its series parts, with the ohms on the way."""
    seen = {net}
    edge = [(net, Decimal(0))]
    for _ in range(_FURTHEST + 1):
        yield from edge
        beyond = []
        for end, series in edge:
            own = links.get(end, [])
            for item in own if len(own) < _CROWDED else ():
                passes = item.ohms <= _SERIES if item.ohms is not None else not item.resists
                if passes and item.fitted and item.other not in seen and not is_rail(item.other):
                    seen.add(item.other)
                    beyond.append((item.other, series + (item.ohms or 0)))
        edge = beyond


def _of(links: list[_Link] | tuple[()], series: Decimal) -> Iterator[Pull]:
    for item in links:
        if item.resists and is_rail(item.other):
            down = item.other in _GROUNDS
            ohms = item.ohms + series if item.ohms is not None else None
            yield Pull("down" if down else "up", ohms, item.ref, item.fitted, "" if down else item.other)


def _links(board: Board) -> dict[str, list[_Link]]:
    """The resistors and what a level passes through at each net."""
    ends: dict[str, list[str]] = {}
    for (ref, _), node in board.nodes.items():
        if letters_of(ref) in ("R", *_THROUGH):
            ends.setdefault(ref, []).append(node.net.word)
    found: dict[str, list[_Link]] = {}
    for ref, nets in ends.items():
        part = board.parts.get(ref)
        if part is None or len(nets) != 2 or not all(nets) or nets[0] == nets[1]:
            continue
        value = part.data.value.quantity
        ohms = value.magnitude if value is not None and value.unit == "Ω" else None
        fitted = part.data.fitted.meaning is not False
        resists = letters_of(ref) == "R"
        for net, other in (nets, nets[::-1]):
            found.setdefault(net, []).append(_Link(ref, other, ohms if resists else None, resists, fitted))
    return found


def is_ground_net(net: str) -> bool:
    """Whether a folded name is that of ground."""
    return net in _GROUNDS


def is_rail(net: str) -> bool:
    """Whether a folded name is that of a supply or of ground."""
    voltage = rail_volts(net) is not None and net[:1] in "+-v0123456789" and not of_a_supply(net)
    return net in _GROUNDS or named_supply(net) or voltage
