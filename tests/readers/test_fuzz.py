"""Whatever a stranger's file holds, reading it and comparing it end in an answer or in one clear fault.

A short run is part of the suite. The long one: ``REVDIFF_FUZZ=20000 python -m pytest tests/readers/test_fuzz.py``, with
the number of examples for each reader.
"""

from __future__ import annotations

import io
import os
import zipfile
from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from revdiff.errors import RevdiffError
from revdiff.readers.c_pins import Patterns, pins_of_header
from revdiff.readers.faults import Faults
from revdiff.readers.loader import Loader
from revdiff.readers.loose import open_loose
from revdiff.readers.netlists import read_netlist
from revdiff.readers.tree_pins import pins_of_devicetree
from revdiff.sources.files import open_files
from tests.readers.memory import MemoryRevision, manifest
from tests.readers.test_workbook import HEADER, workbook
from tests.support import judged

pytestmark = pytest.mark.slow

EXAMPLES = int(os.environ.get("REVDIFF_FUZZ", "0")) or 40
fuzz = settings(
    deadline=None,
    max_examples=EXAMPLES,
    suppress_health_check=list(HealthCheck),
    print_blob=True,
)

# Sound files, which are spoilt: most of a spoilt file is still what a reader expects, so that it gets deep into it.
CSV = "Designator,Quantity,Value,Package,Fitted,Cost\nR1-R4,4,4k7 1%,0402,yes,0.01 €\nC1;C2,2,100n/16V,0603,DNP,\n"
PINS = """\
Device,Pin,Port,Signal,Direction,Function,Level,Note
U1,1,PA5,LED,out,TIM2_CH1,3.3 V,10 kHz
U1,2,PB0,SDA,bidir,,,
"""
CONTACTS = "Connector,Contact,Signal,Level,Current\nJ1,1,GND,,\nJ1,2,+3V3,3.3 V,100 mA\n"
CONNECTORS = "Connector,Contacts,Rows,Pitch,Gender,Height\nJ1,2,1,2.54 mm,male,8.5 mm\n"
PAGE = """\
# Pins

| Pin | Signal | Note |
|----:|:-------|------|
| 1 | `LED` | **[a](b)** |

## J1

| Contact | Signal |
|--|--|
| 1 | GND |
"""
TOML = """\
[design]
name = "demo"
packing_suffixes = ["-TR"]
[boards.base]
parts = { file = "parts.csv", decimal = "comma", columns = { value = 3 } }
pins = "pins.csv"
netlist = { file = "base.ipc", devices = ["U1"] }
[[joints]]
a = "base.J1"
b = "base.J1"
contacts = { 1 = 2 }
[firmware.lamp]
board = "base"
needs = "needs.csv"
header = { file = "pins.h", pin = "PIN_{signal}" }
constants = { A = 1.5 }
[derived.gain]
board = "base"
formula = "R1 / (R1 + R2)"
"""
HEADER_FILE = """\
/* pins */
#ifndef PINS_H
#define PIN_LED (5u) // LED
#define LED_PORT GPIOA
#define NAME "a\\"b"
static const int kHeatPin = 0x0C;
enum Pins { PIN_A = 1, PIN_B = PA5, };
constexpr uint8_t FAN_PIN{7};
#define LONG \\
    12
#endif
"""
TREE = """\
/dts-v1/;
/* board */
/ {
    gpioa: gpio@48000000 { #gpio-cells = <2>; gpio-line-names = "LED", "", "HEAT"; reg = <0x48000000 (1 << 10)>; };
    leds { led0: led_0 { gpios = <&gpioa 5 1>; label = "x"; }; };
};
&gpioa { status = "okay"; };
"""
IPC356 = """\
P  JOB   demo
P  UNITS CUST 0
P  NNAME1 LONG_NAME_OF_A_NET
317GND              U1    -1     D0394PA00X+012345Y-000100X0600Y0600R000S0
327NNAME1           R1    -2          A01X+000100Y 000100X0280Y0200R000S1
017                 J1    -12    MD0394PA00X 12345Y   100
999
"""
IPC2581 = """\
<?xml version="1.0" encoding="UTF-8"?>
<IPC-2581 revision="B" xmlns="http://webstds.ipc.org/2581">
<Content roleRef="Owner"/><LogisticHeader><Enterprise id="E1" code="NONE" name="Maker"/></LogisticHeader>
<Bom name="demo"><BomHeader assembly="a" revision="1"/><BomItem OEMDesignNumberRef="N1" quantity="2"
 category="ELECTRICAL">
<RefDes name="R1" packageRef="0402" populate="true"/><RefDes name="R2" packageRef="0402" populate="false"/>
<Characteristics category="ELECTRICAL"><Measured definitionSource="x" measuredCharacteristicName="Value"
 measuredCharacteristicValue="10" engineeringUnitOfMeasure="kOHM" engineeringNegativeTolerance="1"/>
</Characteristics></BomItem></Bom>
<Ecad><CadHeader units="MILLIMETER"/><CadData><Step name="s"><Component refDes="R1" packageRef="0402"/>
<LogicalNet name="GND"><PinRef componentRef="R1" pin="1"/><PinRef componentRef="R2" pin="1"/>
</LogicalNet></Step></CadData></Ecad>
<Avl name="a"><AvlItem OEMDesignNumber="N1"><AvlVmpn qualified="true" chosen="1"><AvlMpn name="P1" rank="1"/>
<AvlVendor enterpriseRef="E1"/></AvlVmpn></AvlItem></Avl></IPC-2581>
"""

SPOIL = st.sampled_from(
    [
        *(
            "\0",
            "\n",
            "\r",
            "\t",
            '"',
            "'",
            ",",
            ";",
            "|",
            "-",
            "/",
            "*",
            "#",
            "\\",
            "(",
            ")",
            "[",
            "]",
            "{",
            "}",
            "<",
            ">",
        ),
        *("&", "=", ".", "..", "=", "%", "0", "-1", "1e999", "9" * 30, "9" * 5000, "0x", "R1-R9999", "R1", "U1", "PA5"),
        *("µ", "Ω", "é", "\u202e", "\ufeff", "\ud800", "\u2028", "İ", "ſ", "²", "١", "٣", "½", "\x0b", "\x1c", "\x85"),
        *(
            "true",
            "nan",
            "inf",
            "1_0",
            "<<",
            "/*",
            "*/",
            "//",
            "&#0;",
            "]]>",
            "<!--",
            "gpios",
            "enum",
            "#define A A",
            "P  ",
        ),
    ]
)
EDIT = st.tuples(st.integers(0, 10**6), st.integers(0, 40), SPOIL, st.integers(0, 3))
EDITS = st.lists(EDIT, min_size=0, max_size=6)
Edits = list[tuple[int, int, str, int]]


def spoilt(text: str, edits: Edits) -> str:
    """The text with pieces put in, taken out, doubled, or moved to the end."""
    for at, size, piece, how in edits:
        place = at % (len(text) + 1)
        inside = text[place : place + size]
        text = text[:place] + (piece, "", inside * 2, piece)[how] + text[place + (0 if how == 0 else size) :]
        text += inside if how == 3 else ""
    return text


def as_bytes(text: str, tail: bytes = b"") -> bytes:
    return text.encode("utf-8", "surrogatepass") + tail


def answers(run: Callable[[], object]) -> None:
    """Runs it; anything but a fault for the user leaves here, and fails the test."""
    told = "an answer"
    try:
        run()
    except RevdiffError as error:
        told = str(error)
    assert told.strip()


def loads(files: dict[str, bytes | str]) -> None:
    answers(lambda: Loader().load(MemoryRevision(files)))


@pytest.mark.parametrize(
    ("kind", "file", "text"),
    [
        ("parts", "p.csv", CSV),
        ("parts", "p.tsv", CSV.replace(",", "\t")),
        ("pins", "p.csv", PINS),
        ("contacts", "c.csv", CONTACTS),
        ("connectors", "c.csv", CONNECTORS),
        ("pins", "p.md", PAGE),
        ("contacts", "c.md", PAGE),
        ("pins", "p.h", HEADER_FILE),
        ("pins", "p.dts", TREE),
    ],
)
@fuzz
@given(edits=EDITS, tail=st.binary(max_size=3))
def test_a_spoilt_table(kind: str, file: str, text: str, edits: Edits, tail: bytes) -> None:
    loads({"revdiff.toml": manifest(**{kind: f'"{file}"'}), file: as_bytes(spoilt(text, edits), tail)})


@fuzz
@given(edits=EDITS, tail=st.binary(max_size=3))
def test_a_spoilt_manifest(edits: Edits, tail: bytes) -> None:
    rest: dict[str, bytes | str] = {
        "parts.csv": CSV,
        "pins.csv": PINS,
        "base.ipc": IPC356,
        "needs.csv": "Signal,Pin\nLED,1\n",
    }
    loads({"revdiff.toml": as_bytes(spoilt(TOML, edits), tail), **rest})


@pytest.mark.parametrize("text", [IPC356, IPC2581], ids=["ipc-d-356", "ipc-2581"])
@fuzz
@given(edits=EDITS, tail=st.binary(max_size=3))
def test_a_spoilt_netlist(text: str, edits: Edits, tail: bytes) -> None:
    answers(lambda: read_netlist(as_bytes(spoilt(text, edits), tail), "base.net", Faults()))
    loads({"revdiff.toml": manifest(netlist='"base.net"'), "base.net": as_bytes(spoilt(text, edits), tail)})


@fuzz
@given(edits=EDITS)
def test_a_spoilt_contract_source(edits: Edits) -> None:
    patterns = Patterns("PIN_{signal}", "{signal}_PORT", "LOW_{signal}")
    answers(lambda: list(pins_of_header(spoilt(HEADER_FILE, edits), "p.h", patterns)))
    answers(lambda: list(pins_of_devicetree(spoilt(TREE, edits), "p.dts")))


BOOK = {
    item.filename: zipfile.ZipFile(io.BytesIO(workbook([HEADER, ["R1", "4k7", 402, "AB1"], ["R2", 1.5, None, True]])))
    .read(item)
    .decode()
    for item in zipfile.ZipFile(
        io.BytesIO(workbook([HEADER, ["R1", "4k7", 402, "AB1"], ["R2", 1.5, None, True]]))
    ).infolist()
}


@fuzz
@given(member=st.sampled_from(sorted(BOOK)), edits=EDITS, cut=st.integers(0, 400), names=EDITS)
def test_a_spoilt_workbook(member: str, edits: Edits, cut: int, names: Edits) -> None:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in BOOK.items():
            archive.writestr(name, as_bytes(spoilt(text, edits) if name == member else text))
    data = file.getvalue()
    for at, size, _, how in names[: 1 if cut % 3 == 0 else 0]:
        place = at % len(data)
        data = data[:place] + bytes([size]) * (how + 1) + data[place + how + 1 :]
    data = data[: len(data) - cut] if cut % 5 == 1 else data
    loads({"revdiff.toml": manifest(parts='"p.xlsx"'), "p.xlsx": data})


@fuzz
@given(text=st.sampled_from([CSV, PINS, CONTACTS, CONNECTORS, PAGE, IPC356, IPC2581]), old=EDITS, new=EDITS)
def test_two_spoilt_loose_files(text: str, old: Edits, new: Edits, tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.mktemp("loose")
    paths = []
    for name, edits in (("a.csv", old), ("b.csv", new)):
        (folder / name).write_bytes(as_bytes(spoilt(text, edits)))
        paths.append(str(folder / name))
    files = open_files(paths[0], paths[1], folder)
    assert files is not None

    def run() -> None:
        loader = Loader()
        for revision in open_loose(*files):
            loader.load(revision)

    answers(run)


SOUND = {
    "revdiff.toml": TOML.replace('netlist = { file = "base.ipc", devices = ["U1"] }\n', 'contacts = "contacts.csv"\n')
    .replace('needs = "needs.csv"\nheader = { file = "pins.h", pin = "PIN_{signal}" }\n', 'needs = "needs.csv"\n')
    .replace("contacts = { 1 = 2 }\n", ""),
    "parts.csv": CSV.replace("4k7 1%", "4k7"),
    "pins.csv": PINS,
    "contacts.csv": CONTACTS,
    "connectors.csv": CONNECTORS,
    "needs.csv": "Signal,Pin,Direction\nLED,1,out\nSDA,2,bidir\n",
}


def test_the_sound_design_is_compared() -> None:
    changed = {**SOUND, "pins.csv": PINS.replace("LED,out", "SDA2,in")}
    assert judged(SOUND, changed).findings


@fuzz
@given(file=st.sampled_from(sorted(SOUND)), edits=EDITS, other=st.sampled_from(sorted(SOUND)), more=EDITS)
def test_a_spoilt_design_compared_with_the_sound_one(file: str, edits: Edits, other: str, more: Edits) -> None:
    changed = {**SOUND, file: spoilt(SOUND[file], edits)}
    changed[other] = spoilt(changed[other], more)
    changed = {name: text.encode("utf-8", "replace").decode() for name, text in changed.items()}
    answers(lambda: judged(SOUND, changed))
    answers(lambda: judged(changed, SOUND))
