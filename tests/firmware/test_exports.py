"""Exports of a pin map: compiled and read back to the same pins, whatever the signals are called."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from revdiff.design.tables import PINS as PINS_TABLE
from revdiff.errors import UsageFault
from revdiff.report import pins_c, pins_dts, pins_table
from revdiff.report.pins_revisions import selecting_header
from revdiff.report.pins_table import ExportPin, export_pins
from tests.conftest import Run
from tests.firmware.boards import MANIFEST, NEW, NEW_PINS, OLD, OLD_PINS, files, review
from tests.support import load

CC, CXX, DTC = shutil.which("cc"), shutil.which("g++"), shutil.which("dtc")
needs_cc = pytest.mark.skipif(CC is None, reason="no C compiler")
needs_cxx = pytest.mark.skipif(CXX is None, reason="no C++ compiler")
needs_dtc = pytest.mark.skipif(DTC is None, reason="no device-tree compiler")

PINS = export_pins(load(OLD).boards["base"], "U1")
HOSTILE = (
    ExportPin('A"; system("true"); "', "1", "PA0", {"active": "low"}),
    ExportPin("*/ int x; /*", "2", "PA1"),
    ExportPin("B\\", "3", "PA2"),
    ExportPin("C\n#error no\n", "4", "PA3"),
    ExportPin("??/", "5", "PA4"),
    ExportPin("Ärger µ", "6", "PA5"),
    ExportPin("nRESET", "7", "PA6"),
    ExportPin("n-RESET", "8", "PA7"),
    ExportPin("n.RESET", "A9", "PB31"),
    ExportPin("+3V3", "10", "GPIO4"),
    ExportPin("-5V", "011", "P1.07"),
    ExportPin("int", "12", "weird\tport"),
    ExportPin("COUNT_OF_SIGNALS", "13", ""),
    ExportPin("7SEG", "14", "PC1"),
    ExportPin("%s%n", "15", "PC2"),
    ExportPin("\x01\x7f", "16", "PC3"),
    ExportPin("##[x]", "17", "PC4"),
)


def compiled(tmp_path: Path, program: str) -> str:
    """The output of a C program, compiled without a warning."""
    assert CC is not None
    source, binary = tmp_path / "program.c", tmp_path / "program"
    source.write_text(program, encoding="utf-8")
    flags = ["-std=c99", "-Wall", "-Wextra", "-Werror", "-pedantic"]
    done = subprocess.run([CC, *flags, "-o", binary, source], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return subprocess.run([binary], capture_output=True, text=True, check=True).stdout


def compiled_as_cpp(tmp_path: Path, program: str) -> str:
    """The output of the same program as C++11, compiled without a warning."""
    assert CXX is not None
    source, binary = tmp_path / "program.cpp", tmp_path / "program"
    source.write_text(program, encoding="utf-8")
    flags = ["-std=c++11", "-Wall", "-Wextra", "-Werror", "-pedantic"]
    done = subprocess.run([CXX, *flags, "-o", binary, source], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return subprocess.run([binary], capture_output=True, text=True, check=True).stdout


PRINT = """
static void hex(const char *text)
{
    for (; *text; text++)
        printf("%02x", (unsigned)(unsigned char)*text);
    putchar(' ');
}
static void show(const struct board_pin *pin)
{
    hex(pin->signal); hex(pin->pin); hex(pin->port);
    printf("%d %d %d %d %d\\n", pin->bank, pin->line, pin->active_low, pin->output, pin->idle);
}
"""


def read_back(output: str) -> list[tuple[object, ...]]:
    found: list[tuple[object, ...]] = []
    for line in output.splitlines():
        signal, pin, port, bank, number, low, output, idle = line.split(" ")
        texts = [bytes.fromhex(item).decode() for item in (signal, pin, port)]
        shown = chr(int(bank)) if bank != "0" else ""
        found.append((*texts, shown, int(number), low == "1", output == "1", int(idle)))
    return found


def expected(pins: tuple[ExportPin, ...]) -> list[tuple[object, ...]]:
    found: list[tuple[object, ...]] = []
    for item in pins:
        bank, line = item.line or ("", -1)
        idle = {"low": 1, "high": 0}.get(item.active, -1)
        driven = item.cells.get("direction") in ("out", "open drain")
        found.append((item.signal, item.pin, item.port, bank.upper(), line, item.active == "low", driven, idle))
    return found


@needs_cc
@pytest.mark.parametrize("pins", [PINS, HOSTILE], ids=["plain", "hostile"])
def test_the_c_header_compiles_and_reads_back_to_the_same_pins(tmp_path: Path, pins: tuple[ExportPin, ...]) -> None:
    header = pins_c.to_header("base", "U1", "v1 */ #error", pins)
    (tmp_path / "pins.h").write_text(header, encoding="utf-8")
    body = f"for (int i = 0; i < {len(pins)}; i++) show(&base_u1_pins[i]); return 0;"
    program = f'#include <stdio.h>\n#include "pins.h"\n#include "pins.h"\n{PRINT}int main(void) {{ {body} }}\n'
    assert read_back(compiled(tmp_path, program)) == expected(pins)


@needs_cc
def test_the_constants_of_the_c_header_are_those_of_the_pins(tmp_path: Path) -> None:
    (tmp_path / "pins.h").write_text(pins_c.to_header("base", "U1", "v1", PINS), encoding="utf-8")
    names = [f"BASE_U1_{pins_c.c_name(item.signal)}" for item in PINS]
    lines = "".join(f'printf("%d %c %d %d\\n", {n}_PIN, {n}_BANK, {n}_LINE, {n}_ACTIVE_LOW);' for n in names)
    output = compiled(tmp_path, f'#include <stdio.h>\n#include "pins.h"\nint main(void) {{ {lines} return 0; }}\n')
    assert output.splitlines() == [
        f"{item.pin} {item.port[1]} {item.port[2:]} {int(item.active == 'low')}" for item in PINS
    ]


def test_names_start_as_asked() -> None:
    header = pins_c.to_header("base", "U1", "v1", PINS, "my_board")
    assert "#define my_board_HEAT_PIN 2" in header
    assert "#define my_board_HEAT_OUTPUT 1" in header
    assert "#define my_board_HEAT_IDLE 0" in header
    assert "my_board_pins[]" in header
    assert "BASE_U1" not in header


@pytest.mark.parametrize("start", ["1x", "a-b", "a b", "\u00e4", "x" * 32, '"'])
def test_what_is_no_start_of_a_name_is_refused(start: str) -> None:
    with pytest.raises(UsageFault, match="can't start names in C"):
        pins_c.to_header("base", "U1", "v1", PINS, start)


def with_codes(old: str, new: str) -> tuple[dict[str, str], dict[str, str]]:
    section = '\n[identity.base]\nby = "strap"\ncode = "{}"\n'
    return (
        dict(files(OLD_PINS, MANIFEST + section.format(old))),
        dict(files(NEW_PINS, MANIFEST + section.format(new))),
    )


@needs_cc
@pytest.mark.parametrize(("codes", "ids"), [(("0x0A", "0x0C"), (10, 12)), (None, (0, 1))])
def test_the_header_of_two_revisions_chooses_by_the_board_id(
    tmp_path: Path, codes: tuple[str, str] | None, ids: tuple[int, int]
) -> None:
    both = review(*with_codes(*codes)) if codes else review()
    board = both.comparison.new.boards["base"]
    (tmp_path / "pins.h").write_text(selecting_header(both, board, "U1"), encoding="utf-8")
    ask = "".join(
        f"for (int s = 0; s < (int)BASE_U1_COUNT_OF_SIGNALS; s++) {{"
        f"const struct board_pin *p = base_u1_pin({board_id}, (enum base_u1_signal)s); if (p) show(p); }}"
        'puts("--");'
        for board_id in (*ids, 99)
    )
    ask += 'printf("%s %s %d\\n", base_u1_pin(BASE_U1_ID_V1, BASE_U1_SIG_HEAT)->port,'
    ask += "base_u1_pin(BASE_U1_ID_V2, BASE_U1_SIG_HEAT)->port,"
    ask += "base_u1_pin(BASE_U1_ID_V2, BASE_U1_SIG_SPARE_IN) == 0);"
    ask += 'printf("%s %s\\n", base_u1_pin(BASE_U1_ID_V1, BASE_U1_SIG_NBUTTON)->signal,'
    ask += "base_u1_pin(BASE_U1_ID_V2, BASE_U1_SIG_NBUTTON)->signal);"
    program = f'#include <stdio.h>\n#include "pins.h"\n{PRINT}int main(void) {{ {ask} return 0; }}\n'
    old, new, unknown, rest = compiled(tmp_path, program).split("--\n")
    assert sorted(read_back(old), key=repr) == sorted(expected(PINS), key=repr)
    assert sorted(read_back(new), key=repr) == sorted(expected(export_pins(load(NEW).boards["base"], "U1")), key=repr)
    assert unknown == ""
    assert rest.splitlines() == ["PA1 PA0 1", "nKEY nBUTTON"]


@needs_cxx
@pytest.mark.parametrize("pins", [PINS, HOSTILE], ids=["plain", "hostile"])
def test_the_header_of_one_revision_compiles_as_cpp_too(tmp_path: Path, pins: tuple[ExportPin, ...]) -> None:
    (tmp_path / "pins.h").write_text(pins_c.to_header("base", "U1", "v1", pins), encoding="utf-8")
    body = f"for (int i = 0; i < {len(pins)}; i++) show(&base_u1_pins[i]); return 0;"
    program = f'#include <cstdio>\n#include "pins.h"\nusing namespace std;\n{PRINT}int main() {{ {body} }}\n'
    assert read_back(compiled_as_cpp(tmp_path, program)) == expected(pins)


@needs_cxx
def test_the_header_of_two_revisions_compiles_as_cpp_and_tells_the_same_pins(tmp_path: Path) -> None:
    header = pins_c.to_selecting_header("base", "U1", [("v1", 1, HOSTILE), ("v2", 2, HOSTILE[3:9])], {})
    (tmp_path / "pins.h").write_text(header, encoding="utf-8")
    ask = "".join(
        f"for (int s = 0; s < (int)BASE_U1_COUNT_OF_SIGNALS; s++) {{"
        f"const struct board_pin *p = base_u1_pin({board_id}, (enum base_u1_signal)s); if (p) show(p); }}"
        'puts("--");'
        for board_id in (1, 2)
    )
    program = f'#include <cstdio>\n#include "pins.h"\nusing namespace std;\n{PRINT}int main() {{ {ask} return 0; }}\n'
    old, new, _ = compiled_as_cpp(tmp_path, program).split("--\n")
    assert sorted(read_back(old), key=repr) == sorted(expected(HOSTILE), key=repr)
    assert sorted(read_back(new), key=repr) == sorted(expected(HOSTILE[3:9]), key=repr)


@needs_cc
def test_a_board_whose_name_starts_with_a_digit_compiles(tmp_path: Path) -> None:
    (tmp_path / "one.h").write_text(pins_c.to_header("2ch", "U1", "v1", PINS), encoding="utf-8")
    both = pins_c.to_selecting_header("2ch", "U1", [("v1", 1, PINS), ("v2", 2, PINS)], {})
    (tmp_path / "two.h").write_text(both, encoding="utf-8")
    program = '#include "one.h"\n#include "two.h"\nint main(void) { return board_2ch_u1_pins[0].signal == 0; }\n'
    assert compiled(tmp_path, program) == ""


@needs_cc
def test_hostile_names_in_two_revisions_compile(tmp_path: Path) -> None:
    header = pins_c.to_selecting_header("base", "U1", [("a*/", 1, HOSTILE), ("a/*", 2, HOSTILE[:5])], {})
    (tmp_path / "pins.h").write_text(header, encoding="utf-8")
    program = '#include "pins.h"\nint main(void) { return base_u1_pin(2, BASE_U1_SIG_B_) == 0; }\n'
    assert compiled(tmp_path, program) == ""


def test_equal_board_ids_are_refused() -> None:
    both = review(*with_codes("10", "0x0A"))
    with pytest.raises(UsageFault, match="v1 and v2 of base have the same board ID 10"):
        selecting_header(both, both.comparison.new.boards["base"], "U1")


def test_a_code_that_is_no_number_is_refused() -> None:
    both = review(*with_codes("blue", "red"))
    with pytest.raises(UsageFault, match="no number"):
        selecting_header(both, both.comparison.new.boards["base"], "U1")


BASE_TREE = """/dts-v1/;
/ {{
{nodes}}};
{fragment}"""
NODE = '\tgpio{0}: gpio-{0} {{ compatible = "test,gpio"; gpio-controller; #gpio-cells = <2>; }};\n'


def names_by_bank(tmp_path: Path, fragment: str, banks: set[str]) -> dict[str, list[str]]:
    """The names that the real compiler makes of a fragment, read from its binary with fdtget."""
    assert DTC is not None
    source, blob = tmp_path / "board.dts", tmp_path / "board.dtb"
    nodes = "".join(NODE.format(bank) for bank in sorted(banks))
    source.write_text(BASE_TREE.format(nodes=nodes, fragment=fragment), encoding="utf-8")
    done = subprocess.run([DTC, "-O", "dtb", "-o", blob, source], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    found = {}
    for bank in banks:
        get = ["fdtget", "-t", "bx", str(blob), f"/gpio-{bank}", "gpio-line-names"]
        data = bytes(
            int(item, 16) for item in subprocess.run(get, capture_output=True, text=True, check=True).stdout.split()
        )
        found[bank] = [item.decode() for item in data.split(b"\0")[:-1]]
    return found


@needs_dtc
@pytest.mark.parametrize("pins", [PINS, HOSTILE], ids=["plain", "hostile"])
def test_the_devicetree_fragment_compiles_and_reads_back_to_the_same_lines(
    tmp_path: Path, pins: tuple[ExportPin, ...]
) -> None:
    placed = [(item.signal, *item.line) for item in pins if item.line is not None]
    fragment = pins_dts.to_fragment("base", "U1", "v1 */ x", pins)
    found = names_by_bank(tmp_path, fragment, {bank for _, bank, _ in placed})
    got = [(name, bank, line) for bank, names in found.items() for line, name in enumerate(names) if name]
    assert sorted(got) == sorted(placed)


@needs_dtc
def test_active_levels_are_flags_in_the_devicetree(tmp_path: Path) -> None:
    """0 and 1 as of active high and low (dt-bindings/gpio/gpio.h, from memory); read from the compiled tree."""
    pins = (
        *HOSTILE,
        ExportPin("LED_STAT", "20", "PD3", cells={"active": "low"}),
        ExportPin("led-stat", "21", "PD4", cells={"active": "high"}),
    )
    fragment = pins_dts.to_fragment("base", "U1", "v1", pins)
    names_by_bank(tmp_path, fragment, {item.line[0] for item in pins if item.line is not None})
    cells = {}
    for name in ("led-stat-gpios", "led-stat-2-gpios"):
        get = ["fdtget", "-t", "i", str(tmp_path / "board.dtb"), "/board-signals", name]
        cells[name] = subprocess.run(get, capture_output=True, text=True, check=True).stdout.split()[1:]
    assert cells == {"led-stat-gpios": ["3", "1"], "led-stat-2-gpios": ["4", "0"]}


def test_pins_whose_port_names_no_line_are_told_in_the_fragment() -> None:
    fragment = pins_dts.to_fragment("base", "U1", "v1", HOSTILE)
    assert "/* No line of a bank: int on 12 */" in fragment
    with pytest.raises(UsageFault, match="nothing to name"):
        pins_dts.to_fragment("base", "U1", "v1", HOSTILE[11:13])


@given(st.text(max_size=60))
def test_any_text_makes_a_name_a_string_and_a_comment(text: str) -> None:
    assert re.fullmatch("[A-Z0-9_]+", pins_c.c_name(text))
    assert re.fullmatch(r'"([^"\\?]|\\[0-7]{3})*"', pins_c.c_string(text))
    assert re.fullmatch(r'"([^"\\]|\\[0-7]{3})*"', pins_dts.dts_string(text))
    assert re.fullmatch(r"[A-Za-z0-9 ._+@-]*", pins_c.c_comment(text))


PORTS = [("PA5", ("a", 5)), ("pb12", ("b", 12)), ("P0.13", ("0", 13)), ("GPIO4", ("0", 4)), ("IO7", ("0", 7))]


@pytest.mark.parametrize(("port", "line"), PORTS)
def test_ports_as_makers_write_them(port: str, line: tuple[str, int]) -> None:
    assert ExportPin("X", "1", port).line == line


@pytest.mark.parametrize("port", ["VDD", "PA", "PA123", "", "A5", "P\u017f5", "P\u212a5", "GPIO\u0665"])
def test_other_names_tell_no_line(port: str) -> None:
    assert ExportPin("X", "1", port).line is None


def test_csv_reads_back_as_a_pin_map_to_the_same_pins() -> None:
    again = load(files(pins_table.to_csv(PINS).replace("\n", "\n")))
    assert export_pins(again.boards["base"], "U1") == PINS


def test_csv_holds_no_spreadsheet_formula() -> None:
    pins = (ExportPin("=1+1", "1"), ExportPin("@SUM(1)", "2"), ExportPin("+cmd|x", "3"), ExportPin("+3V3", "4"))
    rows = list(csv.reader(io.StringIO(pins_table.to_csv(pins))))[1:]
    assert [row[0] for row in rows] == ["'=1+1", "'@SUM(1)", "'+cmd|x", "+3V3"]


def test_json_holds_the_same_pins() -> None:
    data = json.loads(pins_table.to_json("base", "U1", "v1", PINS))
    assert data["pins"] == [item.texts for item in PINS]
    assert list(data["pins"][0]) == list(pins_table.COLUMNS)
    assert (data["board"], data["device"], data["revision"]) == ("base", "U1", "v1")


@pytest.mark.parametrize("form", ["c", "dts", "csv", "json"])
def test_the_command_exports_the_demo(demo: Path, run: Run, form: str) -> None:
    done = run("pins", "rev-c", "--repo", demo, "--export", form, "--board", "base")
    assert (done.returncode, done.stderr) == (0, "")
    assert "VALVE_DIR" in done.stdout


def test_the_command_writes_a_header_for_both_revisions(demo: Path, run: Run) -> None:
    done = run("pins", "rev-b", "rev-c", "--repo", demo, "--export", "c", "--board", "base")
    assert done.returncode == 0
    assert "case BASE_U1_ID_REV_B:" in done.stdout


MISTAKES = [
    (("rev-c", "--export", "c"), "revdiff: name the board with --board: base, valves, radio.\n"),
    (("rev-c", "--export", "c", "--board", "base", "--device", "U9"), "name the controller with --device: U1.\n"),
    (("rev-b", "rev-c", "--export", "dts", "--board", "base"), "revdiff: --export dts takes one revision.\n"),
    (("rev-c", "--export", "dts", "--board", "radio", "--device", "U2"), "name the controller with --device: U1"),
]


@pytest.mark.parametrize(("arguments", "message"), MISTAKES)
def test_mistakes_end_in_one_line(demo: Path, run: Run, arguments: tuple[str, ...], message: str) -> None:
    done = run("pins", *arguments, "--repo", demo)
    assert done.returncode == 2
    assert message in done.stderr
    assert "Traceback" not in done.stderr


def test_every_column_that_firmware_is_set_up_by_is_exported_and_told() -> None:
    """A column's line in the model says it; no list of its own forgets one."""
    set_up = [item for item in PINS_TABLE.columns if item.todo]
    assert [item.name for item in set_up] == list(pins_table.COLUMNS[3:])
    assert {"function", "direction", "active", "pull", "level", "analog", "interrupt"} <= set(pins_table.COLUMNS)
    assert all("{new}" in item.todo and item.said for item in set_up)
