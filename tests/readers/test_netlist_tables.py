"""A netlist in the manifest: its nodes, and what is derived from it where tables are missing."""

from __future__ import annotations

import pytest

from revdiff.design.diagnostic import FaultyDesign
from tests.netlists.writing import file356, file2581, record
from tests.support import load

PINS = [record(net=f"NET{number}", ref="U1", pin=str(number)) for number in range(1, 21)]
CONTACTS = [record(net=f"NET{number}", ref="J1", pin=str(number)) for number in range(1, 7)]
RESISTOR = [record(net="NET1", ref="R1", pin="1"), record(net="NET2", ref="R1", pin="2")]
NETLIST = file356(*PINS, *CONTACTS, *RESISTOR)


def manifest(entry: str, *tables: str) -> str:
    return "\n".join(['[design]\nname = "x"', "[boards.base]", f"netlist = {entry}", *tables, ""])


def test_controllers_and_connectors_are_derived_where_no_table_has_them() -> None:
    board = load({"revdiff.toml": manifest('"base.ipc"'), "base.ipc": NETLIST}).boards["base"]
    assert len(board.pins) == 20
    assert board.pins["U1", "7"].signal.raw == "NET7"
    assert [item.signal.raw for item in board.connectors["J1"].contacts.values()][:2] == ["NET1", "NET2"]
    assert board.nodes["R1", "2"].net.raw == "NET2"
    assert board.tables == {"netlist", "pins", "contacts"}


def test_a_table_goes_before_the_netlist() -> None:
    files: dict[str, str | bytes] = {
        "revdiff.toml": manifest('"base.ipc"', 'pins = "pins.csv"'),
        "base.ipc": NETLIST,
        "pins.csv": "Device,Pin,Signal\nU1,1,MINE\n",
    }
    board = load(files).boards["base"]
    assert {key: pin.signal.raw for key, pin in board.pins.items()} == {("U1", "1"): "MINE"}


def test_named_devices_and_connectors_are_taken() -> None:
    entry = '{ file = "base.ipc", devices = ["R1"], connectors = ["U1"] }'
    board = load({"revdiff.toml": manifest(entry), "base.ipc": NETLIST}).boards["base"]
    assert set(board.pins) == {("R1", "1"), ("R1", "2")}
    assert set(board.connectors) == {"U1"}


@pytest.mark.parametrize(
    ("entry", "netlist", "told"),
    [
        ('"missing.ipc"', NETLIST, "missing.ipc"),
        ('"../base.ipc"', NETLIST, "outside the design"),
        ("7", NETLIST, "boards.base.netlist can't be read"),
        ('{ file = "base.ipc", pins = ["U1"] }', NETLIST, "boards.base.netlist can't be read"),
        ('"base.ipc"', b"Designator,Value\nR1,10k\n", "expected IPC-D-356 or IPC-2581"),
        ('"base.ipc"', b"\x00\x01" * 100, "base.ipc"),
    ],
)
def test_a_netlist_that_cannot_be_read_is_a_fault(entry: str, netlist: bytes, told: str) -> None:
    with pytest.raises(FaultyDesign, match=told):
        load({"revdiff.toml": manifest(entry), "base.ipc": netlist})


def test_a_name_that_the_netlist_lacks_is_a_fault() -> None:
    entry = '{ file = "base.ipc", devices = ["U9"] }'
    design = load({"revdiff.toml": manifest(entry), "base.ipc": NETLIST})
    assert [item.code for item in design.diagnostics if item.severity == "fault"] == ["unknown-part"]


def test_a_bill_of_materials_gives_the_parts() -> None:
    item = (
        '<BomItem OEMDesignNumberRef="D1" quantity="1"><RefDes name="R1" packageRef="0603" populate="true"/></BomItem>'
    )
    data = file2581(f'<Bom name="b"><BomHeader assembly="a" revision="1"/>{item}</Bom>')
    board = load({"revdiff.toml": manifest('"base.xml"'), "base.xml": data}).boards["base"]
    assert list(board.parts) == ["R1"]
    assert board.parts["R1"].data.package.raw == "0603"


def test_a_pin_map_of_one_controller_leaves_the_others_to_the_netlist() -> None:
    other = [record(net=f"NET{number}", ref="U2", pin=str(number)) for number in range(1, 21)]
    files: dict[str, str | bytes] = {
        "revdiff.toml": manifest('"base.ipc"', 'pins = "pins.csv"'),
        "base.ipc": file356(*PINS, *other, *CONTACTS),
        "pins.csv": "Device,Pin,Signal\nU1,1,NET1\nU1,2,NET2\n",
    }
    board = load(files).boards["base"]
    assert {device for device, _ in board.pins} == {"U1", "U2"}
    assert len([device for device, _ in board.pins if device == "U1"]) == 2


def test_a_controller_that_the_pin_map_calls_otherwise_is_not_derived_again() -> None:
    files: dict[str, str | bytes] = {
        "revdiff.toml": manifest('"base.ipc"', 'pins = "pins.csv"'),
        "base.ipc": file356(*PINS, *CONTACTS),
        "pins.csv": "Device,Pin,Signal\nMCU,1,NET1\nMCU,2,NET2\nMCU,9,NET9\n",
    }
    board = load(files).boards["base"]
    assert {device for device, _ in board.pins} == {"MCU"}
    assert board.joined["MCU", "9"] == ("U1", "9")


def test_pads_without_a_pin_are_on_their_nets() -> None:
    holes = [record(net="GND", ref="MH1", pin=""), record(net="N/C", ref="MH2", pin="")]
    files: dict[str, str | bytes] = {"revdiff.toml": manifest('"base.ipc"'), "base.ipc": file356(*PINS, *holes)}
    nodes = load(files).boards["base"].nodes
    assert nodes["MH1", "PAD"].net.raw == "GND"
    assert not any(ref == "MH2" for ref, _ in nodes)
