"""One verdict for one arrangement, whoever asks: every command over the revisions of one repository."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from revdiff.cli.group import cli
from revdiff.design import Design
from revdiff.judge import Member, judge_stack, member
from revdiff.judge.matrix import build_matrix
from tests.app.support import Project
from tests.judge.designs.case import Case
from tests.judge.designs.notation import files
from tests.judge.designs.run import design_of
from tests.judge.designs.table import ALL

CHANGES = [case for _, case in ALL if case.change and not case.ask]
TWO = [pytest.param(case, id=case.name) for case in CHANGES if len(design_of(case.text).boards) > 1]
# Through a repository and all commands: every seventh, and other ones than ``test_commands`` asks about.
FEW = [pytest.param(case, id=case.name) for case in CHANGES[3::7]]


def _asked(folder: Path, *arguments: str) -> str:
    said = CliRunner().invoke(cli, [*arguments, "--repo", str(folder)], standalone_mode=False)
    assert said.exception is None, said.output
    return said.stdout


def _json(folder: Path, *arguments: str) -> Any:
    return json.loads(_asked(folder, *arguments, "--format", "json"))


def _told(found: Any) -> set[tuple[str, str]]:
    return {(item["id"], item["severity"]) for item in found}


@pytest.fixture
def repository(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """The two revisions of a design, tagged."""
    case: Case = request.param
    project = Project(tmp_path, files(case.text))
    project.release("old")
    project.save(files(case.second))
    project.release("new")
    return tmp_path


@pytest.mark.slow
@pytest.mark.parametrize("repository", FEW, indirect=True)
def test_what_compare_finds_is_in_the_check_the_pins_and_the_notes(repository: Path) -> None:
    compared = _json(repository, "compare", "old", "new")["findings"]
    checked = _json(repository, "check", "old", "new", "--fail-on", "never")["findings"]
    assert _told(compared) <= _told(checked)
    pins = _json(repository, "pins", "old", "new")
    of_firmware = [item for item in compared if item["audience"] == "firmware"]
    assert _told(of_firmware) <= _told((*pins["hazards"], *pins["breaks"], *pins["cautions"]))
    assert {item["id"] for item in of_firmware if item["hazard"]} <= {item["id"] for item in pins["hazards"]}
    notes = _asked(repository, "notes", "old", "new")
    warned = "\n".join(line for line in notes.splitlines() if line.startswith("| **") and "can hurt or destroy" in line)
    hazards = [item for item in compared if item["hazard"]]
    assert bool(warned) is bool(hazards)
    assert [item["pairing"] for item in hazards if item["pairing"] not in warned] == []


@pytest.mark.slow
@pytest.mark.parametrize("repository", FEW, indirect=True)
def test_matrix_stack_and_ready_say_the_same_of_the_same_boards(repository: Path) -> None:
    try:
        matrix = _json(repository, "matrix")
    except Exception as error:  # a design without a joint has no matrix
        pytest.skip(str(error))
    for cell in (*matrix["pairs"], *matrix["stacks"]):
        for names in _chosen(cell["boards"]):
            alone = _json(repository, "stack", *names)["stack"]
            assert (alone["verdict"], len(alone["findings"])) == (cell["verdict"], len(cell["findings"])), names
    boards = [cell["boards"] for cell in (matrix["stacks"] or matrix["pairs"])]
    for revision in ("old", "new"):
        whole = [names for listed in boards for names in _chosen(listed) if {n[-3:] for n in names} == {revision}]
        if whole:
            ready = _json(repository, "ready", revision)
            assert ready["verdict"] == _json(repository, "stack", *whole[0])["stack"]["verdict"]


def _chosen(boards: Any) -> list[tuple[str, ...]]:
    """``base@old`` of each board of a cell, for each of its revisions."""
    found: list[tuple[str, ...]] = [()]
    for item in boards:
        found = [(*names, f"{item['board']}@{name}") for names in found for name in item["revisions"]]
    return found


def _members(designs: Mapping[str, Design]) -> dict[str, list[Member]]:
    names = dict.fromkeys(name for design in designs.values() for name in design.boards)
    return {
        name: [member(design, name, tag) for tag, design in designs.items() if name in design.boards] for name in names
    }


@pytest.mark.parametrize("case", TWO)
def test_a_cell_of_the_matrix_is_the_verdict_of_each_stack_it_stands_for(case: Case) -> None:
    """Equal facts share a cell: each of the revisions in it, stacked by itself, has that answer."""
    designs = {"old": design_of(case.text), "new": design_of(case.second)}
    matrix = build_matrix(_members(designs))
    for grid in matrix.grids:
        for row, cells in zip(grid.rows, grid.cells, strict=True):
            for column, cell in zip(grid.columns, cells, strict=True):
                for one in row.revisions:
                    for two in column.revisions:
                        pair = (member(designs[one], row.board, one), member(designs[two], column.board, two))
                        assert _heard(judge_stack(pair)) == _heard(cell), f"{one} {two}"


def _heard(verdict: Any) -> tuple[object, ...]:
    return verdict.answer, sorted((item.rule, item.severity, item.hazard, item.subject) for item in verdict.findings)
