"""What the base's manifest says of things that are still there, and the change's no longer does.

A rule asks about what is stated: with the line goes the check, and the break that it would show. Whoever compares can
tell that it is gone; whoever looks at the new revision alone can't.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final, TypeAlias, cast

from msgspec import Struct

from revdiff.design import Board, Contact, Contract, Design, Origin, Pin
from revdiff.design.derived import parts_of
from revdiff.judge.finding import Audience
from revdiff.judge.listed import holding
from revdiff.judge.names import words_of
from revdiff.judge.side import stated_pull
from revdiff.judge.wired import wired_pulls
from revdiff.quantities.text import fold
from revdiff.readers.entries import BOARD_TABLES
from revdiff.readers.faults import counted

Path: TypeAlias = tuple[str, ...]
_OF_SIGNALS: Final = ("feeds", "loads", "blocking", "pulls", "switches")


class Unsaid(Struct, frozen=True):
    """Something that is no longer stated: where it stood (``boards.base.pulls.HEAT_EN``), and who relied on it.

    ``was`` and ``now``: for people; ``code``: of the change of settings that it is.
    """

    name: str
    was: str
    audience: Audience
    now: str = "nothing"
    code: str = "statement-lost"
    before: Origin | None = None
    after: Origin | None = None


READERS: Final[Mapping[str, Audience]] = {name: cast("Audience", kind.seen_by) for name, kind in BOARD_TABLES.items()}


def unsaid(base: Design, change: Design) -> Iterator[Unsaid]:
    """What only the base states, of what both revisions have: tables, sections that rules look at, needs."""
    for name, board in base.boards.items():
        if name in change.boards:
            for table in sorted(board.tables - change.boards[name].tables):
                yield Unsaid(f"boards.{name}.{table}", "a table", READERS.get(table, "stacking"))
            yield from _of_board(board, change.boards[name])
    yield from _of_design(base, change)
    there = {(item.board, item.device) for item in change.contracts.values()}
    for key, contract in base.contracts.items():
        held = change.boards.get(contract.board)
        if key in change.contracts:
            yield from _of_contract(contract, change.contracts[key], words_of(held) if held else frozenset())
        elif held and contract.needs and (contract.board, contract.device) not in there:  # else another took its place
            yield Unsaid(f"firmware.{key}", counted(len(contract.needs), "need"), "firmware", code="contract-dropped")


def _of_board(base: Board, change: Board) -> Iterator[Unsaid]:
    ours, theirs = base.sections.texts, change.sections.texts
    there = words_of(change)
    for section in _OF_SIGNALS:
        stated = _table(theirs.get(section))
        kept = {fold(key) for key in stated}
        for key, value in _table(ours.get(section)).items():
            if fold(key) in there - kept and not _elsewhere(section, base, change, fold(key)):
                yield Unsaid(f"boards.{base.name}.{section}.{key}", str(value), "stacking")
    held = {item.record.signal.word for item in holding(change)}
    records: tuple[Contact | Pin, ...] = (*change.contacts, *change.pins.values())
    stated_there = {one.signal.word for one in records if stated_pull(one)}
    for item in holding(base):
        signal = item.record.signal
        if signal.word in stated_there - held and item.part is not None and item.ref not in change.parts:
            name = f"{item.ref} of {base.name}, which holds {signal.raw}"
            yield Unsaid(name, f"{item.part.data.value.raw} {item.way}", "stacking", "in no parts list")
    for path, value in _lost(_table(ours.get("buses")), _table(theirs.get("buses"))):
        yield Unsaid(f"boards.{base.name}.buses.{'.'.join(path)}", value, "stacking")


def _elsewhere(section: str, base: Board, change: Board, word: str) -> bool:
    """Whether a column of the change, with its resistance, or a netlist says what the base's manifest says."""
    if section not in ("pulls", "switches"):
        return False
    if section == "pulls" and word in wired_pulls(change):
        return True
    contacts = change.contacts
    records: tuple[Any, ...] = (*contacts, *change.pins.values())
    carrying = [item for item in records if item.signal.word == word]
    if section == "switches":
        return any(item.switches for item in carrying)
    ways = {given[0] for item in carrying if (given := stated_pull(item)) is not None and given[1] is not None}
    return {item.way for item in base.sections.pulls.get(word, ())} <= ways


def _of_design(base: Design, change: Design) -> Iterator[Unsaid]:
    ours, theirs = base.sections.texts, change.sections.texts
    there = frozenset[str]().union(*map(words_of, change.boards.values()))

    def has_signals(path: Path) -> bool:
        bus = next((item for item in base.sections.buses if item.name == path[0]), None)
        return bus is None or bool(there.intersection(bus.signals))

    def has_device(path: Path) -> bool:
        board = change.boards.get(path[0])
        return board is not None and any(pin.device == path[1].upper() for pin in board.pins.values())

    def has_part(path: Path) -> bool:
        stated = base.sections.software.get(path[0])
        board = change.boards.get(stated.board) if stated is not None else None
        return board is not None and stated is not None and stated.part in board.parts

    def has_parts(path: Path) -> bool:
        stated = base.sections.derived.get(path[0])
        return stated is not None and all(
            board in change.boards and ref in change.boards[board].parts for board, ref in parts_of(stated)
        )

    def has_board(path: Path) -> bool:
        return path[0] in change.boards

    still: dict[str, tuple[Callable[[Path], bool], Audience]] = {
        "buses": (has_signals, "stacking"),
        "controllers": (has_device, "firmware"),
        "software": (has_part, "firmware"),
        "identity": (has_board, "firmware"),
        "derived": (has_parts, "firmware"),
    }
    for section, (is_there, audience) in still.items():
        for path, value in _lost(_table(ours.get(section)), _table(theirs.get(section))):
            if is_there(path):
                yield Unsaid(".".join((section, *path)), value, audience)


def _of_contract(base: Contract, change: Contract, there: frozenset[str]) -> Iterator[Unsaid]:
    """``there``: the signals that the board still has. One release needs what it needed."""
    where = f"firmware.{base.key}"
    for name in ("clock", "recognises"):
        if getattr(base, name) and not getattr(change, name):
            yield Unsaid(f"{where}.{name}", getattr(base, name).raw, "firmware")
    if base.needs and not change.needs:
        yield Unsaid(f"{where}.needs", counted(len(base.needs), "need"), "firmware")
    elif base.version and base.version == change.version:
        for key, need in base.needs.items():
            if key not in change.needs and key in there:
                yield Unsaid(f"{where}.needs.{need.signal.raw}", need.pin.raw or "needed", "firmware")
    for name in ("constants", "addresses"):
        ours, theirs = getattr(base, name), getattr(change, name)
        for key, value in ours.items():
            if key not in theirs:
                yield Unsaid(f"{where}.{name}.{key}", value.raw, "firmware")


def _lost(base: Mapping[str, Any], change: Mapping[str, Any], above: Path = ()) -> Iterator[tuple[Path, str]]:
    """Every single value that only the base has, by its path."""
    for key, value in base.items():
        if isinstance(value, dict):
            yield from _lost(value, _table(change.get(key)), (*above, key))
        elif key not in change:
            yield (*above, key), str(value)


def _table(value: object) -> dict[str, Any]:
    return value if isinstance(value, dict) else {}
