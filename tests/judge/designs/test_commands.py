"""The commands say of a small design what the judge says: every fourth design through files, readers and commands."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.judge.designs.case import Case
from tests.judge.designs.notation import files
from tests.judge.designs.run import (
    Result,
    changed,
    design_of,
    result_of,
    stacked,
    through_compare,
    through_stack,
)
from tests.judge.designs.table import ALL

_FEW = [case for _, case in ALL if not case.ask][::4]


def _heard(result: Result) -> list[tuple[str, str, bool]]:
    return sorted((item.rule, item.severity, item.hazard) for item in result.found)


@pytest.mark.parametrize("case", [pytest.param(case, id=case.name) for case in _FEW if case.change])
def test_compare(case: Case, tmp_path: Path) -> None:
    said = through_compare(files(case.text), files(case.second), tmp_path)
    assert set(_heard(said)) == set(_heard(result_of(changed(design_of(case.text), design_of(case.second)))))


@pytest.mark.parametrize("case", [pytest.param(case, id=case.name) for case in _FEW if not case.change])
def test_stack(case: Case, tmp_path: Path) -> None:
    design = design_of(case.text)
    if len(design.boards) < 2:
        pytest.skip("a stack has at least two boards")
    said = through_stack(files(case.text), design.boards, tmp_path)
    own = result_of(stacked(design))
    assert (said.answer, _heard(said)) == (own.answer, _heard(own))
