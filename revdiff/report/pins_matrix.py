"""Which firmware release runs on which board revision: for terminals, merge requests and programs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from revdiff.judge.firmware_matrix import FirmwareCell, FirmwareGrid, FirmwareMatrix
from revdiff.release.pin_notice import worst_first
from revdiff.report.data import SCHEMA_VERSION, json_text
from revdiff.report.document import waivers_data
from revdiff.report.escape import escape, table
from revdiff.report.page import wrapped
from revdiff.report.pins import CAUTION
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


def matrix_json(matrix: FirmwareMatrix) -> str:
    """The matrix as data: the same matrix, the same bytes."""
    document: dict[str, Any] = {
        "schema_version": SCHEMA_VERSION,
        "title": matrix.title,
        "grids": [
            {
                "board": grid.board,
                "device": grid.device,
                "cells": [
                    {
                        "firmware": release,
                        "revision": revision,
                        "answer": cell.answer,
                        "by_pin_map": cell.stands_in,
                        "findings": [
                            {
                                "id": item.id,
                                "rule": item.rule,
                                "severity": item.severity,
                                "hazard": item.hazard,
                                "subject": item.subject,
                                "message": item.told,
                            }
                            for item in cell.findings
                        ],
                    }
                    for release in grid.releases
                    for revision in grid.revisions
                    if (cell := grid.cells.get((release, revision))) is not None
                ],
            }
            for grid in matrix.grids
        ],
        "left_out": [{"revision": name, "why": why} for name, why in matrix.left_out],
        "held": list(matrix.held),
        "waivers": waivers_data(matrix.waivers),
    }
    return json_text(document)
