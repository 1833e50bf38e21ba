"""What a contract doesn't state it takes from the pin map that it ships with: more data never gives less warning."""

from __future__ import annotations

from revdiff.app.reading import with_firmware
from revdiff.judge.programs import releases
from tests.support import MemoryRevision, load

PINS = """\
Device,Pin,Port,Signal,Function,Direction,Active,Pull,Level,Analog
U1,1,PA1,HEAT,GPIO,out,low,down,3.3 V,
U1,2,PA2,TEMP,ADC,analog in,,,,3
U1,3,PA3,KEY,,,low,,,
"""
MANIFEST = """\
[design]
name = "demo"
[boards.base]
pins = "pins.csv"
[firmware.lamp]
version = "1.0"
board = "base"
"""
HEADER = "#define PIN_HEAT 1\n#define PIN_TEMP PA2\n#define PIN_KEY 3\n#define PIN_GONE 9\n"
TREE = '&gpioa { gpio-line-names = "", "HEAT", "TEMP", "KEY"; };\n'
FIELDS = ("function", "direction", "active", "pull", "analog")


def needs(section: str, **files: str) -> dict[str, dict[str, str]]:
    revision = MemoryRevision({"revdiff.toml": MANIFEST + section, "pins.csv": PINS, **files})
    (release,) = releases(with_firmware(load(revision.files), revision), "base", "v1")
    found = release.contract.needs
    return {key: {field: getattr(need, field).raw for field in FIELDS} for key, need in found.items()}


WHOLE = {
    "heat": dict(zip(FIELDS, ("GPIO", "out", "low", "down", ""), strict=True)),
    "temp": dict(zip(FIELDS, ("ADC", "analog in", "", "", "3"), strict=True)),
    "key": dict(zip(FIELDS, ("", "", "low", "", ""), strict=True)),
}


def test_a_header_a_devicetree_and_a_short_table_are_filled_in_alike() -> None:
    header = needs('header = "p.h"\n', **{"p.h": HEADER})
    assert header.pop("gone") == dict.fromkeys(FIELDS, "")
    assert header == needs('devicetree = "p.dts"\n', **{"p.dts": TREE}) == WHOLE
    assert needs('needs = "n.csv"\n', **{"n.csv": "Signal,Pin\nHEAT,1\nTEMP,2\nKEY,3\n"}) == WHOLE


def test_a_contract_of_all_signals_says_no_less_than_the_pin_map_that_would_stand_in() -> None:
    alone = needs("")
    for given in ({"p.h": HEADER}, {"p.h": "#define PIN_HEAT 1\n#define PIN_TEMP 2\n#define PIN_KEY 3\n"}):
        filled = needs('header = "p.h"\n', **given)
        assert {key: filled[key] for key in alone} == alone


def test_what_a_contract_states_itself_stands() -> None:
    table = "Signal,Pin,Direction,Active\nHEAT,1,in,high\n"
    (heat,) = needs('needs = "n.csv"\n', **{"n.csv": table}).values()
    assert (heat["direction"], heat["active"], heat["pull"]) == ("in", "high", "down")
