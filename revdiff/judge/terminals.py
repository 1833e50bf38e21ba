"""Contacts and pins whose terminal in the netlist hangs on another net than their own table says.

Another name alone is no contradiction: netlists write names with their sheet, or cut them. It is one where the net is
a supply or ground and the signal isn't the same one, and where either name belongs to something else on the board.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import TypeAlias

from msgspec import Struct

from revdiff.design import Board, Contact, Node, Pin, Reading
from revdiff.judge.contacts import class_of
from revdiff.judge.names import ById
from revdiff.judge.wired import is_ground_net, is_rail
from revdiff.quantities.rail import rail_volts

Record: TypeAlias = Contact | Pin

# IPC-D-356A holds 14 characters of a net name; a longer one without an alias is cut there (see readers/ipc356.py).
CUT = 14
_NOWHERE = frozenset({"nc", "n/c", "n.c.", "open", "unused", "dnc"})
_KEPT = 512


class Crossed(Struct, frozen=True):
    """A contact or pin and the terminal that contradicts it.

    ``sure``: a supply or ground and something else are one by these documents, whatever the names mean.
    """

    record: Record
    node: Node
    sure: bool


def crossed(board: Board) -> tuple[Crossed, ...]:
    """Every contact and pin of a board that the netlist contradicts, in the order of its tables."""
    return _crossed(ById(board)) if board.nodes else ()


def drawn_records(board: Board) -> Iterator[tuple[Record, tuple[str, str]]]:
    """Pins, then contacts, each with its terminal; left out is what can't be joined with the netlist."""
    for key, pin in board.pins.items():
        place = board.joined.get(key)
        if place is not None:
            yield pin, place
    drawn = {ref for ref, _ in board.nodes}
    for connector in board.connectors.values():
        numbers = connector.contacts.values() if connector.name in drawn else ()
        known = sum((connector.name, contact.number) in board.nodes for contact in numbers)
        for contact in numbers if 2 * known >= len(numbers) else ():
            yield contact, (connector.name, contact.number)


def leading_nowhere(board: Board) -> frozenset[tuple[str, str]]:
    """The terminals that a netlist of all of the board shows to be open, whatever their nets are called.

    Those are the ones on no net, and those of a net that leads to no other part; a link between pins of one part is
    open, too, unless a table states its signal at two of them.
    """
    return _leading_nowhere(ById(board)) if board.whole else frozenset()


@lru_cache(maxsize=_KEPT)
def _leading_nowhere(key: ById) -> frozenset[tuple[str, str]]:
    board: Board = key.design
    nets: dict[str, list[Node]] = {}
    for node in board.nodes.values():
        nets.setdefault(node.net.word, []).append(node)
    links = {word: 0 for word, nodes in nets.items() if len(nodes) > 1 and len({node.ref for node in nodes}) == 1}
    if links:
        for record, place in drawn_records(board):
            drawn = board.nodes.get(place)
            if drawn is not None and drawn.net.word in links and drawn.origin != record.origin:
                links[drawn.net.word] += same_net(record.signal, drawn.net)
    return frozenset(
        (node.ref, node.pin)
        for word, nodes in nets.items()
        if not word or len(nodes) == 1 or (word in links and links[word] < 2)
        for node in nodes
    )


def is_nowhere(signal: Reading) -> bool:
    """Whether a signal's name says that nothing is connected."""
    return signal.word in _NOWHERE


def same_net(signal: Reading, net: Reading) -> bool:
    """Whether a name in a table is that of a net, which may be cut."""
    if signal == net or (not signal and net.word == "nc"):
        return True
    return len(net.raw) == CUT and signal.word.startswith(net.word)


@lru_cache(maxsize=_KEPT)
def _crossed(key: ById) -> tuple[Crossed, ...]:
    board: Board = key.design
    placed = list(drawn_records(board))
    nets = {node.net.word for node in board.nodes.values() if node.net}
    signals = {record.signal.word for record, _ in placed if record.signal}
    found = []
    for record, place in placed:
        node = board.nodes.get(place)
        if node is None or not node.net or node.origin == record.origin or same_net(record.signal, node.net):
            continue
        spare = not record.signal or is_nowhere(record.signal)
        elsewhere = not spare and (record.signal.word in nets or node.net.word in signals)
        power = _power(record, node.net.word, spare=spare)
        if power or elsewhere:
            known = spare or elsewhere or bool(record.direction)
            found.append(Crossed(record, node, power and known))
    return tuple(found)


def _power(record: Record, net: str, *, spare: bool) -> bool:
    """Whether one of the two is a supply or ground that the other isn't."""
    drawn = _class_of_name(net)
    if spare:
        return drawn == "supply"  # spare contacts are often put to ground
    stated = class_of(record) if isinstance(record, Contact) else record.direction.word.partition(" ")[0]
    stated = stated if stated in ("supply", "ground") else _class_of_name(record.signal.word)
    volts = {rail_volts(record.signal.word), rail_volts(net)} - {None}
    if drawn == stated == "supply":
        return len(volts) > 1
    return drawn != stated and (drawn != "signal" or stated != "signal")


def _class_of_name(name: str) -> str:
    return "ground" if is_ground_net(name) else "supply" if is_rail(name) else "signal"


def crossings(board: Board) -> Mapping[str, str]:
    """By contact or pin, the net that contradicts it: what of them a verdict can rest on."""
    return {item.record.name: f"{item.node.net.word} {item.sure}" for item in crossed(board)}
