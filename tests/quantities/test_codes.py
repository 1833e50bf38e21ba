"""Marking codes.

Sources: all-digit codes: xdevs.com/guide/rescode and marvac.com/pages/ceramic-capacitor-codes; EIA-96:
the full table at xdevs.com/guide/rescode; letter codes with tolerance: IEC 60062:2016 as quoted in the
encyclopedia article on EN 60062 and in "Electronics Capacitor Tolerance Code" (dummies.com).
"""

from __future__ import annotations

from decimal import Decimal

import eseries
import pytest
from hypothesis import given
from hypothesis import strategies as st

from revdiff.quantities.codes import CodeUnit, digit_code, eia96, read_code
from revdiff.quantities.quantity import Quantity
from revdiff.quantities.tolerance import read_tolerance
from tests.quantities.strategies import anything, untimed


@pytest.mark.parametrize(
    ("code", "ohm", "farad"),
    [
        ("473", "47e3", "47e-9"), ("220", "22", "22e-12"), ("221", "220", "220e-12"),
        ("471", "470", "470e-12"), ("102", "1e3", "1e-9"), ("104", "100e3", "100e-9"),
        ("106", "10e6", "10e-6"),
    ],
)  # fmt: skip
def test_three_digit_codes(code: str, ohm: str, farad: str) -> None:
    assert digit_code(code, "Ω") == Quantity(Decimal(ohm), "Ω")
    assert digit_code(code, "F") == Quantity(Decimal(farad), "F")


@pytest.mark.parametrize(
    ("code", "ohm"),
    [("1001", "1000"), ("4992", "49900"), ("1000", "100"), ("1502", "15000"), ("000", "0"), ("0000", "0")],
)
def test_resistor_codes_of_four_digits_and_the_zero_ohm_link(code: str, ohm: str) -> None:
    assert digit_code(code, "Ω") == Quantity(Decimal(ohm), "Ω")
    assert digit_code(code, "F") is None


@pytest.mark.parametrize("code", ["479", "478", "0603", "047", "47", "47000", "4k7", "١٠٤", "", "-104"])
def test_what_is_no_digit_code(code: str) -> None:
    assert digit_code(code, "F") is None
    assert digit_code(code, "Ω") is None


@pytest.mark.parametrize(
    ("code", "ohm"),
    [
        ("01Y", "1.00"), ("68X", "49.9"), ("76X", "60.4"), ("01A", "100"), ("29B", "1960"), ("66B", "4750"),
        ("01C", "10000"), ("18C", "15000"), ("51C", "33200"), ("30Z", "0.200"), ("96F", "97.6e6"),
        ("01R", "1"), ("30R", "2.00"), ("01S", "10"), ("01H", "1000"), ("01D", "1e5"), ("01E", "1e6"),
    ],
)  # fmt: skip
def test_eia96(code: str, ohm: str) -> None:
    assert eia96(code) == Quantity(Decimal(ohm), "Ω")


@pytest.mark.parametrize(
    ("place", "value"),
    [
        (1, 100),
        (12, 130),
        (18, 150),
        (24, 174),
        (30, 200),
        (34, 221),
        (48, 309),
        (51, 332),
        (85, 750),
        (93, 909),
    ],
)
def test_eia96_places_of_the_published_table(place: int, value: int) -> None:
    assert eia96(f"{place:02}A") == Quantity(Decimal(value), "Ω")


def test_eia96_places_follow_the_e96_list_of_the_eseries_package() -> None:
    places = [eia96(f"{place:02}A") for place in range(1, 97)]
    assert [int(q.magnitude) for q in places if q] == list(eseries.series(eseries.E96))


@pytest.mark.parametrize("code", ["00A", "97A", "98C", "99Z", "01G", "1A", "001A", "01", "A01", ""])
def test_what_is_no_eia96_code(code: str) -> None:
    assert eia96(code) is None


@pytest.mark.parametrize(
    ("code", "unit", "magnitude", "tolerance"),
    [
        ("4K7J", "Ω", "4700", "±5%"), ("R47K", "Ω", "0.47", "±10%"), ("4K7K", "Ω", "4700", "±10%"),
        ("1MF", "Ω", "1e6", "±1%"), ("4992F", "Ω", "49900", "±1%"), ("104K", "F", "100e-9", "±10%"),
        ("104Z", "F", "100e-9", "-20+80%"), ("473M", "F", "47e-9", "±20%"),
        ("4p7C", "F", "4.7e-12", "±0.25pF"), ("4p7D", "F", "4.7e-12", "±0.5pF"),
        ("100nJ", "F", "100e-9", "±5%"), ("100C", "F", "10e-12", "±0.25%"),
    ],
)  # fmt: skip
def test_value_with_a_tolerance_letter(code: str, unit: CodeUnit, magnitude: str, tolerance: str) -> None:
    assert read_code(code, unit) == (Quantity(Decimal(magnitude), unit), read_tolerance(tolerance))


@pytest.mark.parametrize(
    ("code", "unit", "low", "high"),
    [
        ("4K7J", "Ω", "4465", "4935"), ("104K", "F", "90e-9", "110e-9"), ("104Z", "F", "80e-9", "180e-9"),
        ("473M", "F", "37.6e-9", "56.4e-9"), ("4p7C", "F", "4.45e-12", "4.95e-12"),
        ("4p7D", "F", "4.2e-12", "5.2e-12"),
    ],
)  # fmt: skip
def test_the_limits_that_a_code_promises(code: str, unit: CodeUnit, low: str, high: str) -> None:
    # Arithmetic from the published letters.
    value, tolerance = read_code(code, unit)
    assert value is not None
    assert tolerance is not None
    ends = [
        value.magnitude * (1 + end / 100) if tolerance.unit == "%" else value.magnitude + end
        for end in (tolerance.low, tolerance.high)
    ]
    assert ends == [Decimal(low), Decimal(high)]


@pytest.mark.parametrize(
    ("code", "unit", "magnitude"),
    [
        ("100K", "Ω", "100e3"),  # never 100 Ω ±10 %
        ("30R", "Ω", "30"),  # never 2.00 Ω by EIA-96
        ("22R", "Ω", "22"),
        ("01C", "Ω", "10e3"),
        ("104", "F", "100e-9"),
        ("472", "Ω", "4700"),
        ("47", "Ω", "47"),
        ("100n", "F", "100e-9"),
    ],
)
def test_a_code_without_tolerance(code: str, unit: CodeUnit, magnitude: str) -> None:
    assert read_code(code, unit) == (Quantity(Decimal(magnitude), unit), None)


@pytest.mark.parametrize(
    ("code", "unit"),
    [("102F", "F"), ("97A", "Ω"), ("47J", "Ω"), ("DNP", "Ω"), ("", "F"), ("1" * 65, "Ω"), ("479", "F"), ("16V", "F")],
)
def test_what_is_no_code_of_the_unit(code: str, unit: CodeUnit) -> None:
    assert read_code(code, unit) == (None, None)


@given(anything, st.sampled_from(["Ω", "F"]))
@untimed
def test_any_text_is_read_or_refused_without_an_error(text: str, unit: CodeUnit) -> None:
    value, tolerance = read_code(text, unit)
    assert value is None or value.unit == unit
    assert value is not None or tolerance is None
    assert digit_code(text, unit) is None or text.strip() != ""
    assert eia96(text) is None or len(text) >= 3
