"""Statements about the data are folded: one line for each sort and file, what both revisions share once."""

from __future__ import annotations

from revdiff.design import Diagnostic, Origin
from revdiff.report.data_lines import data_lines


def notice(code: str, line: int, revision: str = "old", *, found: str = "", file: str = "bom.csv") -> Diagnostic:
    return Diagnostic(
        code=code, severity="notice", message="said", origin=Origin(file, line), found=found, revision=revision
    )


def fault(code: str, line: int, revision: str = "old", *, found: str = "") -> Diagnostic:
    return Diagnostic(
        code=code, severity="fault", message="wrong", origin=Origin("bom.csv", line), found=found, revision=revision
    )


def test_many_rows_of_one_sort_are_one_line_with_their_number_and_the_first_place() -> None:
    told = [notice("alternate-row", line, found=f"A{line}") for line in range(8, 86)]
    assert data_lines(told) == [
        "notice, old: bom.csv: 78 rows taken as alternates of the part above, first at line 8, 'A8'"
    ]


def test_one_row_is_told_as_it_is() -> None:
    assert data_lines([notice("alternate-row", 8, found="A8")]) == ["notice, old: bom.csv:8: said; found 'A8'"]


def test_what_both_revisions_share_is_told_once_wherever_its_line_is_now() -> None:
    told = [notice("remark-row", 3, "old", found="END"), notice("remark-row", 5, "new", found="END")]
    assert data_lines(told) == ["notice, old and new: bom.csv:5: said; found 'END'"]


def test_what_differs_between_the_revisions_is_told_of_each() -> None:
    told = [notice("remark-row", 3, "old", found="END"), notice("remark-row", 3, "new", found="FIN")]
    assert len(data_lines(told)) == 2


def test_two_files_are_two_lines() -> None:
    told = [notice("bare-row", line, file=file) for file in ("a.csv", "b.csv") for line in (2, 3)]
    assert [line.split(": ")[1] for line in data_lines(told)] == ["a.csv", "b.csv"]


def test_faults_come_first_and_those_without_a_plural_are_told_one_by_one() -> None:
    told = [notice("bare-row", 2), fault("contradiction", 4), fault("contradiction", 9)]
    assert [line[:5] for line in data_lines(told)] == ["fault", "fault", "notic"]


def test_harmless_ones_are_behind_a_count() -> None:
    told = [notice("running-number", 1), notice("running-number", 1, "new"), notice("tables-joined", 3)]
    assert data_lines(told) == [
        "notice: 3 more that leave nothing out, listed in the JSON form: running number (2), tables joined (1)"
    ]
