"""C and devicetree sources as people write them, against a C compiler and two other devicetree parsers."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from revdiff.readers.c_pins import Patterns, pins_of_header
from revdiff.readers.c_source import Definition, read_c
from revdiff.readers.faults import Faults
from revdiff.readers.source_fault import SourceFault
from revdiff.readers.tree import read_tree
from revdiff.readers.tree_pins import pins_of_devicetree
from tests.readers.memory import codes, load_table, told

CXX, DTC = shutil.which("g++"), shutil.which("dtc")
needs_cxx = pytest.mark.skipif(CXX is None, reason="no C++ compiler")
needs_dtc = pytest.mark.skipif(DTC is None, reason="no devicetree compiler")

# One pin map in the styles of different houses.
STYLES = {
    "defines": "#define LED_PIN 5 // status\n#define PUMP_PIN (0x0Cu)\n#define KEY_PIN ((uint8_t)010)\n",
    "sums": (
        "#define BASE 4\n#define OFFSET BASE + 1\n#define LED_PIN (OFFSET)\n#define PUMP_PIN (3 * BASE)\n"
        "#define KEY_PIN \\\n    (2 * OFFSET ^ 1)\n"
    ),
    "constexpr": (
        "#include <cstdint>\nnamespace board::pins {\ninline constexpr std::uint8_t LED_PIN{5};\n"
        "constexpr auto PUMP_PIN = static_cast<std::uint8_t>(LED_PIN + 7);\n"
        "static const unsigned KEY_PIN = 0b1000, SPARE = 1;\n}\n"
    ),
    "enum": "typedef enum {\n  LED_PIN = 5, /* status */\n  GAP,\n  KEY_PIN = 8,\n  PUMP_PIN = KEY_PIN + 4\n} pins;\n",
    "enum class": (
        "enum class Out : unsigned char { LED_PIN = 5, PUMP_PIN = 12, };\nenum class In : int { X = 7, KEY_PIN };\n"
    ),
    "struct": "struct Pins {\n public:\n"
    "  static constexpr int LED_PIN = 5;\n  static constexpr int PUMP_PIN = 12, KEY_PIN = 8;\n};\n",
    "C linkage": "#ifndef P_H\n#define P_H\n"
    'extern "C" {\nstatic const int LED_PIN = 5, KEY_PIN = 8;\nenum { PUMP_PIN = 12 };\n}\n#endif\n',
    "dead branch": "#if 0\n#define LED_PIN 1\n#else\n#define LED_PIN 5\n#endif\n"
    "const int KEY_PIN = 8;\nint const PUMP_PIN = 12;\n",
}
TREE = """\
/ {
    led: status { gpios = <&gpio 5 0>; };
    pump: pump_0 { gpios = <&gpio 0x0c (GPIO_ACTIVE_HIGH | GPIO_PULL_DOWN)>; };
    key: key_0 { gpios = <&gpio (4 + 4) GPIO_ACTIVE_LOW>; };
};
"""


def compiled(tmp_path: Path, source: str, names: list[str]) -> dict[str, int]:
    """What the compiler takes the constants to be."""
    assert CXX is not None
    shows = "".join(f'std::printf("%s %lld\\n", "{name}", (long long)({name}));\n' for name in names)
    text = f"#include <cstdint>\n#include <cstdio>\nusing namespace std;\n{source}\nint main() {{\n{shows}}}\n"
    (tmp_path / "p.cpp").write_text(text, encoding="utf-8")
    done = subprocess.run([CXX, "-std=c++17", "-w", "-o", tmp_path / "p", tmp_path / "p.cpp"], capture_output=True)
    assert done.returncode == 0, done.stderr.decode()
    output = subprocess.run([tmp_path / "p"], capture_output=True, text=True, check=True).stdout
    return {name: int(number) for name, number in (line.split() for line in output.splitlines())}


def qualified(item: Definition) -> str:
    return f"{item.scope}::{item.name}" if item.scope else item.name


@needs_cxx
@pytest.mark.parametrize("style", list(STYLES))
def test_every_number_is_what_the_compiler_takes_it_for(tmp_path: Path, style: str) -> None:
    numbers = {
        qualified(item): item.value.number for item in read_c(STYLES[style], "p.h") if item.value.number is not None
    }
    assert len(numbers) >= 3
    assert numbers == compiled(tmp_path, STYLES[style], list(numbers))


# Expressions with what compilers and people differ about: promotion, precedence, bases, casts, macros without brackets.
ATOMS = st.sampled_from(
    ["0", "1", "7", "010", "0x1F", "0b101", "3u", "2UL", "'A'", "M", "N", "(uint8_t)300", "(int)5", "uint16_t(9)", "K"]
)
SIGNS = ["+", "-", "*", "/", "%", "&", "|", "^", "<<", ">>", "<", "=="]
EXPRESSIONS = st.recursive(
    ATOMS,
    lambda inner: st.one_of(
        st.tuples(inner, st.sampled_from(SIGNS), inner).map(lambda item: " ".join(item)),
        inner.map(lambda item: f"({item})"),
        st.tuples(st.sampled_from(["-", "~", "!"]), inner).map(lambda item: f"{item[0]} ({item[1]})"),
        inner.map(lambda item: f"static_cast<int>({item})"),
    ),
    max_leaves=6,
)
GIVEN = "#define M 2 + 3\n#define N M * 2\nstatic const uint8_t K = 260;\n"


@needs_cxx
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(EXPRESSIONS, min_size=10, max_size=20))
def test_any_expression_is_worked_out_as_the_compiler_does_or_not_at_all(tmp_path: Path, items: list[str]) -> None:
    source = GIVEN + "".join(f"#define E{number} ({item})\n" for number, item in enumerate(items))
    numbers = {item.name: item.value.number for item in read_c(source, "p.h") if item.value.number is not None}
    assert compiled(tmp_path, source, list(numbers)) == numbers


@pytest.mark.parametrize("style", list(STYLES))
def test_a_header_of_any_style_and_a_devicetree_give_the_same_pins(style: str) -> None:
    want = {("LED", "5"), ("PUMP", "12"), ("KEY", "8")}
    board = load_table("pins", STYLES[style], file="p.h").boards["base"]
    assert {(pin.signal.raw, pin.number) for pin in board.pins.values()} == want
    contract = pins_of_header(STYLES[style], "p.h", Patterns(pin="{signal}_PIN"))
    assert {(pin.signal, pin.pin) for pin in contract} == want
    tree = load_table("pins", TREE, file="p.dts").boards["base"]
    assert {(pin.signal.raw.upper(), pin.number.removeprefix("GPIO")) for pin in tree.pins.values()} == want
    assert {(pin.signal.upper(), pin.pin.removeprefix("GPIO")) for pin in pins_of_devicetree(TREE, "p.dts")} == want


def test_a_devicetree_gives_levels_and_pulls_to_pin_map_and_contract_alike() -> None:
    pins = load_table("pins", TREE, file="p.dts").boards["base"].pins
    mapped = {(pin.number, pin.active.word, pin.pull.raw) for pin in pins.values()}
    assert mapped == {("GPIO5", "high", ""), ("GPIO12", "high", "down"), ("GPIO8", "low", "")}
    assert {(pin.pin, pin.active, pin.pull) for pin in pins_of_devicetree(TREE, "p.dts")} == mapped


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("#define PUMP_PIN PIN(B, 5)", "not-worked-out"),
        ("#define PUMP_PIN (1 << 5)", "not-worked-out"),
        ("#define PUMP_PIN (OTHER_FILE + 1)", "not-worked-out"),
        ("#ifdef X\n#define B 1\n#else\n#define B 2\n#endif\n#define PUMP_PIN (B + 1)", "not-worked-out"),
        ("enum { PUMP_PIN, KEY_PIN };", "not-a-pin"),
        ("#ifdef HEATER\n#define HEAT_PIN 7\n#endif", "conditional"),
        ('#include "more.h"', "not-included"),
    ],
)
def test_what_is_left_out_or_doubtful_is_told(line: str, code: str) -> None:
    design = load_table("pins", f"#define LED_PIN 5\n{line}\n", file="p.h")
    assert code in codes(design)
    assert ("HEAT" in {pin.signal.raw for pin in design.boards["base"].pins.values()}) == ("HEAT" in line)


def test_a_guard_and_headers_of_the_language_are_no_condition_and_nothing_missing() -> None:
    design = load_table(
        "pins", "#ifndef P_H\n#define P_H\n#include <stdint.h>\n#define LED_PIN 5\n#endif\n", file="p.h"
    )
    assert not {"conditional", "not-included"} & set(codes(design))


def test_constants_inside_functions_are_none_of_the_file() -> None:
    text = "const int LED_PIN = 5;\nvoid f(void) { const int KEY_PIN = 6; if (1) { } }\nconst int FAN_PIN = 7;\n"
    assert [item.name for item in read_c(text, "p.h")] == ["LED_PIN", "FAN_PIN"]


@pytest.mark.parametrize(
    "text",
    [
        '&gpioa { gpio-line-names = "LED"; };\n',
        '/dts-v1/;\n/plugin/;\n&{/soc/gpio@0} { };\n&gpioa { gpio-line-names = "LED"; };\n',
        '#include <soc.dtsi>\nSOME_MACRO(a, b)\n&gpioa { gpio-line-names = "LED"; OTHER_MACRO };\n',
        '/ { x: y { }; };\n&gpioa { gpio-line-names = "OLD"; };\n&gpioa { gpio-line-names = "LED"; };\n',
        '&gpioa { gpio-line-names = "LED"; a { gpios = <&gpioa 3 0>; }; /delete-node/ a; };\n',
        "#define LINE 0\n/ { LED: l { gpios = <&gpioa LINE GPIO_ACTIVE_HIGH>; }; };\n",
        'gpioa: gpio@0 { hog { gpio-hog; gpios = <0 0>; output-high; line-name = "LED"; }; };\n',
    ],
)
def test_fragments_overlays_and_macros_are_read_where_they_can_be(text: str) -> None:
    assert [(pin.signal, pin.pin) for pin in pins_of_devicetree(text, "p.dts")] == [("LED", "PA0")]


def test_a_specifier_that_is_not_understood_is_no_pin_and_is_told() -> None:
    text = "a { gpios = <&gpioa 1 0>; b-gpios = <&pio 1 5 0>; c-gpios = <&gpioa SOMEWHERE 0>; };\n"
    design = load_table("pins", text, file="p.dts")
    assert list(design.boards["base"].pins) == [("U1", "PA1")]
    assert told(design, "not-worked-out")[0].found == "&pio 1 5 0"


WHOLE = """\
/dts-v1/;
/ {
    gpioa: gpio@400 { #gpio-cells = <2>; gpio-line-names = "LED\\x41", "", "B\\"C", "\\303\\244"; };
    gpiob: gpio@800 { #gpio-cells = <2>; gpio-line-names = "OLD"; extra = [01 02], <1 2>, "x"; };
    gone: z { gpio-line-names = "GONE"; };
};
&gpiob { gpio-line-names = "NEW", "KEY"; };
/delete-node/ &gone;
"""


def line_names(text: str) -> dict[str, list[str]]:
    found = {}
    for node in read_tree(text, "p.dts").nodes:
        if "gpio-line-names" in node.properties:
            found[node.path.strip("/")] = [item for item, _ in node.properties["gpio-line-names"].texts]
    return found


def test_the_tree_is_that_of_another_parser() -> None:
    # The package devicetree, from the registry.
    dtlib = pytest.importorskip("devicetree.dtlib")
    path = Path(__file__).with_suffix(".dts")
    path.write_text(WHOLE, encoding="utf-8")
    try:
        nodes = list(dtlib.DT(str(path)).node_iter())
    finally:
        path.unlink()
    key = "gpio-line-names"
    assert line_names(WHOLE) == {n.path.strip("/"): n.props[key].to_strings() for n in nodes if key in n.props}


@needs_dtc
@pytest.mark.parametrize(
    "text", [WHOLE, "/dts-v1/; / { };", "/dts-v1/; / { a = <1; };", "/dts-v1/; / { a = }; };", "/dts-v1/; / {"]
)
def test_what_the_devicetree_compiler_takes_is_read_and_what_it_refuses_is_refused(text: str) -> None:
    assert DTC is not None
    text = text.replace("\\303\\244", "A")  # it writes bytes above 127 in a form that it doesn't read itself
    done = subprocess.run([DTC, "-q", "-I", "dts", "-O", "dts", "-"], input=text.encode(), capture_output=True)
    if done.returncode:
        with pytest.raises(SourceFault, match=re.escape("p.dts:1: no valid devicetree source")):
            read_tree(text, "p.dts")
    else:
        assert line_names(done.stdout.decode()) == line_names(text)


def test_a_note_of_a_definition_goes_into_the_contract() -> None:
    faults = Faults()
    (pin,) = pins_of_header("#define PIN_A 3 /**< 10k pull-up */\n", "p.h", Patterns(), faults)
    assert (pin.pin, pin.note, faults.found) == ("3", "10k pull-up", [])
