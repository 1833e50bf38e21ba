"""Delimiters, encodings, line ends: the forms in which one and the same table is kept."""

from __future__ import annotations

import pytest

from revdiff.design.diagnostic import FaultyDesign
from tests.readers.memory import board_of, load_table, told, values

ROWS = [["Designator", "Value", "Note"], ["R1", "4.7 kΩ", "±1 %"], ["C1", "10 µF", "Größe"]]
EXPECTED = {"R1": "4.7 kΩ", "C1": "10 µF"}


def text(delimiter: str = ",", end: str = "\n") -> str:
    return "".join(delimiter.join(row) + end for row in ROWS)


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_the_common_delimiters_are_found(delimiter: str) -> None:
    assert values(text(delimiter)) == EXPECTED


@pytest.mark.parametrize("delimiter", ["~", ":", "^", " "])
def test_any_other_delimiter_is_named_in_the_manifest(delimiter: str) -> None:
    table = f"Designator{delimiter}Value\nR1{delimiter}4k7\n"
    assert values(table, spec=f'delimiter = "{delimiter}"') == {"R1": "4k7"}


def test_a_sep_line_names_the_delimiter_and_keeps_the_line_numbers() -> None:
    board = board_of("parts", "sep=;\nDesignator;Value\nR1;4,7k\n")
    assert (board.parts["R1"].data.value.raw, board.parts["R1"].origin.line) == ("4,7k", 3)


def test_commas_inside_quoted_cells_do_not_make_the_delimiter() -> None:
    table = 'Designator;Value;Note\n"R1, R2, R3";4k7;"a, b"\n"R4, R5";10k;"c, d, e"\n'
    assert set(values(table)) == {"R1", "R2", "R3", "R4", "R5"}


def test_a_table_of_one_column_is_a_table() -> None:
    assert set(board_of("parts", "Designator\nR1\nR2\n").parts) == {"R1", "R2"}


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"], ids=lambda name: str(name)
)
def test_unicode_encodings_are_told_apart(encoding: str) -> None:
    assert values(text().encode(encoding)) == EXPECTED


def test_utf_16_with_its_mark_is_read_in_the_order_of_the_mark() -> None:
    for mark, name in ((b"\xff\xfe", "utf-16-le"), (b"\xfe\xff", "utf-16-be")):
        assert values(mark + text().encode(name), spec='encoding = "utf-16"') == EXPECTED


def test_what_is_no_utf_8_is_read_as_windows_1252_and_that_is_told() -> None:
    table = text().replace("Ω", "")
    design = load_table("parts", table.encode("cp1252"))
    assert design.boards["base"].parts["C1"].data.value.raw == "10 µF"
    notice = told(design, "assumed-encoding")[0]
    assert (notice.severity, notice.origin.line) == ("notice", 2)
    assert 'encoding = "..."' in notice.remedy


def test_the_encoding_can_be_named_in_the_manifest() -> None:
    table = "Designator,Value\nR1,4k7 ½\n".encode("cp850")
    assert values(table, spec='encoding = "cp850"') == {"R1": "4k7 ½"}


def test_a_header_in_gb18030_is_read_where_the_manifest_says_so() -> None:
    assert values("位号,值\nR1,4k7\n".encode("gb18030"), spec='encoding = "gb18030"') == {"R1": "4k7"}


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_line_ends_make_no_difference(end: str) -> None:
    board = board_of("parts", text(end=end))
    assert {ref: part.origin.line for ref, part in board.parts.items()} == {"R1": 2, "C1": 3}


def test_the_last_line_needs_no_end() -> None:
    assert values(text().rstrip("\n")) == EXPECTED


def test_blank_rows_and_trailing_delimiters_are_nothing() -> None:
    assert values("\n,,\nDesignator,Value,,\n\nR1,4k7,,\n,,,\n\n") == {"R1": "4k7"}


def test_a_line_break_inside_a_cell_keeps_the_line_numbers() -> None:
    board = board_of("parts", 'Designator,Value\n"R1\nR2",4k7\nR3,10k\n')
    assert {ref: part.origin.line for ref, part in board.parts.items()} == {"R1": 2, "R2": 2, "R3": 4}


def test_an_inch_mark_within_a_cell_is_text() -> None:
    board = board_of("parts", 'Designator,Value,Note\nJ1,socket,0.1" pitch\nR1,10k,"a ""quoted"" word"\n')
    assert [dict(part.data.extra)["Note"].raw for part in board.parts.values()] == ['0.1" pitch', 'a "quoted" word']


@pytest.mark.parametrize(
    ("data", "place", "says"),
    [
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "table.csv:1", "binary data"),
        (b"Designator,Value\nR1,\x00\n", "table.csv:1", "a zero byte in line 2"),
        (b"Designator,Value\nR1,1k\nR2,\x1b2k\x01\n", "table.csv:1", "the control character 0x01 in line 3"),
        ("Designator,Value\nR1,a\0b\n".encode("utf-16"), "table.csv:2", "a zero character"),
        (b"PK\x03\x04" + b"\0" * 40, "table.csv:1", "zip archive (an XLSX workbook?)"),
        (b"\xd0\xcf\x11\xe0" + b"\0" * 40, "table.csv:1", "old binary workbook"),
        (b"Designator,Value\nR1,10\x81\n", "table.csv:2", "0x81, which cp1252 doesn't have"),
        (
            "Designator,Value\nR1,10 µF\nC2,4.7 Ω".encode() + b"\nC3,1 \xb5F\n",
            "table.csv:4",
            "0xb5, which is no UTF-8, in a file that holds UTF-8",
        ),
        ('Designator,Value\nR1,"10k\nR2,22k\n', "table.csv:2", "quotation mark that is never closed"),
        ("Designator,Value\nR1,10k\nR2," + "x" * 40_000 + "\n", "table.csv:3:2", "a cell of 40000 characters"),
        ("Designator,Value\nR1," + "x" * 140_000 + "\n", "table.csv:2", "a cell of more than"),
        ("Designator" + "," * 300 + "\nR1\n", "table.csv:1", "301 cells in one row, expected 256 at most"),
        ("Designator\n" + "R1\n" * 200_001, "table.csv:200001", "more than 200000 rows"),
    ],
    ids=lambda value: None if isinstance(value, bytes) or len(value) > 60 else value,
)
def test_what_is_no_table_is_told_with_its_place(data: bytes | str, place: str, says: str) -> None:
    with pytest.raises(FaultyDesign) as caught:
        load_table("parts", data)
    message = str(caught.value)
    assert message.startswith(f"{place}: found ")
    assert says in message


@pytest.mark.parametrize("name", ["klingon", "hex", "undefined", "a\\u0000b"])
def test_an_encoding_that_is_none_is_told(name: str) -> None:
    with pytest.raises(FaultyDesign, match="which is none that a text can be read in"):
        load_table("parts", "Designator\nR1\n", spec=f'encoding = "{name}"')


def test_a_quotation_mark_that_swallows_rows_is_told() -> None:
    table = 'Designator,Value,Note\nR1,10k,"first\nR2,10k,b\nR3,10k,c\nR4,10k,d\nR5,10k,last"\n'
    notice = told(load_table("parts", table), "long-cell")[0]
    assert (notice.origin.line, notice.origin.column) == (2, 3)


def test_hidden_characters_are_told_once_with_their_names() -> None:
    design = load_table("parts", "Designator,Value,Part number\nR1,4k7,AB\u200b1\nR2,4k7,\u202eAB2\n")
    (notice,) = told(design, "hidden-characters")
    assert "U+200B ZERO WIDTH SPACE" in notice.message
    assert "in 2 cells" in notice.message
    assert (notice.origin.line, notice.origin.column) == (2, 3)
    assert design.boards["base"].parts["R1"].data.part_number.word == "ab1"


def test_a_letter_of_another_script_in_a_name_is_told_and_makes_another_name() -> None:
    design = load_table("contacts", "Connector,Contact,Signal\nJ1,1,VCC\nJ1,2,V\u0421\u0421\n")
    assert "U+0421" in told(design, "look-alike")[0].message
    contacts = design.boards["base"].connectors["J1"].contacts
    assert contacts["1"].signal != contacts["2"].signal


@pytest.mark.parametrize("unit", ["µF", "kΩ", "°C", "±1 %"])
def test_the_signs_of_units_are_no_strange_letters(unit: str) -> None:
    assert not told(load_table("parts", f"Designator,Value\nR1,10{unit}\n"), "look-alike")


def test_text_that_went_through_two_encodings_is_told() -> None:
    design = load_table("parts", "Designator,Value\nC1,4.7ÂµF\n")
    assert told(design, "broken-characters")[0].found == "4.7ÂµF"
    assert design.boards["base"].parts["C1"].data.value.word


@pytest.mark.parametrize("mark", ["#REF!", "#N/A", "#DIV/0!", "#VALUE!"])
def test_the_error_marks_of_a_spreadsheet_are_faults(mark: str) -> None:
    fault = told(load_table("parts", f"Designator,Value\nR1,10k\nR2,{mark}\n"), "spreadsheet-error")[0]
    assert (fault.severity, str(fault.origin), fault.found) == ("fault", "table.csv:3:2", mark)
