"""Value cells with more than the value in them, as parts lists have them (common practice, no source)."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from revdiff.quantities.quantity import Quantity, read_quantity
from revdiff.quantities.tolerance import read_tolerance
from revdiff.quantities.value_cell import ValueCell, is_unfitted, read_value_cell
from tests.quantities.strategies import anything, untimed


def cell(
    value: str,
    tolerance: str = "",
    *,
    voltage: str = "",
    power: str = "",
    current: str = "",
    dielectric: str = "",
    package: str = "",
    fitted: bool | None = None,
) -> ValueCell:
    return ValueCell(
        read_quantity(value),
        read_tolerance(tolerance),
        read_quantity(voltage),
        read_quantity(power),
        read_quantity(current),
        dielectric,
        package,
        fitted,
    )


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("4k7", "Ω", cell("4.7 kΩ")),
        ("100n", "F", cell("100 nF")),
        ("100n/16V/X7R", "F", cell("100 nF", voltage="16 V", dielectric="X7R")),
        ("100n 16V X7R", "F", cell("100 nF", voltage="16 V", dielectric="X7R")),
        ("16V/100n/X7R", "F", cell("100 nF", voltage="16 V", dielectric="X7R")),
        ("100n; 16 V; X7R", "F", cell("100 nF", voltage="16 V", dielectric="X7R")),
        ("100 nF (X7R)", "F", cell("100 nF", dielectric="X7R")),
        ("10k 1% 0603", "Ω", cell("10 kΩ", "1%", package="0603")),
        ("10k, 1%, 0603", "Ω", cell("10 kΩ", "1%", package="0603")),
        ("10k,1%,0603", "Ω", cell("10 kΩ", "1%", package="0603")),
        ("10 kΩ ±1 % 0603", "Ω", cell("10 kΩ", "1%", package="0603")),
        ("10k±1%", "Ω", cell("10 kΩ", "1%")),
        ("10k+/-1%", "Ω", cell("10 kΩ", "1%")),
        ("4,7k 1%", "Ω", cell("4.7 kΩ", "1%")),
        ("4u7 10V X5R 0805", "F", cell("4.7 µF", voltage="10 V", dielectric="X5R", package="0805")),
        ("0R DNP", "Ω", cell("0 Ω", fitted=False)),
        ("10k (DNP)", "Ω", cell("10 kΩ", fitted=False)),
        ("10k do not populate", "Ω", cell("10 kΩ", fitted=False)),
        ("2.2uH 3A", "H", cell("2.2 µH", current="3 A")),
        ("10k 0.1W", "Ω", cell("10 kΩ", power="0.1 W")),
        ("10k 1/4 W", "Ω", cell("10 kΩ", power="250 mW")),
        ("10k/1/4W/5%", "Ω", cell("10 kΩ", "5%", power="250 mW")),
        ("100u +80/-20 % 16 V", "F", cell("100 µF", "+80/-20 %", voltage="16 V")),
        ("100n J", "F", cell("100 nF", "J")),
        ("4p7 C C0G", "F", cell("4.7 pF", "±0.25 pF", dielectric="C0G")),
        ("4p7 ±0.25pF NP0", "F", cell("4.7 pF", "±0.25 pF", dielectric="C0G")),
        ("16MHz 10ppm", "Hz", cell("16 MHz", "10 ppm")),
        ("500mA 250V", "A", cell("500 mA", voltage="250 V")),
        ("100n 0402 (1005 metric)", "F", cell("100 nF", package="0402 (1005 metric)")),
        ("1k SOT-23", "Ω", cell("1 kΩ", package="sot-23")),
        ("10k 1% 0603 ±1%", "Ω", cell("10 kΩ", "1%", package="0603")),  # said twice, no contradiction
        ("3.3V 500mA", "", cell("3.3 V", current="500 mA")),
        ("", "Ω", ValueCell()),
    ],
)
def test_a_cell_that_is_understood(text: str, unit: str, expected: ValueCell) -> None:
    assert read_value_cell(text, unit) == expected


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("1N4148", ""),
        ("74HC00", ""),
        ("LED red", ""),
        ("5V relay", ""),
        ("X7R", "F"),
        ("1%", "Ω"),
        ("0603", "Ω"),
        ("10k thin film", "Ω"),
        ("10k 10V 16V", "Ω"),  # two voltages
        ("10k 1% 5%", "Ω"),  # two tolerances
        ("10k ()", "Ω"),
        ("10k 22k", "Ω"),  # two values
        ("10k 100ppm", "Ω"),  # a temperature drift, no tolerance
        ("100n F", "F"),  # ±1 %, or nF with a stray blank
        ("4.7 M X7R", "F"),  # ±20 %, or mega
        ("10k 5", "Ω"),
        ("100n 105°C", "F"),
        ("1,000 1%", "Ω"),
        ("16V X7R", "F"),  # no value
        ("a b c d e f g h i j k l m n o p", ""),
        ("x" * 500, "Ω"),
    ],
)
def test_a_cell_that_is_not_wholly_understood_stays_text(text: str, unit: str) -> None:
    assert read_value_cell(text, unit) == ValueCell(rest=text)


def test_text_is_kept_clean() -> None:
    assert read_value_cell("  LED\u00a0 red\u200b", "").rest == "LED red"


def test_a_single_quantity_of_another_unit_is_left_to_the_caller_to_judge() -> None:
    assert read_value_cell("16V", "F").value == Quantity(Decimal(16), "V")


@pytest.mark.parametrize(
    "text",
    [
        "DNP",
        "dnp",
        "DNI",
        "DNF",
        "NF",
        "N/F",
        "not fitted",
        "Not Populated",
        "do not place",
        "DO NOT FIT",
        "(DNP)",
        "no pop",
    ],
)
def test_marks_of_a_part_that_is_not_fitted(text: str) -> None:
    assert is_unfitted(text)
    assert read_value_cell(text, "Ω") == ValueCell(fitted=False)
    assert read_value_cell(f"10k {text}", "Ω") == cell("10 kΩ", fitted=False)
    assert read_value_cell(f"LED red {text}", "") == ValueCell(fitted=False, rest="LED red")
    assert read_value_cell(f"{text} LED red", "") == ValueCell(fitted=False, rest="LED red")


@pytest.mark.parametrize("text", ["", "NC", "fitted", "yes", "DNP1", "optional", "nFET"])
def test_other_texts_do_not_say_that_a_part_is_not_fitted(text: str) -> None:
    assert not is_unfitted(text)


@pytest.mark.parametrize(
    ("text", "unit", "value", "tolerance"),
    [
        ("104", "F", "100 nF", ""),
        ("104K 50V X7R", "F", "100 nF", "10%"),
        ("4K7J 0805", "Ω", "4.7 kΩ", "5%"),
        ("104K 10%", "F", "100 nF", "10%"),
        ("01C", "Ω", "10 kΩ", ""),
        ("100", "Ω", "10 Ω", ""),
        ("47", "Ω", "47 Ω", ""),
        ("4.7k", "Ω", "4.7 kΩ", ""),
        ("16 MHz", "Hz", "16 MHz", ""),
    ],
)
def test_marking_codes_where_the_column_holds_them(text: str, unit: str, value: str, tolerance: str) -> None:
    found = read_value_cell(text, unit, code=True)
    assert (found.value, found.tolerance) == (read_quantity(value), read_tolerance(tolerance))


@pytest.mark.parametrize(("text", "unit", "value"), [("104", "F", "104 F"), ("100", "Ω", "100 Ω"), ("01C", "Ω", None)])
def test_marking_codes_are_decoded_nowhere_else(text: str, unit: str, value: str | None) -> None:
    assert read_value_cell(text, unit).value == (read_quantity(value) if value else None)


@pytest.mark.parametrize(("text", "unit"), [("102F", "F"), ("479", "F"), ("0603", "Ω"), ("99A2", "Ω")])
def test_a_code_that_cannot_be_decoded_is_no_plain_number_either(text: str, unit: str) -> None:
    assert read_value_cell(text, unit, code=True) == ValueCell(rest=text)


def test_other_units_are_read_beside_marking_codes() -> None:
    assert read_value_cell("16V", "F", code=True).value == Quantity(Decimal(16), "V")
    assert read_value_cell("50V 104", "F", code=True) == cell("100 nF", voltage="50 V")
    assert read_value_cell("1,000k", "Ω", code=True, decimal="comma") == cell("1 kΩ")
    assert read_value_cell("1,000k", "Ω", code=True) == ValueCell(rest="1,000k")


def test_a_mark_within_the_text_is_not_taken_out() -> None:
    assert read_value_cell("LED DNP red", "") == ValueCell(rest="LED DNP red")


def test_the_decimal_mark_of_the_file_reaches_every_piece() -> None:
    assert read_value_cell("1,000k 0,500 W", "Ω", decimal="comma") == cell("1 kΩ", power="0.5 W")
    assert read_value_cell("4,7k 1%", "Ω", decimal="point") == ValueCell(rest="4,7k 1%")


@given(st.permutations(["100n", "16V", "X7R", "10%", "0805"]), st.sampled_from([" ", "/", "; ", ", ", " / "]))
@untimed
def test_order_and_separator_do_not_matter(pieces: list[str], between: str) -> None:
    expected = cell("100 nF", "10%", voltage="16 V", dielectric="X7R", package="0805")
    assert read_value_cell(between.join(pieces), "F") == expected


@given(anything, st.sampled_from(["Ω", "F", "H", "V", "Hz", ""]), st.booleans())
@untimed
def test_any_text_is_understood_or_kept(text: str, unit: str, code: bool) -> None:
    found = read_value_cell(text, unit, code=code)
    assert found.value is None or not found.rest
    assert found == ValueCell() or found.value or found.rest or found.fitted is False
