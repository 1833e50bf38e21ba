"""Small inputs that stand for much work: each ends in one located fault, or is read in a time that grows with it."""

from __future__ import annotations

import io
import time
import zipfile
from collections.abc import Callable, Iterator
from contextlib import suppress

import pytest

from revdiff.budget import Budget, LimitFault, Limits, ending_after
from revdiff.design.diagnostic import FaultyDesign
from revdiff.errors import DataFault, RevdiffError
from revdiff.quantities.formula import FormulaFault, parse_formula
from revdiff.readers.c_pins import Patterns, pins_of_header
from revdiff.readers.c_source import read_c
from revdiff.readers.faults import Faults
from revdiff.readers.loader import Loader
from revdiff.readers.source_fault import SourceFault
from revdiff.readers.tree_pins import pins_of_devicetree
from tests.readers.memory import MemoryRevision, board_of, load, load_table, manifest
from tests.readers.test_hostile import _workbook
from tests.readers.test_workbook import HEADER, read, refused, replaced, workbook
from tests.support import judged

pytestmark = pytest.mark.slow

PARTS = "Designator,Value\nR1,1k\n"
SHEET = "xl/worksheets/sheet1.xml"


@pytest.fixture(autouse=True)
def no_hang() -> Iterator[None]:
    """What hangs fails instead; far above what any of these takes."""
    with ending_after(120, "It hangs."):
        yield


def fault(files: dict[str, bytes | str]) -> str:
    with pytest.raises(FaultyDesign) as caught:
        load(files)
    return str(caught.value)


# worksheets


def sheet_of(change: bytes) -> bytes:
    base = workbook([HEADER, ["R1", "4k7"]])
    return replaced(base, SHEET, lambda xml: xml.replace(b"</sheetData>", change))


def test_a_row_of_any_number_is_refused_where_it_stands() -> None:
    assert "parts.xlsx#Parts:3: found the row number '2000000000'" in refused(
        sheet_of(b'<row r="2000000000"/></sheetData>')
    )


def test_an_empty_row_far_below_is_nothing() -> None:
    assert load_table("parts", sheet_of(b'<row r="1048576"/></sheetData>'), file="parts.xlsx").boards["base"].parts


@pytest.mark.parametrize(
    ("member", "before", "unit"),
    [
        ("xl/styles.xml", b"</cellXfs>", b'<xf numFmtId="1"/>'),
        ("xl/styles.xml", b"</fonts>", b"<font/>"),
        ("[Content_Types].xml", b"</Types>", b'<Override PartName="/a" ContentType="b"/>'),
        ("xl/_rels/workbook.xml.rels", b"</Relationships>", b'<Relationship Id="q" Type="a" Target="b"/>'),
        (SHEET, b"</worksheet>", b'<mergeCell ref="A1:A9"/>'),
        (SHEET, b"</sheetData>", b"<row/>" * 20),
    ],
)
def test_a_workbook_of_too_many_elements_is_refused_unread(member: str, before: bytes, unit: bytes) -> None:
    data = replaced(workbook([HEADER]), member, lambda xml: xml.replace(before, unit * 101_000 + before))
    assert "more than 2000000 cells and rows" in refused(data)


def test_a_worksheet_counts_whatever_it_is_called() -> None:
    def renamed(data: bytes) -> bytes:
        file = io.BytesIO()
        with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as new:
            for item in old.infolist():
                content = old.read(item).replace(b"sheet1.xml", b"sheet1.dat")
                new.writestr(item.filename.replace("sheet1.xml", "sheet1.dat"), content)
        return file.getvalue()

    data = renamed(sheet_of(b"<row/>" * 2_000_001 + b"</sheetData>"))
    assert "more than 2000000 cells and rows" in refused(data)


def test_what_says_how_far_the_table_goes_is_not_believed() -> None:
    base = workbook([HEADER, *([f"R{number}", "4k7"] for number in range(1, 6))])
    data = replaced(base, SHEET, lambda xml: xml.replace(b'<dimension ref="A1:D6"', b'<dimension ref="A1:D3"'))
    assert data != base
    assert list(board_of("parts", data, file="parts.xlsx").parts) == ["R1", "R2", "R3", "R4", "R5"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (b'<row r="9"/><row r="3"><c t="inlineStr"><is><t>R9</t></is></c></row></sheetData>', "row 3 after row 9"),
        (b'<row r="2"><c t="inlineStr"><is><t>R9</t></is></c></row></sheetData>', "row 2 after row 2"),
        (b'<row r="3"><c r="A4" t="str"><v>R9</v></c></row></sheetData>', "the cell 'A4'"),
        (b'<row r="3"><c r="A3" t="str"><v>R9</v></c><c r="A3" t="str"><v>R8</v></c></row></sheetData>', "twice"),
        (b'<row r="3"><c r="A3" t="s"><v>99</v></c></row></sheetData>', "'99' in a cell of the type 's'"),
        (b'<row r="3"><c r="A3"><v>1_000</v></c></row></sheetData>', "'1_000' in a cell of the type 'n'"),
        (b'<c r="A3" t="str"><v>R9</v></c></sheetData>', "a cell outside any row"),
    ],
)
def test_rows_and_cells_that_a_library_would_skip_are_told(change: bytes, says: str) -> None:
    assert says in refused(sheet_of(change))


def test_merged_cells_that_overlap_are_refused() -> None:
    merged = b'</sheetData><mergeCells><mergeCell ref="A2:A40000"/><mergeCell ref="A3:A40000"/></mergeCells>'
    assert "merged cells that overlap" in refused(sheet_of(merged))


def test_one_text_in_a_million_cells_is_refused() -> None:
    row = b"<row>" + b'<c t="s"><v>0</v></c>' * 100 + b"</row>"
    strings = "xl/sharedStrings.xml"
    base = sheet_of(row * 30 + b"</sheetData>")
    kind = b"application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"
    file = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(base)) as old, zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as new:
        for item in old.infolist():
            content = old.read(item)
            if item.filename == "[Content_Types].xml" and kind not in content:
                override = b'<Override PartName="/xl/sharedStrings.xml" ContentType="' + kind + b'"/></Types>'
                content = content.replace(b"</Types>", override)
            if item.filename != strings:
                new.writestr(item.filename, content)
        main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
        new.writestr(strings, f'<sst xmlns="{main}"><si><t>{"x" * 32_000}</t></si></sst>')
    assert "characters in the cells up to here" in refused(file.getvalue())


@pytest.mark.parametrize(
    "change",
    [
        lambda xml: b"<!--" + b"-" * 300_000 + b"-->" + xml,
        lambda xml: xml.replace(b"<numFmts", b'<numFmts a="' + b"x" * 300_000 + b'"', 1),
        lambda xml: xml.replace(b"<numFmts", b'<numFmts formatCode="' + b"[" * 3_000 + b'"', 1),
        lambda xml: b'<?xml version="1.0" encoding="idna"?>' + xml,
        lambda xml: xml.decode().encode("utf-16"),
    ],
    ids=["comment", "attribute", "number format", "codec", "utf-16"],
)
def test_markup_that_no_program_writes_is_refused_unread(change: Callable[[bytes], bytes]) -> None:
    data = replaced(workbook([HEADER, ["R1", "4k7"]]), "xl/styles.xml", change)
    assert "no sound XLSX workbook" in refused(data)


def test_a_part_nested_deep_is_refused_or_does_not_matter() -> None:
    """Of the two parsers that may be installed one refuses it, and one reads the cells all the same."""
    deep = b"<font>" * 50_000 + b"</font>" * 50_000
    data = replaced(
        workbook([HEADER, ["R1", "4k7"]]), "xl/styles.xml", lambda xml: xml.replace(b"</fonts>", deep + b"</fonts>")
    )
    with suppress(FaultyDesign):
        (board,) = read(data).boards.values()
        assert list(board.parts) == ["R1"]
        return
    assert "no sound XLSX workbook" in refused(data)


def test_the_made_worksheet_needs_no_row_numbers() -> None:
    sheet = b'<row><c t="str"><v>Ref</v></c></row><row><c t="str"><v>R1</v></c></row>'
    assert load({"revdiff.toml": manifest(parts='"p.xlsx"'), "p.xlsx": _workbook(sheet)}).boards["base"].parts


# manifests


def test_a_key_of_many_parts_is_refused_at_its_line() -> None:
    assert "revdiff.toml:2: the manifest is no valid TOML: values are nested too deep" in fault(
        {"revdiff.toml": "# ......................................\n" + "a." * 20_000 + "a = 1\n"}
    )


@pytest.mark.parametrize(
    "text", ["a = " + "[" * 90_000, "a = " + "{a=" * 30_000, "[" + "a." * 9_000 + "a]\n", "'''" * 3]
)
def test_a_manifest_nested_deep_is_refused(text: str) -> None:
    assert "the manifest is no valid TOML" in fault({"revdiff.toml": text})


def test_dots_in_texts_and_comments_are_no_depth() -> None:
    text = f'# {"." * 90}\n[design]\ntitle = "{"." * 90}"\nnote = """{"." * 90}"""\nother = \'{"." * 90}\'\n'
    assert load({"revdiff.toml": text + manifest(parts='"p.csv"').partition("\n\n")[2], "p.csv": PARTS}).boards


def test_a_large_manifest_is_refused() -> None:
    assert "expected 1048576 at most" in fault({"revdiff.toml": "#" * 1_048_577})


@pytest.mark.parametrize("kind", ["boards", "firmware"])
def test_a_manifest_of_too_many_sections_is_refused(kind: str) -> None:
    text = "".join(f"[{kind}.b{number}]\nparts = 'p.csv'\n" for number in range(20_000))
    assert "names too many" in fault({"revdiff.toml": text, "p.csv": PARTS})


def test_lines_of_many_sections_are_found_in_one_pass() -> None:
    text = "".join(f'[boards.b{number}]\nparts = "{number}.csv"\n' for number in range(900))
    found = fault({"revdiff.toml": text})
    assert "correct revdiff.toml:1800" in found


# sources


UNITS = (
    "/* ",
    " ",
    "aaaa",
    "\\\n",
    "a\\\n",
    "(",
    '"',
    "'",
    '\\"',
    "const a ",
    "enum {",
    "#define A ",
    "&a {",
    "gpios = ",
)


@pytest.mark.parametrize("unit", UNITS)
def test_a_source_of_one_thing_repeated_is_read_in_time(unit: str) -> None:
    text = unit * (100_000 // len(unit))
    ends = (
        lambda: load({"revdiff.toml": manifest(pins='"p.h"'), "p.h": f"#define LED_PIN 13\n{text}"}),
        lambda: load({"revdiff.toml": manifest(pins='"p.dts"'), "p.dts": f"&a {{ gpios = <&gpioa 5 0>; }};\n{text}"}),
        lambda: list(pins_of_header(text, "p.h", Patterns())),
        lambda: list(pins_of_header(f"#define PIN_A {text}", "p.h", Patterns())),
        lambda: list(pins_of_devicetree(text[:50_000], "p.dts")),
    )
    for end in ends:
        with suppress(DataFault):
            end()


def test_a_name_that_is_nearly_the_pattern_is_compared_once() -> None:
    text = f"#define {'a' * 200_000} 1\n"
    assert list(pins_of_header(text, "p.h", Patterns(pin="{signal}" + "a" * 100_000 + "b"))) == []


def test_an_apostrophe_in_prose_hides_nothing() -> None:
    assert {item.name for item in read_c("#error don't /* read\n#define PIN_A 1\n*/\n#define PIN_B 2\n", "p.h")} == {
        "PIN_B"
    }


TREE = '/dts-v1/; / {{ gpioa: gpio@0 {{ gpio-line-names = "LED"; n = <{}>; }}; }};'


@pytest.mark.parametrize("number", ["(1 << 999999999)", "(1<<(1<<(1<<5)))", "(9 * 9)", "(1 /\n 0)"])
def test_sums_in_devicetree_are_not_worked_out(number: str) -> None:
    assert [pin.pin for pin in pins_of_devicetree(TREE.format(number), "p.dts")] == ["PA0"]


@pytest.mark.parametrize("number", ["9" * 5_000, "0x" + "f" * 90_000])
def test_a_number_of_any_length_in_devicetree_is_none_of_a_pin(number: str) -> None:
    assert [pin.pin for pin in pins_of_devicetree(TREE.format(number), "p.dts")] == ["PA0"]
    faults = Faults()
    text = f"{TREE.format(1)} &a {{ gpios = <&gpioa {number} 0>; }};"
    assert [pin.pin for pin in pins_of_devicetree(text, "p.dts", "", faults)] == ["PA0"]
    assert [item.code for item in faults.found] == ["not-worked-out"]


def test_a_tree_of_many_nodes_and_references_is_read_in_time() -> None:
    nodes = "".join(f"a{number}: a{number} {{}};" for number in range(10_000))
    references = "".join(f"&a{number} {{}};" for number in range(10_000))
    assert list(pins_of_devicetree(f"/dts-v1/; / {{ {nodes} }}; {references}", "p.dts")) == []


def test_more_deletions_than_are_looked_up_are_refused() -> None:
    nodes = "".join(f"a{number}: a{number} {{}};" for number in range(10_000))
    deletions = "/delete-node/ &b;" * 10_000
    with pytest.raises(SourceFault, match="deleted more often than is read"):
        list(pins_of_devicetree(f"/dts-v1/; / {{ {nodes} }}; {deletions}", "p.dts"))


def test_macros_that_grow_into_each_other_are_refused_or_unknown() -> None:
    lines = [f"#define A{number} (A{number + 1} + A{number + 1})\n" for number in range(40)]
    assert all(item.value.why for item in read_c("".join(lines), "p.h")[:30])
    with pytest.raises(SourceFault, match="more work than a file may ask for"):
        read_c("#define A " + "1+" * 90 + "1\n" + "".join(f"#define B{n} A+A\n" for n in range(100_000)), "p.h")


def test_brackets_in_strings_are_no_sums() -> None:
    tree = '/dts-v1/; / { gpioa: g { gpio-line-names = "A(", "B)"; }; };'
    assert [pin.signal for pin in pins_of_devicetree(tree, "p.dts")] == ["A(", "B)"]


# texts


def test_a_heading_of_blanks_is_read_in_time() -> None:
    page = f"#{' ' * 19_000}x\n\n| Pin | Signal |\n|---|---|\n| 1 | A |\n"
    assert board_of("pins", page, file="p.md").pins


@pytest.mark.parametrize("name", ["idna", "punycode", "unicode_escape", "utf-7", "hex", "rot13", "x" * 90_000])
def test_an_encoding_that_no_table_is_saved_in_is_refused(name: str) -> None:
    with pytest.raises(FaultyDesign, match="none that a text can be read in"):
        load_table("parts", PARTS, spec=f'encoding = "{name}"')


@pytest.mark.parametrize(
    "name", ["UTF-8", "utf_8", "cp1252", "Windows-1252", "latin-1", "ISO-8859-15", "Shift_JIS", "ascii"]
)
def test_encodings_are_known_in_any_spelling(name: str) -> None:
    assert load_table("parts", PARTS, spec=f'encoding = "{name}"').boards["base"].parts


def test_a_note_of_dots_is_judged_in_time() -> None:
    def files(note: str, signal: str) -> dict[str, str]:
        pins = f"Device,Pin,Signal,Direction,Note\nU1,1,{signal},out,{note}\n"
        return {"revdiff.toml": manifest(pins='"pins.csv"', parts='"parts.csv"'), "pins.csv": pins, "parts.csv": PARTS}

    assert judged(files("." * 32_000, "CLOCK"), files("." * 31_999, "HEAT")) is not None


@pytest.mark.parametrize("text", ["(" * 200, "-" * 200, "(" * 90_000, "1" + "+1" * 120, "9" * 256])
def test_a_formula_nested_deep_is_one_fault(text: str) -> None:
    with pytest.raises(FormulaFault):
        parse_formula(text)


# one budget for all


def test_one_table_read_many_times_counts_each_time() -> None:
    table = "Ref,Value\n" + "".join(f"R{number},1k\n" for number in range(1_000))
    entries = "".join(f"[boards.b{n}]\nparts = {{ file = 'p.csv', last_row = {900 + n} }}\n" for n in range(20))
    loader = Loader(Budget(Limits(records=10_000)))
    with pytest.raises(LimitFault, match=r"^p.csv: found more than 10,000 records up to here"):
        loader.load(MemoryRevision({"revdiff.toml": entries, "p.csv": table}))


@pytest.mark.parametrize(
    ("limits", "says"),
    [
        (Limits(bytes=60), "p.csv: found more than 60 bytes"),
        (Limits(cells=3), "p.csv: found more than 3 cells"),
        (Limits(records=1), "p.csv: found more than 1 records"),
        (Limits(designators=9), "p.csv:2: found more than 9 designators"),
    ],
)
def test_a_run_beyond_its_budget_ends_in_one_fault_with_its_place(limits: Limits, says: str) -> None:
    files: dict[str, bytes | str] = {"revdiff.toml": manifest(parts='"p.csv"'), "p.csv": "Ref,Value\nR1-R10,1k\n"}
    with pytest.raises(LimitFault) as caught:
        Loader(Budget(limits)).load(MemoryRevision(files))
    assert str(caught.value).startswith(says)
    assert "Nothing was judged." in str(caught.value)
    assert caught.value.exit_status == 3


def test_what_is_unpacked_and_its_elements_count() -> None:
    data = workbook([HEADER, ["R1", "4k7"]])
    for limits, what in ((Limits(bytes=len(data) + 500), "bytes"), (Limits(elements=100), "elements")):
        with pytest.raises(LimitFault, match=f"^p.xlsx: found more than .* {what} up to here"):
            Loader(Budget(limits)).load(MemoryRevision({"revdiff.toml": manifest(parts='"p.xlsx"'), "p.xlsx": data}))


def test_the_budget_is_that_of_the_run_not_of_a_revision() -> None:
    loader = Loader(Budget(Limits(designators=15)))
    one, two = ({"revdiff.toml": manifest(parts='"p.csv"'), "p.csv": f"Ref,Value\nR1-R10,{k}k\n"} for k in (1, 2))
    assert loader.load(MemoryRevision(one))
    assert loader.load(MemoryRevision(one)), "what was read already takes nothing more"
    with pytest.raises(LimitFault):
        loader.load(MemoryRevision(two))


def test_honest_designs_stay_far_within_the_budget() -> None:
    parts = "Ref,Value\n" + "".join(f"R{number},1k\n" for number in range(20_000))
    header = ["Designator", "Value", *(f"Supplier {number}" for number in range(50))]
    book = workbook([header, *([f"C{row}", "1u", *["x"] * 50] for row in range(300))])
    limits = Limits()
    tenth = Limits(*(getattr(limits, name) // 10 for name in Limits.__slots__))
    files: dict[str, bytes | str] = {"revdiff.toml": manifest(parts='"p.csv"'), "p.csv": parts}
    loader = Loader(Budget(tenth))
    assert loader.load(MemoryRevision(files))
    assert loader.load(MemoryRevision({"revdiff.toml": manifest(parts='"p.xlsx"'), "p.xlsx": book}))


# time


def test_work_beyond_the_time_limit_is_stopped_and_gives_no_answer() -> None:
    def work() -> None:
        with ending_after(0.05, "Wait longer."):
            while True:
                time.sleep(0.01)

    with pytest.raises(LimitFault) as caught:
        work()
    assert str(caught.value).startswith("stopped: this run took more than its limit of 0.05 seconds. Wait longer.")


def test_a_stop_that_somebody_swallowed_still_gives_no_answer() -> None:
    def work() -> None:
        with ending_after(0.05, ""), suppress(RevdiffError):
            time.sleep(5)

    with pytest.raises(LimitFault):
        work()


@pytest.mark.parametrize("seconds", [0, 60])
def test_work_within_the_time_limit_is_what_it_would_be(seconds: float) -> None:
    with ending_after(seconds, ""):
        found = load({"revdiff.toml": manifest(parts='"p.csv"'), "p.csv": PARTS})
    assert found.boards["base"].parts
