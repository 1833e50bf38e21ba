"""How the manifest says a table is to be read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

MOST_CHOICES = 50  # files that a table may be
Form = Literal["", "text", "xlsx", "markdown", "source", "devicetree"]


@dataclass(frozen=True, slots=True)
class TableSpec:
    """One table of the manifest. Empty or 0: decide from the file.

    ``header`` is False for a table whose first row is data. ``columns`` gives, by field, the text of the header
    or the position from 1. ``device`` and ``connector`` stand in for a column that the table lacks. ``instead``: what
    else the table may be; the one that a revision has is read.
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
    instead: tuple[TableSpec, ...] = ()

    @property
    def choices(self) -> tuple[TableSpec, ...]:
        """Everything that the table may be, each by itself."""
        return (replace(self, instead=()), *self.instead)

    @property
    def is_glob(self) -> bool:
        """Whether ``file`` names a set of files by a pattern."""
        return "*" in self.file or "?" in self.file


def one_of(choices: Sequence[TableSpec]) -> TableSpec:
    """The table that is whichever of these a revision has."""
    return replace(choices[0], instead=tuple(choices[1:]))


def files_named(given: object) -> tuple[str, ...]:
    """The paths of a manifest's entry that is a file and no table: ``"FILE"``, ``["OLD", "NEW"]``, ``{ file = ... }``.

    Of several a revision has one. Empty where the entry can't be read.
    """
    file = given.get("file") if isinstance(given, dict) else given
    listed = file if isinstance(file, list) else [file]
    texts = tuple(item for item in listed if isinstance(item, str))
    return texts if len(texts) == len(listed) <= MOST_CHOICES else ()


def plain_spec(given: object) -> TableSpec | None:
    """Such an entry as a table would be named: for choosing among paths alone."""
    files = files_named(given)
    return one_of([TableSpec(file) for file in files]) if files else None
