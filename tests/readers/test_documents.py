"""Tables as firmware repositories and documents keep them: name lists, source files, Markdown, folders."""

from __future__ import annotations

import pytest

from revdiff.design import Design
from revdiff.design.diagnostic import FaultyDesign
from tests.readers.memory import board_of, codes, load, load_table, manifest, told

# lists of names without a header


@pytest.mark.parametrize(
    ("table", "pins"),
    [
        ("LED,PA5\nBUTTON,PC13\n", {"PA5": "LED", "PC13": "BUTTON"}),
        ("PA5,LED\nPC13,BUTTON\n", {"PA5": "LED", "PC13": "BUTTON"}),
        ("LED;13\nBUTTON;4\n", {"13": "LED", "4": "BUTTON"}),
        ("# pins of the base board\nLED\tGPIO12\nBUTTON\tGPIO4\n", {"GPIO12": "LED", "GPIO4": "BUTTON"}),
    ],
)
def test_a_list_of_names_and_pins_needs_no_header_and_the_guess_is_told(table: str, pins: dict[str, str]) -> None:
    design = load_table("pins", table)
    assert {item.number: item.signal.raw for item in design.boards["base"].pins.values()} == pins
    assert "header = false, columns = {" in told(design, "no-header")[0].remedy


def test_what_the_notice_proposes_settles_the_guess() -> None:
    spec = 'header = false, columns = { port = 2, signal = 1 }, device = "U1"'
    design = load_table("pins", "LED,PA5\nBUTTON,PC13\n", spec=spec)
    assert ([item.port.raw for item in design.boards["base"].pins.values()], codes(design)) == (["PA5", "PC13"], [])


def test_a_list_of_contacts_needs_no_header() -> None:
    contacts = board_of("contacts", "1,GND\n2,VIN\n3,CLK_OUT\n", spec='connector = "J1"').connectors["J1"].contacts
    assert {number: item.signal.raw for number, item in contacts.items()} == {"1": "GND", "2": "VIN", "3": "CLK_OUT"}


@pytest.mark.parametrize("table", ["LED,red\nBUTTON,blue\n", "PA1,PA2\nPA3,PA4\n", "LED,PA5,x\nKEY,PA6,y\n"])
def test_where_nothing_tells_the_columns_apart_the_manifest_has_to(table: str) -> None:
    with pytest.raises(FaultyDesign, match=r"header = false, columns = \{ pin = 1, ... \}"):
        load_table("pins", table)


def test_a_pin_with_several_names_keeps_them_all() -> None:
    design = load_table("pins", "LED,PA5\nSCK,PA5\nKEY,PA6\nCLK,PA5\n")
    pin = design.boards["base"].pins["U1", "PA5"]
    assert (pin.signal.raw, [(name, item.raw) for name, item in pin.extra]) == ("LED", [("Other names", "CLK; SCK")])
    assert told(design, "several-names")[0].origin.line == 2


# source files

HEADER = """\
/* Pins of the base board.
   #define OLD_PIN 99 */
#ifndef PINS_H
#define PINS_H
#include <stdint.h>

#define BAUD_RATE 115200
#define PIN_LED       13   // status, active low
#define BUTTON_PIN    ((uint8_t)4)
#define SCK_PIN       PIN_LED /* shared */
#  define FAN_GPIO    GPIO_NUM_27
constexpr uint8_t kRelayPin = 0x07;
static const int PUMP_PIN{9};
const unsigned int VALVE_PIN = 10; // first valve
enum Pins : uint8_t {
  BUZZER_PIN = 11,
  HEATER_PIN = 12, // relay
};
#define square(x) ((x) * (x))
#endif
"""


def source(text: str, file: str = "pins.h", kind: str = "pins") -> Design:
    return load_table(kind, text, file=file)


def test_definitions_constants_and_enumerators_name_pins() -> None:
    pins = source(HEADER.replace("GPIO_NUM_27", "27")).boards["base"].pins
    assert {item.number: item.signal.raw for item in pins.values()} == {
        "13": "LED",
        "4": "BUTTON",
        "27": "FAN",
        "7": "kRelay",
        "9": "PUMP",
        "10": "VALVE",
        "11": "BUZZER",
        "12": "HEATER",
    }


def test_a_definition_keeps_its_line_and_its_comment() -> None:
    pins = source(HEADER).boards["base"].pins
    places = {item.signal.raw: (item.origin.line, item.note.raw) for item in pins.values()}
    assert places["LED"] == (8, "status, active low")
    assert places["VALVE"] == (14, "first valve")
    assert places["HEATER"] == (17, "relay")
    assert all(str(item.origin).startswith("pins.h:") for item in pins.values())


def test_a_second_name_of_a_pin_is_followed_and_kept() -> None:
    pins = source("#define PIN_LED 13\n#define SCK_PIN PIN_LED\n").boards["base"].pins
    assert dict(pins["U1", "13"].extra)["Other names"].raw == "SCK"


@pytest.mark.parametrize(
    ("line", "number", "signal"),
    [
        ("#define LED PA5", "PA5", "LED"),
        ("#define LED P_A_5_IS_NO_PIN\n#define KEY PB_3", "PB3", "KEY"),
        ("#define FAN_GPIO GPIO_NUM_27\n#define X PA1", "GPIO27", "FAN"),
        ("const int SENSOR = A0;", "A0", "SENSOR"),
        ("#define LED_Pin GPIO_PIN_5\n#define LED_GPIO_Port GPIOA", "PA5", "LED"),
        ("#define LED_PORT PORTB\n#define LED_PIN 3", "PB3", "LED"),
        ("#define LED_PIN 0b1101u", "13", "LED"),
    ],
)
def test_a_pin_is_told_by_its_value_or_its_name(line: str, number: str, signal: str) -> None:
    pins = source(line + "\n").boards["base"].pins
    assert pins["U1", number].signal.raw == signal


def test_numbers_that_are_no_pins_are_left_out_and_told() -> None:
    design = source("#define LED_PIN 13\n#define BAUD_RATE 115200\n#define RETRIES 3\n")
    assert len(design.boards["base"].pins) == 1
    notice = told(design, "not-a-pin")[0]
    assert (notice.origin.line, notice.found) == (2, "BAUD_RATE, RETRIES")


def test_conditions_are_not_evaluated_and_that_is_told() -> None:
    design = source("#if REV >= 2\n#define LED_PIN 13\n#else\n#define LED_PIN 12\n#endif\n")
    assert list(design.boards["base"].pins) == [("U1", "13")]
    notice = told(design, "defined-twice")[0]
    assert notice.origin.line == 4
    assert "as 13 in line 2 and as 12 here; conditions are not evaluated" in notice.message


def test_a_source_file_without_pins_is_told() -> None:
    with pytest.raises(FaultyDesign, match="found no definition that names a pin, expected lines such as #define"):
        source("int main(void) { return 0; }\n", file="main.c")


@pytest.mark.parametrize("text", ["/*" * 50_000, "enum{" * 50_000, "const " * 50_000, "#define A_PIN (" * 20_000])
def test_a_crafted_source_file_takes_no_long_search(text: str) -> None:
    with pytest.raises(FaultyDesign):
        source(text)


# Markdown

PINOUT = """\
# Base board

Some words | and a bar.

## Pinout

| Pin | Name | Note |
|----:|:----:|------|
| 1 | **VBAT** | `backup` |
| 2 | X\\|Y | see [page 3](pages/3.md)<br>below |
|  |  |  |

```
| 9 | not | a table |
|---|---|---|
```
"""


def test_a_markdown_table_is_read_as_it_is_seen_on_the_page() -> None:
    pins = load_table("pins", PINOUT, file="README.md").boards["base"].pins
    found = {item.number: (item.signal.raw, item.note.raw, item.origin.line) for item in pins.values()}
    assert found == {"1": ("VBAT", "backup", 9), "2": ("X|Y", "see page 3 below", 10)}


def test_a_markdown_table_under_another_ending_is_known() -> None:
    assert board_of("parts", "| Ref | Value |\n|-----|-------|\n| R1 | 4k7 |\n", file="parts.txt").parts


def test_bars_at_the_ends_may_be_left_out() -> None:
    assert list(board_of("parts", "Ref | Value\n--- | ---\nR1 | 4k7\n", file="p.md").parts) == ["R1"]


def test_the_table_that_fits_is_taken_among_others() -> None:
    text = "| Author | Date |\n|--|--|\n| me | 2024 |\n\n" + PINOUT
    assert len(board_of("pins", text, file="README.md").pins) == 2


TWO = "# Left\n| Pin | Signal |\n|--|--|\n| 1 | A |\n# Right\n| Pin | Signal |\n|--|--|\n| 2 | B |\n"


def test_where_several_tables_fit_the_choice_is_told_and_the_manifest_settles_it() -> None:
    design = load_table("pins", TWO, file="p.md")
    assert list(design.boards["base"].pins) == [("U1", "1")]
    notice = told(design, "several-tables")[0]
    assert (notice.found, notice.remedy) == (
        "Left, Right",
        'To choose, name the heading above it in the manifest: heading = "...".',
    )
    assert list(board_of("pins", TWO, file="p.md", spec='heading = "right"').pins) == [("U1", "2")]


def test_a_table_for_each_connector_takes_its_name_from_the_heading() -> None:
    text = (
        "## J1: power\n| Pin | Signal |\n|--|--|\n| 1 | GND |\n"
        "## Header J2\n| Signal | Pin | Note |\n|--|--|--|\n| +5V | 1 | x |\n"
    )
    design = load_table("contacts", text, file="connectors.md")
    connectors = design.boards["base"].connectors
    assert {name: item.contacts["1"].signal.raw for name, item in connectors.items()} == {"J1": "GND", "J2": "+5V"}
    assert connectors["J2"].contacts["1"].origin.line == 8
    assert told(design, "tables-joined")


@pytest.mark.parametrize(
    ("text", "spec", "says"),
    [
        ("# No table here\n", "", "found no Markdown table, expected one with a header"),
        (PINOUT, 'heading = "Power"', "found no Markdown table below the heading 'Power'"),
        ("|a" * 300 + "|\n" + "|--" * 300 + "|\n|1|\n", "", "found 300 cells in one row"),
    ],
)
def test_a_document_without_the_table_is_told(text: str, spec: str, says: str) -> None:
    with pytest.raises(FaultyDesign) as caught:
        load_table("pins", text, file="README.md", spec=spec)
    assert says in str(caught.value)


# one file for each connector


def folder(pattern: str, files: dict[str, str], kind: str = "contacts") -> Design:
    return load({"revdiff.toml": manifest(**{kind: f'"{pattern}"'}), **files})


def test_a_pattern_stands_for_one_table_of_each_connector() -> None:
    files = {
        "base/contacts/J1.csv": "Pin,Signal\n1,GND\n",
        "base/contacts/base-J2.csv": "Pin,Signal\n1,+5V\n",
        "base/contacts/J10_power.csv": "Pin,Signal\n1,VIN\n",
        "base/contacts/old/J9.csv": "Pin,Signal\n1,X\n",
        "base/parts.csv": "Ref\nR1\n",
    }
    design = folder("base/contacts/*.csv", files)
    found = {name: item.contacts["1"].signal.raw for name, item in design.boards["base"].connectors.items()}
    assert found == {"J1": "GND", "J2": "+5V", "J10": "VIN"}
    origin = design.boards["base"].connectors["J2"].contacts["1"].origin
    assert str(origin) == "base/contacts/base-J2.csv:2:1"


def test_a_pattern_stands_for_one_pin_map_of_each_device() -> None:
    files = {"pins/U1.csv": "Pin,Signal\n1,A\n", "pins/U2.csv": "Pin,Signal\n1,B\n"}
    design = folder("pins/U?.csv", files, "pins")
    assert (list(design.boards["base"].pins), codes(design)) == ([("U1", "1"), ("U2", "1")], [])


def test_files_of_equal_content_are_not_mixed_up() -> None:
    same = "Pin,Signal\n1,GND\n"
    connectors = folder("c/*.csv", {"c/J1.csv": same, "c/J2.csv": same}).boards["base"].connectors
    assert {name: item.contacts["1"].connector for name, item in connectors.items()} == {"J1": "J1", "J2": "J2"}


def test_a_connector_in_two_files_is_a_fault() -> None:
    files = {"c/J1.csv": "Pin,Signal\n1,GND\n", "c/J1_old.csv": "Pin,Signal\n1,+5V\n"}
    fault = told(folder("c/*.csv", files), "named-twice")[0]
    assert (fault.found, str(fault.origin)) == ("J1", "c/J1_old.csv:2:1")


def test_a_pattern_without_files_is_a_fault() -> None:
    with pytest.raises(FaultyDesign, match=r"by this pattern, which no files have; found 'c/\*\.csv'"):
        folder("c/*.csv", {"d/J1.csv": "Pin,Signal\n1,GND\n"})


# devicetree sources

TREE = """\
/dts-v1/;
#include "base.dtsi"
/ {
    leds {
        compatible = "gpio-leds";
        status_led: led_0 {
            gpios = <&gpioa 5 GPIO_ACTIVE_LOW>; /* on the edge */
            label = "status";
        };
    };
    keys {
        wake { gpios = <&gpio0 13 (GPIO_ACTIVE_HIGH | GPIO_PULL_DOWN)>; };
    };
};
&spi1 {
    cs-gpios = <&gpiob 6 0>,
               <&gpiob 7 0>;
    radio@0 { reset-gpios = <&expander 3 GPIO_ACTIVE_LOW>; };
    // old-gpios = <&gpioc 1 0>;
};
"""


def test_the_pin_properties_of_a_devicetree_are_a_pin_map() -> None:
    # Names, labels and properties: Devicetree Specification v0.4, sections 2.2 and 6.2 (from memory).
    design = load_table("pins", TREE, file="board.overlay")
    found = {
        item.number: (item.signal.raw, item.active.word, item.pull.meaning, item.origin.line)
        for item in design.boards["base"].pins.values()
    }
    assert found == {
        "PA5": ("status_led", "low", None, 7),
        "P0.13": ("wake", "high", ("down",), 12),
        "PB6": ("spi1_cs_0", "high", None, 16),
        "PB7": ("spi1_cs_1", "high", None, 17),
        "EXPANDER.3": ("radio_reset", "low", None, 18),
    }
    assert design.boards["base"].pins["U1", "PA5"].note.raw == "on the edge"
    assert told(design, "not-included")[0].origin.line == 2


def test_the_line_names_of_a_controller_are_a_pin_map() -> None:
    # Entry i names line i, an empty one is unused: dtschema, gpio/gpio.yaml.
    tree = '&gpioa {\n gpio-line-names = "LED", "",\n  "KEY";\n};\n'
    pins = load_table("pins", tree, file="board.dts").boards["base"].pins
    assert {item.number: (item.signal.raw, item.origin.line) for item in pins.values()} == {
        "PA0": ("LED", 2),
        "PA2": ("KEY", 3),
    }


@pytest.mark.parametrize(("flags", "active"), [("0", "high"), ("1", "low"), ("GPIO_ACTIVE_LOW", "low"), ("FLAGS", "")])
def test_the_flags_of_a_pin_tell_its_active_level(flags: str, active: str) -> None:
    # GPIO_ACTIVE_HIGH is 0: the kernel's gpio bindings; GPIO_ACTIVE_LOW is 1: from memory.
    pins = load_table("pins", f"led {{ gpios = <&gpioa 0x0c {flags}>; }};\n", file="board.dts").boards["base"].pins
    assert pins["U1", "PA12"].active.word == active


def test_a_devicetree_without_pins_is_told() -> None:
    with pytest.raises(FaultyDesign, match="found no property that names a pin"):
        load_table("pins", "/dts-v1/; / { };\n", file="board.dts")


@pytest.mark.parametrize("text", ["a{" * 50_000, "}" * 50_000, "x-gpios = <" * 20_000, "a:" * 50_000])
def test_a_crafted_devicetree_takes_no_long_search(text: str) -> None:
    with pytest.raises(FaultyDesign):
        load_table("pins", text, file="board.dts")
