"""A manifest that is there, with what a new look at the folder adds to it. Nothing that stands in it is changed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from msgspec import Struct

from revdiff.design import Origin
from revdiff.errors import DataFault
from revdiff.readers.entries import BoardEntry, Manifest
from revdiff.readers.faults import Faults
from revdiff.readers.manifest import read_manifest
from revdiff.readers.manifest_shape import parse_toml
from revdiff.readers.proposal import TABLES, BoardProposal, Proposal
from revdiff.readers.proposal_text import board_lines, contract_lines, joint_lines, quoted, table_lines
from revdiff.readers.spec import files_named
from revdiff.readers.tables import is_there, matches
from revdiff.sources import Revision


class Update(Struct, frozen=True):
    """The whole new text, what was added to it, a line each, and what a person has to look at."""

    text: str
    added: tuple[str, ...]
    asked: tuple[str, ...]


def updated(data: bytes, proposal: Proposal, revision: Revision) -> Update:
    """``data``: the manifest as it is. Raises FaultyDesign, or DataFault where nothing can be added.

    A board is known by its name, or by a table that both name; a table by its file; a joint by its ends.
    """
    return _Updating(data, proposal, revision).update()


class _Updating:
    def __init__(self, data: bytes, proposal: Proposal, revision: Revision) -> None:
        self._manifest = read_manifest(data, Faults())
        self._parsed = parse_toml(data)
        text = data.decode("utf-8-sig")
        self._end_of_line = "\r\n" if "\r\n" in text else "\n"
        self._lines = text.splitlines()
        self._proposal = proposal
        self._revision = revision
        self._files = tuple(_files(self._manifest))
        self._added: list[str] = []
        self._behind: dict[int, list[str]] = {}
        self._end: list[str] = []

    def update(self) -> Update:
        names = {board.name: self._known(board) for board in self._proposal.boards}
        for board in self._proposal.boards:
            self._board(board, names[board.name])
        boards = {name: known or name for name, known in names.items()}
        self._joints(boards)
        self._contracts(boards)
        lines: list[str] = []
        for number, line in enumerate(self._lines, 1):
            lines += [line, *self._behind.get(number, ())]
        text = "".join(f"{line}{self._end_of_line}" for line in (*lines, *self._end))
        self._check(text)
        return Update(text, tuple(self._added), tuple(self._asked()))

    def _known(self, board: BoardProposal) -> str:
        """The board of the manifest that a proposed one is; empty for a new one."""
        if board.name in self._manifest.boards:
            return board.name
        paths = {item.path for items in board.tables.values() for item in items}
        for name, entry in self._manifest.boards.items():
            if any(any(matches(path, file) for path in paths) for file in _files_of(entry)):
                return name
        return (
            next(iter(self._manifest.boards)) if len(self._manifest.boards) == len(self._proposal.boards) == 1 else ""
        )

    def _board(self, board: BoardProposal, known: str) -> None:
        kinds = [kind for kind in TABLES if kind in board.tables and not self._named(board.tables[kind][0].path)]
        if not known:
            if kinds:
                self._end += ["", *board_lines(board)]
                self._added.append(f"board {board.name}")
            return
        entry = self._manifest.boards[known]
        for kind in kinds:
            there = kind in entry.tables or (kind == "netlist" and "netlist" in entry.extra)
            if not there:
                self._insert(entry.origin, list(table_lines(board, kind)))
                self._added.append(f"{kind} of {known}: {board.tables[kind][0].path}")

    def _joints(self, boards: Mapping[str, str]) -> None:
        if self._manifest.joints_table is not None or isinstance(self._parsed.get("joints", []), dict):
            return
        taken = {
            end
            for joint in self._manifest.joints
            for end in (f"{joint.board_a}.{joint.connector_a}", f"{joint.board_b}.{joint.connector_b}")
        }
        for joint in self._proposal.joints:
            ends = [f"{boards[board]}.{name}" for board, _, name in (end.rpartition(".") for end in (joint.a, joint.b))]
            if not taken & set(ends):
                lines = [line for line in joint_lines(joint) if not line.startswith(("a =", "b ="))]
                named = [f"a = {quoted(ends[0])}", f"b = {quoted(ends[1])}"]
                self._end += ["", *lines[:2], *named, *lines[2:]]
                self._added.append(f"joint {ends[0]} with {ends[1]}")

    def _contracts(self, boards: Mapping[str, str]) -> None:
        for contract in self._proposal.contracts:
            if contract.contradicted or self._named(contract.sighting.path) or contract.key in self._manifest.firmware:
                continue
            lines = list(contract_lines(contract))
            board = boards[contract.board]
            self._end += ["", *(f"board = {quoted(board)}" if line.startswith("board =") else line for line in lines)]
            self._added.append(f"firmware {contract.key}: {contract.sighting.path}")

    def _insert(self, section: Origin, lines: list[str]) -> None:
        """Below the line of a section, where a key is of that section whatever stands further down."""
        if section.line > len(self._lines) or not self._lines[section.line - 1].lstrip().startswith("[boards."):
            raise DataFault(
                f"{section}: the board has no line [boards.NAME] of its own, so that nothing can be added to it"
            )
        self._behind.setdefault(section.line, []).extend(lines)

    def _named(self, path: str) -> bool:
        return any(matches(path, file) for file in self._files)

    def _asked(self) -> Iterator[str]:
        for name, entry in self._manifest.boards.items():
            for kind, spec in entry.tables.items():
                if any(is_there(self._revision, item.file) for item in spec.choices):
                    continue
                found = next((board for board in self._proposal.boards if self._known(board) == name), None)
                item = found.tables.get(kind, [None])[0] if found is not None else None
                likely = f'; {kind} = ["{spec.file}", "{item.path}"] would read {item.path}' if item is not None else ""
                yield f"{name}: {kind} names {spec.file}, which isn't there{likely}"

    def _check(self, text: str) -> None:
        """Whatever the manifest said it says still; what was added it can be read with."""
        data = text.encode()
        read_manifest(data, Faults())
        if not _holds(parse_toml(data), self._parsed):
            raise DataFault("nothing was added, since the manifest would have said something else then")


def _holds(new: Any, old: Any) -> bool:
    """Whether all values of ``old`` stand in ``new``; lists may have become longer."""
    if isinstance(old, dict):
        return isinstance(new, dict) and all(key in new and _holds(new[key], value) for key, value in old.items())
    if isinstance(old, list) and old and all(isinstance(item, dict) for item in old):
        return isinstance(new, list) and new[: len(old)] == old
    return bool(new == old)


def _files(manifest: Manifest) -> Iterator[str]:
    for entry in manifest.boards.values():
        yield from _files_of(entry)
    for firmware in manifest.firmware.values():
        yield from (item.file for item in firmware.needs.choices) if firmware.needs is not None else ()
        for key in ("header", "devicetree"):
            yield from files_named(firmware.extra.get(key, []))
    if manifest.joints_table is not None:
        yield from (item.file for item in manifest.joints_table.choices)


def _files_of(entry: BoardEntry) -> Iterator[str]:
    yield from (item.file for spec in entry.tables.values() for item in spec.choices)
    yield from files_named(entry.extra.get("netlist", []))
