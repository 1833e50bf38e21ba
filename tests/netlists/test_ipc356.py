"""Netlists after IPC-D-356 and IPC-D-356A: nets, aliases, parts and pins, continuations, images, the end.

Published sources: application note AN40 "IPC-D-356A Netlist Format" (23 pages) and "IPC-D-356 Simplified"
(R. Nedbal, 6 pages). Files and names are our own; what the notes say stands beside each check.
"""

from __future__ import annotations

import pytest

from revdiff.errors import DataFault
from revdiff.readers.faults import Faults
from revdiff.readers.ipc356 import read_ipc356
from revdiff.readers.ipc356_lines import MAX_LINES
from revdiff.readers.netlist import MAX_BYTES, MAX_FAULTS
from tests.netlists.writing import Told, file356, nets, read356, record

# Nets


def test_isolated_points_are_each_on_no_net() -> None:
    # AN40: N/C marks an isolated single point; two of them are two nets.
    netlist, told = read356(file356(record("N/C", "U1", "1"), record("N/C", "U1", "2"), record("n/c", "U1", "3")))
    assert [item.net for item in netlist.terminals] == ["", "", ""]
    assert (netlist.nets, told) == ({}, [])


def test_a_blank_net_is_told_and_joins_nothing() -> None:
    netlist, told = read356(file356(record("", "U1", "1"), record("", "U1", "2")))
    assert netlist.nets == {}
    assert told == [("notice", "unnamed-net", 3, 4)]


@pytest.mark.parametrize("written", ["NNAME7     ", "NNAME 7    ", "nname7     ", "NNAME7 "])
def test_aliases_give_the_full_name_wherever_they_stand(written: str) -> None:
    netlist, told = read356(file356(record("NNAME7", "U1", "1"), f"P  {written}SENSOR 3 CHIP SELECT"))
    assert told == []
    assert nets(netlist) == {"SENSOR 3 CHIP SELECT": ["U1.1"]}


def test_the_alias_stands_in_columns_9_to_13_and_the_name_from_column_15() -> None:
    netlist, told = read356(file356("P  NNAME12345 A_NAME_THAT_IS_LONG", record("NNAME12345", "U1", "1")))
    assert told == []
    assert list(netlist.nets) == ["A_NAME_THAT_IS_LONG"]


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        (["P  NNAME1 A_LONG_NAME_A", "P  NNAME1 A_LONG_NAME_B"], [("fault", "repeated-alias", 4, 9)]),
        (["P  NNAME1 A_LONG_NAME_A", "P  NNAME2 A_LONG_NAME_A"], [("fault", "repeated-alias", 4, 9)]),
        (["P  NNAME1 A_LONG_NAME_A", "P  NNAME1 A_LONG_NAME_A"], []),
        (["P  NNAME1 A_LONG_NAME_A", "P  NNAME2 A_LONG_NAME_B"], []),
        (["P  NNAME1"], [("fault", "unreadable-record", 3, 9)]),
    ],
)
def test_each_alias_has_one_name(lines: list[str], expected: Told) -> None:
    assert read356(file356(*lines, record("GND", "U1", "1")))[1] == expected


def test_an_alias_without_a_name_is_a_fault() -> None:
    netlist, told = read356(file356(record("NNAME9", "U1", "1"), record("NNAME9", "U1", "2")))
    assert told == [("fault", "unknown-alias", 3, 4)]
    assert nets(netlist) == {"NNAME9": ["U1.1", "U1.2"]}


def test_names_that_fill_their_columns_may_have_been_cut() -> None:
    lines = [
        record("SENSOR_SUPPLY_", "U1", "1"),
        record("SENSOR_SUPPLY_", "U1", "2"),
        record("THIRTEEN_LONG", "U1", "3"),
    ]
    assert read356(file356(*lines))[1] == [("notice", "cut-net-name", 3, 4)]
    # Where long names have aliases, a name of 14 characters is whole.
    assert read356(file356("P  NNAME1 SENSOR_SUPPLY_LEFT", *lines))[1] == []


def test_a_name_that_runs_over_its_columns_is_read_whole_and_told() -> None:
    netlist, told = read356(file356(record("SENSOR_SUPPLY_LEF", "U1", "1")))
    assert list(netlist.nets) == ["SENSOR_SUPPLY_LEF"]
    assert told == [("notice", "wide-net-name", 3, 4)]


def test_nets_that_differ_in_nothing_but_case_are_told() -> None:
    netlist, told = read356(file356(record("Reset", "U1", "1"), record("RESET", "U1", "2")))
    assert list(netlist.nets) == ["Reset", "RESET"]
    assert told == [("notice", "net-names-alike", 4, 4)]


# Parts and pins


def test_vias_are_no_terminals() -> None:
    netlist, told = read356(file356(record("GND", "VIA"), record("GND", "via", mid=True), record("GND", "U1", "1")))
    assert (nets(netlist), told) == ({"GND": ["U1.1"]}, [])


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        # The same pin on two nets, whether its name may have been cut (6 and 4 characters) or not.
        (("GND", "CONNEC", "1", 0), ("VCC", "CONNEC", "1", 5), [("fault", "terminal-clash", 4, 21)]),
        (("GND", "J1", "A123", 0), ("VCC", "J1", "A123", 5), [("fault", "terminal-clash", 4, 21)]),
        (("GND", "J1", "1", 0), ("VCC", "J1", "1", 5), [("fault", "terminal-clash", 4, 21)]),
        (("GND", "J1", "1", 0), ("N/C", "J1", "1", 5), [("fault", "terminal-clash", 4, 21)]),
        # On one net they are several pads of one pin, or pins that the cut made one.
        (("GND", "J1", "1", 0), ("GND", "J1", "1", 5), []),
        (("GND", "CONNEC", "1", 0), ("GND", "CONNEC", "1", 5), [("notice", "cut-designator", 4, 21)]),
        (("GND", "CONNEC", "1", 0), ("GND", "CONNEC", "1", 0), []),
    ],
)
def test_a_pin_named_twice(first: tuple[str, str, str, int], second: tuple[str, str, str, int], expected: Told) -> None:
    netlist, told = read356(file356(record(*first), record(*second)))
    assert told == expected
    assert [item.net for item in netlist.terminals] == ["GND"]


def test_a_pin_without_a_part_is_a_fault() -> None:
    assert read356(file356(record("GND", "", "1"), record("GND", "U1", "1")))[1] == [
        ("fault", "misplaced-column", 3, 21)
    ]


def test_copper_without_a_part_is_no_terminal() -> None:
    netlist, told = read356(file356(record("GND"), record("GND", "U1", "1")))
    assert (nets(netlist), told) == ({"GND": ["U1.1"]}, [])


@pytest.mark.parametrize("order", [("GND", "SHIELD"), ("SHIELD", "GND")])
def test_named_pads_on_two_nets_are_two_terminals_whatever_their_order(order: tuple[str, str]) -> None:
    netlist, told = read356(file356(*(record(net, "J1", "SH", x=place) for place, net in enumerate(order))))
    assert nets(netlist) == {net: [f"J1.SH{' (2)' * (net == 'SHIELD')}"] for net in order}
    assert [item[:2] for item in told] == [("notice", "pads-on-two-nets")]


def test_bare_numbers_of_aliases_stand_for_the_nets_where_no_record_writes_nname() -> None:
    netlist, told = read356(
        file356("P  NNAME12    SENSOR_SUPPLY_LEFT", record("12", "U1", "1"), record("GND", "U1", "2"))
    )
    assert (nets(netlist), told) == ({"SENSOR_SUPPLY_LEFT": ["U1.1"], "GND": ["U1.2"]}, [])
    netlist, _ = read356(
        file356("P  NNAME12    SENSOR_SUPPLY_LEFT", record("12", "U1", "1"), record("NNAME12", "U1", "2"))
    )
    assert nets(netlist) == {"12": ["U1.1"], "SENSOR_SUPPLY_LEFT": ["U1.2"]}


def test_hole_access_and_mask_are_kept() -> None:
    # The lines are those of reference for AN40's columns 33 to 41 and 73 to 74, checked by slicing.
    lines = (
        "317GND              J1    -1    D0400PA00X+023000Y+012000X0600Y0600     S0",
        "327SPI_SCK          U3    -21         A01X-001250Y+098765X0300Y1500R090 S3",
        "367N/C              MH1   -1    D1250UA00X+005000Y+005000",
        "317GND              J1    -2    D04X0PA00X+023000Y+012000X0600Y0600     S0",
    )
    netlist, told = read356(file356(*lines))
    pads = {item.name: (item.pad.hole, item.pad.access, item.pad.mask) for item in netlist.terminals}
    assert pads == {
        "J1.1": ("1.016 mm plated", "A00", "S0"),
        "U3.21": ("", "A01", "S3"),
        "MH1.1": ("3.175 mm unplated", "A00", ""),
        "J1.2": ("04X0 plated", "A00", "S0"),
    }
    assert told == []


# Continuations, other records, images, the end


@pytest.mark.parametrize("operation", ["017", "027"])
def test_a_continuation_belongs_to_the_node_above(operation: str) -> None:
    netlist, told = read356(
        file356(
            record("GND", "U1", "1"),
            record("", "", "", 9, 9, operation=operation),
            record("", "U1", "2", operation=operation),
            record("VCC", "U1", "3"),
        )
    )
    assert (nets(netlist), told) == ({"GND": ["U1.1", "U1.2"], "VCC": ["U1.3"]}, [])


def test_a_continuation_that_contradicts_the_node_above_is_a_fault() -> None:
    netlist, told = read356(file356(record("GND", "U1", "1"), record("VCC", "U1", "2", operation="017")))
    assert told == [("fault", "contradiction", 4, 4)]
    assert nets(netlist) == {"GND": ["U1.1", "U1.2"]}


def test_a_continuation_of_nothing_is_a_fault_and_that_of_a_faulty_record_is_left_out() -> None:
    assert read356(file356(record("", operation="017"), record("GND", "U1", "1")))[1] == [
        ("fault", "unreadable-record", 3, 1)
    ]
    broken = record("GND", "U1", "1")[:46]
    _, told = read356(file356(record("GND", "U1", "9"), broken, record("", "U1", "2", operation="017")))
    assert told == [("fault", "misplaced-column", 4, 44)]


@pytest.mark.parametrize(
    "operation",
    ["099", "088", "309", "370", "070", "380", "080", "378", "078", "379", "079", "389", "089", "390", "090"],
)
def test_records_that_name_no_terminal_are_passed_over(operation: str) -> None:
    netlist, told = read356(file356(record("GND", "U1", "1"), f"{operation}GND              X+001000 something else"))
    assert (nets(netlist), told) == ({"GND": ["U1.1"]}, [])


def test_a_blind_via_is_read_as_a_test_record() -> None:
    netlist, _ = read356(file356(record("GND", "U1", "1", operation="307").ljust(74) + "L01L04"))
    assert nets(netlist) == {"GND": ["U1.1"]}


def test_comments_and_blank_lines_say_nothing_and_tabs_in_them_hurt_nobody() -> None:
    netlist, told = read356(file356("C  a comment\twith a tab", "", "   ", "c", record("GND", "U1", "1")))
    assert (len(netlist.terminals), told) == (1, [])


def test_records_of_unknown_kinds_are_told_once() -> None:
    _, told = read356(file356(record("GND", "U1", "1"), "555 something", "444 else", "555 again"))
    assert told == [("notice", "unknown-record", 4, 1)]


def test_lines_that_are_no_records_are_faults_each() -> None:
    _, told = read356(file356("hello", record("GND", "U1", "1"), " 317GND"))
    assert told == [("fault", "unreadable-record", 3, 1), ("fault", "unreadable-record", 5, 1)]


def test_the_board_itself_is_taken_from_the_images() -> None:
    netlist, told = read356(
        file356(
            "P  IMAGE PRIMARY",
            record("GND", "U1", "1"),
            "P  IMAGE 1",
            record("VCC", "U1", "1"),
            "P  IMAGE PANEL",
            record("N/C", "MH1", "1", operation="367"),
        )
    )
    assert nets(netlist) == {"GND": ["U1.1"]}
    assert told == [("notice", "image-left-out", 6, 0), ("notice", "image-left-out", 8, 0)]


def test_the_primary_image_is_the_board_wherever_it_stands() -> None:
    netlist, _ = read356(file356("P  IMAGE 1", record("VCC", "U1", "1"), "P  IMAGE PRIMARY", record("GND", "U1", "1")))
    assert nets(netlist) == {"GND": ["U1.1"]}


def test_without_a_primary_image_the_first_one_is_the_board() -> None:
    netlist, _ = read356(file356("P  IMAGE PANEL", record("VCC", "U1", "1"), "P  IMAGE 1", record("GND", "U1", "1")))
    assert nets(netlist) == {"GND": ["U1.1"]}


def test_what_stands_after_the_end_is_left_out_and_told() -> None:
    netlist, told = read356(file356(record("GND", "U1", "1")) + b"\n" + record("VCC", "U1", "2").encode() + b"\nmore\n")
    assert nets(netlist) == {"GND": ["U1.1"]}
    assert told == [("notice", "records-after-end", 6, 1)]


def test_a_file_without_its_end_may_be_cut_short() -> None:
    _, told = read356(file356(record("GND", "U1", "1")).replace(b"999\n", b""))
    assert told == [("notice", "missing-end", 3, 0)]


def test_title_and_job() -> None:
    assert read356(file356("P  TITLE Pump board, rev C", record("GND", "U1", "1")))[0].title == "Pump board, rev C"
    assert read356(file356(record("GND", "U1", "1")))[0].title == "TEST"


def test_all_faults_are_told_at_once() -> None:
    _, told = read356(
        file356(
            "what", record("GND", "J1", "1")[:46], record("NNAME3", "J1", "2"), record("VCC", "J1", "2"), units="MM"
        )
    )
    assert [(code, line) for _, code, line, _ in told] == [
        ("unknown-units", 2),
        ("unreadable-record", 3),
        ("misplaced-column", 4),
        ("unknown-alias", 5),
        ("terminal-clash", 6),
    ]


# Files that are none


def test_a_file_without_terminals_is_a_fault() -> None:
    assert read356(file356())[1] == [("fault", "empty-netlist", 1, 0)]


@pytest.mark.parametrize("data", [b"P  JOB\0", "P  UNITS SI\n".encode("utf-16")])
def test_what_is_no_text_is_refused(data: bytes) -> None:
    with pytest.raises(DataFault, match=r"^board\.ipc: found zero bytes"):
        read356(data)


def test_a_file_that_is_too_large_is_refused() -> None:
    with pytest.raises(DataFault, match=r"expected 32 MiB at most"):
        read356(b" " * (MAX_BYTES + 1))
    with pytest.raises(DataFault, match=rf"^board\.ipc:{MAX_LINES + 1}: found more than"):
        read356(b"\n" * (MAX_LINES + 1))


def test_the_faults_of_a_file_of_another_format_end_somewhere() -> None:
    faults = Faults()
    read_ipc356(b"hello\n" * 10_000, "board.ipc", faults)
    assert [item.code for item in faults.found] == ["unreadable-record"] * MAX_FAULTS + ["too-many-faults"]


def test_clashes_end_somewhere_too() -> None:
    pairs = [record(net, "U1", str(pin)) for pin in range(MAX_FAULTS + 50) for net in ("GND", "VCC")]
    codes = [code for _, code, _, _ in read356(file356(*pairs))[1]]
    assert codes == ["terminal-clash"] * MAX_FAULTS + ["too-many-faults"]
