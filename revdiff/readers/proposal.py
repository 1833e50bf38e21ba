"""A survey to a manifest: boards by folder and file name, joints by signals that pair up, contracts by their needs."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import PurePosixPath

from revdiff.design import Contact
from revdiff.quantities.designator import natural_key
from revdiff.readers.survey import Sighting, Survey, signals_of

_TABLES = ("parts", "pins", "connectors", "contacts")
_WORDS = re.compile(
    r"(?i)(?:^|[-_. ])(bom|parts?|parts?[-_ ]?list|pins?|pin[-_ ]?map|pinout|connectors?|contacts?|components?|"
    r"stückliste|needs?|gpio|list|table)(?=$|[-_. ])"
)
# Share of the contacts of the smaller connector that have to carry the signal of their mate.
_PAIRED = 0.75
_LEAST = 4


@dataclass(slots=True)
class BoardProposal:
    """One board: its tables by kind, each as a path or a pattern of paths."""

    name: str
    tables: dict[str, list[Sighting]] = field(default_factory=dict)


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
        have = board.tables.setdefault(item.kind, [])
        if have and (item.kind not in ("contacts", "pins") or _folder(have[0]) != _folder(item)):
            unused.append((item.path, f"{key} already has a {item.kind} table, {have[0].path}"))
        else:
            have.append(item)
    found = tuple(boards[key] for key in sorted(boards))
    return Proposal(_key(name), found, tuple(_joints(found)), tuple(_contracts(needs, found)), tuple(unused))


def _folder(item: Sighting) -> str:
    """The innermost folder whose name is no word for a kind of table."""
    for part in reversed(PurePosixPath(item.path).parent.parts):
        if _strip(part):
            return part
    return ""


def _stem(item: Sighting) -> str:
    """What the file's name says besides the kind of table: ``base`` of ``base_bom.csv``."""
    return _strip(PurePosixPath(item.path).stem) if not PurePosixPath(item.path).parent.parts else ""


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
            key = _key(_strip(PurePosixPath(item.path).stem) or PurePosixPath(item.path).stem)
            yield ContractProposal(key, item, best[1], best[2], best[0], len(wanted))


# text


def manifest_text(proposal: Proposal) -> str:
    """The manifest, with a comment for what was inferred."""
    lines = ["[design]", "format = 1", f"name = {_quoted(proposal.name)}"]
    for board in proposal.boards:
        lines += ["", f"[boards.{board.name}]", 'revision = ""  # as printed on the board']
        lines += [f"{kind} = {_paths(board.tables[kind])}" for kind in _TABLES if kind in board.tables]
    for joint in proposal.joints:
        lines += ["", f"# {joint.paired} of {joint.of} contacts meet their own signal", "[[joints]]"]
        lines += [f"a = {_quoted(joint.a)}", f"b = {_quoted(joint.b)}", f"contacts = {_quoted(joint.order)}"]
    for contract in proposal.contracts:
        lines += ["", f"# {contract.known} of {contract.of} signals are on {contract.device} of {contract.board}"]
        lines += [f"[firmware.{contract.key}]", 'version = ""', f"board = {_quoted(contract.board)}"]
        lines += [f"device = {_quoted(contract.device)}", f"needs = {_quoted(contract.sighting.path)}"]
    return "\n".join(lines) + "\n"


def _paths(sightings: list[Sighting]) -> str:
    if len(sightings) == 1:
        return _quoted(sightings[0].path)
    path = PurePosixPath(sightings[0].path)
    return _quoted(str(path.parent / f"*{path.suffix}"))


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
        yield text + (f"; {item.faults} faults in it, which compare will tell" if item.faults else "")
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
