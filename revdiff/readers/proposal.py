"""A survey to a manifest: boards by folder and file name, joints by signals that pair up, contracts by their needs."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import takewhile
from pathlib import PurePosixPath

from revdiff.design import Contact
from revdiff.quantities.designator import natural_key
from revdiff.readers.faults import counted
from revdiff.readers.survey import Sighting, Survey, signals_of

_TABLES = ("parts", "pins", "connectors", "contacts", "netlist")
_WORDS = re.compile(
    r"(?i)(?:^|[-_. ])(bom|parts?|parts?[-_ ]?list|pins?|pin[-_ ]?map|pinout|connectors?|contacts?|components?|"
    r"stückliste|needs?|gpio|list|table|netlist)(?=$|[-_. ])"
)
# Share of the contacts of the smaller connector that have to carry the signal of their mate.
_PAIRED = 0.75
_LEAST = 4


@dataclass(slots=True)
class BoardProposal:
    """One board: its tables by kind, and the patterns that stand for several tables of a kind."""

    name: str
    tables: dict[str, list[Sighting]] = field(default_factory=dict)
    patterns: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class JointProposal:
    """Two connectors that seem to mate: which, how their contacts pair, and how many do."""

    a: str
    b: str
    order: str
    paired: int
    of: int


@dataclass(frozen=True, slots=True)
class ContractProposal:
    """One list of needs, the board and controller that have most of its signals."""

    key: str
    sighting: Sighting
    board: str
    device: str
    known: int
    of: int


@dataclass(frozen=True, slots=True)
class Proposal:
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
    tables = [item for item in survey.found if item.kind in _TABLES]
    shared = len({_folder(item) for item in tables}) == 1 and len({_stem(item) for item in tables} - {""}) < 2
    for item in tables:
        key = _key(name) if shared else _key(_stem(item) or _folder(item) or name)
        board = boards.setdefault(key, BoardProposal(key))
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
    return Proposal(_key(name), found, tuple(_joints(found)), tuple(_contracts(needs, found)), tuple(unused))


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


def _folder(item: Sighting) -> str:
    """The innermost folder whose name is no word for a kind of table."""
    for part in reversed(PurePosixPath(item.path).parent.parts):
        if _strip(part):
            return part
    return ""


def _stem(item: Sighting) -> str:
    """What the file's name says besides the kind of table: ``base`` of ``base_bom.csv``."""
    place = PurePosixPath(item.path)
    if place.parent.parts:
        return ""
    said = _strip(place.stem)
    return "-".join(word for word in said.split("-") if not item.connector or word.upper() != item.connector)


def _strip(text: str) -> str:
    return re.sub(r"[-_. ]+", "-", _WORDS.sub("-", text)).strip("-")


def _key(text: str) -> str:
    return re.sub(r"[^a-z0-9_-]+", "-", text.casefold()).strip("-") or "board"


# joints


def _joints(boards: tuple[BoardProposal, ...]) -> Iterator[JointProposal]:
    """Pairs of connectors on two boards whose contacts carry the same signals, the best pairs first."""
    connectors = [
        (board.name, name, contacts)
        for board in boards
        for sighting in board.tables.get("contacts", ())
        for name, contacts in sighting.records.items()
        if "." not in name  # a dot would end the board's name in a joint
    ]
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


def _contracts(needs: list[Sighting], boards: tuple[BoardProposal, ...]) -> Iterator[ContractProposal]:
    taken: set[str] = set()
    for item in needs:
        wanted = signals_of(item)
        best = (0, "", "")
        for board in boards:
            devices: dict[str, set[str]] = {}
            for sighting in board.tables.get("pins", ()):
                for pin in sighting.records.values():
                    devices.setdefault(pin.device, set()).add(pin.signal.word)
            for device in sorted(devices):
                known = len(wanted & devices[device])
                if known > best[0]:
                    best = (known, board.name, device)
        if best[0] >= max(1, len(wanted) // 2):
            key = _contract_key(item, taken)
            taken.add(key)
            yield ContractProposal(key, item, best[1], best[2], best[0], len(wanted))


def _contract_key(item: Sighting, taken: set[str]) -> str:
    """A key that no other contract has: the file's name, with its folder or a number where it is not enough."""
    said = PurePosixPath(item.path).stem
    short = _key(_strip(said) or said)
    full = _key(f"{_folder(item)}-{short}")
    names = (short, full, *(f"{full}-{number}" for number in range(2, len(taken) + 3)))
    return next(name for name in names if name not in taken)


# text


def manifest_text(proposal: Proposal) -> str:
    """The manifest, with a comment for what was inferred."""
    lines = ["[design]", "format = 1", f"name = {_quoted(proposal.name)}"]
    for board in proposal.boards:
        lines += ["", f"[boards.{board.name}]", 'revision = ""  # as printed on the board']
        lines += [f"{kind} = {_named(board, kind)}" for kind in _TABLES if kind in board.tables]
    for joint in proposal.joints:
        lines += ["", f"# {joint.paired} of {joint.of} contacts meet their own signal", "[[joints]]"]
        lines += [f"a = {_quoted(joint.a)}", f"b = {_quoted(joint.b)}", f"contacts = {_quoted(joint.order)}"]
    for contract in proposal.contracts:
        lines += ["", f"# {contract.known} of {contract.of} signals are on {contract.device} of {contract.board}"]
        lines += [f"[firmware.{contract.key}]", 'version = ""', f"board = {_quoted(contract.board)}"]
        lines += [f"device = {_quoted(contract.device)}", f"needs = {_quoted(contract.sighting.path)}"]
    return "\n".join(lines) + "\n"


def _named(board: BoardProposal, kind: str) -> str:
    if kind in board.patterns:
        return _quoted(board.patterns[kind])
    item = board.tables[kind][0]
    if item.connector:
        return f"{{ file = {_quoted(item.path)}, connector = {_quoted(item.connector)} }}"
    return _quoted(item.path)


def _quoted(text: str) -> str:
    """A TOML basic string; JSON writes the same one for every text without control characters beyond its own."""
    return json.dumps(text, ensure_ascii=False)


def told(survey: Survey, proposal: Proposal) -> Iterator[str]:
    """What was found and why, a line each."""
    boards: Mapping[str, str] = {
        item.path: board.name for board in proposal.boards for items in board.tables.values() for item in items
    }
    for item in survey.found:
        place = f"{boards[item.path]}: {item.kind}" if item.path in boards else item.kind
        text = f"{item.path}: {place}; {item.why}"
        yield text + (f"; {counted(item.faults, 'fault')} in it, which compare will tell" if item.faults else "")
    for joint in proposal.joints:
        met = f"{joint.paired} of {joint.of} meet their own signal"
        yield f"joint {joint.a} with {joint.b}, contacts {joint.order}: {met}"
    for contract in proposal.contracts:
        known = f"{contract.known} of {contract.of} signals found"
        yield f"firmware {contract.key} on {contract.board} {contract.device}: {known}"
    for path, why in proposal.unused:
        yield f"{path}: not used; {why}"
    for path, why in survey.passed_over:
        yield f"{path}: passed over; {why}"
