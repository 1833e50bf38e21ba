"""Rules of two connectors that mate, and of what meets there."""

from __future__ import annotations

from tests.judge.pairs.pair import Pair

BASE, TOP = "base/contacts.csv", "top/contacts.csv"
PINS, PARTS = "base/pins.csv", "base/parts.csv"

JOINT: dict[str, Pair] = {
    "joint-connector-gender": Pair(
        fires=(("base/connectors.csv", "male", "female"),),
        near_miss=(
            ("base/connectors.csv", "male", "header"),
            ("base/connectors.csv", "PH-6", "PH-6B"),
        ),
    ),
    "joint-contact-count": Pair(
        fires=(("base/connectors.csv", "joint,6,", "joint,8,"),),
        near_miss=(("base/connectors.csv", "2.54 mm", "0.1 in"), ("base/connectors.csv", "PH-6", "PH-6B")),
    ),
    "joint-ground-lost": Pair(
        fires=((BASE, "J1,2,GND,ground", "J1,2,,"),),
        near_miss=((BASE, "J1,6,,,,", "J1,6,GND,ground,,"),),
    ),
    "joint-pitch": Pair(
        fires=(("base/connectors.csv", "2.54 mm", "2.00 mm"),),
        near_miss=(("base/connectors.csv", "2.54 mm", "100 mil"), (BASE, "HEAT,out", "HEAT,open drain")),
    ),
    "joint-renamed-one-side": Pair(
        fires=((BASE, "TX,out", "HOST_TX,out"), (PINS, "TX,UART1_TX", "HOST_TX,UART1_TX")),
        near_miss=(
            (BASE, "TX,out", "HOST_TX,out"),
            (PINS, "TX,UART1_TX", "HOST_TX,UART1_TX"),
            (TOP, "TX,in", "HOST_TX,in"),
        ),
    ),
    "joint-signal-clash": Pair(
        fires=((BASE, "HEAT,out", "BUZZER,in"), (PINS, "GPIO,out,high,down", "GPIO,in,low,down")),
        near_miss=(
            (BASE, "HEAT,out", "HEATER,out"),
            (PINS, "HEAT", "HEATER"),
            (TOP, "HEAT,in", "HEATER,in"),
        ),
    ),
    "joint-signal-lost": Pair(
        fires=((BASE, "HEAT,out,3.3 V", ",,"),),
        near_miss=((BASE, "J1,6,,,", "J1,6,HEAT,out,3.3 V"),),
    ),
    "joint-signal-moved": Pair(
        fires=((BASE, "J1,3,TX,out", "J1,3,RX,in"), (BASE, "J1,4,RX,in", "J1,4,TX,out")),
        near_miss=((BASE, "J1,3,TX,out,3.3 V,", "J1,3,TX,out,3.3 V,0.1 A"),),
    ),
    "joint-supply-clash": Pair(
        fires=((BASE, "J1,5,HEAT,out,3.3 V", "J1,5,+5V,supply,5 V"),),
        near_miss=((BASE, "J1,6,,,", "J1,6,+5V,supply,5 V"),),
    ),
    "joint-supply-voltage": Pair(
        fires=((BASE, "supply,5 V", "supply,5.5 V"),),
        near_miss=((BASE, "supply,5 V", "supply,5000 mV"), (BASE, "HEAT,out,3.3 V", "HEAT,out,5 V")),
    ),
}
