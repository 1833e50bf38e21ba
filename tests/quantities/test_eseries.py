"""Preferred numbers: IEC 60063:2015, checked value by value against the `eseries` package."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import eseries
import pytest
from hypothesis import given
from hypothesis import strategies as st

from revdiff.quantities.eseries import SERIES, in_series, nearest, series_of
from revdiff.quantities.quantity import Quantity, read_quantity
from tests.quantities.strategies import untimed


def ohm(text: str) -> Quantity:
    found = read_quantity(text, "Ω")
    assert found is not None
    return found


@pytest.mark.parametrize("name", ["E3", "E6", "E12", "E24", "E48", "E96", "E192"])
def test_the_series_are_those_of_the_eseries_package(name: str) -> None:
    assert list(SERIES[name]) == list(eseries.series(eseries.ESeries[name]))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("4.7k", ("E3", "E6", "E12", "E24", "E192")),
        ("4.75k", ("E96", "E192")),
        ("9.2k", ("E192",)),
        ("9.19k", ()),
        ("1k", ("E3", "E6", "E12", "E24", "E48", "E96", "E192")),
        ("0", ()),
    ],
)
def test_series_of(text: str, expected: tuple[str, ...]) -> None:
    assert series_of(ohm(text)) == expected


@pytest.mark.parametrize("name", list(SERIES))
def test_a_value_is_in_its_series_in_every_decade(name: str) -> None:
    for value in SERIES[name]:
        for power in (-12, -3, 0, 7):
            assert in_series(Quantity(Decimal(f"{value}e{power}"), "F"), name)
        assert not in_series(Quantity(Decimal(f"{value}0001"), "F"), name)


def test_values_of_zero_and_below_are_in_no_series() -> None:
    assert not in_series(Quantity(Decimal(0), "Ω"), "E24")
    assert not in_series(Quantity(Decimal(-10), "V"), "E24")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("5.1k", "5.11k"),
        ("3.3k", "3.32k"),
        ("47k", "47.5k"),
        ("1234", "1.24k"),
        ("15.26k", "15.4k"),
        ("9.9k", "10k"),
    ],
)
def test_nearest_e96(text: str, expected: str) -> None:
    # 15.26 kΩ is rounded to 15.4 kΩ in the TPS54531 data sheet (SLVSBI5, page 11) as well.
    assert nearest(ohm(text), "E96") == ohm(expected)


@pytest.mark.parametrize("value", ["0", "-1", "NaN"])
def test_nearest_needs_a_value_above_zero(value: str) -> None:
    with pytest.raises(ValueError, match="above zero"):
        nearest(Quantity(Decimal(value), "Ω"), "E24")


def test_an_unknown_series_is_named_in_the_error() -> None:
    with pytest.raises(ValueError, match="E13"):
        nearest(ohm("1k"), "E13")
    with pytest.raises(ValueError, match="E13"):
        in_series(ohm("1k"), "E13")


positive = st.tuples(st.integers(1, 10**9), st.integers(-12, 3)).map(lambda t: Decimal(f"{t[0]}e{t[1]}"))


@given(positive, st.sampled_from(list(SERIES)))
@untimed
def test_nearest_is_a_neighbour_and_no_neighbour_is_nearer_by_ratio(value: Decimal, name: str) -> None:
    found = nearest(Quantity(value, "Ω"), name)
    assert found.unit == "Ω"
    assert in_series(found, name)
    exact = Fraction(value)

    def distance(candidate: Fraction) -> Fraction:
        return max(candidate / exact, exact / candidate)

    decade = Fraction(10) ** (value.adjusted() - len(str(SERIES[name][0])) + 1)
    neighbours = [v * decade * step for v in SERIES[name] for step in (1, 10)]
    assert distance(Fraction(found.magnitude)) == min(map(distance, neighbours))


@given(positive, st.sampled_from(list(SERIES)))
@untimed
def test_a_preferred_number_is_its_own_nearest(value: Decimal, name: str) -> None:
    once = nearest(Quantity(value, "Ω"), name)
    assert nearest(once, name) == once
