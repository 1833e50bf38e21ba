"""Whether a part is fitted, in all the places where lists say so. Common practice, no source."""

from __future__ import annotations

import pytest

from revdiff.design import Design
from tests.readers.memory import codes, load_table, told


def fitted(design: Design) -> dict[str, object]:
    return {ref: part.data.fitted.meaning for ref, part in design.boards["base"].parts.items()}


@pytest.mark.parametrize(
    ("header", "text", "state"),
    [
        ("Fitted", "yes", True),
        ("Fitted", "", True),
        ("Fitted", "-", True),
        ("Fitted", "no", False),
        ("Fitted", "DNP", False),
        ("Fitted", "nein", False),
        ("Populate", "0", False),
        ("Bestückt", "ja", True),
        ("DNP", "", True),
        ("DNP", "x", False),
        ("DNP", "DNP", False),
        ("DNP", "no", True),
        ("Do not populate", "1", False),
        ("不贴", "是", False),
    ],
)
def test_a_column_says_whether_a_part_is_fitted(header: str, text: str, state: bool) -> None:
    assert fitted(load_table("parts", f"Ref,Value,{header}\nR1,10k,{text}\n")) == {"R1": state}


@pytest.mark.parametrize(
    ("rows", "lines"),
    [
        ("R1,10k,yes\nR2,10k,\nR3,22k,no\n", [3]),
        ("R1,10k,x\nR2,10k,-\n", [3]),
        ("R1,10k,DNP\nR2,10k,\nR3,22k,-\n", []),
        ("R1,10k,yes\nR2,DNP,\n", []),
        ("R1,10k,yes\n,12k,\nTotal,,\n", []),
        ("R1,10k,yes\nNot fitted:,,\nR2,10k,\n", []),
    ],
)
def test_where_parts_are_said_to_be_fitted_an_empty_cell_says_nothing(rows: str, lines: list[int]) -> None:
    design = load_table("parts", f"Ref,Value,Fitted\n{rows}")
    assert [item.origin.line for item in told(design, "fitted-unstated")] == lines
    unclear = [part.origin.line for part in design.boards["base"].parts.values() if part.data.fitted.unclear]
    assert unclear == lines


def test_rows_that_say_nothing_of_fitting_are_one_fault() -> None:
    design = load_table("parts", 'Ref,Value,Fitted\nR1,10k,yes\n"R2,R3",22k,\nC1,1u,-\n')
    fault = told(design, "fitted-unstated")[0]
    assert "whether 3 of the parts are fitted (2 rows, first here)" in fault.message
    assert (str(fault.origin), fault.found) == ("table.csv:3:3", "C1, R2, R3")


def test_a_word_that_is_neither_is_a_fault() -> None:
    fault = told(load_table("parts", "Ref,Fitted\nR1,perhaps\n"), "unreadable-value")[0]
    assert (fault.severity, str(fault.origin), fault.found) == ("fault", "table.csv:2:2", "perhaps")


@pytest.mark.parametrize("sign", ["DNP", "DNI", "DNF", "NF", "not mounted", "do not place", "(DNP)", "nicht bestückt"])
def test_a_sign_in_any_column_means_not_fitted(sign: str) -> None:
    assert fitted(load_table("parts", f"Ref,Value,Note\nR1,10k,{sign}\nR2,10k,\n")) == {"R1": False, "R2": True}


@pytest.mark.parametrize("value", ["DNP", "10k DNP", "10k (not fitted)"])
def test_a_sign_in_the_value_means_not_fitted(value: str) -> None:
    design = load_table("parts", f"Ref,Value\nR1,{value}\n")
    assert fitted(design) == {"R1": False}
    assert (design.boards["base"].parts["R1"].data.value.meaning is None) == (value == "DNP")


def test_a_sign_in_place_of_a_part_number_is_no_part_number() -> None:
    design = load_table("parts", "Ref,Value,MPN\nR1,10k,DNP\n")
    assert fitted(design) == {"R1": False}
    assert design.boards["base"].parts["R1"].data.part_number.meaning is None


def test_a_sign_within_a_description_means_not_fitted() -> None:
    design = load_table("parts", 'Ref,Value,Description\nR1,10k,"resistor, DNP"\nC1,100 nF,100 NF ceramic\n')
    assert fitted(design) == {"R1": False, "C1": True}


def test_a_sign_against_the_column_is_a_fault_and_the_column_counts() -> None:
    design = load_table("parts", "Ref,Value,Fitted,Note\nR1,10k,yes,DNP\n")
    fault = told(design, "contradiction")[0]
    assert (fault.severity, str(fault.origin), fault.found) == ("fault", "table.csv:2:3", "yes against DNP")
    assert fitted(design) == {"R1": True}


@pytest.mark.parametrize("heading", ["Not fitted:", "DNP", "Do not populate", "Not mounted parts", "nicht bestückt"])
def test_parts_below_a_heading_are_not_fitted(heading: str) -> None:
    design = load_table("parts", f"Ref,Value\nR1,10k\n{heading},\nR2,22k\nR3,1k\n")
    assert fitted(design) == {"R1": True, "R2": False, "R3": False}
    assert told(design, "remark-row")[0].origin.line == 3


def test_another_heading_ends_the_list() -> None:
    design = load_table("parts", "Ref,Value\nNot fitted:,\nR2,22k\nCapacitors:,\nC1,1u\n")
    assert fitted(design) == {"R2": False, "C1": True}


@pytest.mark.parametrize("row", ["Not fitted: R1 R3,", 'DNP,"R1, R3"'])
def test_a_list_at_the_end_names_the_parts_that_are_not_fitted(row: str) -> None:
    design = load_table("parts", f"Ref,Value\nR1-R3,10k\n{row}\n")
    assert fitted(design) == {"R1": False, "R2": True, "R3": False}
    assert told(design, "unfitted-list")[0].origin.line == 3


def test_a_list_that_names_an_unknown_part_is_a_fault() -> None:
    design = load_table("parts", "Ref,Value\nR1,10k\nNot fitted: R9,\n")
    assert told(design, "unknown-designator")[0].found == "R9"


def test_a_list_without_signs_has_only_fitted_parts() -> None:
    design = load_table("parts", "Ref,Value,Note\nR1,10k,see page 2\nC1,100nF,\n")
    assert (fitted(design), codes(design)) == ({"R1": True, "C1": True}, [])


@pytest.mark.parametrize("row", ["R2,,", "R2,1,2k2", '"R2",1,'])
def test_a_list_below_a_heading_takes_back_parts_that_stand_above(row: str) -> None:
    design = load_table("parts", f"Ref,Quantity,Value\nR1,1,10k\nR2,1,2k2\nNot fitted:,,\n{row}\n")
    assert fitted(design) == {"R1": True, "R2": False}
    assert design.boards["base"].parts["R2"].data.value.raw == "2k2"
    notice = told(design, "unfitted-list")[0]
    assert (notice.severity, notice.origin.line, notice.found) == ("notice", 5, "R2")
    assert "taken as not fitted" in notice.message
    assert codes(design, "fault") == []
    assert not told(design, "bare-row")


def test_a_list_of_parts_that_stand_above_has_one_notice() -> None:
    design = load_table("parts", 'Ref,Value\nR1-R4,10k\nNot fitted:,\nR2,\n"R3, R4",\n')
    assert fitted(design) == {"R1": True, "R2": False, "R3": False, "R4": False}
    assert [item.found for item in told(design, "unfitted-list")] == ["R2–R4"]


def test_a_list_against_a_part_said_to_be_fitted_is_a_fault() -> None:
    design = load_table("parts", "Ref,Value,Fitted\nR2,2k2,yes\nNot fitted:,,\nR2,,\n")
    assert fitted(design) == {"R2": "yes or not fitted"}
    assert codes(design, "fault") == ["duplicate-designator"]


def test_a_row_with_another_value_below_the_heading_is_a_fault_and_takes_nothing_back() -> None:
    design = load_table("parts", "Ref,Value\nR2,2k2\nNot fitted:,\nR2,10k\n")
    assert fitted(design) == {"R2": True}
    assert codes(design, "fault") == ["duplicate-designator"]
