"""How the manifest says a table is to be read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Form = Literal["", "text", "xlsx", "markdown", "source", "devicetree"]


@dataclass(frozen=True, slots=True)
class TableSpec:
    """One table of the manifest. Empty or 0: decide from the file.

    ``header`` is False for a table whose first row is data. ``columns`` gives, by field, the text of the header
    or the position from 1. ``device`` and ``connector`` stand in for a column that the table lacks.
    """

    file: str
    form: Form = ""
    delimiter: str = ""
    encoding: str = ""
    header: bool = True
    header_row: int = 0
    last_row: int = 0
    sheet: str = ""
    heading: str = ""
    package_code: Literal["", "inch", "metric"] = ""
    value_code: bool = False
    decimal: Literal["", "point", "comma"] = ""
    columns: tuple[tuple[str, str | int], ...] = ()
    device: str = ""
    connector: str = ""

    @property
    def is_glob(self) -> bool:
        """Whether ``file`` names a set of files by a pattern."""
        return "*" in self.file or "?" in self.file
