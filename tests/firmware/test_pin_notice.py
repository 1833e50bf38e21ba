"""The pin notice: every signal once, with what happened to it and what to do; hazards before everything else."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from rich.console import Console

from revdiff.release.pin_notice import PinLine, PinNotice, pin_notice
from revdiff.report import pins
from revdiff.report.document_terminal import print_document
from revdiff.report.markdown import to_markdown
from tests.conftest import Run
from tests.firmware.boards import NEW, NEW_PINS, OLD, files, review

NOTICE = pin_notice(review())
LINES: dict[str, PinLine] = {line.signal: line for item in NOTICE.controllers for line in item.lines}


def text_of(notice: PinNotice, width: int = 100) -> str:
    page = io.StringIO()
    print_document(pins.pins_document(notice), Console(file=page, width=width, no_color=True, highlight=False))
    return page.getvalue()


def markdown_of(notice: PinNotice) -> str:
    return to_markdown(pins.pins_document(notice))


def test_what_happened_to_each_signal() -> None:
    assert {signal: line.what for signal, line in LINES.items()} == {
        "LAMP": ("trades places",),
        "HEAT": ("trades places", "other active level"),
        "TX": ("other function",),
        "nBUTTON": ("renamed",),
        "PULSE": ("added, its pin carried FAN",),
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


def test_a_hazard_is_announced_before_the_table_and_told_by_cause_below_it() -> None:
    text, markdown, data = text_of(NOTICE), markdown_of(NOTICE), json.loads(pins.to_json(NOTICE))
    for form in (text, markdown):
        flat = " ".join(form.split())
        assert flat.index("told below") < flat.index("base.U1: 7 signals to look at") < flat.index("Hazards (")
        assert pins.CAUTION in flat
    assert list(data).index("hazards") < list(data).index("controllers")
    assert [item["id"] for item in data["hazards"]] == [item.id for item in NOTICE.hazards]
    causes = {item["id"] for item in data["causes"]}
    assert {item["cause"] for item in data["hazards"]} <= causes


def test_a_crossing_and_its_mirror_image_are_told_once() -> None:
    """Both are in the data, and both arrangements are named."""
    text = " ".join(text_of(NOTICE).split())
    assert text.count("has LAMP off") + text.count("switches LAMP on") <= 1
    for pairing in {item.pairing for item in (*NOTICE.hazards, *NOTICE.breaks)}:
        assert text.count(pairing) >= 1


def test_every_signal_is_in_every_form() -> None:
    forms = [text_of(NOTICE), markdown_of(NOTICE).replace("\\", ""), pins.to_json(NOTICE)]
    for signal in (*LINES, "RX"):
        assert all(signal in form for form in forms)


def test_without_changes_the_notice_says_so() -> None:
    text = text_of(pin_notice(review(OLD, OLD)))
    assert "base.U1: no pin changed" in text
    assert "Hazards" not in text


def test_text_of_a_stranger_stays_text() -> None:
    evil = NEW_PINS.replace("PULSE", "<script>|`@all`\u202e")
    notice = pin_notice(review(OLD, files(evil)))
    assert "\u202e" not in text_of(notice) + markdown_of(notice)
    assert "<script>" not in markdown_of(notice)


def test_text_keeps_the_width() -> None:
    assert max(len(line) for line in text_of(NOTICE, 60).splitlines()) <= 60


def test_the_command_prints_the_notice_of_the_demo(demo: Path, run: Run) -> None:
    done = run("pins", "rev-b", "rev-c", "--repo", demo)
    assert (done.returncode, done.stderr) == (0, "")
    told = " ".join(done.stdout.split())
    assert "drives HEAT_EN through pin 56 (PB4), where GNSS_PPS is in on this board: nothing limits the current" in told
    assert "VALVE2 38 (PC7) 41 (PA8) trades places" in told
    assert "Stays as it was: " in told


def test_the_first_revision_alone_is_a_mistake_in_one_line(demo: Path, run: Run) -> None:
    done = run("pins", "rev-a", "--repo", demo)
    assert done.returncode == 2
    assert done.stderr.startswith("revdiff: there is no tag before 'rev-a' in the repository at ")
    assert done.stderr.endswith("; name both revisions\n")


def test_one_revision_alone_is_held_against_the_tag_before_it(demo: Path, run: Run) -> None:
    alone, both = (run("pins", *names, "--repo", demo).stdout for names in (("rev-b",), ("rev-a", "rev-b")))
    assert alone == both != ""


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
