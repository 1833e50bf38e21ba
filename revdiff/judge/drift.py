"""Where the documents of one revision contradict each other: parts list, pin map, connector map, contracts, netlist."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from msgspec import Struct

from revdiff.compare.part_changes import describe
from revdiff.design import Board, Contact, Contract, Design, Node, Origin, Part, Pin, Reading
from revdiff.judge.listed import holding, not_as_stated, other_gender
from revdiff.judge.terminals import drawn_records, is_nowhere, leading_nowhere, same_net
from revdiff.judge.wired import disputed_pulls
from revdiff.quantities.designator import natural_key, parse_designator
from revdiff.quantities.quantity import Quantity, show
from revdiff.quantities.text import fold

# What is drawn on a board without being a part that is bought (common practice, no source).
_NO_PARTS = frozenset({"TP", "FD", "FID", "MH", "H", "HW", "MP", "LOGO", "VIA", "NT"})
_SUPPLIES = frozenset({"supply", "supply in", "supply out", "ground"})
_STATED = ("function", "direction", "active", "analog")


# code -> what it is
MEANINGS: Final[Mapping[str, str]] = {
    "part-not-listed": "a part of the netlist is in no parts list",
    "part-not-drawn": "a fitted part of the parts list is not in the netlist",
    "connector-not-listed": "a connector of the connector map is in no parts list",
    "device-not-listed": "a controller of the pin map is in no parts list",
    "terminal-not-drawn": "a pin or contact has a signal, and the netlist has no such terminal",
    "terminal-net": "a pin or contact has one signal in its map and another in the netlist",
    "pull-net": "the manifest has other resistors on a signal than the netlist",
    "contact-direction": "a contact and the pin map say opposite directions of a signal",
    "pull-value": "the manifest gives a resistor another value than the parts list, which counts",
    "pull-part": "the resistor that the parts list calls after a signal is not the one that a table states",
    "connector-gender": "the connector map and the parts list have another gender of a connector",
    "connector-part": "the connector map and the parts list have another part number of a connector",
    "terminal-open": "a pin or contact has a signal in its map, and leads nowhere in the netlist",
    "need-not-met": "firmware needs a signal that is on no pin of its controller",
    "need-pin": "a firmware contract and the pin map have a signal on different pins",
    **{f"need-{name}": f"a firmware contract and the pin map state another {name} of a signal" for name in _STATED},
}


class Drift(Struct, frozen=True):
    """Two documents that disagree. ``here`` and ``there`` are the two places; ``code`` is a stable name."""

    code: str
    board: str
    subject: str
    message: str
    here: Origin
    there: Origin | None

    @property
    def id(self) -> str:
        """The same in every run."""
        return f"{self.code}/{self.board}/{self.subject}"


def drifts(design: Design) -> tuple[Drift, ...]:
    """Every contradiction within one revision, by board, document and subject."""
    found: list[Drift] = []
    for board in design.boards.values():
        found += _parts(board)
        found += _terminals(board)
        found += _pulls(board)
        found += _directions(board)
        found += _resistors(board)
    for contract in design.contracts.values():
        board_of = design.boards.get(contract.board)
        if board_of is not None and board_of.pins:
            found += _contract(contract, board_of)
    return tuple(sorted(found, key=lambda item: (item.board, item.code, natural_key(item.subject))))


def _parts(board: Board) -> Iterator[Drift]:
    if not board.parts:
        return
    listed = next(iter(board.parts.values())).origin.file
    drawn: dict[str, Node] = {}
    for node in board.nodes.values():
        drawn.setdefault(node.ref, node)
    for ref, node in drawn.items():
        if ref not in board.parts and is_bought(ref):
            yield Drift("part-not-listed", board.name, ref, f"in the netlist, but not in {listed}", node.origin, None)
    for ref, part in board.parts.items() if drawn else ():
        if ref not in drawn and part.data.fitted.meaning is not False and is_bought(ref):
            yield Drift(
                "part-not-drawn", board.name, ref, "in the parts list, but not in the netlist", part.origin, None
            )
    for name, connector in board.connectors.items():
        if name not in board.parts and name not in drawn:
            text = f"in the connector map, but not in {listed}"
            yield Drift("connector-not-listed", board.name, name, text, connector.origin, None)
    for name, connector in board.connectors.items():
        listed_as = board.parts.get(name)
        if listed_as is not None and (other := other_gender(board, connector)) is not None:
            text = f"{connector.gender.raw} in the connector map, {describe(other.data)} in the parts list"
            yield Drift("connector-gender", board.name, name, text, connector.origin.of("gender"), listed_as.origin)
        elif listed_as is not None and connector.part_number and not _same_number(connector.part_number, listed_as):
            numbers = f"{connector.part_number.raw} in the connector map"
            numbers += f", {listed_as.data.part_number.raw} in the parts list"
            yield Drift("connector-part", board.name, name, numbers, connector.origin, listed_as.origin)
    devices = {pin.device: pin for pin in board.pins.values()}
    for name, pin in devices.items():
        if name not in board.parts and name not in drawn:
            yield Drift("device-not-listed", board.name, name, f"in the pin map, but not in {listed}", pin.origin, None)


def _same_number(stated: Reading, part: Part) -> bool:
    """Whether it is one of the numbers of a part; True for a part without any."""
    known = [part.data.part_number, part.data.order_code, part.data.alternates]
    told = " ".join(item.word for item in known if item)
    return not part.data.part_number or stated.word in told


def is_bought(ref: str) -> bool:
    """Whether a designator is of something that is bought: not of a test point, a hole, a mark."""
    return _prefix(ref) not in _NO_PARTS


def _prefix(ref: str) -> str:
    designator = parse_designator(ref)
    return designator.prefix if designator is not None else ""


def _terminals(board: Board) -> Iterator[Drift]:
    nowhere = leading_nowhere(board)
    for record, place in drawn_records(board):
        document = "pin map" if isinstance(record, Pin) else "connector map"
        yield from _terminal(board, place, record.name, record.signal, record.origin, document, nowhere)


def _pulls(board: Board) -> Iterator[Drift]:
    for word, said in disputed_pulls(board).items():
        listed = board.sections.pulls[word]
        yield Drift("pull-net", board.name, word.upper(), f"resistors: {said}", listed[0].origin or board.origin, None)
    for word, listed in board.sections.pulls.items():
        for item in listed:
            part = board.parts.get(item.ref)
            if item.written is not None and part is not None:
                written = show(Quantity(item.written, "Ω"))
                said = f"{item.ref} is {written} in the manifest, {part.data.value.raw} in the list"
                yield Drift("pull-value", board.name, word.upper(), said, item.origin or board.origin, part.origin)


def _resistors(board: Board) -> Iterator[Drift]:
    for item in holding(board):
        if said := not_as_stated(item):
            stated = show(Quantity(item.ohms, "Ω"))
            text = f"{item.way} {stated} at {item.record.name}; {item.ref} is {said}"
            here, there = item.record.origin.of("pull"), item.part.origin if item.part is not None else None
            yield Drift("pull-part", board.name, item.record.signal.raw, text, here, there)


def _directions(board: Board) -> Iterator[Drift]:
    for contact, pin in contrary_directions(board):
        text = f"{contact.direction.raw} at {contact.name}, {pin.direction.raw} at {pin.name} in the pin map"
        places = contact.origin.of("direction"), pin.origin.of("direction")
        yield Drift("contact-direction", board.name, contact.signal.raw, text, *places)


def contrary_directions(board: Board) -> tuple[tuple[Contact, Pin], ...]:
    """Signals that a contact takes in and a pin gives out, or the other way round; none where most are so.

    Some tables tell the direction as the mate sees it: then all are the other way, and none is wrong.
    """
    pins: dict[str, list[Pin]] = {}
    for pin in board.pins.values():
        pins.setdefault(pin.signal.word, []).append(pin)
    contacts: dict[str, list[Contact]] = {}
    for contact in board.contacts:
        contacts.setdefault(contact.signal.word, []).append(contact)
    agree, differ = 0, list[tuple[Contact, Pin]]()
    for word in sorted((pins.keys() & contacts.keys()) - {""}):
        given = {item.direction.word for item in pins[word]}
        stated = {item.direction.word for item in contacts[word]}
        if len(given) == len(stated) == 1 and given <= {"in", "out"} and stated <= {"in", "out", *_SUPPLIES}:
            agree += given == stated
            differ += [(contacts[word][0], pins[word][0])] if given != stated else []
    return tuple(differ) if len(differ) <= agree else ()


def _terminal(
    board: Board,
    place: tuple[str, str],
    name: str,
    signal: Reading,
    origin: Origin,
    document: str,
    nowhere: frozenset[tuple[str, str]],
) -> Iterator[Drift]:
    node = board.nodes.get(place)
    if node is not None and node.origin == origin:
        return  # derived from the netlist itself
    if node is None:
        if signal:
            text = f"{signal.raw} in the {document}; the netlist has no such terminal"
            yield Drift("terminal-not-drawn", board.name, name, text, origin, None)
        return
    at = "" if name == f"{node.ref}.{node.pin}" else f" at {node.ref}.{node.pin}"
    if not node.net or place in nowhere:
        if signal and not is_nowhere(signal):
            text = f"{signal.raw} in the {document}, wired to nothing else in the netlist{at}"
            yield Drift("terminal-open", board.name, name, text, origin, node.origin)
        return
    if same_net(signal, node.net):
        return
    if not signal:
        text = f"unused in the {document}, on {node.net.raw} in the netlist{at}"
    else:
        text = f"{signal.raw} in the {document}, wired to {node.net.raw} in the netlist{at}"
    yield Drift("terminal-net", board.name, name, text, origin, node.origin)


def _contract(contract: Contract, board: Board) -> Iterator[Drift]:
    carrying: dict[str, list[Pin]] = {}
    for pin in board.pins.values():
        if pin.signal and pin.device == contract.device:
            carrying.setdefault(pin.signal.word, []).append(pin)
    for key, need in contract.needs.items():
        name = f"{contract.title}: {need.signal.raw}"
        pins = carrying.get(key, [])
        if not pins:
            text = f"needed by {contract.title}, on no pin of {contract.device}"
            yield Drift("need-not-met", board.name, name, text, need.origin.of("signal"), None)
            continue
        names = {word for pin in pins for word in (fold(pin.number), fold(pin.name), pin.port.word)}
        if need.pin and need.pin.word not in names:
            text = f"on pin {need.pin.raw} in the contract, on {pins[0].number} in the pin map"
            yield Drift("need-pin", board.name, name, text, need.origin.of("pin"), pins[0].origin.of("pin"))
        for field in _STATED:
            wanted: Reading = getattr(need, field)
            given: Reading = getattr(pins[0], field)
            if wanted and given and all(getattr(pin, field) != wanted for pin in pins):
                text = f"{field} {wanted.raw} in the contract, {given.raw} in the pin map"
                yield Drift(f"need-{field}", board.name, name, text, need.origin.of(field), pins[0].origin.of(field))
