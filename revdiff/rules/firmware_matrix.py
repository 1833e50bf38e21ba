"""Every firmware release of every revision against every revision of its board."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path
from typing import Literal

from revdiff.compare.comparison import compare_designs
from revdiff.design import Design, Diagnostic
from revdiff.design.diagnostic import FaultyDesign
from revdiff.errors import DataFault, UsageFault
from revdiff.quantities.designator import natural_key
from revdiff.quantities.revision_label import revision_key
from revdiff.readers.loader import Loader
from revdiff.rules.employments import Employment
from revdiff.rules.finding import SEVERITIES, Finding
from revdiff.rules.firmware_exposure import by_exposure
from revdiff.rules.firmware_faults import with_firmware
from revdiff.rules.situation import Situation
from revdiff.sources import open_revision
from revdiff.sources.open import tags

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
    """All grids. ``left_out``: (revision, why)."""

    title: str
    grids: tuple[FirmwareGrid, ...]
    left_out: tuple[tuple[str, str], ...] = ()
    faults: tuple[Diagnostic, ...] = ()


def firmware_matrix(designs: Sequence[tuple[str, Design]]) -> FirmwareMatrix:
    """Judges every pair of revisions, oldest first, by the rules of firmware alone."""
    gathered = _Gathered()
    for name, design in designs:
        for contract in design.contracts.values():
            gathered.put((contract.board, contract.device), contract.title, name, FirmwareCell("as released"))
    for (old_name, old), (new_name, new) in combinations(designs, 2):
        situation = Situation(compare_designs(old, new), old_name, new_name)
        found = _findings(situation)
        for item in situation.employments:
            revision = item.label.rpartition("@")[2]
            owner = (item.board.name, item.contract.device)
            gathered.put(owner, item.contract.title, revision, _cell(item, found.get(item.pairing, [])))
            if not item.contract.version and item.stands_in:
                own = item.contract.title.rpartition("@")[2]  # firmware for base.U1@rev-b
                gathered.put(owner, item.contract.title, own, FirmwareCell("as released", (), stands_in=True))
    newest = designs[-1][1] if designs else None
    title = "" if newest is None else newest.title or newest.name
    return FirmwareMatrix(title, gathered.grids([name for name, _ in designs]))


def _findings(situation: Situation) -> dict[str, list[Finding]]:
    from revdiff.rules.firmware_rules import RULES

    findings = [finding for rule in RULES for finding in rule.check(rule, situation)]
    by_pairing: dict[str, list[Finding]] = {}
    for item in by_exposure(findings, situation):
        by_pairing.setdefault(item.pairing, []).append(item)
    return by_pairing


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


def firmware_matrix_of_tags(repository: Path, design: str = "", pattern: str = "*") -> FirmwareMatrix:
    """Reads every tag that matches, and judges all pairs. A tag without a readable design is left out and told.

    Raises UsageFault where nothing is left, or there is no repository.
    """
    loader, designs, left_out = Loader(), [], []
    faults: list[Diagnostic] = []
    for tag in sorted(tags(repository, pattern), key=revision_key):
        try:
            source = open_revision(f"tag:{tag}", repository=repository, design=design)
            loaded = with_firmware(loader.load(source), source)
        except FaultyDesign as error:
            left_out.append((tag, error.diagnostics[0].message))
            faults += [item for item in error.diagnostics if item.code != "no-manifest"]
        except (DataFault, UsageFault) as error:  # a tag of a file or a folder is no revision
            left_out.append((tag, str(error)))
        else:
            designs.append((tag, loaded))
            faults += [item for item in loaded.diagnostics if item.severity == "fault"]
    if not designs:
        raise UsageFault(f"no tag that matches {pattern!r} holds a design. 'git tag --list' shows the tags.")
    matrix = firmware_matrix(designs)
    return FirmwareMatrix(matrix.title, matrix.grids, tuple(left_out), tuple(faults))
