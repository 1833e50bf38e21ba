"""What is derived from a netlist: pin map, connector map, parts, and the nets of each part."""

from __future__ import annotations

from decimal import Decimal

import pytest

from revdiff.design import EMPTY, Reading
from revdiff.quantities.quantity import Quantity
from revdiff.quantities.tolerance import read_tolerance
from revdiff.readers.derive import derive_contacts, derive_parts, derive_pins
from revdiff.readers.netlist import Netlist
from tests.netlists.writing import file356, file2581, read356, read2581, record


@pytest.fixture
def board() -> Netlist:
    """Two devices and a connector, in no order."""
    return read356(
        file356(
            record("SPI_SCK", "U1", "10"),
            record("Reset", "U1", "9"),
            record("N/C", "U1", "A1"),
            record("SPI_SCK", "J1", "2"),
            record("GND", "J1", "1"),
            record("GND", "U2", "1"),
            record("N/C", "U2", "2"),
            record("GND", "VIA"),
            record("GND", "H1", ""),
            record("N/C", "H2", ""),
        )
    )[0]


def test_pins_of_the_named_devices_in_the_order_of_their_numbers(board: Netlist) -> None:
    pins = derive_pins(board, ["U2", "u1", "U99"])
    assert [(key, pin.signal.raw) for key, pin in pins.items()] == [
        (("U2", "1"), "GND"),
        (("U2", "2"), ""),
        (("U1", "9"), "Reset"),
        (("U1", "10"), "SPI_SCK"),
        (("U1", "A1"), ""),
    ]
    assert pins["U1", "9"].signal == Reading("RESET", "reset")  # compared as signals are: without regard to case
    assert pins["U1", "A1"].signal == EMPTY
    assert pins["U1", "9"].origin.of("signal").line == 4
    assert {(pin.device, pin.number) for pin in pins.values()} == set(pins)


def test_contacts_of_the_named_connectors(board: Netlist) -> None:
    contacts = derive_contacts(board, ["J1", "J7"])
    assert {name: [(c.connector, c.number, c.signal.raw) for c in listed] for name, listed in contacts.items()} == {
        "J1": [("J1", "1", "GND"), ("J1", "2", "SPI_SCK")]
    }


def test_a_netlist_without_a_bill_of_materials_gives_no_parts(board: Netlist) -> None:
    assert derive_parts(board) == {}


DOCUMENT = file2581(
    '<Bom name="main">'
    '<BomItem OEMDesignNumberRef="RES" internalPartNumber="7" description="Resistor" category="ELECTRICAL">'
    '<RefDes name="R1" packageRef="R0805"/><RefDes name="R2" populate="false"/><Characteristics>'
    '<Textual textualCharacteristicName="Value" textualCharacteristicValue="4k7"/>'
    '<Textual textualCharacteristicName="Tolerance" textualCharacteristicValue="1%"/>'
    '<Measured measuredCharacteristicName="Rated voltage" measuredCharacteristicValue="50"/>'
    '<Textual textualCharacteristicName="Finish" textualCharacteristicValue="Tin"/>'
    '<Ranged rangedCharacteristicName="Temperature" rangedCharacteristicLowerValue="-40"'
    ' rangedCharacteristicUpperValue="85" engineeringUnitOfMeasure="°C"/>'
    '<Textual textualCharacteristicName="finish" textualCharacteristicValue=""/>'
    "</Characteristics></BomItem>"
    '<BomItem OEMDesignNumberRef="CAP"><RefDes name="C1"/><Characteristics>'
    '<Measured measuredCharacteristicName="Capacitance" measuredCharacteristicValue="100"'
    ' engineeringUnitOfMeasure="nF" engineeringNegativeTolerance="10" engineeringPositiveTolerance="10"/>'
    '<Textual textualCharacteristicName="MPN" textualCharacteristicValue="CX-1"/>'
    "</Characteristics></BomItem>"
    '<BomItem OEMDesignNumberRef="GLUE"/></Bom>',
    '<Avl><AvlItem OEMDesignNumber="RES">'
    '<AvlVmpn><AvlMpn name="RA-2" rank="2"/><AvlVendor enterpriseRef="E1"/></AvlVmpn>'
    '<AvlVmpn chosen="true"><AvlMpn name="RA-1" rank="3"/><AvlVendor enterpriseRef="E1"/></AvlVmpn>'
    '<AvlVmpn><AvlMpn name="ra-1" rank="4"/></AvlVmpn>'
    '</AvlItem></Avl><Enterprise id="E1" name="Maker One"/>',
)


def test_parts_of_a_bill_of_materials() -> None:
    parts = derive_parts(read2581(DOCUMENT)[0], lambda ref: {"R": "Ω", "C": "F"}[ref[0]])
    assert list(parts) == ["R1", "R2", "C1"]  # the item without designator is no part on the board
    data = parts["R1"].data
    assert data.value.meaning == Quantity(Decimal(4700), "Ω")
    assert data.tolerance.meaning == read_tolerance("1 %")
    assert data.voltage.meaning == Quantity(Decimal(50), "V")
    assert (data.manufacturer.raw, data.part_number.raw) == ("Maker One", "RA-1")
    assert data.alternates == Reading("RA-2", ("ra-2",))
    assert (data.description.word, data.package.raw) == ("resistor", "R0805")
    assert [(name, reading.raw) for name, reading in data.extra] == [
        ("category", "ELECTRICAL"),
        ("design number", "RES"),
        ("Finish", "Tin"),
        ("internal part number", "7"),
        ("Temperature", "-40 to 85 °C"),
    ]
    assert (parts["R1"].data.fitted.meaning, parts["R2"].data.fitted.meaning) == (True, False)
    assert parts["R2"].data.package == EMPTY


def test_a_measured_characteristic_has_its_own_unit() -> None:
    data = derive_parts(read2581(DOCUMENT)[0])["C1"].data
    assert data.value.meaning == Quantity(Decimal("1e-7"), "F")
    assert data.tolerance == Reading("", "+10/-10")  # in which unit, the file doesn't say: compared as text
    assert data.part_number.raw == "CX-1"  # where no approved part names it


def test_a_value_whose_unit_nobody_tells_stays_text() -> None:
    assert derive_parts(read2581(DOCUMENT)[0])["R1"].data.value == Reading("4k7", "4k7")
