"""A survey to a manifest: boards by folder and file name, joints by signals that pair up, contracts by their needs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import takewhile
from pathlib import PurePosixPath
from typing import TypeAlias

from msgspec import Struct, field
from msgspec.structs import replace

from revdiff.design import Contact, Part, Pin
from revdiff.quantities.designator import natural_key
from revdiff.quantities.text import squeeze
from revdiff.readers.grouping import board_key, board_keys, folder_of, strip
from revdiff.readers.hints import Guess, controller_of, printed_revision
from revdiff.readers.survey import TREES, Sighting, Survey, ending_of, signals_of

TABLES = ("parts", "pins", "connectors", "contacts", "netlist")
_DEVICE = "U1"  # what a pin map without a device is read as
# Share of the contacts of the smaller connector that have to carry the signal of their mate.
_PAIRED = 0.75
_LEAST = 4
Places: TypeAlias = dict[str, set[str]]
_FEW = 2  # signals that a source and a pin map have to share, where none is on its pin


class BoardProposal(Struct):
    """One board: its tables by kind, and the patterns that stand for several tables of a kind.

    ``revision``: the printed one. ``device``: the controller of a pin map that names none, where there is such a map.
    """

    name: str
    tables: dict[str, list[Sighting]] = {}
    patterns: dict[str, str] = {}
    revision: Guess = field(default_factory=lambda: Guess("", "as printed on the board"))
    device: Guess | None = None


class JointProposal(Struct, frozen=True):
    """Two connectors that seem to mate: which, how their contacts pair, and how many do."""

    a: str
    b: str
    order: str
    paired: int
    of: int


class ContractProposal(Struct, frozen=True):
    """One list of needs, a header or a devicetree, and the board and controller that have most of its signals.

    ``pattern``: what the header calls a pin; empty for the others. ``agreed``: how many of the signals that are known a
    source has on the pin that the pin map has them on.
    """

    key: str
    sighting: Sighting
    board: str
    device: str
    known: int
    of: int
    pattern: str = ""
    agreed: int = 0

    @property
    def contradicted(self) -> bool:
        """Whether a source has none of its signals where the pin map has it."""
        return bool(self.sighting.named) and not self.agreed


class Proposal(Struct, frozen=True):
    """What the manifest will say."""

    name: str
    boards: tuple[BoardProposal, ...]
    joints: tuple[JointProposal, ...]
    contracts: tuple[ContractProposal, ...]
    unused: tuple[tuple[str, str], ...]


def propose(survey: Survey, name: str) -> Proposal:
    """A manifest for what was found. ``name``: of the folder, for the design and for a board without one."""
    boards: dict[str, BoardProposal] = {}
    unused: list[tuple[str, str]] = []
    needs = [item for item in survey.found if item.kind == "needs"]
    headers = _headers(survey)
    tables = [
        item
        for item in survey.found
        if item.kind in TABLES and item not in headers and ending_of(item.path) not in TREES
    ]
    unused += [
        (item.path, "no pin map has the signals of this devicetree")
        for item in survey.found
        if ending_of(item.path) in TREES and item not in headers
    ]
    keys = board_keys(tables, name)
    for item in tables:
        board = boards.setdefault(keys[item.path], BoardProposal(keys[item.path]))
        board.tables.setdefault(item.kind, []).append(item)
    for board in boards.values():
        for kind, items in board.tables.items():
            items.sort(key=lambda item: natural_key(item.path))
            pattern = _pattern(items, survey.paths)
            if pattern:
                board.patterns[kind] = pattern
                continue
            why = f"{board.name} already has a {kind if kind == 'netlist' else f'{kind} table'}, {items[0].path}"
            unused += [(item.path, why) for item in items[1:]]
            del items[1:]
    found = tuple(boards[key] for key in sorted(boards))
    for board in found:
        board.revision = printed_revision(
            {item.path: item.revision for items in board.tables.values() for item in items}
        )
        board.device = _device(board)
    contracts = tuple(_contracts((*needs, *headers), found))
    return Proposal(board_key(name), found, tuple(_joints(found)), contracts, tuple(unused))


def _headers(survey: Survey) -> list[Sighting]:
    """The sources that name pins which another pin map has: what firmware says of a board, not the board's own map."""
    maps = [item for item in survey.found if item.kind == "pins" and not item.named]
    known: list[Places] = []
    for item in maps:
        known.append({})
        for pin in item.records.values():
            _put(known[-1], pin)
    return [item for item in survey.found if item.named and any(_best(item, signals)[1] for signals in known)]


def _best(header: Sighting, signals: Places) -> tuple[str, int, int, int]:
    """The pattern by which a header names most of these signals; how many of them, how many on a pin that they are on,
    and of how many that it names.
    """
    found = []
    for pattern, names in header.named:
        known = names.keys() & signals.keys()
        agreed = sum(names[word] in signals[word] for word in known)
        found += [(len(known), agreed, -len(names), pattern)] if names else []
    known_best, agreed, of, pattern = max(found, default=(0, 0, 0, ""))
    return (pattern, known_best, agreed, -of) if known_best >= max(1 if agreed else _FEW, -of // 2) else ("", 0, 0, 0)


def _device(board: BoardProposal) -> Guess | None:
    maps = board.tables.get("pins", [])
    if len(maps) != 1 or "device" in maps[0].columns or any(pin.device != _DEVICE for pin in maps[0].records.values()):
        return None
    parts: dict[str, Part] = {ref: part for item in board.tables.get("parts", ()) for ref, part in item.records.items()}
    nets = {ref: found for item in board.tables.get("netlist", ()) for ref, found in item.nets.items()}
    guess = controller_of(maps[0].records, parts, nets)
    return guess if guess.found or guess.why else None


def _pattern(items: Sequence[Sighting], paths: Iterable[str]) -> str:
    """A pattern that exactly these files of all have, and no record is in two of them; empty where there is none.

    The reader takes the device or the connector from each file's name where a column lacks: right for contacts
    only, so pin maps need the column.
    """
    places = [PurePosixPath(item.path) for item in items]
    keys = [key for item in items for key in item.records]
    if (
        len(items) < 2
        or items[0].kind not in ("pins", "contacts")
        or len({(place.parent, place.suffix) for place in places}) > 1
        or len(set(keys)) < len(keys)
        or any(item.kind == "pins" and "device" not in item.columns for item in items)
    ):
        return ""
    start = _common(place.stem for place in places).rstrip("0123456789")
    end = _common(place.stem[::-1] for place in places)[::-1].lstrip("0123456789")
    wanted = {item.path for item in items}
    for name in (f"{start}*{end}", f"{start}*"):
        pattern = places[0].parent / f"{name}{places[0].suffix}"
        having = {
            path
            for path in paths
            if len(PurePosixPath(path).parts) == len(pattern.parts) and PurePosixPath(path).match(str(pattern))
        }
        if having == wanted:
            return str(pattern)
    return ""


def _common(texts: Iterable[str]) -> str:
    """What all texts begin with."""
    return "".join(
        letters[0] for letters in takewhile(lambda letters: len(set(letters)) == 1, zip(*texts, strict=False))
    )


# joints


def with_joints_of(proposal: Proposal, other: Proposal | None) -> Proposal:
    """The proposal with the joints that another revision shows, of connectors that it has and joins to nothing."""
    free = {f"{board}.{name}" for board, name, _ in _connectors(proposal.boards)}
    free -= {end for joint in proposal.joints for end in (joint.a, joint.b)}
    more = [joint for joint in (() if other is None else other.joints) if {joint.a, joint.b} <= free]
    return replace(proposal, joints=(*proposal.joints, *more)) if more else proposal


def _connectors(boards: Iterable[BoardProposal]) -> list[tuple[str, str, list[Contact]]]:
    """(board, name, contacts) of every connector that can be named in a joint: a dot would end the board's name."""
    return [
        (board.name, name, contacts)
        for board in boards
        for sighting in board.tables.get("contacts", ())
        for name, contacts in sighting.records.items()
        if "." not in name
    ]


def _joints(boards: tuple[BoardProposal, ...]) -> Iterator[JointProposal]:
    """Pairs of connectors on two boards whose contacts carry the same signals, the best pairs first."""
    connectors = _connectors(boards)
    candidates = []
    for index, (board, name, contacts) in enumerate(connectors):
        for other_board, other_name, others in connectors[index + 1 :]:
            if other_board == board:
                continue
            for order in ("same", "mirrored"):
                paired, of = _paired(contacts, others, order)
                if paired >= _LEAST and paired >= _PAIRED * of:
                    candidates.append(
                        (-paired, order != "same", f"{board}.{name}", f"{other_board}.{other_name}", order, of)
                    )
    taken: set[str] = set()
    found = []
    for paired, _, a, b, order, of in sorted(candidates):
        if a not in taken and b not in taken:
            taken |= {a, b}
            found.append(JointProposal(a, b, order, -paired, of))
    yield from sorted(found, key=lambda joint: natural_key(joint.a))


def _paired(one: list[Contact], two: list[Contact], order: str) -> tuple[int, int]:
    """How many contacts meet their own signal, and of how many that carry one."""
    size = max(len(one), len(two))
    mates = {item.number: item for item in two}
    paired = of = 0
    for item in one:
        number = item.number
        if order == "mirrored":
            number = str(size + 1 - int(number)) if number.isdecimal() else ""
        mate = mates.get(number)
        if mate is None or not (item.signal or mate.signal):
            continue
        of += 1
        paired += item.signal == mate.signal
    return paired, of


# contracts


def _contracts(found: Sequence[Sighting], boards: tuple[BoardProposal, ...]) -> Iterator[ContractProposal]:
    taken: set[str] = set()
    for item in found:
        wanted = {squeeze(word) for word in signals_of(item)}
        best = ("", 0, 0, len(wanted), "", "")
        for board, device, signals in _controllers(boards):
            plain = ("", len(wanted & signals.keys()), 0, len(wanted))
            pattern, known, agreed, of = _best(item, signals) if item.named else plain
            if (known, agreed) > best[1:3]:
                best = (pattern, known, agreed, of, board.name, device)
        pattern, known, agreed, of, name, device = best
        if known >= max(1, of // 2):
            key = _contract_key(item, taken)
            taken.add(key)
            yield ContractProposal(key, item, name, device, known, of, pattern, agreed)


def _controllers(boards: Iterable[BoardProposal]) -> Iterator[tuple[BoardProposal, str, Places]]:
    """Each controller as the manifest will name it, with its signals and their pins, by letters and digits."""
    for board in boards:
        devices: dict[str, Places] = {}
        for sighting in board.tables.get("pins", ()):
            for pin in sighting.records.values():
                name = board.device.found if board.device is not None and board.device.found else pin.device
                _put(devices.setdefault(name, {}), pin)
        for device in sorted(devices):
            yield board, device, devices[device]


def _put(places: Places, pin: Pin) -> None:
    if pin.signal:
        places.setdefault(squeeze(pin.signal.raw), set()).update({squeeze(pin.number), squeeze(pin.port.raw)} - {""})


def _contract_key(item: Sighting, taken: set[str]) -> str:
    """A key that no other contract has: the file's name, with its folder or a number where it is not enough."""
    said = PurePosixPath(item.path).stem
    short = board_key(strip(said) or said)
    full = board_key(f"{folder_of(item.path)}-{short}")
    names = (short, full, *(f"{full}-{number}" for number in range(2, len(taken) + 3)))
    return next(name for name in names if name not in taken)
