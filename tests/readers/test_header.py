"""Which row is the header, and which column is which field. Column names are common practice, no source."""

from __future__ import annotations

import pytest

from revdiff.design import PartData
from revdiff.design.diagnostic import FaultyDesign
from revdiff.readers.columns import CONTACTS, PARTS, PINS, match_header
from tests.readers.memory import board_of, codes, load_table, told, values


@pytest.mark.parametrize(
    ("header", "field"),
    [
        ("Designator", "designator"),
        ("REF_DES", "designator"),
        ("Reference(s)", "designator"),
        ("Qty.", "quantity"),
        ("Quantity per PCB", "quantity"),
        ("Footprint", "package"),
        ("Manufacturer Part-Number", "part_number"),
        ("MPN", "part_number"),
        ("MPN 1", "part_number"),
        ("MPN 2", "part_number_2"),
        ("Manufacturer 3", "manufacturer_3"),
        ("DNP", "not_fitted"),
        ("Unit Price", "cost"),
        ("Bezeichner", "designator"),
        ("Menge", "quantity"),
        ("Gehäuse", "package"),
        ("Bestückt", "fitted"),
        ("Repère", "designator"),
        ("Qté", "quantity"),
        ("Boîtier", "package"),
        ("Référence fabricant", "part_number"),
        ("Referencia", "designator"),
        ("Cantidad", "quantity"),
        ("Número de parte", "part_number"),
        ("位号", "designator"),
        ("数量", "quantity"),
        ("封装", "package"),
        ("Colour", ""),
    ],
)
def test_a_header_of_a_parts_list_is_known(header: str, field: str) -> None:
    assert match_header(header, PARTS)[0] == field


@pytest.mark.parametrize(
    ("kind", "header", "field"),
    [
        (PINS, "Pin No.", "pin"),
        (PINS, "GPIO", "port"),
        (PINS, "Net name", "signal"),
        (PINS, "I/O", "direction"),
        (PINS, "信号", "signal"),
        (PINS, "Richtung", "direction"),
        (CONTACTS, "Pin", "contact"),
        (CONTACTS, "Kontakt", "contact"),
        (CONTACTS, "Señal", "signal"),
    ],
)
def test_a_header_of_a_pin_or_contact_table_is_known(kind: object, header: str, field: str) -> None:
    assert match_header(header, kind)[0] == field  # type: ignore[arg-type]


def test_a_unit_in_the_header_is_that_of_bare_numbers_below_it() -> None:
    parts = board_of("parts", "Designator,Value,Voltage (V),Cost [EUR]\nC1,10u,16,0.02\nC2,10u,0.5 kV,0.03\n").parts
    assert parts["C1"].data.voltage == board_of("parts", "Ref,Voltage\nC1,16 V\n").parts["C1"].data.voltage
    assert str(parts["C2"].data.voltage.quantity.magnitude) == "500"  # type: ignore[union-attr]
    assert parts["C1"].data.currency.raw == "EUR"


def test_lines_before_the_header_are_passed_over() -> None:
    table = "Parts list of board base\nRevision,B,Date,2024-03-01\n\nReference,Value\n\nR1,4k7\n"
    board = board_of("parts", table)
    assert (board.parts["R1"].data.value.raw, board.parts["R1"].origin.line) == ("4k7", 6)


def test_lines_after_the_data_are_told_and_left_out() -> None:
    table = 'Reference,Value,Package\nR1,4k7,0805\n\nTotal: 1 part,,\n"Checked by hand, see notes",,\nEND,,\n'
    design = load_table("parts", table)
    assert list(design.boards["base"].parts) == ["R1"]
    assert [item.origin.line for item in told(design, "remark-row")] == [4, 5, 6]


def test_a_header_repeated_on_a_new_page_is_no_row() -> None:
    design = load_table("parts", "Reference,Value\nR1,4k7\nReference,Value\nR2,10k\n")
    assert (list(design.boards["base"].parts), codes(design)) == (["R1", "R2"], [])


def test_the_manifest_says_where_the_header_is_and_where_the_table_ends() -> None:
    table = "Reference,Value\nR9,1k\nReference,Value\nR1,4k7\nR2,10k\nR3 obsolete,1k,old\n"
    assert set(values(table, spec="header_row = 3, last_row = 5")) == {"R1", "R2"}


def test_the_manifest_says_which_column_is_which() -> None:
    table = "Pos,Wert,Typ,Value\nR1,4k7,AB1,ignored\n"
    part = board_of("parts", table, spec='columns = { value = "Wert", part_number = "Typ" }').parts["R1"]
    assert (part.data.value.raw, part.data.part_number.raw) == ("4k7", "AB1")
    assert dict(part.data.extra)["Value"].raw == "ignored"


def test_the_manifest_gives_positions_where_there_is_no_header() -> None:
    board = board_of("parts", "4k7,x,R1\n10k,y,R2\n", spec="header = false, columns = { value = 1, designator = 3 }")
    assert {ref: part.data.value.raw for ref, part in board.parts.items()} == {"R1": "4k7", "R2": "10k"}
    assert board.parts["R1"].origin.of("value").column == 1
    assert dict(board.parts["R1"].data.extra)["column 2"].raw == "x"


@pytest.mark.parametrize(
    ("table", "spec", "code", "says"),
    [
        ("", "", "empty-table", "the parts list is empty"),
        ("\n\n,,\n", "", "empty-table", "the parts list is empty"),
        ("Designator,Value\n", "", "empty-table", "has a header but no rows"),
        ("Designator,Value\n,4k7\n", "", "empty-table", "names no parts"),
        ("alpha,beta\n1,2\n", "", "no-header", 'columns = { designator = "..." }'),
        ("Value,Package\n4k7,0805\n", "", "missing-column", 'columns = { designator = "..." }'),
        ("Designator\nR1\n", "header_row = 9", "no-header", "no cells in row 9"),
        ("Designator,Wert\nR1,1\n", "columns = { value = 'Nennwert' }", "missing-column", "has a column 'Nennwert'"),
    ],
)
def test_a_table_without_header_or_rows_is_told(table: str, spec: str, code: str, says: str) -> None:
    try:
        diagnostics = load_table("parts", table, spec=spec).diagnostics
    except FaultyDesign as fault:
        diagnostics = fault.diagnostics
    found = [item for item in diagnostics if item.code == code]
    assert found
    assert found[0].severity == "fault"
    assert says in str(found[0])


@pytest.mark.parametrize(
    ("table", "column"),
    [
        ("Designator,Value,Package\n,R1,10k,SO-8\n,R2,22k,SO-8\n", 2),
        (",Designator,Value,Package\nR1,10k,SO-8\nR2,22k,SO-8\n", 1),
    ],
)
def test_a_header_one_column_off_its_data_is_moved_and_told(table: str, column: int) -> None:
    design = load_table("parts", table)
    part = design.boards["base"].parts["R2"]
    assert (part.data.value.raw, part.data.package.raw, part.origin.column) == ("22k", "SO-8", column)
    assert "columns = { designator" in told(design, "shifted-header")[0].remedy


def test_a_header_above_its_data_is_not_moved() -> None:
    assert "shifted-header" not in codes(load_table("parts", ",Designator,Value\n,R1,10k\n"))


def test_designators_under_another_word_are_found_by_sight_and_told() -> None:
    design = load_table("parts", "Part,Value,Package\nR1,10k,SO-8\nC1,1u,SO-8\nU1,QX,SO-8\n")
    assert set(design.boards["base"].parts) == {"R1", "C1", "U1"}
    assert "column 1 ('Part')" in told(design, "guessed-column")[0].message


def test_of_two_columns_that_may_be_the_designators_the_one_that_holds_them_is_taken() -> None:
    design = load_table("parts", "Component,Reference,Value\nresistor,R1,10k\ncapacitor,C1,1u\n")
    assert set(design.boards["base"].parts) == {"R1", "C1"}
    assert "'Reference' was taken, 'Component' is compared as text" in told(design, "two-columns")[0].message


def test_positions_that_only_number_the_rows_are_left_out() -> None:
    design = load_table("parts", "Pos,Reference,Value\n1,R1,10k\n2,C1,1u\n")
    assert set(design.boards["base"].parts) == {"R1", "C1"}
    assert codes(design) == ["running-number"]


def test_part_beside_a_part_number_is_the_value() -> None:
    data = board_of("parts", "Item,Qty,Reference,Part,MPN\n1,1,R1,4k7,AB1\n2,1,R2,10k,AB2\n").parts["R1"].data
    assert (data.value.raw, data.part_number.raw) == ("4k7", "AB1")


@pytest.mark.parametrize("header", ["#", "Item", "No.", "Line", "lfd. Nr.", "序号"])
def test_a_running_number_is_left_out_and_told(header: str) -> None:
    table = f"{header},Designator,Value\n1,R1,10k\n2,R2,22k\n3,C1,1u\n,TOTAL,\n"
    design = load_table("parts", table)
    assert design.boards["base"].parts["R1"].data.extra == ()
    assert header in told(design, "running-number")[0].message


@pytest.mark.parametrize(
    ("numbers", "kept"),
    [("1234", False), ("4213", False), ("6231", False), ("1224", True), ("1239", False), ("9231", True)],
)
def test_numbers_of_rows_are_left_out_in_whatever_order_they_stand(numbers: str, kept: bool) -> None:
    """Rows are put in another order and taken out, and keep their numbers; the column stays what it was."""
    rows = "".join(f"{number},R{index},1{index}k\n" for index, number in enumerate(numbers, 1))
    part = board_of("parts", f"Pos,Designator,Value\n{rows}").parts["R1"]
    assert bool(part.data.extra) is kept


def test_numbers_that_do_not_run_are_kept() -> None:
    part = board_of("parts", "No.,Designator\n7,R1\n3,R2\n").parts["R1"]
    assert dict(part.data.extra)["No."].raw == "7"


def test_of_two_columns_the_one_with_the_fields_own_name_is_taken() -> None:
    part = board_of("parts", "Designator,Comment,Value\nR1,see note,10k\n").parts["R1"]
    assert (part.data.value.raw, dict(part.data.extra)["Comment"].raw) == ("10k", "see note")


def test_equal_headers_are_told_apart() -> None:
    extra = dict(board_of("parts", "Designator,Shop,Shop\nR1,a,b\n").parts["R1"].data.extra)
    assert {name: item.raw for name, item in extra.items()} == {"Shop": "a", "Shop (2)": "b"}


def test_unknown_columns_are_kept_under_their_names() -> None:
    part = board_of("parts", "Designator,Colour,Height above board\nR1,red,3 mm\n").parts["R1"]
    assert [(name, item.raw) for name, item in part.data.extra] == [("Colour", "red"), ("Height above board", "3 mm")]


def test_a_row_longer_than_the_header_is_told() -> None:
    design = load_table("parts", "Designator,Description\nR1,resistor\nR2,resistor\nR3,resistor, red\n")
    notice = told(design, "ragged-row")[0]
    assert (str(notice.origin), notice.found) == ("table.csv:4:3", "red")
    assert "quotation marks" in notice.remedy


def test_a_row_shorter_than_the_header_has_blank_cells() -> None:
    assert board_of("parts", "Designator,Value,Package\nR1,10k\n").parts["R1"].data == PartData(
        value=board_of("parts", "Ref,Value\nR1,10k\n").parts["R1"].data.value
    )


def test_a_column_without_a_header_is_kept_and_told() -> None:
    design = load_table("parts", "Designator,,Value\nR1,red,10k\nR2,blue,10k\n")
    assert dict(design.boards["base"].parts["R2"].data.extra)["column 2"].raw == "blue"
    assert told(design, "nameless-column")[0].origin.column == 2


def test_every_field_knows_its_cell() -> None:
    part = board_of("parts", "Value,Package,Designator\n\n10k,0805,R1\n").parts["R1"]
    places = [str(part.origin), str(part.origin.of("value")), str(part.origin.of("package"))]
    assert places == ["table.csv:3:3", "table.csv:3:1", "table.csv:3:2"]


def test_a_data_row_with_words_of_headers_is_no_header() -> None:
    table = "Qty,Value,Kind,Package,Parts,Description\n1,REF,MOUNT,M3,Ref,hole\n1,10k,R,SO-8,R1,resistor\n"
    assert board_of("parts", table).parts["R1"].data.value.raw == "10k"


def test_a_column_part_without_one_of_values_is_the_value_and_that_is_told() -> None:
    design = load_table("parts", "Item,Reference,Part\n1,R1,10k\n2,R2,22k\n")
    assert design.boards["base"].parts["R1"].data.value.raw == "10k"
    assert 'columns = { part_number = "Part" }' in told(design, "guessed-column")[0].remedy


def test_port_names_under_name_leave_the_signal_to_what_the_pin_is_used_as() -> None:
    pin = board_of("pins", "Pin,Name,Used as\n2,PC13,LED\n3,PC14,KEY\n").pins["U1", "2"]
    assert (pin.port.raw, pin.signal.raw) == ("PC13", "LED")


@pytest.mark.parametrize(
    ("table", "port", "signal"),
    [
        ("Pin,Name,Net\n2,PC13,LED\n3,PC14,KEY\n", "PC13", "LED"),
        ("Pin,Net,Name\n2,LED,PC13\n3,KEY,PC14\n", "PC13", "LED"),
        ("Pin,Name,Signal\n2,VDD_IO,+3V3\n3,VSS,GND\n", "VDD_IO", "+3V3"),
        ("Pad,Name,Net name\n2,IO13,LED\n3,EN,\n", "IO13", "LED"),
        ("Pin,Name,Port,Net\n2,status light,PC13,LED\n", "PC13", "LED"),
        ("Pin,Name,Direction\n2,LED,out\n3,KEY,in\n", "", "LED"),
    ],
    ids=["name first", "net first", "beside a signal", "a module's pads", "a port of its own", "no net: the signal"],
)
def test_name_beside_net_is_the_port(table: str, port: str, signal: str) -> None:
    pin = board_of("pins", table).pins["U1", "2"]
    assert (pin.port.raw, pin.signal.raw) == (port, signal)


def test_a_name_that_is_neither_port_nor_signal_is_kept() -> None:
    pin = board_of("pins", "Pin,Name,Port,Net\n2,status light,PC13,LED\n").pins["U1", "2"]
    assert [(name, item.raw) for name, item in pin.extra] == [("Name", "status light")]
    contact = board_of("contacts", "Connector,Pin,Name,Net\nJ1,2,sensor supply,+5V\n").connectors["J1"].contacts["2"]
    assert (contact.signal.raw, [(name, item.raw) for name, item in contact.extra]) == (
        "+5V",
        [("Name", "sensor supply")],
    )


def test_name_is_the_port_where_the_manifest_says_which_column_is_the_net() -> None:
    design = load_table(
        "pins", "Pin,Name,Zone,Wire\n2,PC13,a,LED\n3,PC14,b,KEY\n", spec='columns = { signal = "Wire" }'
    )
    pin = design.boards["base"].pins["U1", "2"]
    assert (pin.port.raw, pin.signal.raw) == ("PC13", "LED")


@pytest.mark.parametrize(
    ("old", "new", "equal"),
    [
        ("75V", "75 V", True),
        ("0.5A", "500 mA", True),
        ("75V", "75 mV", False),
        ("4E3", "4000", False),
        ("4E3", "4e3", True),
        ("AB-75V", "AB-75 V", False),
        ("10", "10.0", False),
        ("red", "RED", True),
    ],
)
def test_a_cell_of_an_unknown_column_that_reads_as_a_quantity_is_one(old: str, new: str, equal: bool) -> None:
    one, two = (
        dict(board_of("parts", f"Designator;Stress\nR1;{text}\n").parts["R1"].data.extra) for text in (old, new)
    )
    assert (one["Stress"] == two["Stress"]) is equal
