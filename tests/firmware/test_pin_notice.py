"""The pin notice: every signal once, with what happened to it and what to do; hazards before everything else."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from revdiff.release.pin_notice import PinLine, pin_notice
from revdiff.report import pins
from tests.conftest import Run
from tests.firmware.boards import NEW, NEW_PINS, OLD, files, review

NOTICE = pin_notice(review())
LINES: dict[str, PinLine] = {line.signal: line for item in NOTICE.controllers for line in item.lines}


def test_what_happened_to_each_signal() -> None:
    assert {signal: line.what for signal, line in LINES.items()} == {
        "LAMP": ("trades places",),
        "HEAT": ("trades places", "other active level"),
        "TX": ("other function",),
        "nBUTTON": ("renamed",),
        "PULSE": ("added",),
        "SPARE_IN": ("lost",),
        "FAN": ("moved", "other function"),
    }


def test_before_and_after_and_what_to_do() -> None:
    heat = LINES["HEAT"]
    assert heat.before == "2 (PA1), GPIO, out, active high"
    assert heat.after == "1 (PA0), GPIO, out, active low"
    assert heat.todo == "change the pin from 2 (PA1) to 1 (PA0); it is active low now: invert it"
    assert LINES["TX"].todo == "set up USART3_TX instead of USART2_TX"
    assert LINES["nBUTTON"].todo == "rename nKEY to nBUTTON in the source; a built firmware is not touched"
    assert LINES["PULSE"].todo == "set up: TIM3_CH1, in, active high"


def test_signals_are_listed_by_peripheral_and_what_stays_is_named() -> None:
    (controller,) = NOTICE.controllers
    assert [line.peripheral for line in controller.lines] == sorted(line.peripheral for line in controller.lines)
    assert controller.stays == {"USART2": ("RX",)}


def test_the_firmware_of_the_old_pins_stands_in_for_a_contract_and_the_verdict_says_so() -> None:
    crossings = {item.crossing for item in NOTICE.hazards}
    assert crossings == {
        "old firmware for base.U1 with new base",
        "new firmware for base.U1 with old base",
    }
    assert any("no firmware contract lists it" in item.why for item in NOTICE.not_checked)


def test_what_destroys_hardware_comes_first() -> None:
    rules = [item.rule for item in NOTICE.hazards]
    assert rules == ["firmware-output-contention", "firmware-drives-other-load", "firmware-drives-other-load"]
    assert "firmware-pin-moved" in {item.rule for item in NOTICE.breaks}


def test_both_crossings_of_a_swap_are_told_signal_by_signal() -> None:
    """What starts a heater unasked is a hazard; a lamp in the place of the heater is a break."""
    for signal, items in (("LAMP", NOTICE.hazards), ("HEAT", NOTICE.breaks)):
        told = {(item.pairing, item.subject) for item in items if item.rule == "firmware-drives-other-load"}
        assert told == {
            (f"firmware for base.U1@{one} + base@{two}", f"base.U1: {signal}")
            for one, two in (("v1", "v2"), ("v2", "v1"))
        }


def test_a_load_that_is_on_while_its_neighbour_is_held_off_is_told() -> None:
    (item,) = (
        item
        for item in NOTICE.hazards
        if (item.rule, item.pairing, item.subject)
        == ("firmware-drives-other-load", "firmware for base.U1@v1 + base@v2", "base.U1: LAMP")
    )
    assert "while firmware for base.U1@v1 has LAMP off, pin 1 (PA0) switches HEAT (heater) on" in item.message


def test_hazards_stand_first_in_every_form() -> None:
    text, markdown, data = pins.to_text(NOTICE), pins.to_markdown(NOTICE), json.loads(pins.to_json(NOTICE))
    assert text.splitlines()[2].startswith("Hazards (")
    assert text.index("Hazards (") < text.index("base.U1: 7 signals to look at")
    assert markdown.index("## Hazards") < markdown.index("## base.U1")
    assert list(data).index("hazards") < list(data).index("controllers")
    assert [item["id"] for item in data["hazards"]] == [item.id for item in NOTICE.hazards]
    for form in (text, markdown):
        assert pins.CAUTION in " ".join(form.split())


def test_every_signal_is_in_every_form() -> None:
    forms = [pins.to_text(NOTICE), pins.to_markdown(NOTICE).replace("\\", ""), pins.to_json(NOTICE)]
    for signal in (*LINES, "RX"):
        assert all(signal in form for form in forms)


def test_without_changes_the_notice_says_so() -> None:
    text = pins.to_text(pin_notice(review(OLD, OLD)))
    assert "base.U1: no pin changed" in text
    assert "Hazards (0)" in text


def test_text_of_a_stranger_stays_text() -> None:
    evil = NEW_PINS.replace("PULSE", "<script>|`@all`\u202e")
    notice = pin_notice(review(OLD, files(evil)))
    assert "\u202e" not in pins.to_text(notice) + pins.to_markdown(notice)
    assert "<script>" not in pins.to_markdown(notice)


def test_text_keeps_the_width() -> None:
    assert max(len(line) for line in pins.to_text(NOTICE, 60).splitlines()) <= 60


def test_the_command_prints_the_notice_of_the_demo(demo: Path, run: Run) -> None:
    done = run("pins", "rev-b", "rev-c", "--repo", demo)
    assert (done.returncode, done.stderr) == (0, "")
    told = " ".join(done.stdout.split())
    assert "drives HEAT_EN through pin 56 (PB4), where GNSS_PPS is in on this board: nothing limits the current" in told
    assert "VALVE2: trades places: 38 (PC7), GPIO, out, active high → 41 (PA8)" in told
    assert "Stays as it was: " in told


def test_the_first_revision_alone_is_a_mistake_in_one_line(demo: Path, run: Run) -> None:
    done = run("pins", "rev-a", "--repo", demo)
    assert done.returncode == 2
    assert done.stderr.startswith("revdiff: there is no tag before 'rev-a' in the repository at ")
    assert done.stderr.endswith("; name both revisions\n")


def test_the_same_input_gives_the_same_bytes() -> None:
    assert pins.to_json(pin_notice(review(OLD, NEW))) == pins.to_json(NOTICE)


def told(old: str, new: str) -> dict[str, tuple[str, ...]]:
    (controller,) = pin_notice(review(files(old), files(new))).controllers
    return {line.signal: line.what for line in controller.lines}


def test_moves_and_swaps_are_told_where_the_pin_map_names_pins_and_signals_alone() -> None:
    old = "Pin,Signal\n1,A\n2,B\n3,C\n4,D\n5,\n6,GND\n"
    new = "Pin,Signal\n1,B\n2,A\n3,\n4,D\n5,C\n6,GND\n"
    assert told(old, new) == {"A": ("trades places",), "B": ("trades places",), "C": ("moved",)}


@pytest.mark.parametrize("name", ["GND", "AGND", "VSS", "VDDA", "VDD1", "+3V3", "3V3", "NC"])
def test_a_supply_or_ground_by_name_is_no_signal_of_a_program(name: str) -> None:
    assert told(f"Pin,Signal\n1,{name}\n2,\n3,A\n", f"Pin,Signal\n1,\n2,{name}\n3,A\n") == {}


@pytest.mark.parametrize("name", ["VBAT_SENSE", "VBUS_DET", "NCS", "VALVE1"])
def test_a_signal_named_much_like_a_supply_is_told(name: str) -> None:
    assert told(f"Pin,Signal\n1,{name}\n2,\n", f"Pin,Signal\n1,\n2,{name}\n") == {name: ("moved",)}


def test_a_pin_of_which_only_the_name_is_known_makes_no_stand_in_contract() -> None:
    assert pin_notice(review(files("Pin,Signal\n1,A\n2,\n"), files("Pin,Signal\n1,\n2,A\n"))).breaks == ()
