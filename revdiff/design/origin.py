"""Where a record was read: file, line and column."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Origin:
    """A place in a file of the design.

    ``file`` is relative to the design's root; a worksheet is named after a ``#``. ``line`` counts from 1 as a
    text editor does (for a workbook: the row). ``column`` is the position of the cell in its row, from 1;
    0 where the whole line is meant. ``columns`` tells where each field of the record stands in that row.
    """

    file: str
    line: int
    column: int = 0
    columns: Mapping[str, int] = field(default_factory=dict, compare=False, repr=False)

    def of(self, name: str) -> Origin:
        """The cell that holds the field ``name``; the record's own place where the field has no cell."""
        column = self.columns.get(name)
        return self if column is None else Origin(self.file, self.line, column, self.columns)

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}"
        return f"{place}:{self.column}" if self.column else place
