"""Names in the manifest that nothing has: each a fault at its line; and the near miss of each, which is none."""

from __future__ import annotations

import pytest

from revdiff.readers.entries import MANIFEST
from tests.support import SMALL, edit, load

ADDRESSES = '[firmware.blink.addresses]\neeprom = "0x50"\n[firmware.blink.constants]\nratio = "0.5"\n'
RATIO = '[derived.ratio]\nboard = "base"\nformula = "R1 / (R1 + R2)"\n'
DIVIDER = '[identity.base]\nby = "divider"\nderived = "ratio"\n'
EEPROM = '[software.eeprom]\nboard = "base"\npart = "U2"\n'
STRAPS = f'{EEPROM}straps = ["R1", "R2"]\n'
MEMORY = '[identity.base]\nby = "memory"\n'

# (sections, lines of the base, the place of the fault; empty: there is none)
CASES: dict[str, tuple[str, str, str]] = {
    "a part under a name that firmware has": ('[software.eeprom]\nboard = "base"\npart = "U2"', "", ""),
    "a part under one that it hasn't": ('[software.memory]\nboard = "base"\npart = "U2"', "", "software.memory"),
    "a constant of the firmware": (f'{RATIO}firmware = "blink"\nconstant = "ratio"', "", ""),
    "one that it hasn't": (f'{RATIO}firmware = "blink"\nconstant = "ration"', "", "derived.ratio.constant"),
    "a firmware that is none": (f'{RATIO}firmware = "blnk"\nconstant = "ratio"', "", "derived.ratio.firmware"),
    "what a board adds to a bus": ('[buses.I2C1]\nsignals = ["TX"]', 'buses = { I2C1 = { capacitance = "9 pF" } }', ""),
    "what it adds to one that is none": (
        '[buses.I2C1]\nsignals = ["TX"]',
        'buses = { I2C2 = { capacitance = "9 pF" } }',
        "boards.base.buses.I2C2",
    ),
    "two buses": ('[buses.A]\nsignals = ["TX"]\n[buses.B]\nsignals = ["RX"]', "", ""),
    "a signal in two buses": ('[buses.A]\nsignals = ["TX"]\n[buses.B]\nsignals = ["tx"]', "", "buses.B.signals"),
    "a controller with its pins": ('[controllers.base.U1]\nreset = ["8"]\nboot = ["PA0"]', "", ""),
    "a controller that is none": ('[controllers.base.U2]\ninput_limit = "3.6 V"', "", "controllers.base.U2"),
    "a pin that is none": ('[controllers.base.U1]\nreset = ["77"]', "", "controllers.base.U1.reset"),
    "a code of its own": (f'{MEMORY}code = "2"\ncodes = {{ A = "2", B = "1" }}', "", ""),
    "a code of another revision": (f'{MEMORY}code = "2"\ncodes = {{ B = "2", C = "3" }}', "", "identity.base.code"),
    "a new code": (f'{MEMORY}code = "4"\ncodes = {{ A = "4", C = "3" }}', "", ""),
    "a divider with its voltage": (f'{RATIO}[identity.base]\nby = "divider"\nderived = "ratio"', "", ""),
    "a divider with another's": ('[identity.base]\nby = "divider"\nderived = "x"', "", "identity.base.derived"),
    "a window of the printed revision": (f'{RATIO}{DIVIDER}windows = {{ A = ["0.2 V", "0.4 V"] }}', "", ""),
    "no window of it": (f'{RATIO}{DIVIDER}windows = {{ B = ["0.2 V", "0.4 V"] }}', "", "identity.base.windows"),
    "no code of it": (f'{MEMORY}codes = {{ B = "2", C = "3" }}', "", "identity.base.codes"),
    "straps with all they can say": (f'{STRAPS}by_strap = {{ "00" = "0x50", "10" = "0x51" }}', "", ""),
    "a strap that is no part": (
        f'{EEPROM}straps = ["R9"]\nby_strap = {{ "1" = "0x51" }}',
        "",
        "software.eeprom.straps",
    ),
    "a digit too few": (f'{STRAPS}by_strap = {{ "0" = "0x50" }}', "", "software.eeprom.by_strap.0"),
    "a digit that is none": (f'{STRAPS}by_strap = {{ "0x" = "0x50" }}', "", "software.eeprom.by_strap.0x"),
    "straps that say nothing": (STRAPS, "", "software.eeprom.by_strap"),
    "what straps say, without any": (f'{EEPROM}by_strap = {{ "0" = "0x50" }}', "", "software.eeprom.straps"),
    "an address in two ways": (
        f'{EEPROM}address = "0x50"\nby_part_number = {{ "-A0" = "0x50" }}',
        "",
        "software.eeprom.address",
    ),
    "a clock that is a part": ('[controllers.base.U1]\nclock = "D1"', "", ""),
    "a clock that is none": ('[controllers.base.U1]\nclock = "Y9"', "", "controllers.base.U1.clock"),
    "a pull to a supply": ("", 'pulls = { TX = "up R1 to +3V3" }', ""),
    "a pull to a supply that no table has": ("", 'pulls = { TX = "up R1 to +1V8" }', ""),
    "a pull to a rail that nothing has": ("", 'pulls = { TX = "up R1 to +3V3X" }', "boards.base.pulls.TX"),
    "a pull-up to a signal": ("", 'pulls = { TX = "up R1 to RX" }', "boards.base.pulls.TX"),
    "a pull-up to ground": ("", 'pulls = { TX = "up R1 to GND" }', "boards.base.pulls.TX"),
    "two resistors": ("", 'pulls = { TX = ["up R1", "up R2"] }', ""),
    "one resistor twice": ("", 'pulls = { TX = ["up R1", "up R1"] }', "boards.base.pulls.TX"),
    "a current": ("", 'feeds = { "+5V" = "1500 mA" }', ""),
    "no current": ("", 'feeds = { "+5V" = "0" }', ""),
    "a figure alone": ("", 'feeds = { "+5V" = "1500" }', "boards.base.feeds.+5V"),
    "a rate in per cent": ('[stacking]\ncontact_derating = "10"', "", ""),
    "a speed without its unit": ('[buses.A]\nsignals = ["TX"]\nspeed = "400"', "", "buses.A.speed"),
}


@pytest.mark.parametrize("name", CASES)
def test_a_name_that_nothing_has_is_a_fault_at_its_line(name: str) -> None:
    sections, lines, place = CASES[name]
    manifest = edit(
        SMALL,
        (MANIFEST, "[[joints]]", f"{ADDRESSES}{sections}\n[[joints]]"),
        (MANIFEST, "[boards.base]\n", f"[boards.base]\n{lines}\n"),
    )
    found = load(manifest).diagnostics
    assert [item.message.partition(" can't")[0] for item in found] == [place] * bool(place)
    assert all(item.severity == "fault" and item.expected and item.origin.line > 1 for item in found)
