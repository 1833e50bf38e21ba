"""Which pins of controllers and contacts of connectors hang on the nets that a change of the wiring touches."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from revdiff.compare.change import Change
from revdiff.compare.comparison import Comparison
from revdiff.compare.nets.wires import Wires, controllers
from revdiff.design import Board
from revdiff.quantities.rail import rail_volts

# Terminals from which on a net is taken for a supply, which one part more or less doesn't alter (common practice, no
# source); as wiring.py counts nets that say nothing of a part.
_CROWDED = 12
_GROUNDS = frozenset({"gnd", "agnd", "dgnd", "pgnd", "vss", "0v", "ground"})


def reached(comparison: Comparison, changes: Iterable[Change], *, pins: bool) -> frozenset[str]:
    """The pins of the pin map (``MCU.PA5``), or else the contacts (``J2.4``), on a signal's net that changes touch.

    Of a change of the pin map itself nothing is given back: it speaks for itself.
    """
    names: dict[tuple[str, str], list[str]] = {}
    for change in changes:
        if (
            change.wires
            and change.board in comparison.nets
            and not change.kind.startswith("pin.")
            and not _probes(change)
        ):
            for side in ("before", "after"):
                names.setdefault((change.board, side), []).extend(getattr(wire, side) for wire in change.wires)
    found: set[str] = set()
    for (name, side), terminals in names.items():
        board = (comparison.old if side == "before" else comparison.new).boards[name]
        wires = comparison.nets[name].old if side == "before" else comparison.nets[name].new
        wanted = {terminal: pin for pin, terminal in controllers(board).items()} if pins else _contacts(board)
        found.update(wanted[item] for item in _on_the_nets(board, wires, terminals) if item in wanted)
    return frozenset(found)


def _contacts(board: Board) -> dict[str, str]:
    return {item.name: item.name for item in board.contacts}


def _probes(change: Change) -> bool:
    """Whether parts with one terminal came or went, as test points are: they connect nothing."""
    if change.kind not in ("net.part_added", "net.part_removed", "part.added", "part.removed"):
        return False
    refs = [(wire.after or wire.before).rpartition(".")[0] for wire in change.wires]
    return len(set(refs)) == len(refs)


def _on_the_nets(board: Board, wires: Wires, terminals: list[str]) -> Iterator[str]:
    """The terminals themselves, and what else is on their nets where those are no supplies."""
    nets = set()
    for name in terminals:
        ref, _, pin = name.rpartition(".")
        node = board.nodes.get((ref, pin))
        if node is not None and node.net:
            nets.add(node.net.word)
            yield name
    for net in nets:
        ends = wires.members.get(net, frozenset())
        if len(ends) < _CROWDED and net not in _GROUNDS and rail_volts(net) is None:
            yield from (f"{wires.nodes[item].ref}.{wires.nodes[item].pin}" for item in ends)
