"""``revdiff init`` finishes the job: a board out of several folders, its revision, its controller, its firmware."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import Any

import pytest

from revdiff.readers.loader import Loader
from revdiff.readers.overlay import Overlay
from revdiff.readers.proposal import propose
from revdiff.readers.proposal_text import manifest_text, told
from revdiff.readers.survey import survey
from tests.cli.strangers import BOM_1, PINOUT_1
from tests.netlists.writing import file356, record
from tests.support import SMALL, MemoryRevision

Files = Mapping[str, str]
PLAIN_PINS = "Pin,Signal,Direction\n" + "".join(f"{at},SIG{at},out\n" for at in range(1, 49))
MCU = """\
Designator,Qty,Value,Package,MPN
U1,1,regulator,SOT-23,VR-33
U3,1,controller,LQFP-48,MC-48
R1,1,10k,0603,R-10K
"""
HEADER = "#pragma once\n#define PIN_LED 1\n#define PIN_HEAT 2\n#define PIN_TX 3\n#define BAUD 115200\n"


def text_of(files: Files, name: str = "Sensor Node") -> str:
    """The manifest that is written, which the reader takes and the design can be read by."""
    found = survey(MemoryRevision(files))
    text = manifest_text(propose(found, name))
    revision = MemoryRevision(files)
    assert Loader().load(Overlay(revision, revision.identity, text.encode())).boards
    return text


def written(files: Files, name: str = "Sensor Node") -> dict[str, Any]:
    return tomllib.loads(text_of(files, name))


# boards


GROUPS: list[tuple[tuple[str, ...], dict[str, set[str]]]] = [
    (("hw/bom.csv", "docs/pinout.md"), {"sensor-node": {"hw/bom.csv", "docs/pinout.md"}}),
    (
        ("hardware/Sensor BOM v1.1.csv", "docs/pinout.md"),
        {"sensor-node": {"hardware/Sensor BOM v1.1.csv", "docs/pinout.md"}},
    ),
    (("base/bom.csv", "radio/bom.csv"), {"base": {"base/bom.csv"}, "radio": {"radio/bom.csv"}}),
    (("hw/base/bom.csv", "hw/radio/bom.csv"), {"base": {"hw/base/bom.csv"}, "radio": {"hw/radio/bom.csv"}}),
    (("hw/base_bom.csv", "hw/radio_bom.csv"), {"base": {"hw/base_bom.csv"}, "radio": {"hw/radio_bom.csv"}}),
    (("kit/base_bom.csv", "kit/radio_bom.csv"), {"base": {"kit/base_bom.csv"}, "radio": {"kit/radio_bom.csv"}}),
    (("base_v1/bom.csv", "radio_v2/bom.csv"), {"base": {"base_v1/bom.csv"}, "radio": {"radio_v2/bom.csv"}}),
]


@pytest.mark.parametrize(("paths", "boards"), GROUPS)
def test_tables_are_of_the_board_that_folder_or_file_name_tells(
    paths: tuple[str, ...], boards: dict[str, set[str]]
) -> None:
    files = {path: PINOUT_1 if path.endswith("md") else BOM_1 for path in paths}
    found = written(files)["boards"]
    named = {
        name: {text if isinstance(text, str) else text["file"] for key, text in board.items() if key != "revision"}
        for name, board in found.items()
    }
    assert named == boards


# the printed revision

REVISIONS = [
    ({"bom.csv": f"Sensor node,,\nRevision:,B2,\n\n{BOM_1}"}, "B2"),
    ({"bom.csv": f"Bill of materials Rev. C,,\n{BOM_1}"}, "C"),
    ({"hw/bom_v1.2.csv": BOM_1}, "v1.2"),
    ({"hw/rev-b/bom.csv": BOM_1}, "rev-b"),
    ({"bom.csv": f"Reviewed by somebody,,\n{BOM_1}"}, ""),
    ({"bom.csv": BOM_1}, ""),
    ({"hw/bom_v1.csv": BOM_1, "hw/pinout_v2.md": PINOUT_1}, ""),
]


@pytest.mark.parametrize(("files", "revision"), REVISIONS)
def test_the_printed_revision_is_what_the_tables_say_of_it(files: Files, revision: str) -> None:
    (board,) = written(files)["boards"].values()
    assert board["revision"] == revision


def test_two_revisions_are_a_question() -> None:
    assert "as printed on the board: v1 by hw/bom_v1.csv, v2 by hw/pinout_v2.md" in text_of(REVISIONS[-1][0])


# the controller

DEVICES = [
    (MCU, "U3"),  # called so, and as many terminals
    (MCU.replace("controller", "XY1234"), "U3"),  # the only one with enough terminals
    (MCU.replace("LQFP-48", "custom"), "U3"),  # called so
    (MCU + "U4,1,controller,LQFP-64,MC-64\n", "U3"),  # two are called so, one has as many terminals
    (MCU + "U4,1,controller,LQFP-48,MC-48\n", ""),  # nothing tells which
    (MCU.replace("U3,1,controller,LQFP-48,MC-48\n", ""), ""),  # none could have these pins
]


@pytest.mark.parametrize(("parts", "device"), DEVICES)
def test_a_pin_map_without_a_device_is_of_the_part_that_can_have_its_pins(parts: str, device: str) -> None:
    files = {"bom.csv": parts, "pins.csv": PLAIN_PINS}
    (board,) = written(files)["boards"].values()
    assert (board["pins"]["device"] if isinstance(board["pins"], dict) else "") == device
    assert ("has these pins?" in text_of(files)) == (not device)


def test_a_pin_map_with_a_device_is_left_as_it_is() -> None:
    files = {"bom.csv": SMALL["base/parts.csv"], "pins.csv": SMALL["base/pins.csv"]}
    (board,) = written(files)["boards"].values()
    assert board["pins"] == "pins.csv"


# firmware


@pytest.mark.parametrize(
    ("header", "pattern"),
    [
        (HEADER, "PIN_{signal}"),
        (
            HEADER.replace("PIN_LED", "LED_PIN").replace("PIN_HEAT", "HEAT_PIN").replace("PIN_TX", "TX_PIN"),
            "{signal}_PIN",
        ),
        (HEADER.replace("PIN_", "GPIO_"), "GPIO_{signal}"),
    ],
)
@pytest.mark.parametrize("path", ["firmware/pins.h", "src/board_pins.h", "pins.h"])
def test_a_header_that_names_signals_of_a_board_is_a_contract(header: str, pattern: str, path: str) -> None:
    files = {"bom.csv": SMALL["base/parts.csv"], "pins.csv": SMALL["base/pins.csv"], path: header}
    found = written(files)
    (contract,) = found["firmware"].values()
    assert contract["header"] == {"file": path, "pin": pattern}
    assert contract["device"] == "U1"
    assert list(found["boards"]) == ["sensor-node"]


def test_the_contract_of_a_header_is_read() -> None:
    from revdiff.app.reading import with_firmware

    files = {"bom.csv": SMALL["base/parts.csv"], "pins.csv": SMALL["base/pins.csv"], "firmware/pins.h": HEADER}
    revision = MemoryRevision(files)
    overlay = Overlay(revision, revision.identity, text_of(files).encode())
    design = with_firmware(Loader().load(overlay), overlay)
    (contract,) = design.contracts.values()
    assert set(contract.needs) == {"led", "heat", "tx"}


def test_a_header_that_has_no_signal_on_its_pin_waits_as_a_comment() -> None:
    """As a contract it would stand for what the pin map says, and hide it."""
    other = "#define PIN_LED 41\n#define PIN_HEAT 42\n#define PIN_TX 43\n"
    files = {"bom.csv": SMALL["base/parts.csv"], "pins.csv": SMALL["base/pins.csv"], "firmware/pins.h": other}
    assert "firmware" not in written(files)
    assert "# [firmware.pins]" in text_of(files)
    assert "firmware" in written({**files, "firmware/pins.h": other.replace("PIN_HEAT 42", "PIN_HEAT 2")})


def test_a_header_of_other_signals_is_no_contract() -> None:
    other = HEADER.replace("LED", "AAA").replace("HEAT", "BBB").replace("TX", "CCC")
    assert "firmware" not in written({"pins.csv": SMALL["base/pins.csv"], "other/pins.h": other})


def test_a_header_alone_is_the_pin_map() -> None:
    (board,) = written({"bom.csv": BOM_1, "pins.h": HEADER})["boards"].values()
    assert board["pins"] == {"file": "pins.h", "device": "U1"} or board["pins"] == "pins.h"


# what is asked for


def test_what_is_missing_stands_there_as_lines_to_be_filled_in() -> None:
    text = text_of({"base/bom.csv": BOM_1, "radio/bom.csv": BOM_1, "base/pins.csv": SMALL["base/pins.csv"]})
    for line in ("# netlist = ", "# contacts = ", "# connectors = ", "# [[joints]]", "# [firmware.NAME]", "# pins = "):
        assert line in text


def test_the_lines_to_be_filled_in_are_a_manifest_where_they_are_filled_in() -> None:
    files = {"base/bom.csv": BOM_1, "radio/bom.csv": BOM_1, "base/pins.csv": SMALL["base/pins.csv"]}
    lines = text_of(files).splitlines()
    filled = [
        line.removeprefix("# ")
        if line.startswith(("# [", "# a =", "# b =", "# version", "# board", "# needs"))
        else line
        for line in lines
    ]
    parsed = tomllib.loads("\n".join(filled))
    assert parsed["joints"] == [{"a": "base.J1", "b": "radio.J1"}]
    assert parsed["firmware"]["NAME"]["board"] == "base"


def test_columns_that_were_guessed_are_written() -> None:
    text = BOM_1.replace("Value", "Xyz")
    (board,) = written({"bom.csv": text})["boards"].values()
    assert board["parts"]["columns"] == {"value": "Xyz"}


def test_what_was_found_is_told() -> None:
    files = {"bom.csv": MCU, "pins.csv": PLAIN_PINS}
    found = survey(MemoryRevision(files))
    lines = "\n".join(told(found, propose(found, "sensor")))
    assert "sensor: pins of U3: the parts list calls it controller and it has 48 terminals" in lines


TREE = """\
/dts-v1/;
/ {{
	gpioa: gpio-a {{
		gpio-controller;
		#gpio-cells = <2>;
		gpio-line-names = {};
	}};
}};
"""


@pytest.mark.parametrize(
    ("names", "proposed"),
    [
        ('"LED", "HEAT", "TX"', True),
        ('"LED"', True),  # on its pin: PA0
        ('"", "", "", "LED"', False),
        ('"LAMP", "FAN"', False),
    ],
)
def test_a_devicetree_that_names_signals_of_the_pin_map_is_a_contract(names: str, proposed: bool) -> None:
    files = {path: text for path, text in SMALL.items() if path not in ("revdiff.toml", "blink.csv")}
    manifest = tomllib.loads(text_of({**files, "firmware/board.dts": TREE.format(names)}))
    assert set(manifest["boards"]) == {"base", "top"}
    assert ("firmware" in manifest) is proposed
    if proposed:
        assert manifest["firmware"]["board"]["devicetree"] == "firmware/board.dts"


def test_a_devicetree_with_other_pins_is_left_as_a_comment() -> None:
    files = {path: text for path, text in SMALL.items() if path not in ("revdiff.toml", "blink.csv")}
    swapped = TREE.format('"HEAT", "LED"')
    text = text_of({**files, "firmware/board.dts": swapped})
    assert "firmware" not in tomllib.loads(text)
    assert '# devicetree = "firmware/board.dts"' in text


@pytest.mark.parametrize(("ref", "found"), [("U1", "U1"), ("U9", "U9")])
def test_the_controller_of_a_pin_map_is_the_part_that_has_its_signals(ref: str, found: str) -> None:
    """Two controllers of one sort, of which the parts list can't say which the map is of."""
    nets = ("LED", "HEAT", "TX", "RX")
    other = "U9" if ref == "U1" else "U1"
    lines = [record(net=net, ref=ref, pin=str(at)) for at, net in enumerate(nets, 1)]
    lines += [record(net=f"X{at}", ref=other, pin=str(at)) for at in range(1, 5)]
    files = {
        "base/parts.csv": "Designator,Value\nU1,controller\nU9,controller\n",
        "base/pins.csv": "Pin,Signal\n" + "".join(f"{at},{net}\n" for at, net in enumerate(nets, 1)),
        "base/base.ipc": file356(*lines).decode(),
    }
    manifest = tomllib.loads(text_of(files))
    assert manifest["boards"]["sensor-node"]["pins"]["device"] == found


PAGE = """\
# Sensor node

## Controller U1

| Pin | Port | Signal | Direction |
|---|---|---|---|
| 1 | PA0 | LED | out |
| 2 | PA1 | TX | out |

## Connector J1

| Contact | Signal | Direction |
|---|---|---|
| 1 | GND | ground |
| 2 | TX | out |

## Connector J2

| Contact | Signal |
|---|---|
| 1 | GND |
| 2 | LED |
"""


def test_a_page_with_tables_of_several_kinds_is_named_for_each_and_none_is_read_as_another() -> None:
    board = written({"pins.md": PAGE})["boards"]["sensor-node"]
    assert (board["pins"], board["contacts"]) == ("pins.md", "pins.md")
    text = text_of({"pins.md": PAGE})
    revision = MemoryRevision({"pins.md": PAGE})
    read = Loader().load(Overlay(revision, revision.identity, text.encode())).boards["sensor-node"]
    assert [pin.name for pin in read.pins.values()] == ["U1.1", "U1.2"]
    assert {name: len(item.contacts) for name, item in read.connectors.items()} == {"J1": 2, "J2": 2}
