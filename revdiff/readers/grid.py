"""A file as rows of cells, each row with its line: what every form of table is brought to first."""

from __future__ import annotations

from msgspec import Struct

MAX_ROWS = 200_000
MAX_COLUMNS = 256
MAX_CELL = 32_767  # characters; also the most that a worksheet's cell holds

Rows = tuple[tuple[int, list[str]], ...]


class Grid(Struct, frozen=True):
    """Rows of a table that hold anything, as (line from 1, cells).

    ``how`` says what was decided about reading them. ``fields`` names the columns where the form of the file
    itself says what they are, so that there is no header among the rows. ``title``: the heading above the table.
    ``numbers``: plain numbers of a source, by name and with their lines, that could be pins and weren't taken for any.
    """

    file: str
    rows: Rows
    how: str
    fields: tuple[str, ...] = ()
    title: str = ""
    numbers: tuple[tuple[str, str, int], ...] = ()
