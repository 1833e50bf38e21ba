"""Ceramic dielectric codes: EIA-198, as the Holy Stone capacitor catalogue (page 53, EIA designations)
and the class I to III tables at 3bmdesign.com quote it. Limits of a 100 nF part: arithmetic from the bands.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given

from revdiff.quantities.dielectric import Dielectric, not_worse, read_dielectric
from tests.quantities.strategies import anything, untimed


def read(code: str) -> Dielectric:
    found = read_dielectric(code)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("code", "low", "high", "least", "most"),
    [
        ("X7R", -55, 125, "85", "115"), ("X5R", -55, 85, "85", "115"), ("X6S", -55, 105, "78", "122"),
        ("X7S", -55, 125, "78", "122"), ("X7T", -55, 125, "67", "122"), ("X8R", -55, 150, "85", "115"),
        ("Y5V", -30, 85, "18", "122"), ("Z5U", 10, 85, "44", "122"), ("Y5P", -30, 85, "90", "110"),
    ],
)  # fmt: skip
def test_class_2_codes(code: str, low: int, high: int, least: str, most: str) -> None:
    found = read(code)
    assert (found.low, found.high) == (Decimal(low), Decimal(high))
    assert [100 + end for end in found.change] == [Decimal(least), Decimal(most)]
    assert found.slope is None


@pytest.mark.parametrize(("letter", "low"), [("X", -55), ("Y", -30), ("Z", 10)])
def test_the_first_letter_is_the_low_temperature(letter: str, low: int) -> None:
    assert read(f"{letter}5R").low == Decimal(low)


@pytest.mark.parametrize(
    ("digit", "high"), [("2", 45), ("4", 65), ("5", 85), ("6", 105), ("7", 125), ("8", 150), ("9", 200)]
)
def test_the_digit_is_the_high_temperature(digit: str, high: int) -> None:
    assert read(f"X{digit}R").high == Decimal(high)


@pytest.mark.parametrize(
    ("letter", "low", "high"),
    [
        ("A", "-1.0", "1.0"), ("B", "-1.5", "1.5"), ("C", "-2.2", "2.2"), ("D", "-3.3", "3.3"), ("E", "-4.7", "4.7"),
        ("F", "-7.5", "7.5"), ("P", "-10", "10"), ("R", "-15", "15"), ("S", "-22", "22"), ("T", "-33", "22"),
        ("U", "-56", "22"), ("V", "-82", "22"),
    ],
)  # fmt: skip
def test_the_last_letter_is_the_change(letter: str, low: str, high: str) -> None:
    assert read(f"X7{letter}").change == (Decimal(low), Decimal(high))


@pytest.mark.parametrize(
    ("letter", "figure"),
    [
        ("B", "0.3"), ("L", "0.8"), ("A", "0.9"), ("M", "1.0"), ("P", "1.5"), ("R", "2.2"), ("S", "3.3"), ("T", "4.7"),
        ("V", "5.6"), ("U", "7.5"), ("C", "0"),
    ],
)  # fmt: skip
def test_the_letter_of_a_class_1_code_is_the_figure_of_the_slope(letter: str, figure: str) -> None:
    assert read(f"{letter}2G").slope == -100 * Decimal(figure)


@pytest.mark.parametrize(
    ("digit", "factor"), [("0", -1), ("1", -10), ("2", -100), ("3", -1000), ("6", 10), ("7", 100), ("8", 1000)]
)
def test_the_digit_of_a_class_1_code_is_the_multiplier(digit: str, factor: int) -> None:
    assert read(f"M{digit}G").slope == Decimal(factor)


@pytest.mark.parametrize(
    ("letter", "tolerance"), [("G", 30), ("H", 60), ("J", 120), ("K", 250), ("L", 500), ("M", 1000), ("N", 2500)]
)
def test_the_last_letter_of_a_class_1_code_is_the_tolerance(letter: str, tolerance: int) -> None:
    assert read(f"C0{letter}").slope_tolerance == Decimal(tolerance)


@pytest.mark.parametrize(
    ("code", "slope", "tolerance"),
    [
        ("C0G", 0, 30), ("U2J", -750, 120), ("P3K", -1500, 250), ("S2H", -330, 60), ("T2H", -470, 60),
        ("P2G", -150, 30), ("R3L", -2200, 500), ("M7G", 100, 30), ("U1G", -75, 30),
    ],
)  # fmt: skip
def test_class_1_codes(code: str, slope: int, tolerance: int) -> None:
    assert (read(code).slope, read(code).slope_tolerance) == (Decimal(slope), Decimal(tolerance))


def test_the_drift_of_class_1_parts_follows_from_the_slope() -> None:
    # (slope ± tolerance) · (125 − 25) K, and · (−55 − 25) K for the other end.
    assert read("C0G").change == (Decimal("-0.30"), Decimal("0.30"))
    assert read("U2J").change == (Decimal("-8.70"), Decimal("6.96"))


@pytest.mark.parametrize("text", ["C0G", "c0g", "COG", "NP0", "NPO", "C0G (NP0)", "C0G/NP0", "NP0, C0G", " C0G "])
def test_one_dielectric_under_all_its_names(text: str) -> None:
    assert read_dielectric(text) == read_dielectric("C0G")
    assert read(text).code == "C0G"


@pytest.mark.parametrize("text", ["", "X7", "X7RR", "X3R", "W7R", "X7Z", "X7R/X5R", "R4G", "C5G", "DNP", "١٢٣", "10k"])
def test_what_is_no_dielectric_code(text: str) -> None:
    assert read_dielectric(text) is None


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("X5R", "X7R", True),
        ("X7R", "X5R", False),  # 125 to 85 °C
        ("X7R", "X7S", False),  # ±15 to ±22 %
        ("X7S", "X7R", True),
        ("X7R", "X8R", True),
        ("X7R", "Y5V", False),
        ("Y5V", "X7R", True),
        ("X7R", "C0G", True),
        ("X8R", "C0G", False),  # the range doesn't hold
        ("C0G", "X7R", False),
        ("C0G", "U2J", False),
        ("U2J", "C0G", False),  # the slope may be there on purpose
        ("X7R", "X7R", True),
        ("C0G", "C0G", True),
        ("S2H", "S2J", False),
        ("S2J", "S2H", True),
    ],
)
def test_not_worse(old: str, new: str, expected: bool) -> None:
    # Range contains the old range, band lies inside the old band: arithmetic from the codes.
    assert not_worse(read(old), read(new)) is expected


@given(anything)
@untimed
def test_any_text_is_read_or_refused_without_an_error(text: str) -> None:
    found = read_dielectric(text)
    assert found is None or (read_dielectric(found.code) == found and not_worse(found, found))
