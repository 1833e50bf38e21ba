"""Every firmware release of every revision against every revision of its board."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from itertools import combinations
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from revdiff.compare.comparison import Comparison, compare_designs
from revdiff.design import Design, Diagnostic
from revdiff.judge.arrangement import Arrangement, Program, member
from revdiff.judge.change import judge_firmware
from revdiff.judge.digest import firmware_digest
from revdiff.judge.engine import State, Verdict, judge, told_together
from revdiff.judge.engine import answer as answer_of
from revdiff.judge.finding import Finding, NotChecked
from revdiff.judge.matrix import listed
from revdiff.judge.programs import own_programs
from revdiff.judge.waivers import Waived, WaiverUse, together
from revdiff.quantities.designator import natural_key

Accept = Callable[[str, str, Sequence[Finding]], Waived]
Answer = Literal["as released", "fits", "fits with care", "does not fit", "cannot tell"]


class FirmwareCell(Struct, frozen=True):
    """One release on one revision of its board. ``stands_in``: by its own pin map, with no contract.

    ``not_checked``: that without which nobody can tell.
    """

    answer: Answer
    findings: tuple[Finding, ...] = ()
    stands_in: bool = False
    not_checked: tuple[NotChecked, ...] = ()


class FirmwareGrid(Struct, frozen=True):
    """One board and controller: releases by title, revisions, and the cell of each pair that could be judged."""

    board: str
    device: str
    releases: tuple[str, ...]
    revisions: tuple[str, ...]
    cells: Mapping[tuple[str, str], FirmwareCell]


class FirmwareMatrix(Struct, frozen=True):
    """All grids. ``left_out``: (revision, why).

    ``faults``: of all revisions, and by whose manifest those without one were read. ``newest``: the revision whose
    faults can still be mended. ``subject``: the one revision that was held against the shipped ones, ``held``; empty:
    all revisions are judged.
    """

    title: str
    grids: tuple[FirmwareGrid, ...]
    left_out: tuple[tuple[str, str], ...] = ()
    faults: tuple[Diagnostic, ...] = ()
    newest: str = ""
    subject: str = ""
    held: tuple[str, ...] = ()
    waivers: tuple[WaiverUse, ...] = ()


def firmware_matrix(
    designs: Sequence[tuple[str, Design]], *, subject: str = "", accept: Accept | None = None
) -> FirmwareMatrix:
    """Judges every pair of revisions, oldest first, by what firmware relies on; with a subject, its pairs alone.

    Board by board; revisions in which a board and its firmware are alike are judged once.

    ``accept``: marks the findings of (the names of) an old and a new revision that a waiver covers.
    """
    uses: list[WaiverUse] = []
    gathered = _Gathered()
    for name, design in designs:
        for contract in design.contracts.values():
            gathered.put((contract.board, contract.device), contract.title, [name], FirmwareCell("as released"))
    compared, by_name = _Compared(), dict(designs)
    for board in dict.fromkeys(name for _, design in designs for name in design.boards):
        groups = _alike(designs, board)
        for group in groups:
            gathered.released(group, board, by_name)
        for old, new in combinations(groups, 2):
            if subject and subject not in (*old.revisions, *new.revisions):
                continue
            comparison = compared.of(old.design, new.design)
            for program, role, verdict in judge_firmware(comparison, board, old.name, new.name):
                contract = program.contract
                cell = _cell(program, verdict)
                if accept is not None:
                    waived = accept(old.revisions[-1], new.revisions[-1], cell.findings)
                    cell, uses = replace(cell, findings=waived.findings), [*uses, *waived.uses]
                where = old if role == "old" else new
                gathered.put((contract.board, contract.device), contract.title, where.revisions, cell)
    newest = designs[-1][1] if designs else None
    title = "" if newest is None else newest.title or newest.name
    return FirmwareMatrix(title, gathered.grids([name for name, _ in designs]), waivers=together(uses))


class _Alike(Struct, frozen=True):
    """Revisions in which a board and its firmware are alike; the newest stands for all."""

    revisions: tuple[str, ...]
    design: Design

    @property
    def name(self) -> str:
        return listed(self.revisions)


def _alike(designs: Sequence[tuple[str, Design]], board: str) -> list[_Alike]:
    groups: dict[Hashable, list[tuple[str, Design]]] = {}
    for name, design in designs:
        if board in design.boards:
            groups.setdefault(firmware_digest(design, board), []).append((name, design))
    return [_Alike(tuple(name for name, _ in group), group[-1][1]) for group in groups.values()]


class _Compared:
    """What became of pins and signals from one design to another; parts have no say in that."""

    def __init__(self) -> None:
        self._known: dict[tuple[int, int], Comparison] = {}

    def of(self, old: Design, new: Design) -> Comparison:
        key = (id(old), id(new))
        if key not in self._known:
            self._known[key] = replace(compare_designs(_without_parts(old), _without_parts(new)), old=old, new=new)
        return self._known[key]


def _without_parts(design: Design) -> Design:
    return dataclasses.replace(
        design, boards={name: dataclasses.replace(board, parts={}) for name, board in design.boards.items()}
    )


def _cell(program: Program, verdict: Verdict, states: Sequence[State] = ("new", "worse")) -> FirmwareCell:
    """What of a verdict is about one release."""
    about = [
        item
        for item in verdict.judged
        if item.state in states and any(one.contract is program.contract for one in item.item.programs)
    ]
    open_ = list(told_together(item for item in verdict.unmade if item.essential and item.audience == "firmware"))
    if not program.contract.needs:
        open_.append(NotChecked("what it relies on", "neither a contract nor a pin map lists it", "its needs"))
    found = answer_of({item.danger for item in about}, verdict.made, essential=bool(open_))
    said: Answer = "cannot tell" if found == "not judged" else found
    return FirmwareCell(said, tuple(item.finding() for item in about), program.stands_in, tuple(open_))


_RANK: Mapping[str, int] = {"does not fit": 0, "as released": 1, "cannot tell": 2, "fits with care": 3, "fits": 4}


class _Gathered:
    """One cell for each release and revision; of several judgements of one pair the worst counts."""

    def __init__(self) -> None:
        self._cells: dict[tuple[str, str], dict[tuple[str, str], FirmwareCell]] = {}

    def put(self, owner: tuple[str, str], release: str, revisions: Iterable[str], cell: FirmwareCell) -> None:
        cells = self._cells.setdefault(owner, {})
        for revision in revisions:
            known = cells.get((release, revision))
            if known is None or _RANK[cell.answer] < _RANK[known.answer]:
                cells[release, revision] = cell

    def released(self, group: _Alike, board: str, designs: Mapping[str, Design]) -> None:
        """The releases on the revisions that they were built for, where their own tables contradict that.

        And what no contract of the board lists: the firmware that its pin map stands in for.
        """
        own = member(group.design, board, group.name)
        programs = {item.contract.key: item for item in own_programs(own)}
        verdict = judge(Arrangement.of([own], programs.values()))
        for key, program in programs.items():
            cell = _cell(program, verdict, ("",))
            if cell.answer != "does not fit":
                cell = FirmwareCell("as released", (), program.stands_in)
            listed_here = group.design.contracts.get(key)
            if listed_here is not None and cell.answer == "as released":
                continue  # said of every revision that lists it
            for revision in group.revisions:
                there = designs[revision].contracts.get(key)
                title = there.title if there is not None else program.contract.title
                self.put((board, program.contract.device), title, [revision], cell)

    def grids(self, revisions: Sequence[str]) -> tuple[FirmwareGrid, ...]:
        found = []
        for (board, device), cells in sorted(self._cells.items(), key=lambda item: natural_key(".".join(item[0]))):
            releases = tuple(sorted({release for release, _ in cells}, key=natural_key))
            shown = tuple(name for name in revisions if any(revision == name for _, revision in cells))
            found.append(FirmwareGrid(board, device, releases, shown, cells))
        return tuple(found)
