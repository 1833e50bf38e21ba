"""Reading checked against published descriptions of the formats and against general-purpose libraries."""

from __future__ import annotations

import csv
import io
from typing import Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from revdiff.readers.columns import CONNECTORS
from revdiff.readers.delimited import delimited_grid
from revdiff.readers.faults import Faults
from revdiff.readers.grid import Rows
from revdiff.readers.markdown import markdown_grid
from revdiff.readers.spec import TableSpec


def split(text: str, delimiter: str = "") -> list[list[str]]:
    return [cells for _, cells in delimited_grid(text, "table.csv", "utf-8", delimiter, Faults()).rows]


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        # RFC 4180 (2005) section 2, by rule (from memory): 1 records end in CRLF; 2 the last one may have no end;
        # 4 blanks belong to the cell; 5 cells may be quoted; 6 what must be quoted; 7 a quote inside is doubled.
        ("R1,10k\r\nR2,22k\r\n", [["R1", "10k"], ["R2", "22k"]]),
        ("R1,10k\r\nR2,22k", [["R1", "10k"], ["R2", "22k"]]),
        ('"R1","10k"\r\nR2,22k\r\n', [["R1", "10k"], ["R2", "22k"]]),
        ('"R1","a\r\nb","x,y"\r\n', [["R1", "a\nb", "x,y"]]),
        ('"R1","3.5"" wide"\r\n', [["R1", '3.5" wide']]),
    ],
)
def test_csv_is_split_as_rfc_4180_says(text: str, rows: list[list[str]]) -> None:
    assert split(text, ",") == rows


visible = st.text(alphabet=st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zs")), max_size=12)


@settings(deadline=None)
@given(
    rows=st.lists(st.lists(visible, min_size=2, max_size=5).filter(any), min_size=1, max_size=8),
    delimiter=st.sampled_from([",", ";", "\t", "|"]),
    end=st.sampled_from(["\n", "\r\n", "\r"]),
    quoting=st.sampled_from((csv.QUOTE_MINIMAL, csv.QUOTE_ALL)),
)
def test_what_the_csv_module_writes_is_read_back(
    rows: list[list[str]], delimiter: str, end: str, quoting: Literal[0, 1]
) -> None:
    file = io.StringIO()
    csv.writer(file, delimiter=delimiter, lineterminator=end, quoting=quoting).writerows(rows)
    assert split(file.getvalue(), delimiter) == rows


def markdown(text: str) -> list[list[str]]:
    def score(rows: Rows) -> int:
        return len(rows)

    grid = markdown_grid(text, "a.md", "utf-8", TableSpec("a.md"), CONNECTORS, score, Faults())
    return [cells for _, cells in grid.rows]


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        # GitHub Flavored Markdown Spec 0.29 section 4.10, tables (from memory): a delimiter row of dashes with
        # colons for the alignment; bars at the ends may be left out; a bar in a cell is escaped, in code too;
        # the table ends at the first blank line; rows may have fewer or more cells than the header.
        ("| Ref | Value |\n| --- | --- |\n| R1 | 10k |\n", [["Ref", "Value"], ["R1", "10k"]]),
        ("| Ref | Value |\n:-: | -----------:\nR1 | 10k\n", [["Ref", "Value"], ["R1", "10k"]]),
        ("| Sig\\|nal |\n| ------ |\n| a `\\|` b |\n| c **\\|** d |\n", [["Sig|nal"], ["a | b"], ["c | d"]]),
        ("| Ref |\n| --- |\n| R1 |\n\n| R2 |\n", [["Ref"], ["R1"]]),
        ("| Ref | Value |\n| --- | --- |\n| R1 |\n| R2 | 1k | x |\n", [["Ref", "Value"], ["R1"], ["R2", "1k", "x"]]),
    ],
)
def test_markdown_tables_are_read_as_their_specification_says(text: str, rows: list[list[str]]) -> None:
    assert markdown(text) == rows
