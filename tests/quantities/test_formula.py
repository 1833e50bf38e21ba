"""Formulas over toleranced values: against published worked examples, and against hostile text."""

from __future__ import annotations

import contextlib
import itertools
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from revdiff.quantities.dimension import name_of, read_in_unit, read_unit
from revdiff.quantities.formula import FormulaFault, parse_formula
from revdiff.quantities.quantity import read_quantity
from revdiff.quantities.tolerance import read_tolerance
from revdiff.quantities.worst_case import Result, Term, term, worst_case


def terms(**texts: str) -> dict[str, Term]:
    """``R1="10k Ω 1%"``: value, then unit, then an optional tolerance."""
    found = {}
    for name, text in texts.items():
        value, _, tolerance = text.partition(" ±")
        quantity = read_quantity(value)
        assert quantity is not None, text
        found[name] = term(quantity, read_tolerance(f"±{tolerance}") if tolerance else None)
    return found


def work(formula: str, **texts: str) -> Result:
    return worst_case(parse_formula(formula), terms(**texts))


# (formula, values, nominal, its unit, the source of the result)
WORKED = [
    # TI TPS54531, SLVSBI5 page 11: 0.8 V reference, 10.2 k / 1.96 k give 4.96 V.
    ("Vref * (1 + Rt / Rb)", {"Vref": "0.8 V", "Rt": "10.2 kΩ", "Rb": "1.96 kΩ"}, "4.963", "V"),
    # TI TPS54332, SLVS875B page 11: 10.2 k / 4.75 k give 2.5 V.
    ("Vref * (1 + Rt / Rb)", {"Vref": "0.8 V", "Rt": "10.2 kΩ", "Rb": "4.75 kΩ"}, "2.518", "V"),
    # LM2596 data sheet SNVS124C: 1.23 V, 1 k, 20 V ask for 15.26 k; with 15.4 k it is 20.17 V (calculated).
    ("Rb * (Vout / Vref - 1)", {"Vref": "1.23 V", "Rb": "1 kΩ", "Vout": "20 V"}, "15260", "Ω"),
    ("Vref * (1 + Rt / Rb)", {"Vref": "1.23 V", "Rt": "15.4 kΩ", "Rb": "1 kΩ"}, "20.17", "V"),
    # RC low pass, list at utilitiesbunker.com/kb/rc-filters: 10 k and 100 n give 159.155 Hz; 50 Ω and 1 n 3.1831 MHz.
    ("1 / (2 * pi * R * C)", {"R": "10 kΩ", "C": "100 nF"}, "159.155", "Hz"),
    ("1 / (2 * pi * R * C)", {"R": "50 Ω", "C": "1 nF"}, "3183100", "Hz"),
    # Crystal load, ST AN2867 section 3.3 with the example of ST's forum moderator: 8 pF, 3 pF stray: 10 pF each.
    ("2 * (CL - Cs)", {"CL": "8 pF", "Cs": "3 pF"}, "10e-12", "F"),
    # 16 pF each with 5 pF stray give 13 pF (published article on crystal loads).
    ("C1 * C2 / (C1 + C2) + Cs", {"C1": "16 pF", "C2": "16 pF", "Cs": "5 pF"}, "13e-12", "F"),
    # LED series resistors, andromeda.df.lu.lv LED notes: 5 V, 2 V, 20 mA ask for 150 Ω; 12 V, 2.1 V, 20 mA for 495 Ω.
    ("(Vs - Vf) / I", {"Vs": "5 V", "Vf": "2 V", "I": "20 mA"}, "150", "Ω"),
    ("(Vs - Vf) / I", {"Vs": "12 V", "Vf": "2.1 V", "I": "20 mA"}, "495", "Ω"),
    # TI INA219, SBOS448: 10 A through 2 mΩ give 20 mV.
    ("I * R", {"I": "10 A", "R": "2 mΩ"}, "0.020", "V"),
    # TI SLVA689: (3.3 V − 0.4 V) / 3 mA = 966.667 Ω.
    ("(Vdd - Vol) / Iol", {"Vdd": "3.3 V", "Vol": "0.4 V", "Iol": "3 mA"}, "966.667", "Ω"),
    # Two pull-ups of 4.7 k side by side (calculated).
    ("par(R1, R2)", {"R1": "4k7", "R2": "4k7"}, "2350", "a plain number"),
]


@pytest.mark.parametrize(("formula", "values", "nominal", "unit"), WORKED)
def test_published_examples(formula: str, values: dict[str, str], nominal: str, unit: str) -> None:
    result = work(formula, **values)
    assert float(result.nominal) == pytest.approx(float(nominal), rel=1e-4)
    assert name_of(result.dimension) == unit
    assert result.low == result.high == result.nominal
    assert result.rss == 0


# (formula, values, nominal, extreme low, extreme high, RSS half width)
TOLERANCED = [
    # Helfrick and Cooper, example 1-13: three values of 0.1 % give ±0.3 %; exact corners and RSS are calculated.
    ("V1 * V2 / V3", {"V1": "1 V ±0.1%", "V2": "1 V ±0.1%", "V3": "1 V ±0.1%"}, 1, 0.997004, 1.003004, 0.001732),
    # Dividers, calculated by hand from Vin·R2/(R1+R2).
    (
        "Vin * R2 / (R1 + R2)",
        {"Vin": "5 V", "R1": "10 kΩ ±1%", "R2": "20 kΩ ±1%"},
        3.33333,
        3.31104,
        3.35548,
        0.015713,
    ),
    (
        "Vin * R2 / (R1 + R2)",
        {"Vin": "12 V", "R1": "100 kΩ ±5%", "R2": "33 kΩ ±5%"},
        2.97744,
        2.75908,
        3.20710,
        0.15830,
    ),
    (
        "Vin * R2 / (R1 + R2)",
        {"Vin": "3.3 V", "R1": "10 kΩ ±1%", "R2": "10 kΩ ±1%"},
        1.65,
        1.6335,
        1.6665,
        0.011667,
    ),
    # Low pass of 10 k 1 % and 100 n 10 %: 143.254 to 178.628 Hz, RSS 15.99 Hz (calculated).
    ("1 / (2*pi*R*C)", {"R": "10 kΩ ±1%", "C": "100 nF ±10%"}, 159.155, 143.254, 178.628, 15.99),
    # Regulator, 0.8 V ±1 %, 31.6 k over 10 k of 1 %: 3.24516 to 3.41286 V, RSS ±0.0488 V (calculated).
    (
        "Vref * (1 + Rt / Rb)",
        {"Vref": "0.8 V ±1%", "Rt": "31.6 kΩ ±1%", "Rb": "10 kΩ ±1%"},
        3.328,
        3.24516,
        3.41286,
        0.0488,
    ),
    # The same with the sum written out: naive intervals would give 3.2288 to 3.4284 V.
    (
        "Vref * ((Rt + Rb) / Rb)",
        {"Vref": "0.8 V ±1%", "Rt": "31.6 kΩ ±1%", "Rb": "10 kΩ ±1%"},
        3.328,
        3.24516,
        3.41286,
        0.0488,
    ),
]


@pytest.mark.parametrize(("formula", "values", "nominal", "low", "high", "rss"), TOLERANCED)
def test_worst_case_and_rss(
    formula: str, values: dict[str, str], nominal: float, low: float, high: float, rss: float
) -> None:
    result = work(formula, **values)
    assert float(result.nominal) == pytest.approx(nominal, rel=1e-5)
    assert float(result.low) == pytest.approx(low, rel=2e-5)
    assert float(result.high) == pytest.approx(high, rel=2e-5)
    assert float(result.rss) == pytest.approx(rss, rel=1e-3)
    assert result.exact


def box(low: str, high: str, nominal: str = "1") -> Term:
    return Term(Decimal(nominal), Decimal(low), Decimal(high), (0, 0, 0, 0))


def test_an_extreme_inside_the_range_is_not_missed() -> None:
    """(x − 1)² on 0…3: the corners alone give 1…4."""
    result = worst_case(parse_formula("(x - 1) ** 2"), {"x": box("0", "3")})
    assert result.exact
    assert result.low == 0
    assert result.high == 4


def test_where_nothing_is_proven_the_bound_is_an_outer_one_and_says_so() -> None:
    """x·(1 − x) on 0…0.9 reaches 0.25 at a place that no halving meets."""
    result = worst_case(parse_formula("x * (1 - x)"), {"x": box("0", "0.9", "0.45")})
    assert not result.exact
    assert result.low == 0
    assert Decimal("0.25") <= result.high < Decimal("0.27")


def test_a_range_that_holds_zero_only_by_rounding_out_is_split() -> None:
    result = worst_case(parse_formula("1 / (x * x - x + 1)"), {"x": box("0", "1", "0.5")})
    assert result.low <= 1 <= result.high <= Decimal("1.5")


@given(
    st.lists(st.integers(1, 1000), min_size=3, max_size=3),
    st.lists(st.sampled_from(["0.1", "1", "5", "20"]), min_size=3, max_size=3),
    st.sampled_from(
        [
            "a * b / (b + c)",
            "a * (1 + b / c)",
            "par(a, b) + c",
            "max(a, b) - min(b, c)",
            "abs(a - b) / c",
            "sqrt(a * b) / c",
            "a ** 2 - b * c + 3",
        ]
    ),
)
def test_no_point_within_the_tolerances_lies_outside_the_bounds(
    numbers: list[int], percents: list[str], text: str
) -> None:
    named = {
        name: box(str(n * (1 - Decimal(p) / 100)), str(n * (1 + Decimal(p) / 100)), str(n))
        for name, n, p in zip("abc", numbers, percents, strict=True)
    }
    formula = parse_formula(text)
    result = worst_case(formula, named)
    slack = Decimal("1e-25") * (abs(result.low) + abs(result.high) + 1)
    for corner in itertools.product(*((item.low, item.nominal, item.high) for item in named.values())):
        fixed = {name: box(str(v), str(v), str(v)) for name, v in zip(named, corner, strict=True)}
        value = worst_case(formula, fixed).nominal
        assert result.low - slack <= value <= result.high + slack


UNIT_ERRORS = [
    ("R1 + C1", "Ω and F can't be added", 6),
    ("R1 - 5", "Ω and a plain number can't be subtracted", 6),
    ("max(R1, C1)", "Ω and F can't be compared", 9),
    ("par(R1, C1)", "Ω and F can't be put in parallel", 9),
    ("R1 + R1 * R1", "Ω and V^2·A^-2 can't be added", 6),
]


@pytest.mark.parametrize(("formula", "message", "column"), UNIT_ERRORS)
def test_units_that_do_not_fit_are_told_with_their_column(formula: str, message: str, column: int) -> None:
    with pytest.raises(FormulaFault, match=message.replace("^", r"\^")) as caught:
        work(formula, R1="10 kΩ", C1="1 nF")
    assert caught.value.column == column


def test_a_unit_may_appear_under_a_root() -> None:
    assert name_of(work("sqrt(L / C)", L="1 mH", C="1 nF").dimension) == "Ω"


HOSTILE = [
    "__import__('os').system('true')",
    "(1).real",
    "R1.__class__",
    "().__class__.__mro__",
    "[1 for x in (1, 2)]",
    "{R1}",
    "R1[0]",
    "lambda: 1",
    "R1 if R2 else R1",
    "R1 and R2",
    "not R1",
    "R1 < R2",
    "R1 := 3",
    "f'{1:>9999999999}'",
    "'a' * 9",
    "9**9**9",
    "9**5",
    "9**-1",
    "9**R1",
    "2**0.5",
    "1<<10",
    "7//2",
    "7%2",
    "1j",
    "0x10",
    "1_000",
    "1e400",
    "1e31",
    "open(R1)",
    "min(*R1)",
    "min(R1, key=R1)",
    "sqrt(1, 2)",
    "max(1)",
    "sqrt",
    "Ｒ1",
    "R1;R2",
    "R1\nR2",
    "R1\x00",
    "",
    "   ",
    "(" * 200,
    "(" * 25 + "1" + ")" * 25 + "+1" * 30,
    "-" * 30 + "1",
    "1+" * 127 + "1",
    "1" * 257,
    "abs(" * 25 + "1" + ")" * 25,
    "R1 R2",
    "R1 +",
    "None",
    "True",
    "...",
    "@R1",
    "await_(R1)",
    "pi()",
]


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_is_refused_with_one_fault(text: str) -> None:
    with pytest.raises(FormulaFault):
        parse_formula(text)


@given(st.text(max_size=300))
def test_any_text_is_read_or_refused(text: str) -> None:
    with contextlib.suppress(FormulaFault):
        formula = parse_formula(text)
        worst_case(formula, {name: box("1", "2") for name in formula.names})


ARITHMETIC_FAULTS = [
    ("1 / 0", "divided by zero"),
    ("1 / (a - a)", "divided by zero"),
    ("sqrt(0 - a)", "root of a negative"),
    ("par(a, 0)", "above zero"),
    ("(((((a * 1e30) ** 4) ** 4) ** 4) ** 4) ** 4 * b", "nothing is called b"),
    ("open_ + 1", "nothing is called open_"),
]


@pytest.mark.parametrize(("text", "message"), ARITHMETIC_FAULTS)
def test_what_has_no_result_is_a_fault(text: str, message: str) -> None:
    with pytest.raises(FormulaFault, match=message):
        worst_case(parse_formula(text), {"a": box("1", "2", "1.5")})


def test_overflow_is_a_fault_and_takes_no_time() -> None:
    text = "a"
    for _ in range(20):
        text = f"({text}) ** 4"
    with pytest.raises(FormulaFault, match="too large"):
        worst_case(parse_formula(text), {"a": box("1e30", "1e30", "1e30")})


def test_the_number_of_names_has_a_limit() -> None:
    names = [f"a{number}" for number in range(17)]
    with pytest.raises(FormulaFault, match="more than 16 names"):
        worst_case(parse_formula("+".join(names)), {name: box("1", "2") for name in names})


def test_a_part_that_is_not_fitted_counts_only_in_parallel() -> None:
    fitted = read_quantity("10 kΩ")
    assert fitted is not None
    named = {"R1": term(fitted), "R2": term(fitted, fitted=False)}
    assert worst_case(parse_formula("par(R1, R2)"), named).nominal == 10000
    with pytest.raises(FormulaFault, match="R2 is not fitted"):
        worst_case(parse_formula("R1 + R2"), named)
    with pytest.raises(FormulaFault, match="none of these is fitted"):
        worst_case(parse_formula("par(R2, R2)"), named)


UNITS = [
    ("Ω", "1", "Ω"),
    ("kHz", "1000", "Hz"),
    ("mV/A", "0.001", "Ω"),
    ("V·A", "1", "W"),
    ("1/s", "1", "Hz"),
    ("%", "0.01", "a plain number"),
    ("", "1", "a plain number"),
    ("Ah", "3600", "A·s"),
]


@pytest.mark.parametrize(("text", "factor", "name"), UNITS)
def test_units_are_read_with_their_prefix(text: str, factor: str, name: str) -> None:
    unit = read_unit(text)
    assert unit is not None
    assert unit.factor == Decimal(factor)
    assert name_of(unit.dimension) == name


@pytest.mark.parametrize("text", ["°C", "furlong", "V/", "dB", "k", "V" * 60])
def test_what_is_no_unit_of_a_formula_is_refused(text: str) -> None:
    assert read_unit(text) is None


def test_a_bare_number_takes_the_unit_and_another_kind_of_unit_is_refused() -> None:
    unit = read_unit("V/A")
    assert unit is not None
    assert read_in_unit("0.66", unit) == Decimal("0.66")
    assert read_in_unit("660 mV/A", unit) == Decimal("0.66")
    assert read_in_unit("0.66 V", unit) is None
    assert read_in_unit("much", unit) is None
