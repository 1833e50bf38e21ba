"""For every rule one pair of revisions that fires it, and a near miss that does not: edits of the small design."""

from __future__ import annotations

from tests.rules.case import Case
from tests.rules.firmware_cases import FIRMWARE_CASES
from tests.rules.stack_cases import STACK_CASES

BASE, TOP = "base/contacts.csv", "top/contacts.csv"
PINS, PARTS = "base/pins.csv", "base/parts.csv"
BLINK_NEW = "blink 1.0 + base@new"

CASES: dict[str, Case] = {
    "joint-connector-gender": Case(
        fires=(("base/connectors.csv", "male", "female"),),
        near_miss=(
            ("base/connectors.csv", "male", "header"),
            ("base/connectors.csv", "PH-6", "PH-6B"),
        ),
        says=(("base@new + top@old/new", "base.J1–top.J1"),),
    ),
    "joint-contact-count": Case(
        fires=(("base/connectors.csv", "joint,6,", "joint,8,"),),
        near_miss=(("base/connectors.csv", "2.54 mm", "0.1 in"), ("base/connectors.csv", "PH-6", "PH-6B")),
        says=(("base@new + top@old/new", "base.J1–top.J1"),),
    ),
    "joint-pitch": Case(
        fires=(("base/connectors.csv", "2.54 mm", "2.00 mm"),),
        near_miss=(("base/connectors.csv", "2.54 mm", "100 mil"), (BASE, "HEAT,out", "HEAT,open drain")),
        says=(("base@new + top@old/new", "base.J1–top.J1"),),
    ),
    "joint-removed": Case(
        fires=(("revdiff.toml", '[[joints]]\na = "base.J1"\nb = "top.J1"\n', ""),),
        near_miss=(("revdiff.toml", 'a = "base.J1"\nb = "top.J1"', 'a = "top.J1"\nb = "base.J1"'),),
        says=(("base@new + top@old", "base.J1–top.J1"),),
    ),
    "joint-renamed-one-side": Case(
        fires=((BASE, "TX,out", "HOST_TX,out"), (PINS, "TX,UART1_TX", "HOST_TX,UART1_TX")),
        near_miss=(
            (BASE, "TX,out", "HOST_TX,out"),
            (PINS, "TX,UART1_TX", "HOST_TX,UART1_TX"),
            (TOP, "TX,in", "HOST_TX,in"),
        ),
        says=(("base@new + top@old/new", "base.J1.3–top.J1.3"),),
    ),
    "joint-signal-clash": Case(
        fires=((BASE, "HEAT,out", "BUZZER,in"), (PINS, "GPIO,out,high,down", "GPIO,in,low,down")),
        near_miss=(
            (BASE, "HEAT,out", "HEATER,out"),
            (PINS, "HEAT", "HEATER"),
            (TOP, "HEAT,in", "HEATER,in"),
        ),
        says=(("base@new + top@old/new", "base.J1.5–top.J1.5"),),
    ),
    "joint-signal-lost": Case(
        fires=((BASE, "HEAT,out,3.3 V", ",,"),),
        near_miss=((BASE, "J1,6,,,", "J1,6,HEAT,out,3.3 V"),),
        says=(("base@new + top@old/new", "base.J1.5–top.J1.5"),),
    ),
    "joint-signal-moved": Case(
        fires=((BASE, "J1,3,TX,out", "J1,3,RX,in"), (BASE, "J1,4,RX,in", "J1,4,TX,out")),
        near_miss=((BASE, "J1,3,TX,out,3.3 V,", "J1,3,TX,out,3.3 V,0.1 A"),),
        says=(
            ("base@new + top@old/new", "base.J1.3–top.J1.3"),
            ("base@new + top@old/new", "base.J1.4–top.J1.4"),
        ),
    ),
    "joint-supply-clash": Case(
        fires=((BASE, "J1,5,HEAT,out,3.3 V", "J1,5,+5V,supply,5 V"),),
        near_miss=((BASE, "J1,6,,,", "J1,6,+5V,supply,5 V"),),
        says=(("base@new + top@old/new", "base.J1.5–top.J1.5"),),
    ),
    "joint-supply-voltage": Case(
        fires=((BASE, "supply,5 V", "supply,5.5 V"),),
        near_miss=((BASE, "supply,5 V", "supply,5000 mV"), (BASE, "HEAT,out,3.3 V", "HEAT,out,5 V")),
        says=(("base@new + top@old/new", "base.J1.1–top.J1.1"),),
    ),
    "firmware-active-level": Case(
        fires=((PINS, "LED,GPIO,out,high", "LED,GPIO,out,low"),),
        near_miss=((PINS, "RX,UART1_RX,in,,", "RX,UART1_RX,in,low,"),),
        says=((BLINK_NEW, "LED"),),
    ),
    "firmware-analog-channel": Case(
        fires=((PINS, "ADC1_IN4", "ADC2_IN4"),),
        near_miss=((PINS, "UART1_RX,in,,up,3.3 V,", "UART1_RX,in,,up,3.3 V,ADC1_IN3"),),
        says=((BLINK_NEW, "VBAT_SENSE"),),
    ),
    "firmware-direction": Case(
        fires=((PINS, "LED,GPIO,out", "LED,GPIO,in"),),
        near_miss=((PINS, "UART1_RX,in", "UART1_RX,bidirectional"),),
        says=((BLINK_NEW, "LED"),),
    ),
    "firmware-function": Case(
        fires=((PINS, "UART1_TX", "UART2_TX"),),
        near_miss=((PINS, "UART1_RX", "UART2_RX"),),
        says=((BLINK_NEW, "TX"),),
    ),
    "firmware-level": Case(
        fires=((PINS, "high,down,3.3 V", "high,down,5 V"),),
        near_miss=(
            (PINS, "high,down,3.3 V", "high,down,3300 mV"),
            (PINS, "LED,GPIO,out,high,,3.3 V", "LED,GPIO,out,high,,5 V"),
        ),
        says=((BLINK_NEW, "HEAT"),),
    ),
    "firmware-pin-moved": Case(
        fires=(
            (PINS, "U1,1,PA0,LED,GPIO,out,high,,3.3 V,", "U1,1,PA0,,,,,,,"),
            (PINS, "U1,6,PA5,,,,,,,", "U1,6,PA5,LED,GPIO,out,high,,3.3 V,"),
        ),
        near_miss=(
            (PINS, "U1,4,PA3,RX,UART1_RX,in,,up,3.3 V,", "U1,4,PA3,,,,,,,"),
            (PINS, "U1,6,PA5,,,,,,,", "U1,6,PA5,RX,UART1_RX,in,,up,3.3 V,"),
        ),
        says=((BLINK_NEW, "LED"),),
    ),
    "firmware-pull": Case(
        fires=((PINS, "high,down,3.3 V", "high,up,3.3 V"),),
        near_miss=((PINS, "high,down,3.3 V", "high,down 10k,3.3 V"),),
        says=((BLINK_NEW, "HEAT"),),
    ),
    "firmware-signal-lost": Case(
        fires=((PINS, "VBAT_SENSE,ADC,analog in,,,3.3 V,ADC1_IN4", ",,,,,,"),),
        near_miss=((PINS, "RX,UART1_RX,in,,up,3.3 V,", ",,,,,,"),),
        says=((BLINK_NEW, "VBAT_SENSE"),),
    ),
    "firmware-signal-renamed": Case(
        fires=((PINS, "LED,GPIO", "LAMP,GPIO"),),
        near_miss=((PINS, "RX,UART1", "RXD,UART1"), (BASE, "RX,in", "RXD,in"), (TOP, "RX,out", "RXD,out")),
        says=((BLINK_NEW, "LED"),),
    ),
    "part-designator-reused": Case(
        fires=((PARTS, "U2,1,regulator 3.3 V,SOT-23,VR-33", "U2,1,clock,SO-8,RTC-1"),),
        near_miss=((PARTS, "U2,1,regulator 3.3 V,SOT-23,VR-33", "U2,1,regulator 3.3 V,SOT-89,VR-33B"),),
        says=(("base@old + base@new", "U2"),),
    ),
    "part-life-ending": Case(
        fires=((PARTS, "MC-8,,,,yes,active", "MC-8,,,,yes,last order"),),
        near_miss=((PARTS, "MC-8,,,,yes,active", "MC-8,,,,yes,preferred"),),
        says=(("base@old + base@new", "U1"),),
    ),
    "part-number-kept": Case(
        fires=((PARTS, "R2,1,4k7,0603", "R2,1,5k6,0603"),),
        near_miss=((PARTS, "R2,1,4k7,0603,RA-4K7", "R2,1,5k6,0603,RA-5K6"),),
        says=(("base@old + base@new", "R2 value"),),
    ),
    "part-rating-reduced": Case(
        fires=((PARTS, "50 V,X7R", "25 V,X5R"),),
        near_miss=((PARTS, "25 V,X7R", "50 V,X8R"),),
        says=(("base@old + base@new", "C1 dielectric"), ("base@old + base@new", "C1 voltage")),
    ),
    "part-value-magnitude": Case(
        fires=((PARTS, "R1,1,10k", "R1,1,100k"),),
        near_miss=((PARTS, "R1,1,10k", "R1,1,99k"),),
        says=(("base@old + base@new", "R1"),),
    ),
    "release-same-label": Case(
        fires=((PINS, "UART1_RX", "UART2_RX"),),
        near_miss=(
            (PINS, "UART1_RX", "UART2_RX"),
            ("revdiff.toml", '[boards.base]\nrevision = "A"', '[boards.base]\nrevision = "B"'),
        ),
        says=(("base@old + base@new", "base"),),
    ),
    **FIRMWARE_CASES,
    **STACK_CASES,
}
