"""A proposal as the text of a manifest, with what was inferred and what is still asked for as comments."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping

from revdiff.readers.faults import counted
from revdiff.readers.proposal import TABLES, BoardProposal, ContractProposal, JointProposal, Proposal
from revdiff.readers.survey import Survey


def manifest_text(proposal: Proposal) -> str:
    """The manifest, with a comment for what was inferred."""
    lines = ["[design]", "format = 1", f"name = {quoted(proposal.name)}"]
    for board in proposal.boards:
        lines += ["", *board_lines(board)]
    for joint in proposal.joints:
        lines += ["", *joint_lines(joint)]
    if not proposal.joints and len(proposal.boards) > 1:
        lines += ["", *_asked_joint(proposal)]
    for contract in proposal.contracts:
        lines += ["", *contract_lines(contract)]
    mapped = [board for board in proposal.boards if "pins" in board.tables]
    if mapped and not proposal.contracts:
        lines += ["", *_asked_contract(mapped[0])]
    return "\n".join(lines) + "\n"


def board_lines(board: BoardProposal) -> Iterator[str]:
    """The section of a board."""
    yield f"[boards.{board.name}]"
    yield f"revision = {quoted(board.revision.found)}  # {_comment(board.revision.why)}"
    yield from (line for kind in TABLES if kind in board.tables for line in table_lines(board, kind))
    yield from _asked_of(board)


def table_lines(board: BoardProposal, kind: str) -> Iterator[str]:
    """The line of a table, and what of it was guessed."""
    item = board.tables[kind][0]
    keys: dict[str, str] = {"file": quoted(board.patterns.get(kind, item.path))}
    notes = []
    if kind not in board.patterns:
        if item.connector:
            keys["connector"] = quoted(item.connector)
        if item.guessed:
            columns = ", ".join(f"{name} = {quoted(at) if isinstance(at, str) else at}" for name, at in item.guessed)
            keys |= ({} if item.texts else {"header": "false"}) | {"columns": f"{{ {columns} }}"}
            notes.append("columns taken by what their cells hold")
    if kind == "pins" and board.device is not None:
        if board.device.found:
            keys["device"] = quoted(board.device.found)
            notes.append(board.device.why)
        else:
            yield f"# {_comment(board.device.why)} Say it: pins = {{ file = ..., device = ... }}"
    value = keys["file"] if len(keys) == 1 else f"{{ {', '.join(f'{key} = {text}' for key, text in keys.items())} }}"
    yield f"{kind} = {value}" + (f"  # {_comment('; '.join(notes))}" if notes else "")


def joint_lines(joint: JointProposal) -> Iterator[str]:
    """The section of a joint."""
    yield f"# {joint.paired} of {joint.of} contacts meet their own signal"
    yield "[[joints]]"
    yield f"a = {quoted(joint.a)}"
    yield f"b = {quoted(joint.b)}"
    yield f"contacts = {quoted(joint.order)}"


def contract_lines(contract: ContractProposal) -> Iterator[str]:
    """The section of a firmware contract."""
    yield f"# {contract.known} of {contract.of} signals are on {contract.device} of {contract.board}"
    path, out = quoted(contract.sighting.path), ""
    kind = "needs" if not contract.sighting.named else "devicetree"
    if contract.contradicted:
        # A contract replaces what firmware is expected to do by the pin map: one of other pins would hide that.
        yield "# but none of them on the pin that the pin map has; if these are its pins by other names, take it in:"
        out = "# "
    yield f"{out}[firmware.{contract.key}]"
    yield f'{out}version = ""'
    yield f"{out}board = {quoted(contract.board)}"
    yield f"{out}device = {quoted(contract.device)}"
    yield (
        f"{out}header = {{ file = {path}, pin = {quoted(contract.pattern)} }}"
        if contract.pattern
        else f"{out}{kind} = {path}"
    )


def _asked_of(board: BoardProposal) -> Iterator[str]:
    """What ready and compare will ask for, as lines to be filled in."""
    asked = {
        "parts": "the parts list",
        "pins": "what each pin of the controller does",
        "contacts": "what each contact of a connector carries",
        "connectors": "gender, pitch and height of the connectors",
    }
    for kind, what in asked.items():
        if kind not in board.tables:
            yield f'# {kind} = "..."  # {what}; without it nothing of that is judged'
    if "netlist" not in board.tables:
        yield '# netlist = "..."  # IPC-D-356A or IPC-2581; ready holds the tables against it'


def _asked_joint(proposal: Proposal) -> Iterator[str]:
    one, two, *_ = (board.name for board in proposal.boards)
    yield "# Which connectors mate when boards are stacked; without it nothing of stacking is judged"
    yield "# [[joints]]"
    yield f'# a = "{one}.J1"'
    yield f'# b = "{two}.J1"'


def _asked_contract(board: BoardProposal) -> Iterator[str]:
    yield "# What a firmware release relies on; revdiff contract writes a list of needs from the pin map or a header"
    yield "# [firmware.NAME]"
    yield '# version = "..."'
    yield f"# board = {quoted(board.name)}"
    yield '# needs = "..."  # or header = "pins.h", devicetree = "board.dts"'


def quoted(text: str) -> str:
    """A TOML basic string; JSON writes the same one for every text without control characters beyond its own."""
    return json.dumps(text, ensure_ascii=False)


def _comment(text: str) -> str:
    """Text that ends no comment."""
    return " ".join(json.dumps(text, ensure_ascii=False)[1:-1].split()).replace('\\"', '"')


def told(survey: Survey, proposal: Proposal) -> Iterator[str]:
    """What was found and why, a line each."""
    boards: Mapping[str, str] = {
        item.path: board.name for board in proposal.boards for items in board.tables.values() for item in items
    }
    for item in survey.found:
        place = f"{boards[item.path]}: {item.kind}" if item.path in boards else item.kind
        text = f"{item.path}: {place}; {item.why}"
        yield text + (f"; {counted(item.faults, 'fault')} in it, which compare will tell" if item.faults else "")
    for board in proposal.boards:
        if board.device is not None:
            yield f"{board.name}: pins of {board.device.found or '?'}: {board.device.why}"
    for joint in proposal.joints:
        met = f"{joint.paired} of {joint.of} meet their own signal"
        yield f"joint {joint.a} with {joint.b}, contacts {joint.order}: {met}"
    for contract in proposal.contracts:
        known = f"{contract.known} of {contract.of} signals found"
        known += ", none on its pin: written as a comment" if contract.contradicted else ""
        yield f"firmware {contract.key} on {contract.board} {contract.device}: {known}"
    for path, why in proposal.unused:
        yield f"{path}: not used; {why}"
    for path, why in survey.passed_over:
        yield f"{path}: passed over; {why}"
