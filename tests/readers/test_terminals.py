"""Pin maps, contact tables, connector tables, lists of needs, joints."""

from __future__ import annotations

from decimal import Decimal

import pytest

from revdiff.design import Connector, Design, Pin
from revdiff.quantities.quantity import Quantity
from tests.readers.memory import board_of, codes, load, load_table, manifest, told


def pin(cells: str, header: str = "Device,Pin,Signal") -> Pin:
    return next(iter(board_of("pins", f"{header}\n{cells}\n").pins.values()))


def connector(cells: str, header: str) -> Connector:
    return next(iter(board_of("connectors", f"{header}\n{cells}\n").connectors.values()))


# pins


def test_a_pin_is_known_by_device_and_number() -> None:
    pins = board_of("pins", "Device,Pin,Port,Signal\nu1,37,PA5,LED\nU2,A4,,CLK\n").pins
    assert [item.name for item in pins.values()] == ["U1.37", "U2.A4"]
    assert pins["U1", "37"].port.raw == "PA5"


def test_a_device_counts_for_the_rows_below_it() -> None:
    pins = board_of("pins", "Device,Pin,Signal\nU1,1,A\n,2,B\nU2,1,C\n,2,D\nchecked by hand,,\n,3,E\n").pins
    assert list(pins) == [("U1", "1"), ("U1", "2"), ("U2", "1"), ("U2", "2"), ("U2", "3")]


def test_a_map_without_pin_numbers_is_keyed_by_port_name() -> None:
    assert list(board_of("pins", "Device,GPIO,Signal\nU1,pa5,LED\n").pins) == [("U1", "PA5")]


def test_port_names_under_the_word_pin_are_port_names() -> None:
    item = pin("U1,PA5,LED")
    assert (item.number, item.port.raw) == ("PA5", "PA5")


def test_a_map_without_device_is_of_u1_and_that_is_told() -> None:
    design = load_table("pins", "Pin,Signal\n1,A\n2,B\n")
    assert list(design.boards["base"].pins) == [("U1", "1"), ("U1", "2")]
    assert 'device = "U1"' in told(design, "assumed-device")[0].remedy


def test_the_manifest_names_the_device() -> None:
    design = load_table("pins", "Pin,Signal\n1,A\n", spec='device = "u3"')
    assert (list(design.boards["base"].pins), codes(design)) == ([("U3", "1")], [])


@pytest.mark.parametrize("sign", ["", "NC", "N/C", "n.c.", "-", "not connected", "nicht verbunden"])
def test_an_unused_pin_has_no_signal_however_that_is_written(sign: str) -> None:
    assert not pin(f"U1,3,{sign}").signal


def test_the_sign_of_an_unused_pin_stays_visible() -> None:
    assert pin("U1,3,NC").signal.raw == "NC"


@pytest.mark.parametrize(
    ("column", "text", "meaning"),
    [
        ("Direction", "Input", "in"),
        ("Direction", "I/O", "bidirectional"),
        ("Direction", "OD", "open drain"),
        ("Direction", "Ausgang", "out"),
        ("Active", "L", "low"),
        ("Active", "active high", "high"),
        ("Pull", "pull-up", ("up",)),
        ("Pull", "up 10k", ("up", Quantity(Decimal(10000), "Ω"))),
        ("Pull", "PD (4k7)", ("down", Quantity(Decimal(4700), "Ω"))),
        ("Pull", "none", ("none",)),
        ("Level", "3V3", Quantity(Decimal("3.3"), "V")),
        ("Series resistance", "22R", Quantity(Decimal(22), "Ω")),
        ("5V tolerant", "yes", True),
        ("5V tolerant", "no", False),
    ],
)
def test_the_words_of_a_pin_are_read_by_meaning(column: str, text: str, meaning: object) -> None:
    field = {"Series resistance": "resistance", "5V tolerant": "tolerant"}.get(column, column.lower())
    assert getattr(pin(f"U1,1,A,{text}", f"Device,Pin,Signal,{column}"), field).meaning == meaning


def test_a_word_outside_the_vocabulary_is_told_and_compares_as_text() -> None:
    design = load_table("pins", "Device,Pin,Signal,Direction\nU1,1,A,sideways\nU1,2,B,sideways\n")
    (notice,) = told(design, "unknown-word")
    assert (notice.severity, str(notice.origin), notice.found) == ("notice", "table.csv:2:4", "sideways")


def test_a_pin_named_twice_is_a_fault() -> None:
    fault = told(load_table("pins", "Device,Pin,Signal\nU1,1,A\nU1,1,B\n"), "named-twice")[0]
    assert (fault.severity, str(fault.origin)) == ("fault", "table.csv:3:2")
    assert "the first one, at table.csv:2:2, was taken" in fault.message


def test_a_pin_named_twice_with_equal_data_is_a_notice() -> None:
    assert codes(load_table("pins", "Device,Pin,Signal\nU1,1,A\nU1,1,A\n"), "fault") == []


def test_a_remark_below_the_pins_is_told_and_left_out() -> None:
    design = load_table("pins", "Device,Pin,Signal\nU1,1,A\n,see the data sheet of the maker,\n")
    assert told(design, "row-left-out")[0].origin.line == 3


def test_a_map_without_signals_takes_the_function_and_says_so() -> None:
    design = load_table("pins", "Device,Pin,Function\nU1,1,LED\n")
    assert design.boards["base"].pins["U1", "1"].signal.raw == "LED"
    assert told(design, "guessed-column")[0].origin.column == 3


# contacts and connectors


def test_contacts_stand_under_their_connectors() -> None:
    board = board_of("contacts", "Connector,Contact,Signal\nJ1,1,GND\n,2,+5V\nJ2,A1,CLK\n")
    found = {name: list(item.contacts) for name, item in board.connectors.items()}
    assert found == {"J1": ["1", "2"], "J2": ["A1"]}
    assert board.connectors["J1"].contacts["2"].name == "J1.2"


def test_the_manifest_names_the_connector_of_a_table() -> None:
    assert list(board_of("contacts", "Pin,Net\n1,GND\n", spec='connector = "J7"').connectors) == ["J7"]


def test_a_contact_without_a_connector_is_told() -> None:
    design_codes = codes(load_table("contacts", "Connector,Contact,Signal\n,1,GND\nJ1,2,A\n"))
    assert design_codes == ["row-left-out"]


def test_a_contact_that_became_a_date_is_a_fault() -> None:
    fault = told(load_table("contacts", "Connector,Contact,Signal\nJ1,1,A\nJ1,02-Apr,B\n"), "unreadable-value")[0]
    assert (fault.severity, fault.found) == ("fault", "02-Apr")
    assert "turned into a date" in fault.message


@pytest.mark.parametrize(
    ("column", "text", "field", "meaning"),
    [
        ("Contacts", "20", "count", Quantity(Decimal(20), "")),
        ("Pitch", "2.54 mm", "pitch", Quantity(Decimal("0.00254"), "m")),
        ("Pitch", "2.54", "pitch", Quantity(Decimal("0.00254"), "m")),
        ("Pitch", "0.1 in", "pitch", Quantity(Decimal("0.00254"), "m")),
        ("Pitch", "100 mil", "pitch", Quantity(Decimal("0.00254"), "m")),
        ("Gender", "socket", "gender", "female"),
        ("Gender", "pin header", "gender", "male"),
        ("Role", "stacking", "role", "joint"),
        ("Rotation", "-90°", "rotation", Quantity(Decimal(270), "°")),
        ("Rotation", "450", "rotation", Quantity(Decimal(90), "°")),
        ("Rating", "3 A", "rating", Quantity(Decimal(3), "A")),
    ],
)
def test_the_properties_of_a_connector_are_read_by_meaning(column: str, text: str, field: str, meaning: object) -> None:
    # 25.4 mm to the inch exactly: international yard and pound agreement of 1959.
    assert getattr(connector(f"J1,{text}", f"Connector,{column}"), field).meaning == meaning


@pytest.mark.parametrize(
    ("column", "text", "expected"),
    [
        ("Contacts", "many", "a whole number"),
        ("Contacts", "2.5", "a whole number"),
        ("Contacts", "-4", "a whole number"),
        ("Pitch", "wide", "a length such as 2.54 mm"),
        ("Pitch", "3 V", "a length such as 2.54 mm"),
        ("Rotation", "left", "an angle in degrees"),
    ],
)
def test_a_property_that_can_not_be_read_is_a_fault(column: str, text: str, expected: str) -> None:
    fault = told(load_table("connectors", f"Connector,{column}\nJ1,{text}\n"), "unreadable-value")[0]
    assert (fault.severity, str(fault.origin), fault.found) == ("fault", "table.csv:2:2", text)
    assert fault.expected.startswith(expected)


def both(connectors: str, contacts: str) -> Design:
    return load(
        {
            "revdiff.toml": manifest(connectors='"connectors.csv"', contacts='"contacts.csv"'),
            "connectors.csv": connectors,
            "contacts.csv": contacts,
        }
    )


@pytest.mark.parametrize("number", ["0", "5"])
def test_a_contact_that_the_connector_lacks_is_a_fault(number: str) -> None:
    design = both("Connector,Contacts\nJ1,4\n", f"Connector,Contact,Signal\nJ1,1,A\nJ1,{number},B\n")
    fault = told(design, "unknown-contact")[0]
    assert (str(fault.origin), fault.found, fault.expected) == ("contacts.csv:3:2", number, "1 to 4")
    assert "the count of J1 at connectors.csv:2:2" in fault.remedy


def test_contacts_up_to_the_count_and_shield_contacts_are_fine() -> None:
    assert codes(both("Connector,Contacts\nJ1,4\n", "Connector,Contact,Signal\nJ1,4,A\nJ1,SH,GND\n")) == []


def test_a_connector_that_its_table_lacks_is_a_fault() -> None:
    design = both("Connector,Contacts\nJ1,4\n", "Connector,Contact,Signal\nJ1,1,A\nJ9,1,B\n")
    fault = told(design, "unknown-connector")[0]
    assert (str(fault.origin), fault.found, fault.expected) == ("contacts.csv:3:1", "J9", "J1")


# firmware needs


def contract(needs: str) -> Design:
    return load(
        {
            "revdiff.toml": manifest(parts='"parts.csv"')
            + '[firmware.pump]\nneeds = "needs.csv"\nclock = "8 MHz"\n[firmware.pump.constants]\nratio = 0.25\n',
            "parts.csv": "Ref\nR1\n",
            "needs.csv": needs,
        }
    )


def test_a_contract_lists_the_signals_that_the_firmware_relies_on() -> None:
    found = contract("Signal,Pin,Active\nLED,PA5,low\nFAN,PB1,high\n").contracts["pump"]
    assert {key: need.pin.raw for key, need in found.needs.items()} == {"led": "PA5", "fan": "PB1"}
    assert found.clock.quantity == Quantity(Decimal(8_000_000), "Hz")
    assert found.constants["ratio"].quantity == Quantity(Decimal("0.25"), "")


def test_a_need_named_twice_is_a_fault() -> None:
    assert told(contract("Signal,Pin\nLED,PA5\nLED,PA6\n"), "named-twice")[0].origin.line == 3


# joints


def joined(joints: str, files: dict[str, str] | None = None) -> Design:
    boards = "".join(f'[boards.{name}]\ncontacts = "{name}.csv"\n' for name in ("base", "radio"))
    table = "Connector,Contact,Signal\nJ1,1,A\nJ1,2,B\n"
    return load({"revdiff.toml": joints + boards, "base.csv": table, "radio.csv": table + "\n", **(files or {})})


ENTRY = '\n[[joints]]\na = "base.{}"\nb = "radio.{}"\ncontacts = {}\n'


def in_manifest(a: str, b: str, contacts: str = '"same"') -> Design:
    boards = "".join(f'[boards.{name}]\ncontacts = "{name}.csv"\n' for name in ("base", "radio"))
    table = "Connector,Contact,Signal\nJ1,1,A\nJ1,2,B\n"
    return load({"revdiff.toml": boards + ENTRY.format(a, b, contacts), "base.csv": table, "radio.csv": table})


def test_a_joint_pairs_the_contacts_of_two_connectors() -> None:
    joint = in_manifest("J1", "J1", "{ 1 = 2, 2 = 1 }").joints[0]
    assert [joint.mate(number, 2) for number in ("1", "2", "3")] == ["2", "1", None]


def test_joints_may_be_a_table() -> None:
    table = "Board A,Connector A,Board B,Connector B,Contacts,Screw\nbase,J1,radio,J1,mirrored,M3\n"
    joint = joined('joints = "joints.csv"\n', {"joints.csv": table}).joints[0]
    assert (joint.name, joint.contacts, str(joint.origin)) == ("base.J1–radio.J1", "mirrored", "joints.csv:2:2")
    assert joint.extra[0][1].raw == "M3"


@pytest.mark.parametrize(
    ("design", "code", "found"),
    [
        (lambda: in_manifest("J9", "J1"), "unknown-connector", "base.J9"),
        (lambda: in_manifest("J1", "J1", "{ 1 = 9 }"), "unknown-contact", "9"),
        (
            lambda: joined(
                'joints = "j.csv"\n',
                {"j.csv": "Board A,Connector A,Board B,Connector B\nbase,J1,lamp,J1\n"},
            ),
            "unknown-board",
            "lamp",
        ),
        (
            lambda: joined(
                'joints = "j.csv"\n',
                {"j.csv": "Board A,Connector A,Board B,Connector B,Contacts\nbase,J1,radio,J1,crossed\n"},
            ),
            "wrong-joint",
            "base J1 radio J1 crossed",
        ),
    ],
    ids=["connector", "contact", "board", "order"],
)
def test_a_joint_that_names_what_is_not_there_is_a_fault(design: object, code: str, found: str) -> None:
    try:
        diagnostics = design().diagnostics  # type: ignore[operator]
    except Exception as fault:
        diagnostics = fault.diagnostics  # type: ignore[attr-defined]
    assert [item.found for item in diagnostics if item.code == code] == [found]


SHIELDED = "Connector,Pin,Net,Remark\nJ1,1,+5V,\nJ1,2,GND,\n"


def _contacts(rows: str) -> tuple[dict[str, str], list[str]]:
    design = load_table("contacts", SHIELDED + rows)
    contacts = design.boards["base"].connectors["J1"].contacts
    return {number: item.signal.raw for number, item in contacts.items()}, codes(design)


def test_several_pads_of_one_number_are_one_contact_with_its_pads_counted() -> None:
    design = load_table("contacts", SHIELDED + "J1,SH,SHIELD,left\nJ1,SH,SHIELD,right\nJ1,SH,SHIELD,\n")
    contact = design.boards["base"].connectors["J1"].contacts["SH"]
    assert (contact.signal.raw, contact.note.raw) == ("SHIELD", "left; right")
    assert {name: item.raw for name, item in contact.extra} == {"Pads": "3"}
    assert codes(design, "fault") == []


def test_the_order_of_their_rows_does_not_matter() -> None:
    rows = ["J1,SH,SHIELD,left\n", "J1,SH,SHIELD,right\n", "J1,SH,CHASSIS,tab\n"]
    found = [load_table("contacts", SHIELDED + "".join(order)) for order in (rows, rows[::-1])]
    one, two = (design.boards["base"].connectors["J1"].contacts for design in found)
    assert {name: one[name] for name in sorted(one)} == {name: two[name] for name in sorted(two)}


def test_pads_of_one_name_on_two_nets_are_two_contacts() -> None:
    contacts, said = _contacts("J1,SH,GND,\nJ1,SH,CHASSIS,\n")
    assert contacts == {"1": "+5V", "2": "GND", "SH": "CHASSIS", "SH (2)": "GND"}
    assert said == ["pads-on-two-nets"]


def test_a_plain_number_on_two_nets_is_a_fault() -> None:
    contacts, said = _contacts("J1,2,+3V3,\n")
    assert contacts == {"1": "+5V", "2": "GND"}
    assert said == ["named-twice"]


@pytest.mark.parametrize(
    ("rows", "level"),
    [("J1,3,VBUS,5 V\nJ1,3,VBUS,3.3 V\n", "named-twice"), ("J1,3,VBUS,5 V\nJ1,3,VBUS,5.0V\n", "repeated-row")],
    ids=["another level", "the same"],
)
def test_pads_of_one_number_that_contradict_each_other_are_a_fault(rows: str, level: str) -> None:
    design = load_table("contacts", "Connector,Pin,Net,Level\nJ1,1,GND,\n" + rows)
    assert codes(design) == [level]


def test_thermal_pads_of_a_chip_are_one_pin() -> None:
    table = "Pin,Name,Net,Remark\n32,PA0,LED,\n33,EP,GND,centre\n33,EP,GND,corner\n33,EP,GND,corner\n"
    design = load_table("pins", table)
    pin = design.boards["base"].pins["U1", "33"]
    assert (pin.signal.raw, pin.note.raw, {name: item.raw for name, item in pin.extra}) == (
        "GND",
        "centre; corner",
        {"Pads": "3"},
    )
    assert codes(design, "fault") == []


def test_pads_are_no_contacts_of_a_header() -> None:
    connector = load_table("contacts", SHIELDED + "J1,MP,GND,\n").boards["base"].connectors["J1"]
    assert connector.size == 2
