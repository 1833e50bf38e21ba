"""Whatever a file holds, reading ends in a design or in one clear error, and all faults are told in one go."""

from __future__ import annotations

import io
import zipfile

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from revdiff.design import Diagnostic
from revdiff.design.diagnostic import FaultyDesign
from revdiff.errors import DataFault, RevdiffError
from revdiff.readers.loader import Loader
from tests.readers.memory import FailingRevision, MemoryRevision, load, load_table, manifest

pytestmark = pytest.mark.slow

MANIFEST = """
joints = "joints.csv"
[boards.base]
parts = "parts.csv"
pins = "pins.csv"
connectors = "connectors.csv"
contacts = "contacts.csv"
[firmware.pump]
needs = "needs.csv"
"""
GOOD = {
    "revdiff.toml": MANIFEST,
    "parts.csv": "Designator,Quantity,Value,Package,Cost,Fitted\nR1,1,4k7,0805,0.01,yes\n",
    "pins.csv": "Device,Pin,Signal,Direction\nU1,1,A,in\n",
    "connectors.csv": "Connector,Contacts,Pitch\nJ1,2,2.54 mm\n",
    "contacts.csv": "Connector,Contact,Signal\nJ1,1,A\n",
    "joints.csv": "Board A,Connector A,Board B,Connector B\nbase,J1,base,J1\n",
    "needs.csv": "Signal,Pin\nA,1\n",
}
TABLES = sorted(GOOD)[:-1]
patient = settings(deadline=None, max_examples=150, suppress_health_check=[HealthCheck.too_slow])

SIGNS = "R1C23,;\t|\"'\n\r .-–=:#()[]{}/\\\0\u200b\u202eµΩéА位\ufeff\ud7ff0123456789kMnuVAWE+±%DNPnc*_`<>!"
WORDS = st.sampled_from(
    [
        *("Designator", "Value", "Quantity", "Package", "Fitted", "Cost", "Signal", "Pin", "Contact", "Connector"),
        *("R1", "R1-R9", "R1-R99999999", "C1,C2", "4k7", "1,000", "1E3", "402", "DNP", "Not fitted: R1", "U1", "J1"),
        *("#define LED_PIN 13", "|---|---|", "sep=;", "=1+1", "#REF!", "2024-04-02", "NC", "up 10k", "", "2.54 mm"),
    ]
)
cells = st.one_of(WORDS, st.text(alphabet=SIGNS, max_size=20), st.text(max_size=20))
rows = st.lists(st.lists(cells, max_size=7), max_size=12)


def survives(files: dict[str, bytes | str]) -> None:
    """Anything but a RevdiffError leaves here, and fails the test."""
    fault: RevdiffError | None = None
    try:
        design = load(files)
    except RevdiffError as error:
        fault = error
    assert str(fault).strip() if fault else all(map(str, design.diagnostics))


def test_the_sound_design_has_nothing_to_tell() -> None:
    assert load(GOOD).diagnostics == ()


@pytest.mark.parametrize("file", TABLES)
@patient
@given(data=st.binary(max_size=400))
@example(data=b"")
@example(data=b"\xff\xfe")
@example(data=b"\xef\xbb\xbf")
@example(data=b"\n" * 50)
@example(data=b"\x80\x81")
@example(data=b"sep=")
@example(data=b'"')
@example(data=b";;\n;;\n")
def test_any_bytes_in_any_table_end_in_a_design_or_an_error(file: str, data: bytes) -> None:
    survives({**GOOD, file: data})


@pytest.mark.parametrize("file", TABLES)
@patient
@given(table=rows, delimiter=st.sampled_from(",;\t|"), header=st.booleans())
def test_any_cells_in_any_table_end_in_a_design_or_an_error(
    file: str, table: list[list[str]], delimiter: str, header: bool
) -> None:
    first = str(GOOD[file]).split("\n")[0].replace(",", delimiter) + "\n" if header else ""
    text = first + "\n".join(delimiter.join(row) for row in table)
    survives({**GOOD, file: text.encode("utf-8", "surrogatepass")})


@patient
@given(data=st.binary(max_size=400))
def test_any_bytes_in_the_manifest_end_in_a_design_or_an_error(data: bytes) -> None:
    survives({**GOOD, "revdiff.toml": data})


KEYS = st.sampled_from(
    [
        *("design", "boards", "joints", "firmware", "base", "parts", "file", "columns", "name", "format", "a", "b"),
        *("contacts", "needs", "board", "constants", "delimiter", "encoding", "header", "header_row", "", "x.y", 'q"'),
    ]
)
LEAVES = st.one_of(
    st.sampled_from(['"parts.csv"', '"../x"', '"base.J1"', "1", "-1", "true", "0x7f", "1e400", "nan", "[]", "[1]"]),
    st.sampled_from(
        ["2024-01-01", '"same"', '"*.csv"', '"\\u0000"', "{ file = 1 }", "{ }", '"', "99999999999999999999"]
    ),
)


@patient
@given(lines=st.lists(st.tuples(st.sampled_from(["[", "[[", ""]), st.lists(KEYS, min_size=1, max_size=3), LEAVES)))
def test_any_manifest_ends_in_a_design_or_an_error(lines: list[tuple[str, list[str], str]]) -> None:
    text = ""
    for mark, keys, leaf in lines:
        path = ".".join(key if key.isalpha() else "'" + key.replace("'", "") + "'" for key in keys)
        text += f"{mark}{path}{']' * len(mark)}\n" if mark else f"{path} = {leaf}\n"
    survives({**GOOD, "revdiff.toml": text})


@patient
@given(lines=st.lists(st.text(alphabet=SIGNS + "#define const int PIN_enum{};=()", max_size=40), max_size=12))
def test_any_source_file_ends_in_a_design_or_an_error(lines: list[str]) -> None:
    text = "#define LED_PIN 13\n" + "\n".join(lines)
    survives({"revdiff.toml": manifest(pins='"pins.h"'), "pins.h": text.encode("utf-8", "surrogatepass")})


@patient
@given(table=rows)
def test_any_markdown_ends_in_a_design_or_an_error(table: list[list[str]]) -> None:
    text = "| Pin | Signal |\n|---|---|\n" + "\n".join("|" + "|".join(row) + "|" for row in table)
    survives({"revdiff.toml": manifest(pins='"pins.md"'), "pins.md": text.encode("utf-8", "surrogatepass")})


def _workbook(sheet: bytes) -> bytes:
    file = io.BytesIO()
    kinds = "http://schemas.openxmlformats.org/package/2006/"
    office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr(
            "[Content_Types].xml",
            f'<Types xmlns="{kinds}content-types"><Override PartName="/xl/workbook.xml" ContentType='
            '"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/></Types>',
        )
        archive.writestr(
            "_rels/.rels",
            f'<Relationships xmlns="{kinds}relationships"><Relationship Id="r1" Type="{office}/officeDocument" '
            'Target="xl/workbook.xml"/></Relationships>',
        )
        archive.writestr(
            "xl/workbook.xml",
            f'<workbook xmlns="{main}" xmlns:r="{office}"><sheets><sheet name="S" sheetId="1" r:id="r1"/></sheets>'
            "</workbook>",
        )
        archive.writestr(
            "xl/_rels/workbook.xml.rels",
            f'<Relationships xmlns="{kinds}relationships"><Relationship Id="r1" Type="{office}/worksheet" '
            'Target="worksheets/sheet1.xml"/></Relationships>',
        )
        archive.writestr(
            "xl/worksheets/sheet1.xml",
            f'<worksheet xmlns="{main}"><sheetData>'.encode() + sheet + b"</sheetData></worksheet>",
        )
    return file.getvalue()


PIECES = st.lists(
    st.sampled_from(
        [
            b"<row>",
            b"</row>",
            b'<row r="3">',
            b'<row r="x">',
            b'<c t="inlineStr"><is><t>Designator</t></is></c>',
            b'<c t="inlineStr"><is><t>R1</t></is></c>',
            b'<c r="A2"><v>1e999</v></c>',
            b"<c><v>402</v></c>",
            b'<c t="s"><v>99</v></c>',
            b'<c t="d"><v>never</v></c>',
            b'<c r="?"><f>1+1</f></c>',
            b"<c t='b'><v>1</v></c>",
            b"<c s='77'><v>5</v></c>",
            b"&x;",
        ]
    ),
    max_size=10,
)


@patient
@given(pieces=PIECES)
def test_any_worksheet_ends_in_a_design_or_an_error(pieces: list[bytes]) -> None:
    survives({"revdiff.toml": manifest(parts='"p.xlsx"'), "p.xlsx": _workbook(b"".join(pieces))})


def test_the_made_worksheet_is_a_sound_one() -> None:
    sheet = (
        b'<row><c t="inlineStr"><is><t>Designator</t></is></c></row><row><c t="inlineStr"><is><t>R1</t></is></c></row>'
    )
    assert load({"revdiff.toml": manifest(parts='"p.xlsx"'), "p.xlsx": _workbook(sheet)}).boards["base"].parts


@patient
@given(data=st.binary(max_size=300))
def test_any_bytes_in_a_workbook_end_in_a_design_or_an_error(data: bytes) -> None:
    survives({"revdiff.toml": manifest(parts='"p.xlsx"'), "p.xlsx": b"PK\x03\x04" + data})


# all faults in one go


def faults(files: dict[str, bytes | str]) -> tuple[Diagnostic, ...]:
    try:
        return load(files).diagnostics
    except FaultyDesign as fault:
        return fault.diagnostics


def test_all_faults_of_a_file_are_told_at_once() -> None:
    table = "Designator,Quantity,Value,Cost,Fitted\nR1,2,1k,free,maybe\nR4-R2,,1k,,,\nR1,1,2k,,\n"
    found = faults({**GOOD, "parts.csv": table})
    assert [(item.code, item.origin.line) for item in found] == [
        ("quantity-mismatch", 2),
        ("unreadable-value", 2),
        ("unreadable-value", 2),
        ("unreadable-designator", 3),
        ("duplicate-designator", 4),
    ]


def test_the_faults_of_all_files_are_told_in_one_go() -> None:
    files: dict[str, bytes | str] = {
        **GOOD,
        "parts.csv": b"\x00\x01",
        "pins.csv": "nothing here\n",
        "needs.csv": 'Signal,Pin\n"A,1\n',
    }
    del files["joints.csv"]
    found = faults(files)
    assert [(item.code, item.origin.file) for item in found if item.severity == "fault"] == [
        ("unreadable-file", "parts.csv"),
        ("no-header", "pins.csv"),
        ("unreadable-file", "needs.csv"),
        ("missing-file", "joints.csv"),
    ]


def test_a_missing_file_names_the_line_of_the_manifest() -> None:
    with pytest.raises(FaultyDesign) as caught:
        load({"revdiff.toml": MANIFEST})
    message = str(caught.value.diagnostics[0])
    assert message == (
        "parts.csv:1: the manifest names this file, but there is none; found 'parts.csv'. "
        "Add it, or correct revdiff.toml:4."
    )


def test_what_the_source_refuses_is_told_as_a_fault_of_the_file() -> None:
    fault = DataFault("'parts.csv' in the index is 209,715,200 bytes; the limit for one file is 33,554,432 bytes")
    with pytest.raises(FaultyDesign) as caught:
        Loader().load(FailingRevision(GOOD, "parts.csv", fault))
    (told,) = caught.value.diagnostics
    assert (told.code, told.origin.file, told.message) == ("unreadable-file", "parts.csv", str(fault))


def test_a_file_beyond_the_limit_is_refused() -> None:
    with pytest.raises(FaultyDesign, match="the limit for one file is"):
        load({**GOOD, "parts.csv": b"R" * (32 * 1024 * 1024 + 1)})


def test_each_diagnostic_names_the_revision() -> None:
    found = faults({**GOOD, "parts.csv": "Designator\nR1\nR1\n,x\n"})
    assert {item.revision for item in found} == {"memory"}


def test_equal_contents_are_read_once_in_a_run() -> None:
    loader = Loader()
    one, two = (loader.load(MemoryRevision({**GOOD, "other": str(number)})) for number in range(2))
    assert one.boards["base"].parts is not two.boards["base"].parts
    assert one.boards["base"].parts["R1"] is two.boards["base"].parts["R1"]


@patient
@given(
    pieces=st.lists(
        st.sampled_from(
            [
                *("a {", "};", "}", "&gpioa {", "x-gpios = <&gpioa 5 0>;", "gpios = <", ">;", "/include/", "l: n@1 {"),
                *(
                    'gpio-line-names = "A", "";',
                    "gpios = <&gpiob 0xfg 0>, <&c 999 >;",
                    "/*",
                    "*/",
                    "//",
                    "\n",
                    '"',
                    "=",
                ),
            ]
        ),
        max_size=14,
    )
)
def test_any_devicetree_ends_in_a_design_or_an_error(pieces: list[str]) -> None:
    survives({"revdiff.toml": manifest(pins='"a.dts"'), "a.dts": " ".join(pieces)})


@pytest.mark.parametrize("row", ["R1-R10000,1k", "Not fitted: R1-R10000,"])
def test_a_small_file_that_names_too_many_parts_is_refused_at_its_line(row: str) -> None:
    with pytest.raises(FaultyDesign) as caught:
        load_table("parts", "Ref,Value\n" + "R1-R10000,1k\n" + f"{row}\n" * 20)
    (fault,) = (item for item in caught.value.diagnostics if item.severity == "fault")
    assert str(fault.origin) == "table.csv:22"
    assert "more than 200000 designators" in fault.message


def test_as_many_parts_as_are_allowed_are_read() -> None:
    rows = "".join(f"R{first}-R{first + 9_999},1k\n" for first in range(1, 200_000, 10_000))
    assert len(load_table("parts", "Ref,Value\n" + rows).boards["base"].parts) == 200_000
