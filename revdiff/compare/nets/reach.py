"""Which pins of controllers and contacts of connectors hang on the nets that a change of the wiring touches."""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.compare.change import Change
from revdiff.compare.comparison import Comparison
from revdiff.compare.nets.wires import controllers
from revdiff.design import Board
from revdiff.quantities.rail import rail_volts

# Terminals from which on a net is taken for a supply, which one part more or less doesn't alter (common practice, no
# source); as wiring.py counts nets that say nothing of a part.
_CROWDED = 12
_GROUNDS = frozenset({"gnd", "agnd", "dgnd", "pgnd", "vss", "0v", "ground"})


def reached(comparison: Comparison, change: Change, *, pins: bool) -> frozenset[str]:
    """The pins of the pin map, or else the contacts, on a signal's net that a change touches: ``U1.3``, ``J2.4``.

    Of a change of the pin map itself nothing is given back: it speaks for itself.
    """
    if not change.wires or change.kind.startswith("pin.") or _probes(change):
        return frozenset()
    found: set[str] = set()
    for design, side in ((comparison.old, "before"), (comparison.new, "after")):
        board = design.boards.get(change.board)
        if board is not None:
            wanted = {terminal: name for name, terminal in controllers(board).items()} if pins else _contacts(board)
            names = [getattr(wire, side) for wire in change.wires]
            found.update(wanted[name] for name in _on_the_nets(board, names) if name in wanted)
    return frozenset(found)


def _contacts(board: Board) -> dict[str, str]:
    return {item.name: item.name for connector in board.connectors.values() for item in connector.contacts.values()}


def _probes(change: Change) -> bool:
    """Whether parts with one terminal came or went, as test points are: they connect nothing."""
    if change.kind not in ("net.part_added", "net.part_removed"):
        return False
    refs = [(wire.after or wire.before).rpartition(".")[0] for wire in change.wires]
    return len(set(refs)) == len(refs)


def _on_the_nets(board: Board, terminals: list[str]) -> Iterator[str]:
    nets = set()
    for name in terminals:
        ref, _, pin = name.rpartition(".")
        node = board.nodes.get((ref, pin))
        if node is not None and node.net:
            nets.add(node.net.word)
            yield name
    members: dict[str, list[str]] = {}
    for node in board.nodes.values():
        if node.net.word in nets:
            members.setdefault(node.net.word, []).append(f"{node.ref}.{node.pin}")
    for net, names in members.items():
        if len(names) < _CROWDED and net not in _GROUNDS and rail_volts(net) is None:
            yield from names
