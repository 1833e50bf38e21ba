"""Every firmware release on every tagged revision; and the table of failure modes that names real rules."""

from __future__ import annotations

import io
import json
import re
from pathlib import Path

import pytest
from rich.console import Console

from revdiff.app.firmware_matrix import firmware_matrix_of_tags
from revdiff.errors import UsageFault
from revdiff.judge.firmware_matrix import FirmwareMatrix, firmware_matrix
from revdiff.release.document import Document
from revdiff.report import pins_matrix
from revdiff.report.document_terminal import print_document
from revdiff.report.markdown import to_markdown
from tests.firmware.boards import MANIFEST, NEW_PINS, OLD_PINS, files
from tests.support import load

pytestmark = pytest.mark.slow


def answers(matrix: FirmwareMatrix, board: str) -> dict[tuple[str, str], str]:
    (grid,) = (item for item in matrix.grids if item.board == board)
    return {key: cell.answer for key, cell in grid.cells.items()}


@pytest.fixture(scope="module")
def demo_matrix(demo: Path) -> FirmwareMatrix:
    return firmware_matrix_of_tags(demo)


def test_every_release_of_the_demo_on_every_revision(demo_matrix: FirmwareMatrix) -> None:
    found = answers(demo_matrix, "base")
    assert {release for release, _ in found} >= {"irrigation 1.4.1", "irrigation 2.0.0"}
    assert found["irrigation 1.4.1", "rev-b"] == "as released"
    assert found["irrigation 1.4.1", "rev-c"] == "does not fit"
    assert found["irrigation 1.4.1", "rev-d"] == "does not fit"
    assert found["irrigation 2.0.0", "rev-b"] == "does not fit"
    assert found["irrigation 2.0.0", "rev-c"] == "as released"


def test_every_pair_is_judged(demo_matrix: FirmwareMatrix) -> None:
    for grid in demo_matrix.grids:
        if grid.board != "valves":  # its pin map stands in, release by release
            assert len(grid.cells) == len(grid.releases) * len(grid.revisions)


def test_all_forms_tell_the_same_answers(demo_matrix: FirmwareMatrix) -> None:
    page = pins_matrix.matrix_page(demo_matrix)
    data = json.loads(pins_matrix.matrix_json(demo_matrix))
    told = [cell for grid in data["grids"] for cell in grid["cells"]]
    unfit = sum(cell["answer"] == "does not fit" for cell in told)
    for text in (_terminal(page), to_markdown(page)):
        assert text.count("does not fit") == unfit
        assert re.search(r"irrigation 1\.4\.1 .*does not fit \(hazard\) \((\d)\)", text)
        assert "firmware-drives-other-load" in text


def _terminal(page: Document) -> str:
    text = io.StringIO()
    print_document(page, Console(file=text, width=200, no_color=True, highlight=False))
    return text.getvalue()


def test_a_cell_of_which_nobody_can_tell_says_why(demo_matrix: FirmwareMatrix) -> None:
    for grid in demo_matrix.grids:
        for cell in grid.cells.values():
            assert bool(cell.not_checked) >= (cell.answer == "cannot tell" and not cell.findings)


def test_a_controller_without_a_contract_is_judged_by_its_pin_map() -> None:
    matrix = firmware_matrix([("v1", load(files(OLD_PINS))), ("v2", load(files(NEW_PINS)))])
    (grid,) = matrix.grids
    assert {(key, cell.answer, cell.stands_in) for key, cell in grid.cells.items()} == {
        (("firmware for base.U1@v1", "v2"), "does not fit", True),
        (("firmware for base.U1@v2", "v1"), "does not fit", True),
        (("firmware for base.U1@v1", "v1"), "as released", True),
        (("firmware for base.U1@v2", "v2"), "as released", True),
    }


def test_a_board_without_a_pin_map_cannot_be_told() -> None:
    needs = {"needs.csv": "Signal,Pin\nHEAT,2\n"}
    contract = MANIFEST + '\n[firmware.f]\nversion = "1"\nboard = "base"\nneeds = "needs.csv"\n'
    bare = contract.replace('pins = "pins.csv"\n', "")
    matrix = firmware_matrix([("v1", load(files(OLD_PINS, contract, **needs))), ("v2", load(files("", bare, **needs)))])
    assert answers(matrix, "base")["f 1", "v2"] == "as released"
    other = bare.replace('version = "1"', 'version = "2"')
    matrix = firmware_matrix(
        [("v1", load(files(OLD_PINS, contract, **needs))), ("v2", load(files("", other, **needs)))]
    )
    assert answers(matrix, "base")["f 1", "v2"] == "cannot tell"


def test_no_tag_is_a_mistake_in_one_sentence(demo: Path) -> None:
    with pytest.raises(UsageFault, match="no tag that matches 'none'"):
        firmware_matrix_of_tags(demo, pattern="none")


def test_a_release_declared_unchanged_does_not_fit_where_a_pin_moved() -> None:
    contract = MANIFEST + '\n[firmware.f]\nversion = "1"\nboard = "base"\ndevice = "U1"\nneeds = "needs.csv"\n'
    needs = {"needs.csv": "Signal,Pin\nFAN,6\n"}
    old, new = (load(files(pins, contract, **needs)) for pins in (OLD_PINS, NEW_PINS))
    found = answers(firmware_matrix([("a", old), ("b", old), ("c", new)]), "base")
    assert found == {("f 1", "a"): "as released", ("f 1", "b"): "as released", ("f 1", "c"): "does not fit"}


def test_two_versions_that_need_the_same_are_two_rows() -> None:
    contract = MANIFEST + '\n[firmware.f]\nversion = "{}"\nboard = "base"\ndevice = "U1"\nneeds = "needs.csv"\n'
    needs = {"needs.csv": "Signal,Pin\nFAN,6\n"}
    one, two = (load(files(OLD_PINS, contract.format(version), **needs)) for version in ("1", "2"))
    found = answers(firmware_matrix([("a", one), ("b", two)]), "base")
    assert found["f 1", "b"] == found["f 2", "a"] == "fits"
