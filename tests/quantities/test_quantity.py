"""Reading and showing quantities.

Sources: RKM letter code of IEC 60062:2016, as the encyclopedia article on EN 60062 and probsee.com/p/RKM_code
quote it; SI prefixes (SI Brochure, 9th edition, table 7: from memory); the inch of 1959 (25.4 mm exactly).
The `quantiphy` package is the second opinion on plain SI text.
"""

from __future__ import annotations

import decimal
from decimal import Decimal

import pytest
import quantiphy
from hypothesis import given
from hypothesis import strategies as st

from revdiff.quantities.quantity import DecimalMark, Quantity, ambiguous_number, read_quantity, show
from tests.quantities.strategies import anything, untimed


def value_of(text: str, unit: str = "", decimal: DecimalMark = "either") -> tuple[Decimal, str] | None:
    found = read_quantity(text, unit, decimal=decimal)
    return (found.magnitude, found.unit) if found else None


# IEC 60062 RKM code, resistors (table II of EN 60062:1994, as quoted in public).
RKM_RESISTORS = [
    ("R47", "0.47"), ("4R7", "4.7"), ("47R", "47"), ("100R", "100"), ("470R", "470"), ("4K7", "4700"),
    ("47K", "47000"), ("47K3", "47300"), ("470K", "470000"), ("1M0", "1000000"), ("2M2", "2200000"),
    ("4M7", "4700000"), ("R010", "0.010"), ("0R01", "0.01"), ("5L0", "0.005"), ("0R", "0"),
    ("1G0", "1000000000"),
]  # fmt: skip

# The same, capacitors (table III).
RKM_CAPACITORS = [
    ("p33", "0.33e-12"), ("3p3", "3.3e-12"), ("33p", "33e-12"), ("n33", "330e-12"), ("4n7", "4.7e-9"),
    ("33n", "33e-9"), ("100n", "100e-9"), ("µ33", "0.33e-6"), ("3µ3", "3.3e-6"), ("3u3", "3.3e-6"),
    ("10µ", "10e-6"), ("1m5", "1500e-6"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "expected"), RKM_RESISTORS)
def test_letter_code_on_a_resistor(text: str, expected: str) -> None:
    assert value_of(text, "Ω") == (Decimal(expected), "Ω")


@pytest.mark.parametrize(("text", "expected"), RKM_CAPACITORS)
def test_letter_code_on_a_capacitor(text: str, expected: str) -> None:
    assert value_of(text, "F") == (Decimal(expected), "F")


@pytest.mark.parametrize(
    "text",
    [
        "4K7",
        "4k7",
        "4.7k",
        "4,7k",
        "4700",
        "4k70",
        "4.70 kΩ",
        "4.7 kohm",
        "4700 Ohms",
        "4700R",
        "4k7Ω",
        "4.7 k\u2126",
    ],
)
def test_one_resistance_in_every_notation_is_one_quantity(text: str) -> None:
    assert read_quantity(text, "Ω") == Quantity(Decimal(4700), "Ω")


@pytest.mark.parametrize(
    "text",
    ["100n", "0.1u", "0µ1", "0.1 µF", "0.1 \u03bcF", "0.1uF", ".1u", "100nF", "100NF", "100N", "0,1 µF"],
)
def test_one_capacitance_in_every_notation_is_one_quantity(text: str) -> None:
    assert read_quantity(text, "F") == Quantity(Decimal("1e-7"), "F")


@pytest.mark.parametrize(
    ("text", "magnitude", "unit"),
    [
        ("16 MHz", "16e6", "Hz"), ("32.768kHz", "32768", "Hz"), ("3.3 V", "3.3", "V"), ("3V3", "3.3", "V"),
        ("6V3", "6.3", "V"), ("+3V3", "3.3", "V"), ("5VDC", "5", "V"), ("−5V", "-5", "V"),
        ("-40 °C", "-40", "°C"), ("250mW", "0.25", "W"), ("1/4 W", "0.25", "W"), ("1/4W", "0.25", "W"),
        ("1/16 W", "0.0625", "W"), ("1%", "1", "%"), ("±1 %", "1", "%"), ("+/-1%", "1", "%"),
        ("10 ppm", "10", "ppm"), ("22pF", "22e-12", "F"), ("1.5 A", "1.5", "A"),
        ("2.54 mm", "0.00254", "m"), ("2.54mm", "0.00254", "m"), ("1.2 cm", "0.012", "m"),
        ("2200 mAh", "2.2", "Ah"), ("10k", "10000", ""), ("10meg", "10e6", ""), ("4700", "4700", ""),
        ("2.2uH", "2.2e-6", "H"), ("4R7", "4.7", "Ω"), ("10 ms", "0.01", "s"), ("100 mR", "0.1", "Ω"),
    ],
)  # fmt: skip
def test_a_text_with_its_own_unit_or_none(text: str, magnitude: str, unit: str) -> None:
    assert value_of(text) == (Decimal(magnitude), unit)


@pytest.mark.parametrize("text", ["100 mil", '0.1"', "0.1 in", "0.1inch", "100 mils", "100 thou", "1/10 in"])
def test_inches_are_exact_metres(text: str) -> None:
    # International yard and pound agreement, 1959: 1 in = 25.4 mm exactly.
    assert value_of(text) == (Decimal("0.00254"), "m")


@pytest.mark.parametrize(
    ("text", "column", "unit"),
    [("16V", "F", "V"), ("4.7 kΩ", "F", "Ω"), ("10 µF", "Ω", "F"), ("4R7", "F", "Ω")],
)
def test_the_unit_in_the_text_goes_before_the_unit_of_the_column(text: str, column: str, unit: str) -> None:
    found = read_quantity(text, column)
    assert found is not None
    assert found.unit == unit


@pytest.mark.parametrize("unit", ["Ω", "F", "H", "V", "A", "W", "Hz", "s", "m", "°C", "%", "ppm", "Ah", ""])
def test_a_bare_number_takes_the_unit_of_the_column(unit: str) -> None:
    assert value_of("12.5", unit) == (Decimal("12.5"), unit)


def test_milli_and_mega_are_never_one() -> None:
    assert value_of("10m", "Ω") == (Decimal("0.01"), "Ω")
    assert value_of("10M", "Ω") == (Decimal("10e6"), "Ω")
    assert value_of("100 mR") != value_of("100 MR")


def test_kilo_may_be_written_large_or_small_on_a_resistor() -> None:
    assert value_of("4.7K", "Ω") == value_of("4.7k", "Ω") == (Decimal(4700), "Ω")


@pytest.mark.parametrize(
    ("unit", "read", "refused"),
    [
        ("Ω", "µ m k M G T", "f p n"),
        ("F", "f p n µ m", "k M G T"),
        ("H", "p n µ m", "f k M G T"),
        ("V", "n µ m k", "f p M G T"),
        ("A", "p n µ m k", "f M G T"),
        ("W", "p n µ m k", "f M G T"),
        ("Hz", "m k M G T", "f p n µ"),
        ("s", "p n µ m", "f k M G T"),
        ("m", "n µ m", "f p k M G T"),
        ("Ah", "µ m k", "f p n M G T"),
        ("Wh", "µ m k", "f p n M G T"),
        ("%", "", "p n µ m k M G T"),
        ("ppm", "", "p n µ m k M G T"),
        ("°C", "", "p n µ m k M G T"),
    ],
)
def test_each_unit_takes_the_prefixes_that_the_trade_uses_with_it(unit: str, read: str, refused: str) -> None:
    # SI prefixes; which of them the trade uses with a unit: common practice, no source.
    powers = {"f": -15, "p": -12, "n": -9, "µ": -6, "m": -3, "k": 3, "M": 6, "G": 9, "T": 12}
    for prefix in read.split():
        assert value_of(f"1.5 {prefix}{unit}") == (Decimal(f"1.5e{powers[prefix]}"), unit)
    for prefix in refused.split():
        assert value_of(f"1.5 {prefix}{unit}") is None


@pytest.mark.parametrize(("text", "units"), [("10f", ["", "F", "H"]), ("10h", ["", "H"])])
def test_a_lone_small_letter_with_two_readings_is_refused(text: str, units: list[str]) -> None:
    assert [read_quantity(text, unit) for unit in units] == [None] * len(units)


@pytest.mark.parametrize("text", ["4/4 W", "5/4 W", "1/4 m", "1/4 V", "1/7 W", "0/4 W", "1/0 W", "1/4"])
def test_only_proper_fractions_of_a_watt_or_an_inch_are_read(text: str) -> None:
    assert read_quantity(text, "V") is None


@pytest.mark.parametrize("text", ["4.7K", "4K7", "10M", "10 MF", "4.7k"])
def test_kilo_and_mega_mean_something_else_on_a_capacitor(text: str) -> None:
    # K and M are tolerance letters there, and MF is microfarad on old drawings (common practice, no source).
    assert read_quantity(text, "F") is None


def test_a_digit_code_is_a_plain_number_here() -> None:
    assert value_of("104", "F") == (Decimal(104), "F")
    assert value_of("100", "Ω") == (Decimal(100), "Ω")


def test_metre_and_milli_are_told_apart_by_the_column() -> None:
    assert value_of("10 m", "m") == (Decimal(10), "m")
    assert value_of("10 m", "Ω") == (Decimal("0.01"), "Ω")


def test_celsius_without_its_degree_sign_needs_a_temperature_column() -> None:
    assert value_of("85C", "°C") == (Decimal(85), "°C")
    assert value_of("85C", "F") is None


@pytest.mark.parametrize(
    ("text", "unit", "magnitude"),
    [("1F5", "F", "1.5"), ("1A5", "A", "1.5"), ("0W5", "W", "0.5"), ("1m5", "m", "1.5"), ("5L0", "Ω", "0.005")],
)
def test_a_unit_for_the_decimal_point_needs_the_column_to_say_it(text: str, unit: str, magnitude: str) -> None:
    assert value_of(text, unit) == (Decimal(magnitude), unit)
    assert value_of(text, "V") is None or text == "1m5"  # 1m5 in a column of volts: 1.5 mV


def test_a_letter_in_front_needs_the_column_to_say_what_it_is() -> None:
    assert value_of("R47") is None  # a designator, as likely
    assert value_of("R47", "H") is None
    assert value_of("n33", "Ω") is None


@pytest.mark.parametrize(
    "text",
    [
        "", "NaN", "inf", "Infinity", "1_0k", "٣k", "４k７", "1e400", "1e99", "1E3", "12E4", "6.93E+12",
        "DNP", "5P", "X7R", "10k ±1%", "-40..85", "1 000 k", "1.000,5", "1,000.5", "4k7k", "4R7V", "10/16V",
        "1/3 W", "10k extra", "k", "Ω", "±5 V", "0603", "007", "16mhz", "500MA", "--5", "5.", "9**9**9",
        "1" * 65, "1e", "0x10", "?F", "10 Âµ", "4.7.1",
    ],
)  # fmt: skip
def test_what_is_no_quantity_or_has_two_readings_is_refused(text: str) -> None:
    assert read_quantity(text) is None


@pytest.mark.parametrize("text", ["0", "0.000000000000000001", "1000000000000000", "1000T", "-1000 T"])
def test_the_range_holds_its_ends(text: str) -> None:
    assert read_quantity(text) is not None


@pytest.mark.parametrize("text", ["0.0000000000000000009", "1000000000000001", "1001T", "-1001T"])
def test_the_range_ends(text: str) -> None:
    assert read_quantity(text) is None


@pytest.mark.parametrize(
    ("text", "either", "comma", "point"),
    [
        ("4,7", "4.7", "4.7", None),
        ("4,75", "4.75", "4.75", None),
        ("0,100", "0.1", "0.1", None),
        ("1,2345", "1.2345", "1.2345", None),
        ("1234,567", "1234.567", "1234.567", None),
        ("1,000", None, "1", None),
        ("10,000k", None, "10000", None),
        ("1.000", "1", None, "1"),
        ("4.7", "4.7", "4.7", "4.7"),
        ("0.125", "0.125", "0.125", "0.125"),
    ],
)
def test_decimal_comma(text: str, either: str | None, comma: str | None, point: str | None) -> None:
    marks: list[tuple[DecimalMark, str | None]] = [("either", either), ("comma", comma), ("point", point)]
    for mark, expected in marks:
        assert value_of(text, decimal=mark) == (None if expected is None else (Decimal(expected), "")), mark


@pytest.mark.parametrize("text", ["1,000", "10,000k", "100,000 Ω", "1,000 1%"])
def test_a_comma_before_three_figures_is_ambiguous(text: str) -> None:
    assert ambiguous_number(text)


@pytest.mark.parametrize(
    "text", ["", "4,7k", "0,100", "1,2345", "1234,567", "1.000", "R1,R200", "a,100", "1,000,000", "1,000" + " x" * 200]
)
def test_other_commas_are_not_ambiguous(text: str) -> None:
    assert not ambiguous_number(text)


def test_equal_by_value_whatever_the_figures() -> None:
    one, other = Quantity(Decimal("1.0"), "V"), Quantity(Decimal("1.00"), "V")
    assert one == other
    assert hash(one) == hash(other)
    assert one != Quantity(Decimal("1.0"), "A")


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("4k7", "Ω", "4.7 kΩ"), ("0R", "Ω", "0 Ω"), ("0.1u", "F", "100 nF"), ("p33", "F", "0.33 pF"),
        ("3V3", "", "3.3 V"), ("16 MHz", "", "16 MHz"), ("1%", "", "1 %"), ("4.700", "Ω", "4.7 Ω"),
        ("-40 °C", "", "−40 °C"), ("0.1 in", "", "2.54 mm"), ("2500 ppm", "", "2500 ppm"),
        ("3000", "F", "3000 F"), ("1000", "", "1000"), ("100", "Ω", "100 Ω"),
        ("4.7 nV", "", "4.7 nV"), ("15 GHz", "", "15 GHz"), ("2 pA", "", "2 pA"), ("3 µAh", "", "3 µAh"),
        ("1 TΩ", "", "1 TΩ"), ("10 µm", "", "0.01 mm"), ("5 ns", "", "5 ns"), ("7 mHz", "", "7 mHz"),
        ("1500 kV", "", "1500 kV"), ("2 kWh", "", "2 kWh"), ("1000", "Ω", "1 kΩ"),
        ("999.9", "Ω", "999.9 Ω"),
    ],
)  # fmt: skip
def test_show(text: str, unit: str, expected: str) -> None:
    found = read_quantity(text, unit)
    assert found is not None
    assert show(found) == expected


def test_show_survives_what_reading_never_makes() -> None:
    assert show(Quantity(Decimal("NaN"), "V")) == "NaN V"
    assert show(Quantity(Decimal("1e99999"), "V")) == "1E+99999 V"


magnitudes = st.tuples(st.integers(-(10**12), 10**12), st.integers(-15, 3)).map(lambda t: Decimal(f"{t[0]}e{t[1]}"))
units = st.sampled_from(["Ω", "F", "H", "V", "A", "W", "Hz", "s", "m", "°C", "%", "ppm", "Ah", ""])


@given(magnitudes, units)
@untimed
def test_what_is_shown_reads_back_exactly(magnitude: Decimal, unit: str) -> None:
    quantity = Quantity(magnitude, unit)
    assert read_quantity(show(quantity), unit) == quantity


@given(magnitudes, units)
@untimed
def test_a_coarse_decimal_context_of_the_caller_changes_nothing(magnitude: Decimal, unit: str) -> None:
    with decimal.localcontext(decimal.Context(prec=2)):
        quantity = Quantity(magnitude, unit)
        assert read_quantity(show(quantity), unit) == quantity


@given(
    st.decimals("0.001", "999", places=3),
    st.sampled_from(["p", "n", "µ", "u", "m", "", "k", "M", "G"]),
    st.sampled_from(["Ω", "Hz", "V", "F", "A"]),
    st.sampled_from(["", " "]),
)
@untimed
def test_plain_si_text_reads_as_quantiphy_reads_it(number: Decimal, prefix: str, unit: str, gap: str) -> None:
    text = f"{number}{gap}{prefix}{unit}"
    ours = read_quantity(text, unit)
    if ours is None:  # a prefix that the trade doesn't use with the unit (MF, pHz)
        assert (prefix, unit) not in {("", unit), ("k", "Ω"), ("M", "Hz"), ("m", "V"), ("µ", "F"), ("m", "A")}
        return
    theirs = quantiphy.Quantity(text)
    assert ours.unit == theirs.units
    assert float(ours.magnitude) == pytest.approx(theirs.real, rel=1e-12)


@given(anything, units, st.sampled_from(["either", "point", "comma"]))
@untimed
def test_any_text_is_read_or_refused_without_an_error(text: str, unit: str, mark: DecimalMark) -> None:
    found = read_quantity(text, unit, decimal=mark)
    assert found is None or found.magnitude.is_finite()
    assert isinstance(ambiguous_number(text), bool)


@given(anything, units)
@untimed
def test_whatever_is_read_is_shown_so_that_it_reads_the_same(text: str, unit: str) -> None:
    found = read_quantity(text, unit)
    if found:
        assert read_quantity(show(found), found.unit) == found
