"""What only the board's label answers to is told as the change that it is."""

from __future__ import annotations

from pathlib import Path

from tests.app.support import Project
from tests.conftest import Run
from tests.support import SMALL, edit


def test_a_change_is_told_though_nothing_but_the_label_follows_from_it(run: Run, tmp_path: Path) -> None:
    project = Project(tmp_path, SMALL)
    project.release("old")
    project.save(edit(SMALL, ("base/parts.csv", "R2,1,4k7,0603,RA-4K7", "R2,1,5k6,0603,RA-5K6")))
    project.release("new")
    said = run("compare", "old", "new", cwd=tmp_path).stdout
    assert "the board still says revision A" in said
    assert "R2" in said.partition("Everything else")[2]
    assert "4k7 → 5k6" in said.partition("Everything else")[2]
