"""Of how many terminals nets were compared stands in every report of two revisions with netlists."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.app.support import Project
from tests.conftest import Run
from tests.judge.pairs.wiring import NETS, WIRING
from tests.support import SMALL, Files, edit

COMMANDS = ("compare", "check", "notes", "pins")
COUNT = sum(map(len, NETS.values()))


def released(folder: Path, old: Files, new: Files) -> None:
    project = Project(folder, old)
    project.release("old")
    project.save(new)
    project.release("new")


@pytest.mark.parametrize("command", COMMANDS)
def test_terminals_are_counted_where_both_revisions_have_a_netlist(run: Run, tmp_path: Path, command: str) -> None:
    pair = WIRING["firmware-pin-rewired"]
    released(tmp_path, {**pair.old}, {**pair.fired})
    assert f"Of the netlists {COUNT} terminals were compared." in " ".join(run(command, "old", "new").stdout.split())


@pytest.mark.parametrize("command", COMMANDS)
def test_nothing_is_said_of_terminals_without_netlists(run: Run, tmp_path: Path, command: str) -> None:
    released(tmp_path, dict(SMALL), edit(SMALL, ("base/parts.csv", "R2,1,4k7", "R2,1,5k6")))
    assert "netlists" not in run(command, "old", "new").stdout
