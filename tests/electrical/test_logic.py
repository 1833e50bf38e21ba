"""Noise margins against the thresholds of JEDEC standards and data sheets."""

from __future__ import annotations

from decimal import Decimal

import pytest

from revdiff.electrical.logic import FAMILIES, Levels, family_at, family_named, input_limit, margins

D = Decimal


def levels(name: str, supply: str = "") -> Levels:
    return FAMILIES[name].at(D(supply) if supply else None)


# STM32F405/407 outputs at 3.3 V and 8 mA: VOL 0.4 V, VOH VDD − 0.4 V (DocID022152, CMOS port).
STM32 = Levels(D(0), D(0), D("0.4"), D("2.9"))


@pytest.mark.parametrize(
    ("driver", "receiver", "high", "low"),
    [
        # JESD8C.01 outputs against 0.3 and 0.7 of 5 V (CMOS data sheets)
        (levels("LVTTL"), levels("CMOS"), "-1.1", "1.1"),
        (levels("LVCMOS", "3.0"), levels("CMOS"), "-0.7", "1.3"),
        # JESD8C.01 outputs against the TTL inputs 0.8 and 2.0 V
        (levels("LVTTL"), levels("TTL"), "0.4", "0.4"),
        (levels("LVTTL"), levels("HCT"), "0.4", "0.4"),
        (STM32, levels("HC", "4.5"), "-0.25", "0.95"),
        (STM32, levels("HCT"), "0.9", "0.4"),
        # SN74LS00 at 8 mA, SDLS025B
        (levels("LS"), levels("TTL"), "0.7", "0.3"),
        (levels("LS"), levels("CMOS"), "-0.8", "1.0"),
        # 74HC at 4.5 V and 4 mA
        (levels("HC"), levels("LVTTL"), "1.84", "0.47"),
        # JESD8-5A.01 at 1 mA
        (levels("JESD8-5"), levels("LVTTL"), "0.0", "0.4"),
        # JESD8-7A at the lower end of its supply range, 1.65 V
        (levels("JESD8-7", "1.65"), levels("LVTTL"), "-0.8", "0.35"),
        (levels("JESD8-7", "1.65"), levels("JESD8-7", "1.65"), "0.1275", "0.1275"),
        (levels("LVTTL"), levels("JESD8-7", "1.65"), "1.3275", "0.1775"),
    ],
)
def test_the_noise_margin_of_an_output_and_an_input(driver: Levels, receiver: Levels, high: str, low: str) -> None:
    found = margins(driver, receiver)
    assert (found.high, found.low) == (D(high), D(low))
    assert found.worst == min(D(high), D(low))


@pytest.mark.parametrize(
    ("supply", "name"),
    [
        ("3.3", "LVTTL"),
        ("3.0", "LVTTL"),
        ("2.5", "JESD8-5"),
        ("1.8", "JESD8-7"),
        ("1.5", "JESD8-11"),
        ("1.2", "JESD8-12"),
    ],
)
def test_a_supply_has_the_family_that_jedec_gives_it(supply: str, name: str) -> None:
    found = family_at(D(supply))
    assert found is not None
    assert found.name == name


def test_five_volts_alone_tells_no_family() -> None:
    assert family_at(D(5)) is None


@pytest.mark.parametrize(
    ("text", "name"), [("lvttl", "LVTTL"), ("74HCT", "HCT"), ("JESD8-5A.01", "JESD8-5"), ("JESD8C.01", "LVTTL")]
)
def test_a_family_is_known_by_the_names_people_use(text: str, name: str) -> None:
    found = family_named(text)
    assert found is not None
    assert found.name == name


def test_an_unknown_family_is_none() -> None:
    assert family_named("house standard") is None


@pytest.mark.parametrize(
    ("driven", "tolerant", "exceeds"),
    # STM32F103 data sheet, older issues: VDD + 0.3 V, 5.5 V where tolerant
    [("5.0", False, "1.4"), ("5.0", True, "-0.5"), ("3.3", False, "-0.3")],
)
def test_an_input_is_held_against_its_absolute_maximum(driven: str, tolerant: bool, exceeds: str) -> None:
    limit, source = input_limit(D("3.3"), tolerant=tolerant)
    assert D(driven) - limit == D(exceeds)
    assert "data sheet" in source
