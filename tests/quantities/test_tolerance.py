"""Tolerances. Letters: IEC 60062:2016, as quoted in "Electronics Capacitor Tolerance Code" (dummies.com) and,
for H, N, Q, T, S and Z, at 3bmdesign.com/Responsive/Capacitor.html; picofarads below 10 pF: the page on
ceramic capacitor markings at signalpro.biz.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from revdiff.quantities.quantity import Quantity
from revdiff.quantities.tolerance import Tolerance, letter_tolerance, read_tolerance, show_tolerance
from tests.quantities.strategies import anything, untimed


def per_cent(low: str, high: str) -> Tolerance:
    return Tolerance(Decimal(low), Decimal(high), "%")


@pytest.mark.parametrize(
    ("letter", "low", "high"),
    [
        ("B", "-0.1", "0.1"), ("C", "-0.25", "0.25"), ("D", "-0.5", "0.5"), ("F", "-1", "1"),
        ("G", "-2", "2"), ("H", "-3", "3"), ("J", "-5", "5"), ("K", "-10", "10"), ("M", "-20", "20"),
        ("N", "-30", "30"), ("Q", "-10", "30"), ("T", "-10", "50"), ("S", "-20", "50"), ("Z", "-20", "80"),
    ],
)  # fmt: skip
def test_tolerance_letters(letter: str, low: str, high: str) -> None:
    assert read_tolerance(letter) == per_cent(low, high)


@pytest.mark.parametrize("letter", ["E", "L", "P", "W"])
def test_letters_on_which_published_lists_disagree_are_unknown(letter: str) -> None:
    assert read_tolerance(letter) is None


@pytest.mark.parametrize("letter", ["j", "k", "m", "z", "I", "X", "5", "%"])
def test_other_signs_are_no_tolerance_letters(letter: str) -> None:
    assert read_tolerance(letter) is None


@pytest.mark.parametrize(("letter", "picofarad"), [("B", "0.1"), ("C", "0.25"), ("D", "0.5"), ("F", "1"), ("G", "2")])
def test_below_ten_picofarads_the_letter_means_picofarads(letter: str, picofarad: str) -> None:
    half = Decimal(picofarad).scaleb(-12)
    below, at = Quantity(Decimal("9.9e-12"), "F"), Quantity(Decimal("10e-12"), "F")
    assert letter_tolerance(letter, below) == Tolerance(-half, half, "F")
    assert letter_tolerance(letter, at) == read_tolerance(letter)
    assert letter_tolerance(letter, Quantity(Decimal("1"), "Ω")) == read_tolerance(letter)


@pytest.mark.parametrize("text", ["1%", "1 %", "±1%", "± 1 %", "+/-1%", "+/- 1 %", "+-1%", "1.0 %", "1,0%", "F"])
def test_one_per_cent_in_every_notation(text: str) -> None:
    assert read_tolerance(text) == per_cent("-1", "1")


@pytest.mark.parametrize(
    "text", ["+80/-20 %", "+80/-20%", "-20+80%", "-20 +80 %", "+80%/-20%", "−20 % +80 %", "-20/+80%", "Z"]
)
def test_a_skewed_tolerance_in_every_notation(text: str) -> None:
    assert read_tolerance(text) == per_cent("-20", "80")


def test_tolerances_in_other_units() -> None:
    assert read_tolerance("10 ppm") == Tolerance(Decimal(-10), Decimal(10), "ppm")
    assert read_tolerance("±0.5pF") == Tolerance(Decimal("-5e-13"), Decimal("5e-13"), "F")
    assert read_tolerance("±0.1 mm") == Tolerance(Decimal("-1e-4"), Decimal("1e-4"), "m")


@pytest.mark.parametrize(
    "text",
    [
        "",
        "5",
        "0.01",
        "±5",
        "10k",
        "-1%",
        "+1%",
        "+80/+20%",
        "-20/-80 %",
        "+80/20%",
        "+5V/-5%",
        "1% 0603",
        "0." + "1" * 40 + "%",
    ],
)
def test_what_is_no_tolerance_or_has_two_readings_is_refused(text: str) -> None:
    # 0.01 in a column of per cent: one per cent, or a hundredth of one.
    assert read_tolerance(text) is None


@pytest.mark.parametrize(
    ("text", "shown"),
    [("1%", "±1 %"), ("+80/-20%", "−20 % +80 %"), ("±0.25pF", "±0.25 pF"), ("+100/-0 %", "−0 % +100 %")],
)
def test_show_tolerance(text: str, shown: str) -> None:
    tolerance = read_tolerance(text)
    assert tolerance is not None
    assert show_tolerance(tolerance) == shown


@given(st.decimals(0, 100, places=2), st.decimals(0, 100, places=2), st.sampled_from(["%", "ppm"]))
@untimed
def test_what_is_shown_reads_back(low: Decimal, high: Decimal, unit: str) -> None:
    tolerance = Tolerance(-low, high, unit)
    assert read_tolerance(show_tolerance(tolerance)) == tolerance


@given(anything)
@untimed
def test_any_text_is_read_or_refused_without_an_error(text: str) -> None:
    tolerance = read_tolerance(text)
    assert tolerance is None or tolerance.low <= 0 <= tolerance.high
