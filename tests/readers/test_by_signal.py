"""Tables with a row for each signal and a column for each connector or controller."""

from __future__ import annotations

import pytest

from revdiff.design.diagnostic import FaultyDesign
from tests.readers.memory import codes, load_table, told

WIDE = 'Signal,J1,J2,Level\n+5V,1,2,5 V\nGND,"2, 4",1,\nSDA,3,-,3.3 V\nSCL,,3,3.3 V\n'


def contacts(text: str) -> list[str]:
    board = load_table("contacts", text).boards["base"]
    return [
        f"{name}.{item.number} {item.signal.raw} {item.level.raw}".strip()
        for name, connector in board.connectors.items()
        for item in connector.contacts.values()
    ]


def test_each_column_is_a_connector_and_each_number_a_contact() -> None:
    assert contacts(WIDE) == [
        "J1.1 +5V 5 V",
        "J1.2 GND",
        "J1.4 GND",
        "J1.3 SDA 3.3 V",
        "J2.2 +5V 5 V",
        "J2.1 GND",
        "J2.3 SCL 3.3 V",
    ]


def test_that_is_told_once() -> None:
    design = load_table("contacts", WIDE)
    assert codes(design) == ["column-for-each"]
    (notice,) = told(design, "column-for-each")
    assert (notice.severity, str(notice.origin)) == ("notice", "table.csv:1:2")


@pytest.mark.parametrize(
    "text",
    [
        WIDE.replace(",", "\t").replace('"2\t 4"', "2 4"),
        WIDE.replace(",", ";").replace('"2; 4"', '"2,4"'),
        WIDE.replace("Signal", "Leitung oder Netz").replace(",Level", ",Pegel").replace(" V", " V"),
        f"Connectors of the base\n\n{WIDE}",
        WIDE.replace("J1", "j1").replace("J2", "CON2").replace("CON2", "J2"),
    ],
)
def test_the_form_of_the_file_and_the_word_for_signals_make_no_difference(text: str) -> None:
    assert [item.split()[:2] for item in contacts(text)] == [item.split()[:2] for item in contacts(WIDE)]


def test_the_columns_of_controllers_make_a_pin_map_and_none_of_connectors() -> None:
    text = "Signal,U1,J1\nLED,PA5,1\nSDA,PB7,2\nVBAT,-,3\n"
    pins = load_table("pins", text).boards["base"].pins
    assert {key: pin.signal.raw for key, pin in pins.items()} == {("U1", "PA5"): "LED", ("U1", "PB7"): "SDA"}
    assert contacts(text) == ["J1.1 LED", "J1.2 SDA", "J1.3 VBAT"]


@pytest.mark.parametrize(
    "text",
    [
        "Connector,Contact,Signal,J2\nJ1,1,LED,7\nJ1,2,SDA,8\n",
        "Contact,Signal,J2\n1,LED,7\n2,SDA,8\n",
        "Contact,Signal,J2\n1,LED,to the mast\n2,SDA,see below\n",
        # A row of data with words that headers are made of.
        "Connector,Contact,Signal,Use\nJ4,A1,LED,net\nJ4,A2,SDA,A2\nJ4,A3,SCL,A3\n",
    ],
)
def test_a_table_with_a_column_of_numbers_keeps_its_form(text: str) -> None:
    assert "column-for-each" not in codes(load_table("contacts", text))


def test_a_column_of_remarks_that_is_called_after_a_connector_is_none_of_contacts() -> None:
    with pytest.raises(FaultyDesign, match="no header row of a contact table"):
        load_table("contacts", "Signal,J1,J2\nLED,the mast,7\nSDA,the base,see 7\n")


@pytest.mark.parametrize("cell", ["1-4", "see note", "3?"])
def test_a_cell_that_is_no_number_is_a_fault_and_no_contact(cell: str) -> None:
    text = f"Signal,J1,J2\nA,1,5\nB,2,6\nC,3,7\nD,4,8\nE,{cell},9\n"
    fault = told(load_table("contacts", text), "unreadable-contact")[0]
    assert (fault.severity, str(fault.origin), fault.found) == (
        "fault",
        "table.csv:6:2",
        f"{cell}, in the row E {cell} 9",
    )
    assert len(contacts(text)) == 9
