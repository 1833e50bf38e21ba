"""Reference designators. Form and class letters: IEEE 315-1975 clause 22.4 and ASME Y14.44-2008, as
secondary lists quote them (blog.inf.ed.ac.uk/neilb 2011/03, dclabs.lt 2019; neither standard was read);
ranges and separators: common practice, no source.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from revdiff.quantities.designator import (
    Designator,
    DesignatorFault,
    compress,
    expand,
    natural_key,
    parse_designator,
)
from tests.quantities.strategies import anything, untimed


@pytest.mark.parametrize(
    ("text", "prefix", "number", "suffix"),
    [
        ("R1", "R", 1, ""), ("r1", "R", 1, ""), (" R1\u200b", "R", 1, ""), ("R17A", "R", 17, "A"),
        ("U1A", "U", 1, "A"), ("TP12", "TP", 12, ""), ("MH1", "MH", 1, ""), ("LS1", "LS", 1, ""),
        ("L51", "L", 51, ""), ("FB3", "FB", 3, ""), ("F3", "F", 3, ""), ("J3", "J", 3, ""),
        ("R01", "R", 1, ""), ("R0", "R", 0, ""), ("PCB", "PCB", None, ""), ("A2R5", "R", 5, ""),
        ("1A2R5", "R", 5, ""), ("A2", "A", 2, ""), ("U1_A", "U", 1, "_A"), ("LED_R1", "LED_R", 1, ""),
    ],
)  # fmt: skip
def test_parts_of_a_designator(text: str, prefix: str, number: int | None, suffix: str) -> None:
    found = parse_designator(text)
    assert found is not None
    assert (found.prefix, found.number, found.suffix) == (prefix, number, suffix)


@pytest.mark.parametrize("text", ["R1", "R01", "R00", "R001A", "PCB", "A2R5", "1A2R5", "U1A", "U1_A", "R17A"])
def test_a_designator_shows_as_it_was_written(text: str) -> None:
    found = parse_designator(text.lower())
    assert found is not None
    assert found.text == text


@pytest.mark.parametrize(
    "text",
    [
        "",
        "1",
        "12",
        "R?",
        "R*",
        "R1-R4",
        "R 1",
        "R1,R2",
        "-R1",
        "С1",
        "Ω1",
        "R١",
        "R1234567890",
        "X" * 17,
        "4k7",
        "R1!",
    ],
)
def test_what_is_no_designator(text: str) -> None:
    # С1 begins with a Cyrillic letter.
    assert parse_designator(text) is None


def test_a_zero_before_the_number_makes_another_designator() -> None:
    assert parse_designator("R1") != parse_designator("R01")


def test_a_designator_is_made_of_prefix_number_and_suffix() -> None:
    assert Designator("R", 17, "A").text == "R17A"
    assert Designator("PCB", None).text == "PCB"


@pytest.mark.parametrize(
    "ordered",
    [
        ["R1", "R2", "R10", "R100"],
        ["C9", "R1", "R9A", "r10"],
        ["1", "2", "10", "A1", "A2", "A10", "B1"],
        ["PA2", "PA10", "PB0"],
        ["U1", "U1A", "U1B", "U2"],
        ["J1.2", "J1.10", "J2.1"],
    ],
)
def test_natural_order(ordered: list[str]) -> None:
    backwards = ordered[::-1]
    assert sorted(backwards, key=natural_key) == ordered


@given(anything, anything)
@untimed
def test_only_the_same_text_ties(one: str, other: str) -> None:
    assert (natural_key(one) == natural_key(other)) == (one == other)
    # Any two keys compare: no error, and one way round.
    assert (natural_key(one) < natural_key(other)) + (natural_key(other) < natural_key(one)) == (one != other)


@given(st.integers(0, 10**30), st.integers(0, 10**30))
@untimed
def test_numbers_sort_by_value_however_long(one: int, other: int) -> None:
    assert (natural_key(f"R{one}") < natural_key(f"R{other}")) == (one < other)


def test_a_key_for_a_number_too_long_to_convert() -> None:
    assert natural_key("R" + "9" * 5000) < natural_key("R" + "9" * 5001)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("R1", "R1"),
        ("r1", "R1"),
        ("R1-R4, R7", "R1 R2 R3 R4 R7"),
        ("R1-R4,R7", "R1 R2 R3 R4 R7"),
        ("C9…C12", "C9 C10 C11 C12"),
        ("R1..R4", "R1 R2 R3 R4"),
        ("R1...R4", "R1 R2 R3 R4"),
        ("R1-4", "R1 R2 R3 R4"),
        ("R1 – R4", "R1 R2 R3 R4"),
        ("D17 - D24", "D17 D18 D19 D20 D21 D22 D23 D24"),
        ("C1;C2", "C1 C2"),
        ("C1 C2", "C1 C2"),
        ("C1,\nC2\r\nC3", "C1 C2 C3"),
        ("R2, R1, R2", "R2 R1 R2"),  # order and duplicates kept
        ("R3-R3", "R3"),
        ("R08-R11", "R08 R09 R10 R11"),
        ("A2R1-A2R3", "A2R1 A2R2 A2R3"),
        ("A2R1-3", "A2R1 A2R2 A2R3"),
        ("U1A, U1B", "U1A U1B"),
        ("PCB, MH1", "PCB MH1"),
        ("R1, R2,", "R1 R2"),
        ("", ""),
        (" , ", ""),
    ],
)
def test_expand(text: str, expected: str) -> None:
    assert expand(text) == tuple(expected.split())


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("R4-R1", "upwards"),
        ("R1-C4", "same letters"),
        ("R1-", "both ends"),
        ("-R4", "expected a designator"),
        ("R1-R", "both ends"),
        ("R1-R2-R3", "both ends"),
        ("U1A-U1D", "same letters"),
        ("R01-R4", "as many figures"),
        ("R1-R04", "as many figures"),
        ("R?", "expected a designator"),
        ("12", "expected a designator"),
        ("Total: 28", "expected a designator"),
        ("see note", "expected a designator"),
        ("R1-R999999999", "at most 10000"),
        ("R1-R9999999999", "both ends"),
    ],
)
def test_a_list_that_cannot_be_read_is_a_fault_that_tells_why(text: str, told: str) -> None:
    with pytest.raises(DesignatorFault, match=told) as caught:
        expand(text)
    assert "found" in str(caught.value)
    assert "expected" in str(caught.value)


def test_the_limit_counts_all_designators_of_a_cell() -> None:
    assert len(expand("R1-R5, C1-C5", limit=10)) == 10
    for text in ("R1-R5, C1-C6", "R1-R10, C1", "C1, R1-R10"):
        with pytest.raises(DesignatorFault, match="at most 10"):
            expand(text, limit=10)


def test_a_fault_quotes_a_short_text_in_full() -> None:
    for shown, text in (("?" * 40, "?" * 40), ("?" * 40 + "…", "?" * 41)):
        with pytest.raises(DesignatorFault) as caught:
            expand(text)
        assert f'"{shown}"' in str(caught.value)


def test_a_fault_quotes_only_the_beginning_of_a_long_text() -> None:
    with pytest.raises(DesignatorFault) as caught:
        expand("?" * 100_000)
    assert len(str(caught.value)) < 200


@pytest.mark.parametrize(
    ("names", "expected"),
    [
        (["R7", "R3", "R1", "R2", "R4"], "R1–R4, R7"),
        (["R1", "R2"], "R1, R2"),
        (["R1", "R1"], "R1"),
        (["R10", "R9", "R8"], "R8–R10"),
        (["R1", "C2", "R2", "C1", "R3", "C3"], "C1–C3, R1–R3"),
        (["U1A", "U1B", "U1C"], "U1A, U1B, U1C"),
        (["R08", "R09", "R10"], "R08, R09, R10"),
        (["A2R1", "A2R2", "A2R3"], "A2R1–A2R3"),
        (["PCB"], "PCB"),
        ([], ""),
    ],
)
def test_compress(names: list[str], expected: str) -> None:
    assert compress(names) == expected


designators = st.from_regex(r"(1?A[1-3])?[RCU]0?[0-9]{1,2}[AB]?", fullmatch=True).filter(parse_designator)


@given(st.lists(designators, max_size=40))
@untimed
def test_expanding_a_compressed_list_gives_each_name_once_in_order(names: list[str]) -> None:
    assert list(expand(compress(names))) == sorted(set(names), key=natural_key)


@given(st.lists(designators, min_size=1, max_size=20), st.sampled_from([", ", ",", " "]))
@untimed
def test_a_list_in_plain_signs_is_the_list_in_others(names: list[str], mark: str) -> None:
    assert expand(mark.join(names)) == expand("; ".join(names).lower()) == tuple(names)


@given(anything)
@untimed
def test_any_text_expands_or_is_a_fault(text: str) -> None:
    try:
        names = expand(text)
    except DesignatorFault:
        return
    for name in names:
        found = parse_designator(name)
        assert found is not None
        assert found.text == name
