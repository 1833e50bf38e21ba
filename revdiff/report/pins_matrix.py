"""Which firmware release runs on which board revision: for terminals, merge requests and programs."""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.judge.finding import Severity
from revdiff.judge.firmware_matrix import FirmwareCell, FirmwareGrid, FirmwareMatrix
from revdiff.release.pin_notice import worst_first
from revdiff.report import records
from revdiff.report.data import json_text
from revdiff.report.escape import escape, table
from revdiff.report.page import wrapped
from revdiff.report.pins import CAUTION
from revdiff.report.records import SCHEMA_VERSION, Record, Version, copied
from revdiff.report.stack_document import LeftOut
from revdiff.report.stack_text import remark_lines
from revdiff.report.visible import visible

_MOST = 6
_BOUND = "Fits means that within what was compared no break was found."


def said(cell: FirmwareCell | None) -> str:
    """The answer in words; ``not judged`` where there is none."""
    if cell is None:
        return "not judged"
    hazard = " (hazard)" if any(item.hazard and item.severity == "break" for item in cell.findings) else ""
    stands_in = ", by its pin map" if cell.stands_in else ""
    return f"{cell.answer}{hazard}{stands_in}"


def matrix_text(matrix: FirmwareMatrix, width: int = 100) -> str:
    """Plain text at a width; ends with a line end."""
    lines = [visible(f"{matrix.title}: firmware on boards"), *wrapped(f"{_BOUND} {CAUTION}", width, hang=0)]
    for remark in remark_lines(matrix):
        lines += wrapped(remark, width)
    for grid in matrix.grids:
        lines += ["", visible(f"{grid.board}.{grid.device}")]
        for release in grid.releases:
            lines.append(f"  {visible(release)}")
            for revision in grid.revisions:
                cell = grid.cells.get((release, revision))
                told = f"{revision}: {said(cell)}{_because(cell)}"
                lines += wrapped(told, width, 4)
    lines += [visible(f"Left out: {name}: {why}") for name, why in matrix.left_out]
    return "\n".join(lines) + "\n"


def _because(cell: FirmwareCell | None) -> str:
    findings = [item for item in cell.findings if item.severity != "info"] if cell is not None else []
    ranked = sorted(findings, key=lambda item: (not item.hazard, item.severity != "break", worst_first(item)))
    names = list(dict.fromkeys(f"{item.subject} [{item.rule}]" for item in ranked))
    rest = f"; and {len(names) - _MOST} more" if len(names) > _MOST else ""
    return f": {'; '.join(names[:_MOST])}{rest}" if names else ""


def matrix_markdown(matrix: FirmwareMatrix) -> str:
    """A table for each controller; ends with a line end."""
    return "\n".join(_markdown(matrix)).rstrip("\n") + "\n"


def _markdown(matrix: FirmwareMatrix) -> Iterator[str]:
    yield f"# {escape(matrix.title)}: firmware on boards"
    yield from ("", f"{_BOUND} {CAUTION}")
    remarks = [f"- {escape(line)}" for line in remark_lines(matrix)]
    yield from ("", *remarks) if remarks else ()
    for grid in matrix.grids:
        yield from ("", f"## {escape(grid.board)}.{escape(grid.device)}", "")
        yield from table(
            ["Firmware", *(escape(f"{grid.board}@{revision}") for revision in grid.revisions)],
            [
                [escape(release), *(said(grid.cells.get((release, revision))) for revision in grid.revisions)]
                for release in grid.releases
            ],
        )
        yield ""
        for release, revision, cell in _told(grid):
            yield f"- {escape(release, start=True)} on {escape(grid.board)}@{escape(revision)}{escape(_because(cell))}"
    for name, why in matrix.left_out:
        yield from ("", f"Left out: {escape(name)}: {escape(why)}")


def _told(grid: FirmwareGrid) -> Iterator[tuple[str, str, FirmwareCell]]:
    for release in grid.releases:
        for revision in grid.revisions:
            cell = grid.cells.get((release, revision))
            if cell is not None and _because(cell):
                yield release, revision, cell


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
