"""The sections of the manifest about stacking: what they hold, and one clear fault for what they can't."""

from __future__ import annotations

import tomllib
from decimal import Decimal

import pytest

from revdiff.design import Design
from revdiff.errors import DataFault
from revdiff.rules.stack_data import Pull, board_data, design_buses, known_good, policy_of
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
    data = board_data(
        design(
            "",
            'feeds = { "+5V" = "1.5 A" }\nloads = { "+5V" = "300 mA" }\nblocking = { "+5V" = "D1" }\n'
            'pulls = { HEAT = "down 10k R1", TX = ["up 4k7", "up R2"] }\n'
            'buses = { I2C1 = { capacitance = "40 pF", addresses = ["0x20"] } }',
        ).boards["base"]
    )
    assert data.feeds == {"+5v": Decimal("1.5")}
    assert data.loads == {"+5v": Decimal("0.3")}
    assert data.blocking == {"+5v": "D1"}
    assert data.pulls["heat"] == (Pull("down", Decimal(10_000), "R1"),)
    assert data.pulls["tx"] == (Pull("up", Decimal(4_700), ""), Pull("up", Decimal(4_700), "R2"))
    assert data.buses["i2c1"].capacitance == Decimal("40e-12")
    assert data.buses["i2c1"].addresses == ("0x20",)


def test_a_blocking_part_that_is_not_fitted_blocks_nothing() -> None:
    files = edit(
        SMALL,
        ("revdiff.toml", "[boards.base]\n", '[boards.base]\nblocking = { "+5V" = "D1" }\n'),
        ("base/parts.csv", "D1,1,LED red,0603,LR-1,,,,yes", "D1,1,LED red,0603,LR-1,,,,DNP"),
    )
    assert board_data(load(files).boards["base"]).blocking == {"+5v": ""}


def test_buses_policy_and_known_good_pairings_of_a_design() -> None:
    found = design(
        '[buses.I2C1]\nsignals = ["SCL", "SDA"]\nspeed = "400 kHz"\ncapacitance = "100 pF"\n'
        '[stacking]\nplacement_tolerance = "0.1 mm"\nallow = ["stack-misplug"]\n'
        '[[known_good]]\nboards = ["base", "top@v1"]\nsignals = { "base.TX" = "top.RX" }'
    )
    [bus] = design_buses(found)
    assert (bus.name, bus.signals, bus.speed) == ("I2C1", ("scl", "sda"), Decimal(400_000))
    assert policy_of(found).placement_tolerance == Decimal("0.0001")
    assert policy_of(found).allow == {"stack-misplug"}
    [entry] = known_good(found)
    assert entry.boards == ("base", "top@v1")
    assert entry.signals == ((("base", "tx"), ("top", "rx")),)


def test_without_sections_there_is_nothing_and_the_policy_has_defaults() -> None:
    found = load(SMALL)
    assert (design_buses(found), known_good(found)) == ((), ())
    assert policy_of(found).placement_tolerance == Decimal("0.0002")


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ('loads = { "+5V" = "10 V" }', r"boards\.base\.loads\.\+5V"),
        ("loads = 3", r"boards\.base\.loads"),
        ('pulls = { HEAT = "10k" }', r"boards\.base\.pulls\.HEAT"),
        ('pulls = { HEAT = "down R99" }', r"boards\.base\.pulls\.HEAT"),
        ('blocking = { "+5V" = "D9" }', r"boards\.base\.blocking\.\+5V"),
        ('buses = { I2C1 = { adresses = ["0x20"] } }', r"boards\.base\.buses\.I2C1\.adresses"),
        ('buses = { I2C1 = { addresses = "0x20" } }', r"boards\.base\.buses\.I2C1\.addresses"),
    ],
)
def test_a_section_of_a_board_that_cannot_be_read_is_a_fault(text: str, place: str) -> None:
    with pytest.raises(DataFault, match=place + r".*found .*; expected .*Correct the manifest"):
        board_data(design("", text).boards["base"])


@pytest.mark.parametrize(
    "text",
    [
        '[stacking]\ncontact_derating = "100 %"',
        "[stacking]\nnoise = 1",
        '[buses.I2C1]\nspeed = "fast"',
        '[[known_good]]\nboards = ["base"]',
        '[[known_good]]\nsignals = { TX = "top.RX" }',
        'known = 1\n[known_good]\nboards = ["a", "b"]',
    ],
)
def test_a_section_of_the_design_that_cannot_be_read_is_a_fault(text: str) -> None:
    tomllib.loads(text)
    found = design(text)
    with pytest.raises(DataFault, match="Correct the manifest"):
        (design_buses(found), policy_of(found), known_good(found))
