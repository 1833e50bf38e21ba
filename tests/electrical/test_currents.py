"""Contacts, contention and rails against ratings of connector and controller data sheets."""

from __future__ import annotations

from decimal import Decimal

import pytest

from revdiff.electrical.currents import (
    PIN_LIMIT,
    contact_drop,
    contention,
    derated,
    left_over,
    per_contact,
    series_minimum,
)

D = Decimal
M20, M50 = D(3), D(1)  # A per contact: Harwin M20 (2.54 mm) and M50 (1.27 mm) data sheets


@pytest.mark.parametrize(
    ("total", "contacts", "rating", "fits"),
    [("3.5", 2, M20, True), ("3.5", 3, M50, False), ("3.5", 4, M50, True), ("3", 2, M50, False)],
)
def test_a_current_is_shared_by_contacts_in_parallel(total: str, contacts: int, rating: Decimal, fits: bool) -> None:
    assert (per_contact(D(total), contacts) <= rating) is fits


def test_derating_can_turn_the_answer() -> None:
    assert derated(M50, D(20)) == D("0.8")
    assert per_contact(D("3.5"), 4) > derated(M50, D(20))


def test_a_contact_of_30_milliohm_loses_30_millivolt_at_1_ampere() -> None:
    """Harwin M20 data sheet: at most 30 mΩ."""
    assert contact_drop(D(1), D("0.030")) == D("0.030")


@pytest.mark.parametrize(("ohms", "milliampere"), [("100", "33"), ("132", "25"), ("220", "15"), ("330", "10")])
def test_two_outputs_at_3v3_against_each_other(ohms: str, milliampere: str) -> None:
    """Held against 25 mA per pin, DocID022152 table 12."""
    found = contention(D("3.3"), D(ohms))
    assert found == D(milliampere) / 1000
    assert (found > PIN_LIMIT) is (D(ohms) < 132)


def test_without_a_resistor_nothing_limits_the_current() -> None:
    assert contention(D("3.3"), D(0)) is None


@pytest.mark.parametrize(("supply", "ohms"), [("3.3", "132"), ("3.6", "144"), ("5", "200")])
def test_the_series_resistor_that_keeps_a_pin_within_25_milliampere(supply: str, ohms: str) -> None:
    assert series_minimum(D(supply)) == D(ohms)


def test_8_milliampere_at_3v3_need_412_ohm() -> None:
    assert series_minimum(D("3.3"), D("0.008")) == D("412.5")


def test_a_rail_is_overloaded_when_its_loads_exceed_it() -> None:
    assert left_over(D("1.5"), D("0.9"), D("0.4")) == D("0.2")
    assert left_over(D("1.5"), D("0.9"), D("0.7")) == D("-0.1")
