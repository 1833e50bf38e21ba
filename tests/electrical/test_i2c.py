"""Pull-ups and addresses against NXP UM10204 and the worked examples of TI SLVA689."""

from __future__ import annotations

from decimal import Decimal

import pytest

from revdiff.electrical.i2c import (
    FAST,
    FAST_PLUS,
    MODES,
    STANDARD,
    idle_voltage,
    low_level,
    mode_for,
    parallel,
    pull_maximum,
    pull_minimum,
    reserved,
)

D = Decimal


def figures(value: Decimal, digits: int = 4) -> Decimal:
    return D(f"{value:.{digits}g}")


@pytest.mark.parametrize(
    ("supply", "sink", "ohms"),
    [
        ("3.3", "0.003", "966.7"),  # SLVA689 prints 966.667
        ("5", "0.003", "1533"),  # UM10204 figure 41
        ("1.8", "0.003", "480"),
        ("1.8", "0.002", "720"),
        ("3.3", "0.020", "145"),
        ("5", "0.020", "230"),
    ],
)
def test_the_smallest_pull_up(supply: str, sink: str, ohms: str) -> None:
    assert figures(pull_minimum(D(supply), D(sink))) == D(ohms)


@pytest.mark.parametrize(
    ("rise", "capacitance", "ohms"),
    [
        ("300e-9", "200e-12", "1770"),  # SLVA689: 1.77 kΩ
        ("1000e-9", "400e-12", "2951"),  # UM10204 figure 42
        ("1000e-9", "200e-12", "5901"),
        ("300e-9", "400e-12", "885.2"),
        ("300e-9", "100e-12", "3541"),
        ("120e-9", "550e-12", "257.5"),
        ("120e-9", "100e-12", "1416"),
    ],
)
def test_the_largest_pull_up(rise: str, capacitance: str, ohms: str) -> None:
    assert figures(pull_maximum(D(rise), D(capacitance))) == D(ohms)


def test_no_pull_up_fits_a_fast_bus_of_400_picofarad_at_3v3() -> None:
    assert pull_minimum(D("3.3")) > pull_maximum(FAST.rise, FAST.capacitance)


@pytest.mark.parametrize(("clock", "mode"), [("100e3", STANDARD), ("400e3", FAST), ("1e6", FAST_PLUS), ("101e3", FAST)])
def test_a_clock_belongs_to_the_slowest_mode_that_allows_it(clock: str, mode: object) -> None:
    assert mode_for(D(clock)) is mode


def test_no_mode_is_faster_than_fast_mode_plus() -> None:
    assert mode_for(D("3.4e6")) is None
    assert [mode.rise for mode in MODES] == sorted((mode.rise for mode in MODES), reverse=True)


@pytest.mark.parametrize(("supply", "volts"), [("3.3", "0.4"), ("1.8", "0.36"), ("2", "0.4")])
def test_the_low_level_depends_on_the_supply(supply: str, volts: str) -> None:
    """UM10204: 0.4 V above 2 V, 0.2 VDD up to 2 V."""
    assert low_level(D(supply)) == D(volts)


@pytest.mark.parametrize(
    ("resistors", "ohms"),
    # any handbook: resistors in parallel
    [("4700 4700", "2350"), ("4700 4700 4700", "1567"), ("4700 2200", "1499"), ("2200 2200 4700", "891.4")],
)
def test_pull_ups_of_several_boards_are_in_parallel(resistors: str, ohms: str) -> None:
    assert figures(parallel(D(item) for item in resistors.split())) == D(ohms)


@pytest.mark.parametrize(
    ("supply", "ohms", "most"), [("3.3", "4700", 4), ("3.3", "2200", 2), ("3.3", "10000", 10), ("5", "4700", 3)]
)
def test_so_many_boards_may_each_bring_a_pull_up(supply: str, ohms: str, most: int) -> None:
    least = pull_minimum(D(supply))
    assert parallel([D(ohms)] * most) >= least
    assert parallel([D(ohms)] * (most + 1)) < least


def test_pull_ups_to_two_rails_idle_between_them() -> None:
    assert figures(idle_voltage([(D(4700), D(5)), (D(4700), D("3.3"))])) == D("4.15")


def test_a_link_of_no_resistance_decides_alone() -> None:
    assert parallel([D(4700), D(0)]) == 0
    assert idle_voltage([(D(4700), D("3.3")), (D(0), D(0))]) == 0


@pytest.mark.parametrize("address", [0x00, 0x07, 0x78, 0x7F])
def test_addresses_at_both_ends_are_reserved(address: int) -> None:
    assert reserved(address)


@pytest.mark.parametrize("address", [0x08, 0x3C, 0x50, 0x77])
def test_addresses_between_are_free(address: int) -> None:
    assert reserved(address) == ""


def test_112_addresses_are_free() -> None:
    assert sum(1 for address in range(128) if not reserved(address)) == 112
