"""What firmware relies on beside pins: clock, addresses, constants, limits; and what was unknown before."""

from __future__ import annotations

from revdiff.design import Design
from tests.judge.support import c, changed, design, hazards, p, rules, stacked
from tests.support import SMALL, edit, load

GND = c("GND", "ground")
PARTS = "base/parts.csv"
BASE = (
    (
        "revdiff.toml",
        'version = "1.0"',
        'version = "1.0"\nclock = "8 MHz"\naddresses = { sensor = "0x48" }\nconstants = { ratio = "0.32" }',
    ),
    (
        "revdiff.toml",
        "[[joints]]",
        '[software.sensor]\nboard = "base"\npart = "U2"\nby_part_number = { 33 = "0x48", 34 = "0x49" }\n'
        '[derived.ratio]\nboard = "base"\nformula = "R2 / (R1 + R2)"\nconstant = "ratio"\n'
        'accept = "2 %"\nlow = "0.30"\n[[joints]]',
    ),
    (PARTS, "U1,1,controller", "Y1,1,8 MHz,HC49,Y-8,,,,yes,active,0.20\nU1,1,controller"),
)


def small(*edits: tuple[str, str, str]) -> Design:
    return load(edit(SMALL, *BASE, *edits))


def test_a_crystal_of_another_frequency() -> None:
    assert "firmware-clock" in rules(changed(small(), small((PARTS, "8 MHz,HC49", "16 MHz,HC49"))))
    assert "firmware-clock" not in rules(changed(small(), small((PARTS, "8 MHz,HC49", "8000 kHz,HC49"))))


def test_a_part_that_answers_elsewhere() -> None:
    assert "firmware-address" in rules(changed(small(), small((PARTS, "VR-33", "VR-34"))))
    assert "firmware-address" not in rules(changed(small(), small((PARTS, "SOT-23,VR-33", "SOT-89,VR-33"))))


def test_a_constant_that_the_parts_no_longer_give() -> None:
    """4.7k / (10k + 4.7k) = 0.3197, within 2 % of 0.32; with 5.6k it is 0.3590."""
    assert "derived-constant" in rules(changed(small(), small((PARTS, "4k7,0603,RA-4K7", "5k6,0603,RA-5K6"))))
    assert "derived-constant" not in rules(changed(small(), small((PARTS, "4k7,0603,RA-4K7", "4.7 k,0603,RA-4K7"))))


def test_a_derived_quantity_below_its_limit() -> None:
    """3.9k / 13.9k = 0.281, below 0.30."""
    assert "derived-limit" in rules(changed(small(), small((PARTS, "4k7,0603,RA-4K7", "3k9,0603,RA-3K9"))))


def test_a_pin_above_what_it_takes() -> None:
    def board(level: str, **columns: str) -> Design:
        return design({"base": (GND,)}, {"base": (p("FLOW", "in", level, **columns),)})

    assert hazards(stacked(board("5 V", **{"5v_tolerant": "no"}))) == ["firmware-pin-overstressed"]
    assert rules(stacked(board("5 V", **{"5v_tolerant": "yes"}))) == []
    assert rules(stacked(board("3.3 V", **{"5v_tolerant": "no"}))) == []


def test_what_nobody_could_tell_before_is_no_news() -> None:
    def boards(extra: str) -> Design:
        return design(
            {
                "base": (GND, c("D", "out", "5 V", family="HCT"), c(extra, "out", "3.3 V")),
                "top": (GND, c("D", "in", "3.3 V", family="LVTTL"), c(extra, "in", "3.3 V")),
            }
        )

    assert stacked(boards("A")).answer == "cannot tell"
    assert changed(boards("A"), boards("B")).answer == "fits"


def test_an_expander_runs_no_firmware_and_the_release_that_talks_to_it_is_concerned() -> None:
    """Two outputs of a 16-bit expander trade pins: the release of the controller switches the wrong one."""

    def boards(first: str, second: str, stated: str) -> Design:
        pins = "Device,Pin,Signal,Direction,Address\nU1,1,SCL,open drain,\nU1,2,SDA,open drain,\n"
        pins += f"U9,4,{first},out,\nU9,5,{second},out,\nU9,14,SCL,in,0x20\nU9,15,SDA,open drain,0x20\n"
        return load(
            {
                "revdiff.toml": '[design]\nname = "d"\n[boards.base]\npins = "p.csv"\n[firmware.f]\nversion = "1"\n'
                f'board = "base"\ndevice = "U1"\nneeds = "n.csv"\n{stated}',
                "p.csv": pins,
                "n.csv": "Signal,Pin,Direction\nSCL,1,open drain\n",
            }
        )

    for stated in ("", '[software.outputs]\nboard = "base"\npart = "U9"\naddress = "0x20"\n'):
        told = changed(boards("VALVE", "PUMP", stated), boards("PUMP", "VALVE", stated)).findings
        found = [item for item in told if item.rule == "firmware-drives-other-load"]
        assert {item.parties[0].name for item in found} == {"f 1"}
        assert {item.subject for item in found} == {"base.U9: VALVE", "base.U9: PUMP"}
