"""What firmware may damage, against the published limits of a controller and of a handbook's arithmetic."""

from __future__ import annotations

import re

import pytest

from revdiff.judge.finding import Finding
from tests.firmware.boards import HEAD, MANIFEST, OLD_PINS, files, review
from tests.support import Files

LAMP = "U1,1,PA0,LAMP,GPIO,out,high,,3.3 V,,lamp\n"
ROW = "U1,1,PA0,{signal},GPIO,{direction},{active},,{level},{series},"


def findings(old: Files, new: Files, *rules: str) -> list[Finding]:
    return [item for item in review(old, new).findings if item.rule in rules]


def against(direction: str, series: str, level: str = "3.3 V", manifest: str = MANIFEST) -> list[Finding]:
    """Firmware that drives pin 1, on a board where the pin has another direction behind a series resistor."""
    now = ROW.format(signal="LAMP", direction=direction, active="high", level=level, series=series)
    new = files(OLD_PINS.replace(LAMP, now + "\n"), manifest)
    found = findings(files(OLD_PINS, manifest), new, "firmware-output-contention", "firmware-output-opposed")
    return [item for item in found if item.pairing.startswith("firmware for base.U1@v1")]


# STM32F405/407 data sheet DocID022152, table 12: 25 mA a pin; currents calculated as V / R.
CURRENTS = [
    ("3.3 V", "100R", "firmware-output-contention", "3.3 V / 100 Ω = 33 mA"),
    ("3.3 V", "132R", "firmware-output-opposed", "3.3 V / 132 Ω = 25 mA"),
    ("3.3 V", "220R", "firmware-output-opposed", "3.3 V / 220 Ω = 15 mA"),
    ("3.3 V", "330R", "firmware-output-opposed", "3.3 V / 330 Ω = 10 mA"),
    ("3.6 V", "143R", "firmware-output-contention", "3.6 V / 143 Ω = 25.17 mA"),
    ("3.6 V", "144R", "firmware-output-opposed", "3.6 V / 144 Ω = 25 mA"),
    ("5 V", "200R", "firmware-output-opposed", "5 V / 200 Ω = 25 mA"),
    (
        "3.3 V",
        "",
        "firmware-output-contention",
        "3.3 V / 0 Ω: nothing limits the current",
    ),
]


@pytest.mark.parametrize(("level", "series", "rule", "arithmetic"), CURRENTS)
def test_the_current_of_two_outputs_against_the_pins_limit(level: str, series: str, rule: str, arithmetic: str) -> None:
    (item,) = against("in", series, level)
    figures = arithmetic.replace(" =", ":")
    assert (item.arithmetic, item.limit) == (f"I = V / R = {figures}", "25 mA for a pin")
    assert "DocID022152" in item.source or "assumed" in item.message or "nothing limits" in figures
    assert (item.severity == "break") is (rule == "firmware-output-contention" and series not in ("100R", "143R"))


def test_the_manifest_may_name_another_limit() -> None:
    """8 mA at 3.3 V needs 412.5 Ω (calculated)."""
    manifest = MANIFEST + '\n[controllers.base.U1]\noutput_current = "8 mA"\nsource = "sheet X, table 3"\n'
    (item,) = against("in", "402R", manifest=manifest)
    assert (item.severity, item.limit, item.source) == ("break", "8 mA for a pin", "sheet X, table 3")
    (item,) = against("in", "422R", manifest=manifest)
    assert item.severity == "caution"


def test_an_output_on_a_supply_or_ground_is_a_short_circuit() -> None:
    for direction in ("supply", "ground"):
        now = ROW.format(signal="RAIL", direction=direction, active="", level="3.3 V", series="")
        (item,) = findings(files(OLD_PINS), files(OLD_PINS.replace(LAMP, now + "\n")), "firmware-output-contention")
        assert f"RAIL is {direction}" in item.message
        assert item.hazard


def test_driving_a_measured_voltage_is_a_caution() -> None:
    (item,) = against("analog in", "")
    assert item.severity == "caution"


@pytest.mark.parametrize("direction", ["out", "passive"])
def test_another_output_or_a_passive_part_is_no_driver(direction: str) -> None:
    assert against(direction, "") == []


def test_two_open_drains_do_not_fight() -> None:
    bus = LAMP.replace("GPIO,out", "I2C1_SDA,open drain")
    moved = bus.replace("LAMP", "SDA2")
    old, new = files(OLD_PINS.replace(LAMP, bus)), files(OLD_PINS.replace(LAMP, moved.replace("lamp", "bus")))
    assert findings(old, new, "firmware-output-contention", "firmware-output-opposed") == []


def test_a_rotation_of_three_is_evaluated_pin_by_pin() -> None:
    rows = [f"U1,{n},PA{n},{name},GPIO,out,high,,3.3 V,," for n, name in enumerate(("A1", "B2", "C3"), 1)]
    turned = [f"U1,{n},PA{n},{name},GPIO,out,high,,3.3 V,," for n, name in enumerate(("C3", "A1", "B2"), 1)]
    old, new = files(HEAD + "\n".join(rows) + "\n"), files(HEAD + "\n".join(turned) + "\n")
    told = {
        (item.pairing.split("@")[1].split(" ")[0], re.sub(r" \(PA\d\)", "", item.arithmetic))
        for item in findings(old, new, "firmware-drives-other-load")
    }
    assert told == {
        ("v1", "pin 1: A1 → C3"),
        ("v1", "pin 2: B2 → A1"),
        ("v1", "pin 3: C3 → B2"),
        ("v2", "pin 1: C3 → A1"),
        ("v2", "pin 2: A1 → B2"),
        ("v2", "pin 3: B2 → C3"),
    }


def test_a_rename_is_no_other_load() -> None:
    old, new = files(OLD_PINS), files(OLD_PINS.replace("LAMP", "LIGHT"))
    assert findings(old, new, "firmware-drives-other-load", "firmware-pin-moved") == []
    assert len(findings(old, new, "firmware-signal-renamed")) == 2  # one for each crossing


def test_a_signal_that_no_firmware_uses_moves_without_a_break() -> None:
    contract = MANIFEST + '\n[firmware.f]\nversion = "1"\nboard = "base"\nneeds = "needs.csv"\n'
    needs = {"needs.csv": "Signal,Pin,Direction\nHEAT,2,out\n"}
    moved = OLD_PINS.replace("U1,6,PB7,FAN,TIM3_CH1,out,high,,3.3 V,,", "U1,6,PB7,,,,,,,,").replace(
        "U1,9,PC1,,,,,,,,", "U1,9,PC1,FAN,TIM3_CH1,out,high,,3.3 V,,"
    )
    found = review(files(OLD_PINS, contract, **needs), files(moved, contract, **needs))
    assert [change.kind for change in found.changes if change.subject == "FAN"] == ["pin.moved"]
    assert [item for item in found.findings if item.severity == "break"] == []


def test_a_renumbered_controller_keeps_its_firmware() -> None:
    contract = MANIFEST + '\n[firmware.f]\nversion = "1"\nboard = "base"\nneeds = "needs.csv"\n'
    needs = {"needs.csv": "Signal,Pin,Direction\nHEAT,2,out\nLAMP,1,out\n"}
    later = contract.replace('board = "base"\nneeds', 'board = "base"\ndevice = "U7"\nneeds')
    found = review(files(OLD_PINS, contract, **needs), files(OLD_PINS.replace("U1,", "U7,"), later, **needs))
    assert [item for item in found.findings if item.audience == "firmware"] == []


# (level, tolerant, direction, excess over one part or none): limits of DocID022152 tables 11 and 44, 4.0 V and 5.5 V.
LEVELS = [
    ("5 V", "no", "in", "5 V − 4 V = 1 V too much"),
    ("5 V", "yes", "in", ""),
    ("4 V", "no", "in", ""),
    ("6 V", "yes", "in", "6 V − 5.5 V = 500 mV too much"),
    ("5 V", "yes", "analog in", "5 V − 4 V = 1 V too much"),
    ("5 V", "", "in", ""),
    ("5 V", "no", "supply", ""),
]


@pytest.mark.parametrize(("level", "tolerant", "direction", "excess"), LEVELS)
def test_levels_against_what_a_pin_takes(level: str, tolerant: str, direction: str, excess: str) -> None:
    head = HEAD.replace("Purpose", "5V tolerant")
    old = files(head + "U1,1,PA0,FLOW,GPIO,in,,,3.3 V,,yes\n")
    new = files(head + f"U1,1,PA0,FLOW,GPIO,{direction},,,{level},,{tolerant}\n")
    found = findings(old, new, "firmware-pin-overstressed")
    assert bool(found) is bool(excess)


ROLES = [
    ("BOOT0,BOOT0,,in", "KEY", "firmware-start-pin-reused"),
    ("NRST,nRESET,,in", "KEY", "firmware-start-pin-reused"),
    ("PA13,SWDIO,SYS_SWDIO,bidirectional", "KEY", "firmware-debug-pin-reused"),
    ("PA14,CLK,JTCK-SWCLK,in", "KEY", "firmware-debug-pin-reused"),
]


@pytest.mark.parametrize(("row", "instead", "rule"), ROLES)
def test_pins_of_starting_and_debugging(row: str, instead: str, rule: str) -> None:
    port = row.split(",")[0]
    old = files(f"{HEAD}U1,1,{row},,,3.3 V,,\nU1,2,PA1,TX,UART1_TX,out,,,3.3 V,,\n")
    new = files(f"{HEAD}U1,1,{port},{instead},GPIO,out,high,,3.3 V,,\nU1,2,PA1,TX,UART1_TX,out,,,3.3 V,,\n")
    assert [item.subject for item in findings(old, new, rule)] == ["U1.1"]
    assert findings(old, old, rule) == []


def test_a_strap_that_only_the_manifest_knows() -> None:
    manifest = MANIFEST + '\n[controllers.base.U1]\nboot = ["PB5"]\n'
    new = OLD_PINS.replace("nKEY,GPIO,in,low,up", "BUZZER,TIM3_CH2,out,high,")
    (item,) = findings(files(OLD_PINS, manifest), files(new, manifest), "firmware-start-pin-reused")
    assert item.message.startswith("the boot-strap pin 5 (PB5), nKEY, carries BUZZER now")
    assert findings(files(OLD_PINS), files(new), "firmware-start-pin-reused") == []


def test_an_output_that_now_switches_a_boot_strap_says_so() -> None:
    strap = "U1,1,PA0,BOOT1_LED,TIM2_CH1,out,high,,3.3 V,,BOOT1: low through R17"
    found = findings(files(OLD_PINS), files(OLD_PINS.replace(LAMP, strap + "\n")), "firmware-drives-other-load")
    assert "; it is a boot-strap pin" in found[0].message
