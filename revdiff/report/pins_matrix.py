"""Which firmware release runs on which board revision: as a document, and as typed records for programs."""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.judge.finding import Severity
from revdiff.judge.firmware_matrix import FirmwareCell, FirmwareGrid, FirmwareMatrix
from revdiff.release.document import Block, Document, Heading, Items, Pair, Pairs, Row, Sentence, Table, Tone
from revdiff.release.pin_notice import worst_first
from revdiff.report import records
from revdiff.report.data import json_text
from revdiff.report.pins import CAUTION
from revdiff.report.records import SCHEMA_VERSION, Record, Version, copied, copies
from revdiff.report.review_document import listed
from revdiff.report.stack_document import LeftOut
from revdiff.report.stack_text import TONES, remark_lines

_MOST = 6  # places that are named of one cell
_BOUND = "Fits means that within what was compared no break was found."


def said(cell: FirmwareCell | None) -> str:
    """The answer in words; ``not judged`` where there is none."""
    if cell is None:
        return "not judged"
    hazard = " (hazard)" if any(item.hazard and item.severity == "break" for item in cell.findings) else ""
    stands_in = ", by its pin map" if cell.stands_in else ""
    return f"{cell.answer}{hazard}{stands_in}"


def matrix_page(matrix: FirmwareMatrix) -> Document:
    """A table for each controller, and below it each reason once."""
    return tuple(_blocks(matrix))


def _blocks(matrix: FirmwareMatrix) -> Iterator[Block]:
    yield Heading(f"{matrix.title}: firmware on boards", 1)
    yield Sentence(f"{_BOUND} {CAUTION}")
    yield Items(tuple(remark_lines(matrix)), 1)
    for grid in matrix.grids:
        yield from _grid(grid)
    yield from listed("Left out", (f"{name}: {why}" for name, why in matrix.left_out))


def _grid(grid: FirmwareGrid) -> Iterator[Block]:
    reasons: dict[str, dict[str, list[str]]] = {}
    rows = []
    for release in grid.releases:
        cells, tones = [release], list[Tone]([""])
        for revision in grid.revisions:
            cell = grid.cells.get((release, revision))
            told, because = said(cell), _because(cell, f"{grid.board}.{grid.device}: ")
            if because:
                reasons.setdefault(because, {}).setdefault(release, []).append(revision)
                told += f" ({list(reasons).index(because) + 1})"
            cells.append(told)
            tones.append(TONES["not judged" if cell is None else cell.answer])
        rows.append(Row(tuple(cells), tones=tuple(tones)))
    yield Heading(f"{grid.board}.{grid.device}: firmware, by revision of {grid.board}")
    yield Table(("", *grid.revisions), tuple(rows))
    pairs = []
    for index, (why, found) in enumerate(reasons.items(), 1):
        on = "; ".join(f"{release} on {', '.join(revisions)}" for release, revisions in found.items())
        pairs.append(Pair(f"({index})", f"{on}: {why}"))
    if pairs:
        yield Pairs(tuple(pairs), 1)


def _because(cell: FirmwareCell | None, device: str) -> str:
    """What speaks against it, the worst first, or is in want; empty where nothing is. ``device``: left out."""
    if cell is None:
        return ""
    findings = [item for item in cell.findings if item.severity != "info"]
    ranked = sorted(findings, key=lambda item: (not item.hazard, item.severity != "break", worst_first(item)))
    told = [f"{item.subject.removeprefix(device)} [{item.rule}]" for item in ranked]
    told += [f"{item.what}: {item.why}; needs {item.needs}" for item in cell.not_checked]
    names = list(dict.fromkeys(told))
    rest = f"; and {len(names) - _MOST} more" if len(names) > _MOST else ""
    return f"{'; '.join(names[:_MOST])}{rest}" if names else ""


class CellFinding(Record, frozen=True):
    """Why a release doesn't run on a revision, or has to be looked at."""

    id: str
    rule: str
    severity: Severity
    hazard: bool
    subject: str
    message: str


class Cell(Record, frozen=True):
    """One release on one revision."""

    firmware: str
    revision: str
    answer: str
    by_pin_map: bool
    findings: list[CellFinding]
    not_checked: list[records.NotChecked]


class Grid(Record, frozen=True):
    """The releases for a controller, on the revisions of its board."""

    board: str
    device: str
    cells: list[Cell]


class ReleaseMatrix(Record, frozen=True):
    """Every firmware release on every board."""

    schema_version: Version
    title: str
    grids: list[Grid]
    left_out: list[LeftOut]
    held: list[str]
    waivers: list[records.UsedWaiver]


def matrix_json(matrix: FirmwareMatrix) -> str:
    """The matrix as data: the same matrix, the same bytes."""
    grids = [
        Grid(
            grid.board,
            grid.device,
            [
                Cell(
                    release,
                    revision,
                    cell.answer,
                    cell.stands_in,
                    [copied(CellFinding, item, message=item.told) for item in cell.findings],
                    copies(records.NotChecked, cell.not_checked),
                )
                for release in grid.releases
                for revision in grid.revisions
                if (cell := grid.cells.get((release, revision))) is not None
            ],
        )
        for grid in matrix.grids
    ]
    left_out = [LeftOut(name, why) for name, why in matrix.left_out]
    waivers = records.waivers_of(matrix.waivers)
    return json_text(ReleaseMatrix(SCHEMA_VERSION, matrix.title, grids, left_out, list(matrix.held), waivers))
