"""Columns by what their cells hold, and what of the form of a table is settled by its content. Both sides of each."""

from __future__ import annotations

import pytest

from revdiff.readers.bare_pins import bare_pins
from revdiff.readers.c_source import read_c
from revdiff.readers.names import connector_of, speaks_of_connectors
from tests.readers.memory import board_of, codes, load_table, told


def parts_list(*columns: str, header: str) -> str:
    """Designators and further columns, each as its cells from top to bottom, under a header."""
    lines = [
        header,
        *(
            ";".join(cells)
            for cells in zip(("R1, R2", "R3", "C1", "U1"), *(c.split("|") for c in columns), strict=True)
        ),
    ]
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize(
    ("cells", "field"),
    [
        ("2|1|1|1", "quantity"),
        ("10k|4k7|1u|MCX48", "value"),
        ("0603|0805|0603|LQFP-48", "package"),
        ("AR-103F|AR-472F|BC-105K|MCX48RB", "part_number"),
        ("|DNP|fitted|fitted", "fitted"),
        ("see note|DNP|by hand|later", ""),
        ("yes|DNP|yes|yes", "fitted"),
        (
            "thick film resistor|another thick film resistor|multilayer ceramic capacitor|the controller itself",
            "description",
        ),
        # what is none of these
        ("yes|no|yes|yes", ""),  # of anything: lead-free, polarised, kept in stock
        ("red|green|red|blue", ""),
        ("3|1|4|1", ""),  # numbers that aren't those of the parts
        ("near J1|||", ""),
    ],
)
def test_a_column_is_known_by_its_cells_or_not_at_all(cells: str, field: str) -> None:
    table = parts_list(cells, header="Ref;Wozu")
    design = load_table("parts", table)
    part = design.boards["base"].parts["R1"]
    extra = {name for name, _ in design.boards["base"].parts["R3"].data.extra} | {name for name, _ in part.data.extra}
    if field:
        assert f'columns = {{ {field} = "Wozu" }}' in told(design, "guessed-column")[0].remedy
        assert "Wozu" not in extra
    else:
        assert told(design, "guessed-column") == []
        assert "Wozu" in extra


def test_of_two_columns_that_could_be_it_neither_is_taken() -> None:
    table = parts_list("AR-103F|AR-472F|BC-105K|MCX48RB", "X-1001|X-1002|X-1003|X-1004", header="Ref;Uno;Due")
    assert told(load_table("parts", table), "guessed-column") == []


def test_codes_of_a_dealer_are_no_part_numbers() -> None:
    table = parts_list("AR-103F|AR-472F|BC-105K|MCX48RB", header="Ref;Stock code")
    assert not board_of("parts", table).parts["R1"].data.part_number


def test_makers_are_names_beside_part_numbers_that_neither_class_nor_package_settles() -> None:
    rows = "R1;Arden;A-1\nR2;Brook;B-2\nR3;Arden;A-3\nC1;Brook;B-4\n"
    assert board_of("parts", "Ref;Kdo;MPN\n" + rows).parts["R1"].data.manufacturer.raw == "Arden"
    sorts = "R1;Resistor;A-1\nR2;Resistor;B-2\nR3;Resistor;A-3\nC1;Capacitor;B-4\n"
    assert not board_of("parts", "Ref;Kdo;MPN\n" + sorts).parts["R1"].data.manufacturer


def test_what_is_guessed_does_not_depend_on_the_order_or_grouping_of_rows() -> None:
    grouped = 'Ref;Co\n"R1, R2, R3";AR-103F\nR4;AR-472F\nC1;BC-105K\nU1;MCX48RB\n'
    single = "Ref;Co\nU1;MCX48RB\nC1;BC-105K\nR3;AR-103F\nR1;AR-103F\nR4;AR-472F\nR2;AR-103F\n"
    one, two = (board_of("parts", text).parts for text in (grouped, single))
    assert {ref: part.data for ref, part in one.items()} == {ref: part.data for ref, part in two.items()}


def test_what_the_notice_says_settles_the_guess() -> None:
    table = parts_list("10k|4k7|1u|MCX48", "0603|0805|0603|LQFP-48", header="Ref;Wert hier;Bau")
    spec = 'package_code = "inch", columns = { value = "Wert hier", package = "Bau" }'
    assert codes(load_table("parts", table, spec=spec)) == []


@pytest.mark.parametrize(("numbers", "left_out"), [("1|2|3|4", True), ("2|1|4|3", True), ("1|2|3|7", False)])
def test_a_column_that_numbers_the_rows_is_left_out_whatever_it_is_called(numbers: str, left_out: bool) -> None:
    design = load_table("parts", parts_list("AR-1|AR-2|B-1|M-1", numbers, header="Ref;MPN;Lp."))
    assert (design.boards["base"].parts["R1"].data.extra == ()) is left_out


@pytest.mark.parametrize(("lots", "left_out"), [("20|10|10|10", True), ("20|10|10|12", False)])
def test_a_column_that_multiplies_the_quantities_is_left_out(lots: str, left_out: bool) -> None:
    design = load_table("parts", parts_list("2|1|1|1", lots, header="Ref;Qty;Lot of ten"))
    assert bool(told(design, "multiplied-quantity")) is left_out


def test_a_list_without_a_header_needs_several_classes_and_a_column_that_only_parts_have() -> None:
    assert codes(load_table("parts", "R1,10k,0805\nR2,1k,0805\nC1,1u,0805\n")) == ["no-header"]
    assert "no-header" in codes_of_failure("D1,LED\nD2,KEY\nD3,FAN\n")


def codes_of_failure(table: str) -> list[str]:
    from revdiff.design.diagnostic import FaultyDesign

    with pytest.raises(FaultyDesign) as caught:
        load_table("parts", table)
    return [item.code for item in caught.value.diagnostics if item.severity == "fault"]


# order codes


@pytest.mark.parametrize(
    ("old", "new", "same"),
    [
        ("1234567", "https://dealer.example/item/1234567", True),
        ("1234567", "https://dealer.example/item/1234567/", True),
        ("AB-12", "https://dealer.example/ab-12?from=list#top", True),
        ("1234567", "https://dealer.example/find?item=1234567", True),
        ("1234567; 89", "89, 1234567", True),
        ("1234567", "https://dealer.example/item/1234568", False),
        ("1234567", "https://dealer.example/1234567/reviews", False),
    ],
)
def test_a_link_is_the_order_code_that_it_ends_in(old: str, new: str, same: bool) -> None:
    one, two = (board_of("parts", f'Ref;Order code\nR1;"{text}"\n').parts["R1"].data.order_code for text in (old, new))
    assert (one == two) is same


# rows that complete one another, and headings of parts that aren't fitted


def test_a_second_row_of_a_part_completes_the_first_and_contradicts_nothing() -> None:
    design = load_table("parts", "Ref,Value,Side\nR1,1k,\nR1,,top\n")
    assert design.boards["base"].parts["R1"].data.side.word == "top"
    assert "for 1 of them they say more" in told(design, "repeated-designator")[0].message
    assert codes(load_table("parts", "Ref,Value,Side\nR1,1k,top\nR1,2k,top\n")) == ["duplicate-designator"]


@pytest.mark.parametrize(
    ("heading", "unfitted"),
    [
        ("These positions stay empty in this build:", True),
        ("Parts that we have not populated so far", True),
        ("Bauteile, die nicht bestückt werden", True),
        ("Composants non montés", True),
        ("Parts are fitted unless marked as not fitted", False),
        ("Power supply", False),
        ("Mounted by hand", False),
    ],
)
def test_a_heading_in_free_words_says_whether_the_parts_below_it_are_fitted(heading: str, unfitted: bool) -> None:
    part = board_of("parts", f'Ref;Value\nR1;1k\n"{heading}";\nR2;2k\n').parts["R2"]
    assert (part.data.fitted.meaning is False) is unfitted


# slips of the keyboard


@pytest.mark.parametrize(
    ("value", "package", "count"),
    [
        ("1OOk", "", 1),
        ("10k", "O603", 1),
        ("l0k", "", 1),
        ("IO expander", "", 0),
        ("10 Ohm", "SO-8", 0),
        ("1N4148", "", 0),
    ],
)
def test_letters_where_figures_should_be_are_told(value: str, package: str, count: int) -> None:
    design = load_table("parts", f"Ref,Value,Package\nR1,{value},{package}\n")
    assert len(told(design, "letter-for-digit")) == count


def test_the_marks_of_a_merge_are_faults_and_dashes_are_not() -> None:
    assert codes(load_table("parts", "Ref,Value\nR1,1k\n=======\nR2,2k\n"), "fault") == ["conflict-marker"]
    assert codes(load_table("parts", "Ref,Value\nR1,1k\n=====,\nR2,2k\n"), "fault") == []


# contact tables


def test_lists_beside_one_another_are_read_one_below_the_other() -> None:
    board = board_of("contacts", "Pin,Signal,Signal,Pin\n1,A,B,2\n3,C,D,4\n", spec='connector = "J1"')
    assert {number: item.signal.raw for number, item in board.connectors["J1"].contacts.items()} == {
        "1": "A", "3": "C", "2": "B", "4": "D",
    }  # fmt: skip
    design = load_table("contacts", "Pin,Signal,Note\n1,A,x\n", spec='connector = "J1"')
    assert told(design, "lists-side-by-side") == []


@pytest.mark.parametrize(
    ("title", "path", "name"),
    [
        ("J3 — power", "a/readme.md", "J3"),
        ("Output connector", "a/J4.md", "J4"),
        ("Output connector", "a/readme.md", "OUTPUT CONNECTOR"),
        ("", "a/base-J7.csv", "J7"),
    ],
)
def test_a_connector_is_named_by_heading_or_file(title: str, path: str, name: str) -> None:
    assert connector_of(title, path) == name


@pytest.mark.parametrize(("text", "speaks"), [("J3", True), ("Fan connector", True), ("U1", False), ("Pin map", False)])
def test_words_of_connectors_are_known(text: str, speaks: bool) -> None:
    assert speaks_of_connectors(text) is speaks


# plain numbers in C


@pytest.mark.parametrize(
    ("text", "pins"),
    [
        (
            "#define X_STEP 54\n#define X_DIR 55\n#define FAN 9\n#define LED 13\n#define BAUD 96\n",
            {"X_STEP", "X_DIR", "FAN", "LED"},
        ),
        ("namespace pins { constexpr int A = 1; constexpr int B = 2; }\nconstexpr int C = 3;\n", {"A", "B"}),
        ("#define RED 1\n#define GREEN 2\n#define WINTER 3\n#define SPRING 4\n#define SUMMER 5\n", set()),
        ("#define LED 1\n#define FAN 1\n#define KEY 1\n#define PUMP 1\n", set()),  # numbers of one thing are flags
        (
            "#define LED_PIN 13\n#define FAN_PIN 6\n#define PUMP 7\n#define HEATER 8\n#define KEY 9\n#define MOTOR 3\n",
            set(),
        ),
    ],
)
def test_plain_numbers_are_pins_where_the_file_is_a_pin_map_by_its_content(text: str, pins: set[str]) -> None:
    assert bare_pins(read_c(text, "a.h"), lambda name: name.endswith("_PIN")) == pins


def test_a_name_that_stands_for_a_pin_of_the_file_is_another_name_of_it() -> None:
    text = (
        "#define PIN_A0 (14)\n#define PIN_SPI_SS (10)\nstatic const uint8_t A0 = PIN_A0;\nconst int SS = PIN_SPI_SS;\n"
    )
    board = board_of("pins", text, file="a.h")
    named = {pin.number: (pin.signal.raw, dict(pin.extra)["Other names"].raw) for pin in board.pins.values()}
    assert named == {"14": ("PIN_A0", "A0"), "10": ("SPI_SS", "SS")}


def test_numbers_that_were_left_out_are_kept_for_the_comparison() -> None:
    board = board_of("pins", "#define LED_PIN 13\n#define PUMP 7\n#define TIMEOUT_MS 20\n", file="a.h")
    assert {name: pin.number for name, pin in board.numbers.items()} == {"PUMP": "7"}


# several names


def test_a_table_keyed_by_signal_may_name_a_pin_twice_and_one_keyed_by_pin_may_not() -> None:
    assert "named-twice" not in codes(load_table("pins", "Signal,GPIO\nCS,GPIO5\nSELECT,GPIO5\n"))
    assert "named-twice" in codes(load_table("pins", "GPIO,Signal\nGPIO5,CS\nGPIO5,SELECT\n"))


@pytest.mark.parametrize(("one", "two", "count"), [("out", "out", 1), ("out", "in", 0), ("", "", 0)])
def test_two_outputs_on_one_pin_are_told(one: str, two: str, count: int) -> None:
    design = load_table("pins", f"Signal,GPIO,Direction\nCS,GPIO5,{one}\nSELECT,GPIO5,{two}\n")
    assert len(told(design, "two-uses-of-a-pin")) == count
