"""One board's netlist as compare needs it: terminals, their nets, and what stands open."""

from __future__ import annotations

import re
from collections.abc import Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from functools import cached_property
from typing import TypeAlias

from revdiff.design import Board, Node, PartData
from revdiff.quantities.designator import letters_of
from revdiff.quantities.pattern import pattern

Terminal: TypeAlias = tuple[str, str]  # (designator, pin)

# Two-terminal parts that work either way round (IEEE 315-1975 clause 22.4 for the letters; FB, JP, SB and NT are common
# practice, no source). A capacitor is looked at by itself.
_EITHER_WAY = frozenset(
    {"R", "RT", "RV", "L", "FB", "F", "JP", "SB", "NT", "Y", "XTAL", "SW", "S", "E", "TP", "FL", "LS"}
)
_POLAR = pattern(r"elec|tant|polar|polym|alumi|elko|\bcp|[+]")
_SMALL = 1e-6  # farad, from which on capacitors with polarity are usual (common practice, no source)
_WORDS = pattern(r"[a-z]+[0-9]*|[0-9]+")
# Names that drawing programs count up for nets that nobody named (common practice, no source).
_COUNTED = pattern(r"[n$_#]{0,3}[0-9]+|net[-_]?[0-9]+|unnamed[a-z_-]{0,8}[0-9]+|no_?net[-_]?[0-9]*")
_MADE = ("net", "n-", "n$", "unconnected")
_FILLERS = frozenset({"n", "net", "pad", "pin", "p", "nc"})


NOWHERE = "\0"


def nowhere(ref: str) -> str:
    """A name that nothing has, for a part that the newer revision lacks."""
    return f"{NOWHERE}{ref}"


@dataclass(frozen=True)
class Wires:
    """Terminals of one netlist under their names in the newer revision; the net of each, empty where it stands open.

    ``members``: the terminals of each net. In a netlist that has all of the board a terminal alone on its net is open.
    """

    nodes: Mapping[Terminal, Node]
    net_of: Mapping[Terminal, str]
    members: Mapping[str, AbstractSet[Terminal]]
    _parts: dict[str, AbstractSet[str]] = field(default_factory=dict, compare=False, repr=False)
    _known: dict[str, bool] = field(default_factory=dict, compare=False, repr=False)

    @cached_property
    def pins(self) -> Mapping[str, tuple[str, ...]]:
        """The pins of each part."""
        found: dict[str, list[str]] = {}
        for ref, pin in self.net_of:
            found.setdefault(ref, []).append(pin)
        return {ref: tuple(pins) for ref, pins in found.items()}

    def written(self, net: str) -> str:
        """A net's name as it is written."""
        return self.nodes[min(self.members[net])].net.raw

    def nameless(self, net: str) -> bool:
        """Whether a net's name says nothing: a program made it from one of the net's parts, or counted."""
        known = self._known.get(net)
        if known is None:
            refs = {self.nodes[terminal].ref.casefold() for terminal in self.members.get(net, ())}
            known = self._known[net] = _nameless(net, refs)
        return known

    def alone(self, net: str) -> bool:
        """Whether a net leads from no part to another one."""
        return len(self.parts_on(net)) == 1

    def parts_on(self, net: str) -> AbstractSet[str]:
        """The parts on a net."""
        found = self._parts.get(net)
        if found is None:
            found = self._parts[net] = {ref for ref, _ in self.members.get(net, ())}
        return found


def wires_of(board: Board, refs: Mapping[str, str], *, whole: bool) -> Wires:
    """The wires of a board. ``refs``: what its parts are called in the newer revision, where that differs.

    ``whole``: both netlists have all of the board, so that a terminal alone on its net is open.
    """
    nodes = board.nodes
    if refs:
        nodes = {(refs.get(ref, ref), pin): node for (ref, pin), node in nodes.items()}
    net_of: dict[Terminal, str] = {}
    members: dict[str, set[Terminal]] = {}
    for terminal, node in nodes.items():
        net = net_of[terminal] = node.net.word
        if net:
            ends = members.get(net)
            if ends is None:
                members[net] = {terminal}
            else:
                ends.add(terminal)
    if whole:
        for net in [net for net, ends in members.items() if len(ends) == 1]:
            net_of[members.pop(net).pop()] = ""
    return Wires(nodes, net_of, members)


def controllers(board: Board) -> Mapping[str, str]:
    """The pins of controllers as the pin map names them to their terminals in the netlist: ``MCU.PA5`` to ``U1.7``."""
    drawn = {f"{ref}.{pin}": f"{ref}.{pin}" for ref, pin in board.pins if (ref, pin) in board.nodes}
    return drawn | {f"{device}.{number}": ".".join(place) for (device, number), place in board.joined.items()}


def has_polarity(ref: str, data: PartData | None) -> bool:
    """Whether it matters which way round a part with two terminals is."""
    prefix = letters_of(ref)
    if prefix != "C":
        return prefix not in _EITHER_WAY
    if data is None:
        return True
    texts = " ".join(item.word for item in (data.description, data.dielectric, data.package, data.value))
    texts += f" {data.package.raw} {data.value.raw} {data.part_number.raw}".casefold()
    if _POLAR.search(texts):
        return True
    value = data.value.quantity
    chip = bool(re.search(r"0?(?:1005|201|402|603|805)", data.package.raw))
    return not (data.dielectric or chip or (value is not None and float(value.magnitude) < _SMALL))


def _nameless(net: str, refs: set[str]) -> bool:
    if _COUNTED.fullmatch(net):
        return True
    words = [word.removeprefix("net") or word for word in _WORDS.findall(net)]
    others = [word for word in words if word not in refs]
    if len(others) == len(words):
        return False
    return net.startswith(_MADE) or all(word.isdecimal() or word in _FILLERS for word in others)
