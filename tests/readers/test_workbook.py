"""XLSX: what is read, what is told, what is refused before it is unpacked."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable, Sequence
from datetime import date
from typing import Any

import openpyxl
import pytest

from revdiff.design import Design
from revdiff.design.diagnostic import FaultyDesign
from tests.readers.memory import codes, load_table, told

Edit = Callable[[Any], None]
HEADER = ("Designator", "Value", "Package", "Part number")


def workbook(rows: Sequence[Sequence[object]], title: str = "Parts", edit: Edit | None = None) -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = title
    for row in rows:
        sheet.append(list(row))
    if edit is not None:
        edit(book)
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def read(data: bytes, spec: str = "") -> Design:
    return load_table("parts", data, file="parts.xlsx", spec=spec)


def refused(data: bytes, spec: str = "") -> str:
    with pytest.raises(FaultyDesign) as caught:
        read(data, spec)
    return str(caught.value)


def replaced(data: bytes, member: str, change: Callable[[bytes], bytes]) -> bytes:
    """The same archive with one member changed."""
    file = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as new:
        for item in old.infolist():
            content = old.read(item)
            new.writestr(item.filename, change(content) if item.filename == member else content)
    return file.getvalue()


def test_a_worksheet_is_read_as_a_table_is() -> None:
    part = (
        read(workbook([["Parts of board base"], [], HEADER, ["R1", "4k7", "0805", "AB1"]])).boards["base"].parts["R1"]
    )
    assert (part.data.value.raw, part.data.part_number.raw) == ("4k7", "AB1")
    assert str(part.origin.of("value")) == "parts.xlsx#Parts:4:2"


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        (4700, "4700"),
        (4700.0, "4700"),
        (0.1, "0.1"),
        (4.7e-06, "0.0000047"),
        (True, "yes"),
        ("0402", "0402"),
        (None, ""),
    ],
)
def test_a_cell_becomes_its_shortest_text(cell: object, text: str) -> None:
    design = read(workbook([("Designator", "Value", "Colour"), ("R1", "1k", cell)]))
    extra = {name: item.raw for name, item in design.boards["base"].parts["R1"].data.extra}
    assert extra.get("Colour", "") == text


@pytest.mark.parametrize(
    ("row", "code"),
    [
        (("R1", "1k", 402, "AB1"), "lost-zero"),
        (("R1", "1k", "0402", date(2024, 4, 2)), "date"),
        (("R1", "1k", "0402", 6.93e15), "exponent"),
        (("R1", "1k", "0402", 1234567890123456789), "exponent"),
    ],
)
def test_what_the_spreadsheet_did_to_a_cell_is_told(row: tuple[object, ...], code: str) -> None:
    assert told(read(workbook([HEADER, row])), code)[0].severity == "notice"


def test_a_formula_counts_as_its_stored_result_and_that_is_told() -> None:
    data = workbook([("Designator", "Value"), ("R1", "=1+1"), ("R2", "10k")])
    stored = replaced(
        data,
        "xl/worksheets/sheet1.xml",
        lambda xml: re.sub(rb"<f>1\+1</f><v ?/?>(</v>)?", b"<f>1+1</f><v>2</v>", xml),
    )
    design = read(stored)
    assert design.boards["base"].parts["R1"].data.value.raw == "2"
    assert str(told(design, "formula")[0].origin) == "parts.xlsx#Parts:2:2"


def test_a_formula_without_a_stored_result_is_refused() -> None:
    message = refused(workbook([("Designator", "Value"), ("R1", "10k"), ("R2", "=1+1")]))
    assert message.startswith("parts.xlsx#Parts:3:2: found the formula '=1+1' without a stored result")


def test_a_text_that_begins_like_a_formula_is_text() -> None:
    def as_text(book: Any) -> None:
        book.active["B2"].data_type = "s"

    design = read(workbook([("Designator", "Colour"), ("R1", "=red")], edit=as_text))
    assert dict(design.boards["base"].parts["R1"].data.extra)["Colour"].raw == "=red"
    assert codes(design) == []


def test_of_several_worksheets_the_one_that_holds_the_table_is_read() -> None:
    def more(book: Any) -> None:
        book.create_sheet("Cover", 0).append(["Board base", "revision B"])

    assert "R1" in read(workbook([HEADER, ["R1", "4k7"]], edit=more)).boards["base"].parts


def test_where_several_worksheets_could_be_meant_the_choice_is_told() -> None:
    def more(book: Any) -> None:
        other = book.create_sheet("Old")
        other.append(list(HEADER))
        other.append(["R9", "1k"])

    data = workbook([HEADER, ["R1", "4k7"]], edit=more)
    design = read(data)
    assert list(design.boards["base"].parts) == ["R1"]
    notice = told(design, "several-worksheets")[0]
    assert (notice.found, notice.remedy) == ("'Parts', 'Old'", 'To choose, name it in the manifest: sheet = "...".')
    assert list(read(data, 'sheet = "Old"').boards["base"].parts) == ["R9"]


def test_a_worksheet_that_is_not_there_is_told() -> None:
    assert "found the worksheets 'Parts', expected 'Bill'" in refused(workbook([HEADER]), 'sheet = "Bill"')


def test_a_hidden_worksheet_goes_after_a_visible_one() -> None:
    def hide(book: Any) -> None:
        other = book.create_sheet("New")
        other.append(list(HEADER))
        other.append(["R9", "1k"])
        book["Parts"].sheet_state = "hidden"

    assert list(read(workbook([HEADER, ["R1", "4k7"]], edit=hide)).boards["base"].parts) == ["R9"]


def test_a_cell_merged_over_rows_counts_in_each_of_them_and_that_is_told() -> None:
    def merge(book: Any) -> None:
        book.active.merge_cells("C2:C3")

    design = read(workbook([HEADER, ["R1", "1k", "SO-8"], ["R2", "2k", None], ["R3", "3k", None]], edit=merge))
    assert [part.data.package.raw for part in design.boards["base"].parts.values()] == ["SO-8", "SO-8", ""]
    assert str(told(design, "merged-cells")[0].origin) == "parts.xlsx#Parts:3:3"


def test_an_empty_workbook_is_an_empty_table() -> None:
    assert "the parts list is empty" in refused(workbook([]))


def test_the_manifest_says_that_a_file_of_another_name_is_a_workbook() -> None:
    data = workbook([HEADER, ["R1", "4k7"]])
    assert load_table("parts", data, file="parts.bin", spec='form = "xlsx"').boards["base"].parts


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "no sound XLSX workbook"),
        (b"Designator,Value\nR1,10k\n", "no sound XLSX workbook"),
        (workbook([HEADER])[:400], "no sound XLSX workbook"),
        (workbook([HEADER, ["R1", "x" * 40_000]]), ""),
    ],
    ids=["empty", "text", "cut", "long cell"],
)
def test_what_is_no_workbook_is_told(data: bytes, says: str) -> None:
    if says:
        assert says in refused(data)


def test_a_zip_archive_of_something_else_is_told() -> None:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr("a.txt", "hello")
    assert "a zip archive that is no XLSX workbook" in refused(file.getvalue())


def test_a_workbook_that_unpacks_to_too_much_is_refused() -> None:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", "<Types/>")
        for number in range(2):
            archive.writestr(f"xl/worksheets/sheet{number}.xml", b"0" * (40 * 1024 * 1024))
    assert "unpacks to more than 64 MiB" in refused(file.getvalue())


def test_a_workbook_of_too_many_files_is_refused() -> None:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        for number in range(1001):
            archive.writestr(f"{number}.xml", b"")
    assert "1000 files" in refused(file.getvalue())


def test_a_worksheet_of_millions_of_empty_rows_is_refused_unread() -> None:
    rows = b"<row/>" * 2_000_001
    data = replaced(
        workbook([HEADER]), "xl/worksheets/sheet1.xml", lambda xml: xml.replace(b"</sheetData>", rows + b"</sheetData>")
    )
    assert "more than 2000000 cells and rows" in refused(data)


@pytest.mark.parametrize(
    ("cell", "says"),
    [
        ("A50001", "below row 50000"),
        ("DY3", "beyond column 128"),
        ("A1048576", "below row 50000"),
        ("XFD1048576", "beyond column 128"),
    ],
)
def test_a_cell_beyond_the_limits_is_refused(cell: str, says: str) -> None:
    def far(book: Any) -> None:
        book.active[cell] = "x"

    assert says in refused(workbook([HEADER, ["R1", "4k7"]], edit=far))


def test_entities_in_a_worksheet_are_refused() -> None:
    bomb = b'<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;">]>'
    data = replaced(
        workbook([HEADER, ["R1", "4k7"]]),
        "xl/worksheets/sheet1.xml",
        lambda xml: bomb + xml.replace(b"<sheetData>", b"<sheetData><row><c t='str'><v>&b;</v></c></row>"),
    )
    assert "no sound XLSX workbook" in refused(data)
