"""The sections of the manifest beyond tables: what they hold, and one clear fault, at its line, for what they can't."""

from __future__ import annotations

import tomllib
from decimal import Decimal

import pytest

from revdiff.design import Design
from revdiff.design.sections import Pull
from revdiff.readers.entries import MANIFEST
from tests.support import SMALL, edit, load


def design(text: str, board: str = "") -> Design:
    """The small design with more sections, and more lines in the section of its base."""
    return load(
        edit(
            SMALL,
            ("revdiff.toml", "[[joints]]", f"{text}\n[[joints]]"),
            ("revdiff.toml", "[boards.base]\n", f"[boards.base]\n{board}\n"),
        )
    )


def test_rails_pulls_and_buses_of_a_board() -> None:
    found = design(
        "",
        'feeds = { "+5V" = "1.5 A" }\nloads = { "+5V" = "300 mA" }\nblocking = { "+5V" = "D1" }\n'
        'pulls = { HEAT = "down 10k R1", TX = ["up 4k7 to +5V", "up R2"] }\n'
        'buses = { I2C1 = { capacitance = "40 pF", addresses = ["0x20"] } }\n'
        'switches = { HEAT = "heater" }\nshipped = true',
    )
    assert found.diagnostics == ()
    data = found.boards["base"].sections
    assert data.switches == {"heat": "heater"}
    assert data.shipped is True
    assert data.feeds == {"+5v": Decimal("1.5")}
    assert data.loads == {"+5v": Decimal("0.3")}
    assert data.blocking == {"+5v": "D1"}
    assert data.pulls["heat"] == (Pull("down", Decimal(10_000), "R1"),)
    assert data.pulls["tx"] == (Pull("up", Decimal(4_700), rail="+5v"), Pull("up", Decimal(4_700), "R2"))
    assert data.buses["i2c1"].capacitance == Decimal("40e-12")
    assert data.buses["i2c1"].addresses == ("0x20",)


def test_a_blocking_part_that_is_not_fitted_blocks_nothing() -> None:
    files = edit(
        SMALL,
        ("revdiff.toml", "[boards.base]\n", '[boards.base]\nblocking = { "+5V" = "D1" }\n'),
        ("base/parts.csv", "D1,1,LED red,0603,LR-1,,,,yes", "D1,1,LED red,0603,LR-1,,,,DNP"),
    )
    assert load(files).boards["base"].sections.blocking == {"+5v": ""}


def test_buses_policy_and_known_good_pairings_of_a_design() -> None:
    found = design(
        '[buses.I2C1]\nsignals = ["SCL", "SDA"]\nspeed = "400 kHz"\ncapacitance = "100 pF"\n'
        '[stacking]\nplacement_tolerance = "0.1 mm"\nallow = ["stack-misplug"]\n'
        '[[known_good]]\nboards = ["base", "top@v1"]\nsignals = { "base.TX" = "top.RX" }'
    )
    [bus] = found.sections.buses
    assert (bus.name, bus.signals, bus.speed) == ("I2C1", ("scl", "sda"), Decimal(400_000))
    assert found.sections.policy.placement_tolerance == Decimal("0.0001")
    assert found.sections.policy.allow == {"stack-misplug"}
    [entry] = found.sections.known_good
    assert entry.boards == ("base", "top@v1")
    assert entry.signals == ((("base", "tx"), ("top", "rx")),)


def test_without_sections_there_is_nothing_and_the_policy_has_defaults() -> None:
    found = load(SMALL)
    assert (found.sections.buses, found.sections.known_good) == ((), ())
    assert found.sections.policy.placement_tolerance == Decimal("0.0002")


def line_of(text: str, within: str) -> int:
    """The line of the manifest that holds a text."""
    return next(number for number, line in enumerate(within.splitlines(), 1) if text in line)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ('loads = { "+5V" = "10 V" }', "boards.base.loads.+5V"),
        ("loads = 3", "boards.base.loads"),
        ('pulls = { HEAT = "10k" }', "boards.base.pulls.HEAT"),
        ('pulls = { HEAT = "down R99" }', "boards.base.pulls.HEAT"),
        ('blocking = { "+5V" = "D9" }', "boards.base.blocking.+5V"),
        ('buses = { I2C1 = { adresses = ["0x20"] } }', "boards.base.buses.I2C1.adresses"),
        ('buses = { I2C1 = { addresses = "0x20" } }', "boards.base.buses.I2C1.addresses"),
        ('shipped = "yes"', "boards.base.shipped"),
        ('switchs = { HEAT = "heater" }', "boards.base.switchs"),
    ],
)
def test_a_section_of_a_board_that_cannot_be_read_is_a_fault_at_its_line(text: str, place: str) -> None:
    files = edit(SMALL, (MANIFEST, "[boards.base]\n", f"[boards.base]\n{text}\n"))
    [fault] = load(files).diagnostics
    assert fault.severity == "fault"
    assert fault.message.startswith(f"{place} ")
    assert (fault.origin.file, fault.origin.line) == (MANIFEST, line_of(text, files[MANIFEST]))
    assert fault.expected


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ('[stacking]\ncontact_derating = "100 %"', "stacking.contact_derating"),
        ("[stacking]\nnoise = 1", "stacking.noise"),
        ('[buses.I2C1]\nspeed = "fast"', "buses.I2C1.speed"),
        ('[[known_good]]\nboards = ["base"]', "known_good"),
        ('[[known_good]]\nsignals = { TX = "top.RX" }', "known_good"),
        ('[known_good]\nboards = ["a", "b"]', "known_good"),
        ('[controllers.base.U1]\noutput_current = "0 mA"', "controllers.base.U1.output_current"),
        ('[controllers.bse.U1]\nclock = "Y1"', "controllers.bse"),
        ('[software.rtc]\nboard = "base"\npart = "U9"', "software.rtc.part"),
        ('[identity.base]\nby = "colour"', "identity.base.by"),
        ('[identity.base]\nwindows = { A = ["0.4 V", "0.2 V"] }', "identity.base.windows.A"),
        ('[derived.v]\nboard = "base"\nformula = "R1 +"', "derived.v.formula"),
        ('[derived.v]\nboard = "base"\nunit = "V"', "derived.v"),
        ('[derived.v]\nboard = "base"\nformula = "R1"\nunit = "V"', "derived.v.formula"),
        ('[controler.base.U1]\nclock = "Y1"', "controler"),
    ],
)
def test_a_section_of_the_design_that_cannot_be_read_is_a_fault(text: str, place: str) -> None:
    tomllib.loads(text)
    [fault] = design(text).diagnostics
    assert fault.severity == "fault"
    assert fault.message.startswith(f"{place} ")
    assert fault.origin.line > 1 or place in ("known_good", "controler")


def test_packing_suffixes_that_are_no_list_are_a_fault() -> None:
    [fault] = load(edit(SMALL, (MANIFEST, "[design]\n", "[design]\npacking_suffixes = 'TR'\n"))).diagnostics
    assert (fault.origin.line, fault.message) == (2, "packing_suffixes can't be read")


def test_a_clock_that_is_no_frequency_is_a_fault() -> None:
    [fault] = load(edit(SMALL, (MANIFEST, 'version = "1.0"', 'version = "1.0"\nclock = "sixteen"'))).diagnostics
    assert (fault.found, fault.message) == ("sixteen", "firmware.blink.clock can't be read")


def test_all_faults_are_told_at_once() -> None:
    found = design('[stacking]\nnoise_margin = "much"\n[buses.I2C1]\nspeed = "fast"', "loads = 3\nshipped = 1")
    assert len(found.diagnostics) == 4


def test_only_the_users_own_keys_are_left_over() -> None:
    found = design(
        '[own]\nlicence = "CC"\n[stacking]\nnoise_margin = "0.1 V"\n', 'shipped = true\noutline = "100 x 80"'
    )
    assert set(found.extra) == {"own"}
    assert set(found.boards["base"].extra) == {"outline"}
