"""Contracts from a pin map, a C header, devicetree source and another folder; and what is refused."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from revdiff.app.reading import with_firmware
from revdiff.design.diagnostic import FaultyDesign
from revdiff.judge.needs import needs_of_pins
from revdiff.readers.c_pins import Patterns, pins_of_header
from revdiff.readers.c_source import read_c
from revdiff.readers.contract_folder import contracts_in
from revdiff.readers.contract_needs import decoded, needs_from
from revdiff.readers.contract_sources import named_as_on
from revdiff.readers.faults import Faults
from revdiff.readers.source_fault import SourceFault
from revdiff.readers.tree_pins import pins_of_devicetree
from revdiff.report import pins_c, pins_dts
from revdiff.report.pins_contract import manifest_section, needs_table
from revdiff.report.pins_table import export_pins
from tests.conftest import Run
from tests.firmware.boards import MANIFEST, NEW_PINS, OLD, OLD_PINS, files
from tests.support import MemoryRevision, judged, load

BOARD = load(OLD).boards["base"]


def with_needs(pins: str, table: str) -> dict[str, str]:
    section = manifest_section("lamp", "1.0", "base", "U1", "needs.csv")
    return dict(files(pins, f"{MANIFEST}\n{section}", **{"needs.csv": table}))


def test_a_contract_from_a_pin_map_lists_what_the_map_says_and_breaks_as_the_map_does() -> None:
    table = needs_table(needs_of_pins(BOARD, "U1").values())
    assert table.splitlines()[0] == "Signal,Pin,Function,Direction,Active,Analog,Pull,Level,Frequency,Note"
    assert "HEAT,2,GPIO,out,high,,down,3.3 V," in table
    assert "+3V3" not in table
    written = judged(with_needs(OLD_PINS, table), with_needs(NEW_PINS, table)).findings
    stood_in = judged(files(OLD_PINS), files(NEW_PINS)).findings
    assert {(i.rule, i.subject) for i in written} == {
        (i.rule, i.subject) for i in stood_in if "@new" in i.pairing.rpartition(" + ")[2]
    }
    assert judged(with_needs(OLD_PINS, table), with_needs(OLD_PINS, table)).findings == ()


def test_the_manifest_section_is_toml_whatever_the_names() -> None:
    import tomllib

    section = manifest_section('a "b" ]\n[x]\x7f', "1\\0", "base", "U1", "needs.csv")
    (entry,) = tomllib.loads(section)["firmware"].values()
    assert (entry["name"], entry["version"]) == ('a "b" ]\n[x]\x7f', "1\\0")


HEADER = """\
/* pins of the lamp: #define PIN_FAKE 1 */
#ifndef PINS_H
#define PINS_H
// #define PIN_GONE 2
#define PIN_LAMP    1     // lamp
#define PIN_HEAT    (0x2u)
#define PIN_TX      "PB2"
#define PIN_RX      RX_PIN_NUMBER
#define RX_PIN_NUMBER 010
#define PIN_FAN     \\
                    PB7
#define PIN_MACRO(x) ((x) + 1)
#define LABEL       "/* no comment */"
#define OTHER       7
#endif
"""


def test_plain_defines_of_a_header() -> None:
    found = {item.signal: (item.pin, item.line) for item in pins_of_header(HEADER, "pins.h", Patterns())}
    assert found == {"LAMP": ("1", 5), "HEAT": ("2", 6), "TX": ("PB2", 7), "RX": ("8", 8), "FAN": ("PB7", 10)}


def test_a_header_with_lines_and_banks_apart() -> None:
    text = "#define LINE_OF_HEAT LINE_1\n#define BANK_OF_HEAT BANK_A\n"
    text += "#define LINE_OF_nKEY 5\n#define BANK_OF_nKEY BANK_B\n#define LOW_OF_nKEY 1\n"
    patterns = Patterns(pin="LINE_OF_{signal}", port="BANK_OF_{signal}", active_low="LOW_OF_{signal}")
    found = [(item.signal, item.pin, item.active) for item in pins_of_header(text, "pins.h", patterns)]
    assert found == [("HEAT", "PA1", ""), ("nKEY", "PB5", "low")]


def test_an_exported_header_reads_back_as_the_contract_of_the_same_pins() -> None:
    header = pins_c.to_header("base", "U1", "v1", export_pins(BOARD, "U1"))
    patterns = Patterns(pin="BASE_U1_{signal}_PIN", active_low="BASE_U1_{signal}_ACTIVE_LOW")
    found = needs_from(named_as_on(pins_of_header(header, "pins.h", patterns), BOARD, "U1"), "pins.h")
    assert {key: need.pin.raw for key, need in found.items()} == {
        pin.signal.word: pin.number for pin in BOARD.pins.values() if pin.direction.word in ("in", "out")
    }
    assert found["nkey"].active.word == "low"


HEADER_FAULTS = [
    ("#define PIN_A 1\n#define PIN_A 2\n", "pins.h:2: PIN_A is defined twice, as 1 and as 2"),
    ("#ifdef REV_B\n#define PIN_A 1\n#else\n#define PIN_A 2\n#endif\n", "conditions are not worked out"),
    ("#define PIN_A (1 +)\n", "pins.h:1: PIN_A is no plain number, text or name: ( 1 + )"),
    ("#define PIN_A (1 << 5)\n", "pins.h:1: PIN_A is a mask of bits, not the number of a pin"),
    ("#define PIN_A F(5)\n", "pins.h:1: PIN_A takes F(, and no macro or function is worked out"),
    ("#define F(x) x\n#define PIN_A F\n", "pins.h:2: PIN_A takes F, which takes parameters"),
    ("#define PIN_A (B + 1)\n", "PIN_A can't be worked out: B isn't defined in this file"),
    (
        "#ifdef X\n#define B 1\n#else\n#define B 2\n#endif\n#define PIN_A (B + 1)\n",
        "PIN_A takes B, which is defined twice",
    ),
    ("const int PIN_A[] = {1, 2};\n", "PIN_A is an array"),
    ("#define PIN_A\n", "PIN_A has no value"),
    ("#define PIN_A B\n#define B PIN_A\n", "leads through more than 8 names"),
    ("#define PIN_A 1\n#define PIN_a 2\n", "pins.h:2: a has a second pin"),
]


@pytest.mark.parametrize(("text", "message"), HEADER_FAULTS)
def test_what_is_no_plain_define_is_told_with_its_line(text: str, message: str) -> None:
    with pytest.raises(SourceFault, match=re.escape(message)):
        needs_from(pins_of_header(text, "pins.h", Patterns()), "pins.h")


@pytest.mark.parametrize("pattern", ["PIN", "{signal}.*", "(a|b){signal}", "{signal}{signal}"])
def test_a_naming_pattern_is_letters_around_one_place(pattern: str) -> None:
    with pytest.raises(SourceFault, match="naming pattern"):
        list(pins_of_header("#define PIN_A 1\n", "pins.h", Patterns(pin=pattern)))


@given(st.text(max_size=200))
def test_any_text_is_read_as_a_header_or_refused(text: str) -> None:
    try:
        found = read_c(text, "pins.h")
    except SourceFault:
        return
    assert all(item.line >= 1 for item in found)


def test_nothing_is_included_and_nothing_runs() -> None:
    found = read_c('#include "/etc/passwd"\n#pragma once\n#define A 1\n', "pins.h")
    assert [item.name for item in found] == ["A"]


def judged_with(kind: str, text: str, given: str) -> tuple[list[str], list[str]]:
    """(findings, faults) of a design whose contract comes from a source of its firmware."""
    section = f'\n[firmware.lamp]\nversion = "1.0"\nboard = "base"\n{kind} = {given}\n'
    sides = []
    for pins in (OLD_PINS, NEW_PINS):
        revision = MemoryRevision(files(pins, MANIFEST + section, **{"fw/pins": text}))
        sides.append(with_firmware(load(revision.files), revision))
    from revdiff.compare.comparison import compare_designs
    from revdiff.judge import judge_change

    found = judge_change(compare_designs(*sides), "old", "new").findings
    return [f"{item.rule} {item.pairing} {item.subject}" for item in found], [str(i) for i in sides[0].diagnostics]


def test_a_header_that_the_manifest_names_is_a_contract() -> None:
    found, faults = judged_with("header", "#define PIN_LAMP 1\n#define PIN_NKEY PB5\n", '"fw/pins"')
    assert faults == []
    assert found == [
        "firmware-drives-other-load lamp 1.0 + base@new base.U1: LAMP",
        "stack-power-on-load base@new base.U1.1",
        "firmware-pin-moved lamp 1.0 + base@new base.U1: LAMP",
        "release-same-label base@old + base@new base",
        "firmware-signal-renamed lamp 1.0 + base@new base.U1: NKEY",
    ]


@pytest.mark.parametrize(
    ("kind", "text"), [("header", "#define LAMP_PIN_NO 1\n"), ("devicetree", "/dts-v1/;\n/ { };\n")]
)
def test_a_source_that_names_no_pin_is_a_fault_and_not_a_contract_that_every_board_keeps(kind: str, text: str) -> None:
    given = '{ file = "fw/pins", pin = "PORT_{signal}" }' if kind == "header" else '"fw/pins"'
    _, faults = judged_with(kind, text, given)
    assert len(faults) == 1
    assert f"the {kind} names no pin; found 'fw/pins'" in faults[0]


SOURCE_FAULTS = [
    (
        "header",
        "#define PIN_A (1+)\n",
        '"fw/pins"',
        "revdiff.toml:12: the header can't be read: PIN_A is no plain number",
    ),
    ("header", "", '"fw/none"', "there is no file fw/none in old"),
    ("header", "", '"../pins"', "the header can't be read"),
    ("header", "", '{ file = "fw/pins", pattern = "x" }', "it needs a file, and texts under known keys"),
    ("header", "", "3", "it needs a file, and texts under known keys"),
]


@pytest.mark.parametrize(("kind", "text", "given_", "message"), SOURCE_FAULTS)
def test_a_source_that_cannot_be_read_is_a_fault_at_its_line(kind: str, text: str, given_: str, message: str) -> None:
    _, faults = judged_with(kind, text, given_)
    assert any(message in item for item in faults), faults


def test_a_source_has_a_largest_size_and_an_encoding() -> None:
    with pytest.raises(SourceFault, match="larger than 2048 kB"):
        decoded(b" " * (2 * 1024 * 1024 + 1), "pins.h")
    with pytest.raises(SourceFault, match=r"pins\.h:2: byte 0xff is no UTF-8"):
        decoded(b"a\n\xff", "pins.h")


DTS_REFUSED = [
    ("/dts-v1/; / " + "{ a" * 100 + " }; " * 100, "nested deeper than 64"),
    ("/dts-v1/; / { x = <" + "(" * 100 + "1" + ")" * 100 + ">; };", "nested deeper than 64"),
    ("/dts-v1/;\n/ {\n  x = <1;\n};", "board.dts:3: no valid devicetree source: found ;, expected > or a value"),
    ("/dts-v1/;\n/ {\n  x = y z;\n};", "board.dts:3: no valid devicetree source: found z, expected ';'"),
    ("/dts-v1/;\n/ {\n", "board.dts:2: no valid devicetree source: found the end of the file"),
]


@pytest.mark.parametrize(("text", "message"), DTS_REFUSED)
def test_what_is_no_devicetree_source_is_told_at_its_line(text: str, message: str) -> None:
    with pytest.raises(SourceFault, match=re.escape(message)):
        list(pins_of_devicetree(text, "board.dts"))


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ('/include/ "/etc/passwd"', '"/include/"'),
        ('#include "soc.dtsi"', '"soc.dtsi"'),
        ('/ { x = /incbin/("/etc/hostname"); };', '"/incbin/"'),
    ],
)
def test_devicetree_source_that_leads_elsewhere_is_read_without_it_and_that_is_told(line: str, found: str) -> None:
    faults = Faults()
    text = f'{line}\n&gpioa {{ gpio-line-names = "LED"; }};\n'
    assert [item.pin for item in pins_of_devicetree(text, "board.dts", faults=faults)] == ["PA0"]
    assert [(item.code, item.origin.line, item.found) for item in faults.found] == [("not-included", 1, found)]


DTS = """\
/dts-v1/;
/* /incbin/ in a comment is none */
/ {
	chosen { note = "/include/ in a string is none"; };
	gpiob: gpio@400 {
		gpio-controller;
		#gpio-cells = <2>;
		gpio-line-names = "", "",
			"TX", "RX", "", "nKEY";
	};
	gpio0: gpio@0 { gpio-line-names = "LED"; };
};
"""


def test_line_names_of_devicetree_source() -> None:
    found = [(item.signal, item.pin, item.line) for item in pins_of_devicetree(DTS, "board.dts")]
    assert found == [("TX", "PB2", 9), ("RX", "PB3", 9), ("nKEY", "PB5", 9), ("LED", "P0.0", 11)]
    assert next(iter(pins_of_devicetree(DTS, "board.dts", "port{bank}_{line}"))).pin == "portB_2"


def test_an_exported_fragment_reads_back_as_the_contract_of_the_same_pins() -> None:
    pins = export_pins(BOARD, "U1")
    fragment = pins_dts.to_fragment("base", "U1", "v1", pins)
    assert {(i.signal, i.pin) for i in pins_of_devicetree(fragment, "x.dts")} == {(i.signal, i.port) for i in pins}


@pytest.mark.parametrize(
    "text",
    [
        "/dts-v1/; / { ",
        "/dts-v1/; / { a = ; };",
        "\x00",
        "&a { b }",
        "&a { b = <1>",
        '/dts-v1/; / { x: y { gpio-line-names = "a"; }; };',
    ],
)
def test_broken_devicetree_source_is_one_fault(text: str) -> None:
    with pytest.raises(SourceFault):
        list(pins_of_devicetree(text, "board.dts"))


ELSEWHERE = {
    "revdiff.toml": '[firmware.lamp]\nversion = "2.1"\nboard = "base"\nneeds = "needs.csv"\n',
    "needs.csv": "Signal,Pin,Direction\nHEAT,2,out\n",
}


def test_contracts_that_live_elsewhere() -> None:
    found = contracts_in(MemoryRevision(ELSEWHERE, "fw"), ["base"])
    assert found["lamp"].title == "lamp 2.1"
    assert found["lamp"].needs["heat"].pin.raw == "2"


def test_what_is_wrong_with_contracts_elsewhere_is_told_at_its_line() -> None:
    wrong = {**ELSEWHERE, "revdiff.toml": ELSEWHERE["revdiff.toml"].replace("base", "cellar")}
    with pytest.raises(FaultyDesign, match=r"revdiff\.toml:3: the firmware lamp is for no board"):
        contracts_in(MemoryRevision(wrong, "fw"), ["base"])
    with pytest.raises(FaultyDesign, match=r"has no revdiff\.toml"):
        contracts_in(MemoryRevision({"x": ""}, "fw"), ["base"])


def test_the_commands_write_a_contract_and_take_contracts_from_a_folder(demo: Path, tmp_path: Path, run: Run) -> None:
    done = run("contract", "rev-b", "--repo", demo, "--board", "base", "--name", "irrigation", "-o", "needs.csv")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith('[firmware.irrigation]\nname = "irrigation"\n')
    folder = tmp_path / "fw"
    folder.mkdir()
    (tmp_path / "needs.csv").rename(folder / "needs.csv")
    (folder / "revdiff.toml").write_text(done.stdout.replace("irrigation]", "mine]").replace('"irrigation"', '"mine"'))
    told = run("pins", "rev-b", "rev-c", "--repo", demo, "--contracts", f"folder:{folder}")
    assert told.returncode == 0, told.stderr
    assert "mine 0.0.0 drives HEAT_EN through pin 56 (PB4), where GNSS_PPS is" in " ".join(told.stdout.split())


def test_the_command_reads_a_header(demo: Path, tmp_path: Path, run: Run) -> None:
    (tmp_path / "pins.h").write_text("#define PIN_HEAT_EN PB4\n#define PIN_BTN_USER 2\n")
    done = run("contract", "rev-b", "--repo", demo, "--board", "base", "--from-header", "pins.h")
    assert (
        done.stdout == "Signal,Pin,Function,Direction,Active,Analog,Pull,Level,Frequency,Note\n"
        "HEAT_EN,PB4,,,,,,,,\nBTN_USER,2,,,,,,,,\n"
    )
    (tmp_path / "empty.h").write_text("\n")
    done = run("contract", "rev-b", "--repo", demo, "--board", "base", "--from-header", "empty.h")
    assert (done.returncode, done.stderr) == (2, "revdiff: empty.h names no pin that firmware could rely on.\n")
