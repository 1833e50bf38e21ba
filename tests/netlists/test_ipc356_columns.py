"""The fixed columns of IPC-D-356 and IPC-D-356A: units, places, ends of fields, and lines that keep to none of it.

Published sources: application note AN40 "IPC-D-356A Netlist Format" (23 pages) and "IPC-D-356 Simplified"
(R. Nedbal, 6 pages). The lines are our own; what the notes say stands beside each check.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from revdiff.readers.ipc356_record import Misplaced, read_fields, read_record
from tests.netlists.writing import file356, nets, read356, record

# The columns of AN40, in both kinds of pads, with each field filled.
WORKED = b"""\
P  JOB   DEMO
P  UNITS CUST 0
P  NNAME1     LONG_NET_NAME_OVER_14
317GND              J1    -1    D0400PA00X+023000Y+012000X0600Y0600     S0
327SPI_SCK          U3    -21         A01X-001250Y+098765X0300Y1500R090 S3
317NNAME1           VIA        MD0150PA00X+006400Y+062000X0620
367N/C              MH1   -1    D1250UA00X+005000Y+005000
327N/C              U3    -7          A02X+006000Y+006000X0100Y0200
317NNAME1           U3    -8   MD0150PA00X+006400Y+062000X0620
999
"""


def test_fixed_columns_give_net_part_pin_and_place() -> None:
    netlist, told = read356(WORKED)
    found = [(item.name, item.net, item.x, item.y, item.mid) for item in netlist.terminals]
    millimetre = Decimal("0.001")
    assert found == [
        # CUST 0 is in steps of 0.0001 inch (AN40, parameter UNITS); 2.3000 in = 58.420 mm.
        ("J1.1", "GND", Decimal("58.420") * millimetre, Decimal("30.480") * millimetre, False),
        ("U3.21", "SPI_SCK", Decimal("-3.175") * millimetre, Decimal("250.8631") * millimetre, False),
        ("MH1.1", "", Decimal("12.7") * millimetre, Decimal("12.7") * millimetre, False),
        ("U3.7", "", Decimal("15.24") * millimetre, Decimal("15.24") * millimetre, False),
        ("U3.8", "LONG_NET_NAME_OVER_14", Decimal("16.256") * millimetre, Decimal("157.48") * millimetre, True),
    ]
    assert told == []


def test_a_terminal_knows_its_line_and_the_columns_of_its_fields() -> None:
    origin = read356(WORKED)[0].terminals[1].origin
    assert (origin.file, origin.line, origin.column) == ("board.ipc", 5, 4)
    assert [origin.of(name).column for name in ("signal", "device", "pin")] == [4, 21, 28]


@pytest.mark.parametrize(
    ("units", "step"),
    [
        # AN40, parameter UNITS: CUST 0 is 0.0001 inch, CUST 1 and SI are 0.001 mm.
        ("CUST 0", "2.54e-6"),
        ("CUST", "2.54e-6"),
        ("cust 0", "2.54e-6"),
        ("CUST 1", "1e-6"),
        ("SI", "1e-6"),
    ],
)
def test_units(units: str, step: str) -> None:
    netlist, told = read356(file356(record("GND", "J1", "1", 23000, -12000), units=units))
    terminal = netlist.terminals[0]
    assert (terminal.x, terminal.y) == (23000 * Decimal(step), -12000 * Decimal(step))
    assert (netlist.units, told) == (units.upper(), [])


@pytest.mark.parametrize("units", ["CUST 2", "CUST 3", "INCH", "MM", ""])
def test_units_on_which_published_descriptions_disagree_are_a_fault_and_give_no_places(units: str) -> None:
    netlist, told = read356(file356(record("GND", "J1", "1"), units=units))
    assert told == [("fault", "unknown-units", 2, 10)]
    assert [(item.net, item.x) for item in netlist.terminals] == [("GND", None)]


def test_a_missing_unit_is_a_fault_and_not_a_guess() -> None:
    netlist, told = read356((record("GND", "J1", "1", 23000) + "\n999\n").encode())
    assert told == [("fault", "missing-units", 1, 0)]
    assert netlist.terminals[0].x is None


def test_a_second_unit_is_a_fault() -> None:
    netlist, told = read356(file356("P  UNITS SI", record("GND", "J1", "1", 10000)))
    assert told == [("fault", "repeated-units", 3, 10)]
    assert netlist.terminals[0].x == Decimal("0.0254")


@pytest.mark.parametrize(
    ("column", "text", "net", "pin"),
    [
        (17, "N", "GND          N", "J1.1"),  # the last column of the net
        (26, "9", "GND", "J1   9.1"),  # the last column of the designator
        (31, "9", "GND", "J1.1  9"),  # the last column of the pin
    ],
)
def test_the_ends_of_fields(column: int, text: str, net: str, pin: str) -> None:
    line = record("GND", "J1", "1")
    netlist, _ = read356(file356(line[: column - 1] + text + line[column:]))
    assert [(item.net, item.name) for item in netlist.terminals] == [
        (" ".join(net.split()), " ".join(pin.split())),
    ]


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("X+000012", 12),
        ("X 000012", 12),  # a blank sign is plus
        ("X-000012", -12),
        ("X+    12", 12),  # leading zeros may be blank
        ("X-    12", -12),
        ("X+      ", 0),
        ("x+000012", 12),
    ],
)
def test_coordinates(text: str, value: int) -> None:
    line = record("GND", "J1", "1", None, 0)
    netlist, told = read356(file356(line[:41] + text + line[49:], units="SI"))
    assert told == []
    assert netlist.terminals[0].x == value * Decimal("1e-6")


@pytest.mark.parametrize(
    ("column", "text", "at"),
    [
        (18, "X", 18),  # columns 18 to 20 are blank
        (27, "1", 27),  # a dash before the pin
        (32, "x", 32),  # M or blank
        (42, "+", 42),
        (43, "x", 43),
        (46, "x", 44),
        (49, " ", 44),  # digits that end early are digits lost
        (50, "X", 50),
        (57, "A", 52),
    ],
)
def test_a_wrong_column_is_a_fault_there(column: int, text: str, at: int) -> None:
    line = record("GND", "J1", "1", 123456, 123456)
    netlist, told = read356(file356(line[: column - 1] + text + line[column:], record("GND", "J1", "2")))
    assert told == [("fault", "misplaced-column", 3, at)]
    assert nets(netlist) == {"GND": ["J1.2"]}


@pytest.mark.parametrize("end", [31, 32, 41, 57, 71])
def test_short_lines_say_what_they_say(end: int) -> None:
    netlist, told = read356(file356(record("GND", "J1", "1", 7, 7)[:end]))
    assert told == []
    assert nets(netlist) == {"GND": ["J1.1"]}
    assert (netlist.terminals[0].y is not None) == (end >= 57)


@pytest.mark.parametrize(("end", "at"), [(46, 44), (49, 50), (55, 52)])
def test_lines_that_end_within_a_place_are_a_fault(end: int, at: int) -> None:
    _, told = read356(file356(record("GND", "J1", "1", 7, 7)[:end], record("GND", "J1", "2")))
    assert told == [("fault", "misplaced-column", 3, at)]


def test_lines_may_be_longer_than_80_columns_and_in_lower_case() -> None:
    line = record("gnd", "j1", "a1", 7, 7).lower().ljust(90) + "more"
    netlist, told = read356(file356(line).replace(b"P  UNITS CUST", b"p  units cust"))
    assert told == []
    assert nets(netlist) == {"gnd": ["J1.A1"]}


@pytest.mark.parametrize("ending", ["\r\n", "\r", "\n"])
def test_line_ends_and_a_byte_order_mark(ending: str) -> None:
    data = b"\xef\xbb\xbf" + file356(record("GND", "J1", "1"), "").replace(b"\n", ending.encode())
    netlist, told = read356(data + b"\x1a")
    assert told == []
    assert netlist.terminals[0].origin.line == 3


def test_a_tab_is_refused_with_its_column() -> None:
    line = record("GND", "J1", "1")
    netlist, told = read356(file356(line.replace("GND     ", "GND\t"), record("VCC", "J1", "2")))
    assert told == [("fault", "tab-in-record", 3, 7)]
    assert nets(netlist) == {"VCC": ["J1.2"]}


def test_control_characters_are_refused() -> None:
    _, told = read356(file356(record("GND\x1b[2J", "J1", "1"), record("VCC", "J1", "2")))
    assert told == [("fault", "control-character", 3, 7)]


def test_letters_beyond_ascii_count_as_one_column_and_are_told() -> None:
    line = record("µ_RESET", "J1", "1", 5, 5)
    for encoding in ("utf-8", "latin-1"):
        netlist, told = read356(file356("@").replace(b"@", line.encode(encoding)))
        assert nets(netlist) == {"µ_RESET": ["J1.1"]}
        assert told == [("notice", "not-ascii", 3, 1)]


FIELDS = st.tuples(
    st.text("AN0 /é~", max_size=15).map(lambda text: text.ljust(14)),
    st.sampled_from(["   ", "  X"]),
    st.text("UuR1 ", max_size=6).map(lambda text: text.ljust(6)),
    st.sampled_from("- x"),
    st.text("a1 ", max_size=4).map(lambda text: text.ljust(4)),
    st.sampled_from(["M", "m", " ", "?"]),
    st.sampled_from(["D0400PA00", "      A01", " " * 9]),
    st.sampled_from(["X+023000", "X-000001", "X    600", "x+000100", "X+02300", " " * 8]),
    st.sampled_from(["Y+012000", "Y-000001", "Y  +0600", " " * 8, "Y+01200é"]),
    st.sampled_from(["", "X0600Y0600     S0", "X0600Y0600     S0 and more", "X0600"]),
)


@given(FIELDS)
def test_a_usual_record_says_the_same_as_its_fields_one_by_one(fields: tuple[str, ...]) -> None:
    line = "317" + "".join(fields)
    results = []
    for read in (read_record, read_fields):
        try:
            results.append(repr(read(line)))
        except Misplaced as error:
            results.append(f"{error.column} {error.found} {error.expected}")
    assert results[0] == results[1]
