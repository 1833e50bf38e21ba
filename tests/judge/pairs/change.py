"""Rules of parts, and of the release."""

from __future__ import annotations

from tests.judge.pairs.pair import Pair

BASE, TOP = "base/contacts.csv", "top/contacts.csv"
PINS, PARTS = "base/pins.csv", "base/parts.csv"

CHANGE: dict[str, Pair] = {
    "part-designator-reused": Pair(
        fires=((PARTS, "U2,1,regulator 3.3 V,SOT-23,VR-33", "U2,1,clock,SO-8,RTC-1"),),
        near_miss=((PARTS, "U2,1,regulator 3.3 V,SOT-23,VR-33", "U2,1,regulator 3.3 V,SOT-89,VR-33B"),),
    ),
    "part-life-ending": Pair(
        fires=((PARTS, "MC-8,,,,yes,active", "MC-8,,,,yes,last order"),),
        near_miss=((PARTS, "MC-8,,,,yes,active", "MC-8,,,,yes,preferred"),),
    ),
    "part-number-kept": Pair(
        fires=((PARTS, "R2,1,4k7,0603", "R2,1,5k6,0603"),),
        near_miss=((PARTS, "R2,1,4k7,0603,RA-4K7", "R2,1,5k6,0603,RA-5K6"),),
    ),
    "part-output-voltage": Pair(
        fires=((PARTS, "regulator 3.3 V,SOT-23,VR-33", "regulator 5 V,SOT-23,VR-50"),),
        near_miss=((PARTS, "regulator 3.3 V,SOT-23,VR-33", "regulator 3V3,SOT-23,ZR-33"),),
    ),
    "part-protection-removed": Pair(
        base=(
            (
                PARTS,
                "D1,1,LED red",
                "D9,1,TVS 15 V,SMB,TV-15,,,,yes,active,0.20\nD8,1,diode,SMA,DS-1,,,,yes,active,0.02\nD1,1,LED red",
            ),
        ),
        fires=((PARTS, "TVS 15 V,SMB,TV-15,,,,yes", "TVS 15 V,SMB,TV-15,,,,no"),),
        near_miss=((PARTS, "diode,SMA,DS-1,,,,yes", "diode,SMA,DS-1,,,,no"),),
    ),
    "part-supply-changed": Pair(
        fires=(("base/pins.csv", "U1,7,VDD,+3V3,,supply,,,3.3 V,", "U1,7,VDD,+5V,,supply,,,5 V,"),),
        near_miss=(("base/pins.csv", "U1,7,VDD,+3V3,,supply,,,3.3 V,", "U1,7,VDD,VCC3V3,,supply,,,3.3 V,"),),
    ),
    "part-fuse-raised": Pair(
        base=((PARTS, "D1,1,LED red", "F1,1,2 A,2410,FU-2A,,,,yes,active,0.20\nD1,1,LED red"),),
        fires=((PARTS, "F1,1,2 A,2410,FU-2A", "F1,1,2.5 A,2410,FU-2A5"),),
        near_miss=((PARTS, "F1,1,2 A,2410,FU-2A", "F1,1,1.6 A,2410,FU-1A6"),),
    ),
    "part-rating-reduced": Pair(
        fires=((PARTS, "50 V,X7R", "25 V,X5R"),),
        near_miss=((PARTS, "25 V,X7R", "50 V,X8R"),),
    ),
    "part-value-magnitude": Pair(
        fires=((PARTS, "R1,1,10k", "R1,1,100k"),),
        near_miss=((PARTS, "R1,1,10k", "R1,1,99k"),),
    ),
    "release-same-label": Pair(
        fires=((PINS, "UART1_RX", "UART2_RX"),),
        near_miss=(
            (PINS, "UART1_RX", "UART2_RX"),
            ("revdiff.toml", '[boards.base]\nrevision = "A"', '[boards.base]\nrevision = "B"'),
        ),
    ),
}
