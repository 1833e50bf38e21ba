"""Every firmware release of every revision against every revision of its board."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from revdiff.compare.comparison import compare_designs
from revdiff.design import Design, Diagnostic
from revdiff.quantities.designator import natural_key
from revdiff.rules.employments import Employment
from revdiff.rules.finding import SEVERITIES, Finding
from revdiff.rules.firmware_exposure import by_exposure
from revdiff.rules.situation import Situation
from revdiff.rules.waivers import Waived, WaiverUse, together

Accept = Callable[[str, str, Sequence[Finding]], Waived]
Answer = Literal["as released", "fits", "fits with care", "does not fit", "cannot tell"]


@dataclass(frozen=True, slots=True)
class FirmwareCell:
    """One release on one revision of its board. ``stands_in``: by its own pin map, with no contract."""

    answer: Answer
    findings: tuple[Finding, ...] = ()
    stands_in: bool = False


@dataclass(frozen=True, slots=True)
class FirmwareGrid:
    """One board and controller: releases by title, revisions, and the cell of each pair that could be judged."""

    board: str
    device: str
    releases: tuple[str, ...]
    revisions: tuple[str, ...]
    cells: Mapping[tuple[str, str], FirmwareCell]


@dataclass(frozen=True, slots=True)
class FirmwareMatrix:
    """All grids. ``left_out``: (revision, why).

    ``subject``: the one revision that was held against the shipped ones, ``held``; empty: all revisions are judged.
    """

    title: str
    grids: tuple[FirmwareGrid, ...]
    left_out: tuple[tuple[str, str], ...] = ()
    faults: tuple[Diagnostic, ...] = ()
    subject: str = ""
    held: tuple[str, ...] = ()
    waivers: tuple[WaiverUse, ...] = ()


def firmware_matrix(
    designs: Sequence[tuple[str, Design]], *, subject: str = "", accept: Accept | None = None
) -> FirmwareMatrix:
    """Judges every pair of revisions, oldest first, by the rules of firmware alone; with a subject, its pairs alone.

    ``accept``: marks the findings of (the names of) an old and a new revision that a waiver covers.
    """
    uses: list[WaiverUse] = []
    gathered = _Gathered()
    for name, design in designs:
        for contract in design.contracts.values():
            gathered.put((contract.board, contract.device), contract.title, name, FirmwareCell("as released"))
    for (old_name, old), (new_name, new) in combinations(designs, 2):
        if subject and subject not in (old_name, new_name):
            continue
        situation = Situation(compare_designs(old, new), old_name, new_name)
        judged = _findings(situation)
        if accept is not None:
            waived = accept(old_name, new_name, judged)
            judged, uses = list(waived.findings), [*uses, *waived.uses]
        found: dict[str, list[Finding]] = {}
        for finding in judged:
            found.setdefault(finding.pairing, []).append(finding)
        for item in situation.employments:
            revision = item.label.rpartition("@")[2]
            owner = (item.board.name, item.contract.device)
            gathered.put(owner, item.contract.title, revision, _cell(item, found.get(item.pairing, [])))
            if not item.contract.version and item.stands_in:
                own = item.contract.title.rpartition("@")[2]  # firmware for base.U1@rev-b
                gathered.put(owner, item.contract.title, own, FirmwareCell("as released", (), stands_in=True))
    newest = designs[-1][1] if designs else None
    title = "" if newest is None else newest.title or newest.name
    grids = gathered.grids([name for name, _ in designs])
    return FirmwareMatrix(title, grids, waivers=together(uses))


def _findings(situation: Situation) -> list[Finding]:
    from revdiff.rules.firmware_rules import RULES

    return list(by_exposure([finding for rule in RULES for finding in rule.check(rule, situation)], situation))


def _cell(item: Employment, findings: Sequence[Finding]) -> FirmwareCell:
    if not item.board.pins or not item.contract.needs:
        return FirmwareCell("cannot tell", tuple(findings), item.stands_in)
    worst = min((SEVERITIES.index(finding.severity) for finding in findings), default=2)
    answers: tuple[Answer, Answer, Answer] = ("does not fit", "fits with care", "fits")
    return FirmwareCell(answers[worst], tuple(findings), item.stands_in)


_RANK: Mapping[str, int] = {"does not fit": 0, "as released": 1, "cannot tell": 2, "fits with care": 3, "fits": 4}


class _Gathered:
    """One cell for each release and revision; of several judgements of one pair the worst counts."""

    def __init__(self) -> None:
        self._cells: dict[tuple[str, str], dict[tuple[str, str], FirmwareCell]] = {}

    def put(self, owner: tuple[str, str], release: str, revision: str, cell: FirmwareCell) -> None:
        cells = self._cells.setdefault(owner, {})
        known = cells.get((release, revision))
        if known is None or _RANK[cell.answer] < _RANK[known.answer]:
            cells[release, revision] = cell

    def grids(self, revisions: Sequence[str]) -> tuple[FirmwareGrid, ...]:
        found = []
        for (board, device), cells in sorted(self._cells.items(), key=lambda item: natural_key(".".join(item[0]))):
            releases = tuple(sorted({release for release, _ in cells}, key=natural_key))
            shown = tuple(name for name in revisions if any(revision == name for _, revision in cells))
            found.append(FirmwareGrid(board, device, releases, shown, cells))
        return tuple(found)
