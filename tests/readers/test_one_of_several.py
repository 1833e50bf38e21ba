"""``parts = ["old name.csv", "new name.csv"]``: the one that a revision has is read."""

from __future__ import annotations

from pathlib import Path

import pytest

from revdiff.design.diagnostic import FaultyDesign
from tests.app.support import Project, broken, codes
from tests.readers.memory import manifest
from tests.support import SMALL, compare, edit, load

BOM = "Designator,Value\nR1,10k\nR2,4k7\n"
OLD, NEW = "bom v1.csv", "bom v2.csv"
LISTED = manifest(parts=f'["{OLD}", "{NEW}"]')


def test_a_renamed_table_is_the_same_table() -> None:
    old = {"revdiff.toml": LISTED, OLD: BOM}
    new = {"revdiff.toml": LISTED, NEW: BOM.replace("4k7", "5k6")}
    assert [(item.kind, item.subject) for item in compare(old, new).changes] == [("part.value", "R2")]


def test_each_name_may_be_read_in_its_own_way() -> None:
    spec = f'["{OLD}", {{ file = "{NEW}", columns = {{ value = "Wert X" }} }}]'
    old = {"revdiff.toml": manifest(parts=spec), OLD: BOM}
    new = {"revdiff.toml": manifest(parts=spec), NEW: BOM.replace("Value", "Wert X")}
    assert compare(old, new).changes == ()


def test_a_pattern_may_be_one_of_the_names() -> None:
    spec = manifest(parts='["list.csv", "bom v*.csv"]')
    assert len(load({"revdiff.toml": spec, NEW: BOM}).boards["base"].parts) == 2


@pytest.mark.parametrize(
    ("files", "said"),
    [({}, "but none is there: bom v1.csv, bom v2.csv"), ({OLD: BOM, NEW: BOM}, "2 of them are there")],
)
def test_none_and_several_are_faults(files: dict[str, str], said: str) -> None:
    with pytest.raises(FaultyDesign, match=said):
        load({"revdiff.toml": LISTED, **files})


@pytest.mark.parametrize("spec", ["[]", "[[]]", '["a.csv", 3]', '["a.csv", ["b.csv"]]', '["a.csv", "../b.csv"]'])
def test_a_list_that_names_no_files_is_a_fault(spec: str) -> None:
    with pytest.raises(FaultyDesign):
        load({"revdiff.toml": manifest(parts=spec), "a.csv": BOM})


def test_a_change_that_adds_a_name_hides_no_break(tmp_path: Path) -> None:
    broke = edit(SMALL, ("base/contacts.csv", "J1,1,+5V,supply,5 V", "J1,1,+5V,supply,12 V"))
    text = broke["revdiff.toml"].replace(
        'contacts = "base/contacts.csv"', 'contacts = ["base/contacts.csv", "base/none.csv"]'
    )
    check = Project(tmp_path).check({**broke, "revdiff.toml": text})
    assert "joint-supply-voltage/base.J1.1–top.J1.1" in broken(check)
    assert "table-path boards.base.contacts.instead" in codes(check)


def test_a_change_that_moves_a_table_behind_another_name_hides_no_column(tmp_path: Path) -> None:
    table = SMALL["base/contacts.csv"].replace("supply,5 V", "supply,12 V")
    spec = '[{ file = "base/new.csv", columns = { level = "Current" } }, "base/none.csv"]'
    text = SMALL["revdiff.toml"].replace('contacts = "base/contacts.csv"', f"contacts = {spec}")
    files = {path: text for path, text in SMALL.items() if path != "base/contacts.csv"}
    check = Project(tmp_path).check({**files, "revdiff.toml": text, "base/new.csv": table})
    assert "joint-supply-voltage/base.J1.1–top.J1.1" in broken(check)
