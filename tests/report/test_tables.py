"""A table in a terminal keeps to the width, however many columns it has, and tells every cell."""

from __future__ import annotations

import io

import pytest
from rich.console import Console

from revdiff.release.document import Row, Table, Tone
from revdiff.report.document_terminal import print_document


def printed(table: Table, width: int) -> str:
    page = io.StringIO()
    print_document((table,), Console(file=page, width=width, no_color=True, highlight=False))
    return page.getvalue()


@pytest.mark.parametrize("width", [40, 80, 120])
@pytest.mark.parametrize("columns", [1, 3, 7, 30])
def test_every_cell_is_told_within_the_width(width: int, columns: int) -> None:
    headings = ("first", *(f"rev-{number}" for number in range(1, columns)))
    cells = tuple(f"cell {number}" for number in range(1, columns))
    broken: Tone = "break"
    tones = (broken,) * columns
    rows = (Row(("alpha", *cells), tones=tones), Row(("beta", *cells)))
    page = printed(Table(headings, rows), width)
    assert max(map(len, page.splitlines())) <= width
    words = page.split()
    assert all(words.count(heading) >= 1 for heading in headings)
    assert all(words.count(str(number)) == 2 for number in range(1, columns))


def test_a_table_in_parts_repeats_its_first_column() -> None:
    table = Table(("first", *map(str, range(1, 12))), (Row(("alpha", *("some words" for _ in range(11)))),))
    assert printed(table, 40).count("alpha") == printed(table, 40).count("first") > 1


def test_a_table_that_fits_is_told_in_one_part_however_many_columns_it_has() -> None:
    table = Table(("first", *map(str, range(1, 10))), (Row(("alpha", *("x" for _ in range(9)))),))
    assert printed(table, 40).count("alpha") == 1
