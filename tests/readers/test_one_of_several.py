"""``parts = ["old name.csv", "new name.csv"]``: the one that a revision has is read."""

from __future__ import annotations

from pathlib import Path

import pytest

from revdiff.app.reading import with_firmware
from revdiff.design import Design
from revdiff.design.diagnostic import FaultyDesign
from tests.app.support import Project, broken, codes
from tests.netlists.writing import file356, record
from tests.readers.memory import manifest
from tests.support import SMALL, MemoryRevision, compare, edit, load

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


# Netlists, sources of contracts and the table of joints: each is one of several files, too.

NETLIST = file356(
    *(record(net=net, ref="J1", pin=str(at)) for at, net in enumerate(("+5V", "GND", "TX", "RX", "HEAT"), 1))
).decode()
HEADER = "#define PIN_LED 1\n#define PIN_HEAT 2\n#define PIN_TX 3\n#define PIN_VBAT_SENSE 5\n"
TREE = '/ { leds { compatible = "gpio-leds"; led: led_0 { gpios = <&gpioa 0 0>; label = "LED"; }; }; };\n'
JOINTS = "Board A,Connector A,Board B,Connector B\nbase,J1,top,J1\n"
ENTRIES = {
    "netlist": (('pins = "base/pins.csv"', 'pins = "base/pins.csv"\nnetlist = {}'), NETLIST),
    "header": (('needs = "blink.csv"', "header = {}"), HEADER),
    "header with patterns": (('needs = "blink.csv"', 'header = {{ file = {}, pin = "PIN_{{signal}}" }}'), HEADER),
    "devicetree": (('needs = "blink.csv"', "devicetree = {}"), TREE),
    "joints": (('[[joints]]\na = "base.J1"\nb = "top.J1"\n', ""), JOINTS),
}


def named_so(entry: str, written: str, path: str) -> dict[str, str]:
    """The small design with that entry written so, and its file under ``path``."""
    (old, new), text = ENTRIES[entry]
    files = edit(SMALL, ("revdiff.toml", old, new.format(written)))
    if entry == "joints":
        files["revdiff.toml"] = f"joints = {written}\n{files['revdiff.toml']}"
    return {**files, path: text}


def opened(files: dict[str, str]) -> Design:
    return with_firmware(load(files), MemoryRevision(files, "v1"))


def read(files: dict[str, str]) -> tuple[int, dict[str, str], list[tuple[str, str]]]:
    design = opened(files)
    needs = {key: need.signal.raw for key, need in design.contracts["blink"].needs.items()}
    return len(design.boards["base"].nodes), needs, [(item.board_a, item.board_b) for item in design.joints]


@pytest.mark.parametrize("entry", ENTRIES)
@pytest.mark.parametrize("there", ["old.x", "new.x"])
def test_whichever_file_is_there_is_read(entry: str, there: str) -> None:
    alone = read(named_so(entry, f'"{there}"', there))
    nodes, needs, joints = alone
    assert {"netlist": nodes == 5, "joints": joints == [("base", "top")]}.get(entry, needs.get("led") == "LED")
    assert read(named_so(entry, '["old.x", "new.x"]', there)) == alone


@pytest.mark.parametrize("entry", ENTRIES)
def test_none_or_both_of_them_are_a_fault_that_names_them(entry: str) -> None:
    listed = named_so(entry, '["old.x", "new.x"]', "old.x")
    for files in ({key: text for key, text in listed.items() if key != "old.x"}, {**listed, "new.x": listed["old.x"]}):
        try:
            told = opened(files).diagnostics
        except FaultyDesign as error:
            told = error.diagnostics
        said = [item for item in told if item.severity == "fault"]
        assert len(said) == 1
        assert all(name in f"{said[0].message} {said[0].found}" for name in ("old.x", "new.x"))


@pytest.mark.parametrize("entry", ["netlist", "header", "devicetree"])
@pytest.mark.parametrize("written", ["[]", '["a", 3]', '["a", "../b"]', "[[]]"])
def test_a_list_of_anything_but_files_of_the_design_is_a_fault(entry: str, written: str) -> None:
    try:
        told = opened(named_so(entry, written, "a")).diagnostics
    except FaultyDesign as error:
        told = error.diagnostics
    assert "fault" in {item.severity for item in told}


def test_a_change_that_adds_a_name_of_a_netlist_is_told(tmp_path: Path) -> None:
    old, new = (named_so("netlist", written, "old.x") for written in ('"old.x"', '["old.x", "new.x"]'))
    check = Project(tmp_path, old).check(new)
    assert "table-path boards.base.netlist.instead" in codes(check)
