"""Package names. Codes and sizes: "two-terminal SMD package sizing" (forum.digikey.com/t/5104) and the
tables at capacitor-codes.com, which agree on the values used here.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from revdiff.quantities.size_code import Package, Size, System, read_package, same_package
from tests.quantities.strategies import anything, untimed


def size(length: str, width: str) -> Size:
    return Size(Decimal(length), Decimal(width))


@pytest.mark.parametrize(
    ("inch", "metric", "expected"),
    [
        ("01005", "0402M", size("0.4", "0.2")), ("0201", "0603M", size("0.6", "0.3")),
        ("0402", "1005M", size("1.0", "0.5")), ("0603", "1608M", size("1.6", "0.8")),
        ("0805", "2012M", size("2.0", "1.25")), ("1206", "3216M", size("3.2", "1.6")),
        ("1210", "3225M", size("3.2", "2.5")), ("1812", "4532M", size("4.5", "3.2")),
        ("2010", "5025M", size("5.0", "2.5")), ("2512", "6332M", size("6.35", "3.2")),
        ("2512", "6432M", size("6.35", "3.2")), ("0504", "1210M", size("1.2", "1.0")),
    ],
)  # fmt: skip
def test_inch_and_metric_codes_of_one_chip(inch: str, metric: str, expected: Size) -> None:
    assert read_package(inch, "inch").sizes == (expected,)
    assert read_package(metric).sizes == (expected,)
    assert same_package(read_package(f"{inch} inch"), read_package(metric)) == "same"


@pytest.mark.parametrize(
    "text",
    [
        "0603 inch", "0603in", "0603 (inch)", "imperial 0603", "0603 imperial", "1608 metric", "1608M",
        "1608", "R_0603_1608", "0603 (1608 metric)", "0603 (1608 Metric)", "1608 (0603 inch)", "0603/1608M",
        "0603 (1608)", "SMD 0603 inch", "R0603 inch", "C1608M", "  1608\u00a0metric ",
    ],
)  # fmt: skip
def test_one_chip_in_every_notation(text: str) -> None:
    assert read_package(text).sizes == (size("1.6", "0.8"),)


@pytest.mark.parametrize("text", ["0603", "R0603", "C0603", "R_0603", "SMD0603", "SMD 0603", "0603 SMD", "LED_0603"])
def test_a_code_of_both_systems_without_a_mark_has_two_sizes(text: str) -> None:
    assert read_package(text).sizes == (size("1.6", "0.8"), size("0.6", "0.3"))


@pytest.mark.parametrize("code", ["0201", "0402", "0603", "1210"])
def test_the_codes_valid_in_both_systems(code: str) -> None:
    assert len(read_package(code).sizes) == 2
    assert len(read_package(code, "inch").sizes) == len(read_package(code, "metric").sizes) == 1


@pytest.mark.parametrize("code", ["1005", "1608", "2012", "3216", "0805", "1206", "01005"])
def test_the_codes_valid_in_one_system_need_no_mark(code: str) -> None:
    assert len(read_package(code).sizes) == 1
    assert read_package(code, "inch") == read_package(code, "metric") == read_package(code)


def test_the_mark_in_the_text_goes_before_the_column() -> None:
    assert read_package("0603M", "inch").sizes == (size("0.6", "0.3"),)
    assert read_package("0603 inch", "metric").sizes == (size("1.6", "0.8"),)


@pytest.mark.parametrize(
    "text",
    [
        "SOT-23",
        "603",
        "0805 metric",
        "TO-220",
        "0604",
        "",
        "QFN32",
        "inch 0603 metric",
        "0603M (1608M)",
        "0603 (0805)",
        "12345",
    ],
)
def test_what_is_no_chip_size_is_text(text: str) -> None:
    assert read_package(text).sizes == ()


def test_names_that_contradict_each_other_keep_both_sizes() -> None:
    assert read_package("0402 (0402 metric)").sizes == (size("1.0", "0.5"), size("0.4", "0.2"))


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [
        ("0402 inch", "1005 metric", "same"),
        ("0603 metric", "0201 inch", "same"),
        ("0402 inch", "0402 metric", "different"),
        ("0603", "R0603", "same"),  # ambiguous alike
        ("0603", "0603 inch", "unclear"),
        ("0603", "0603M", "unclear"),
        ("0603", "0805", "different"),
        ("0603", "0402", "different"),
        ("0201", "0603", "unclear"),  # both may be 0.6 × 0.3 mm
        ("SOT-23", "SOT23", "same"),
        ("sot 23", "SOT_23", "same"),
        ("SOT-23-5", "SOT23-5", "same"),
        ("SOT-23", "SOT-23-5", "different"),
        ("SOT-23-5", "SOT-235", "different"),
        ("pitch 1.27", "pitch 12.7", "different"),
        ("0603", "SOT-23", "different"),
    ],
)
def test_same_package(one: str, other: str, expected: str) -> None:
    assert same_package(read_package(one), read_package(other)) == expected
    assert same_package(read_package(other), read_package(one)) == expected


@given(anything, st.sampled_from(["", "inch", "metric"]))
@untimed
def test_any_text_is_a_package_and_the_same_as_itself(text: str, system: System) -> None:
    package = read_package(text, system)
    assert same_package(package, package) == "same"
    assert len(package.sizes) <= 2
    assert read_package(package.text, system) == package


def test_a_package_is_only_text_and_sizes() -> None:
    assert read_package("SOT-23") == Package("sot-23", ())
