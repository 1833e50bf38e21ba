"""A column of a table and the field of a record that it fills are one line: all that the program knows of it.

``column(...)`` declares a field of a record. Readers, kinds of change, binding, digest, contracts and the table of
columns in the guide are loops over these lines, so a new column is one line more.
"""

from __future__ import annotations

import dataclasses
from functools import cache
from typing import Any, Literal, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from revdiff.design.reading import EMPTY, Reading

Cell: TypeAlias = Literal[
    "text", "own", "signal", "direction", "active", "pull", "tolerant", "yes or no", "number", "quantity", "length",
    "angle", "turn", "package", "tolerance", "dielectric", "list", "gender", "role", "numbering", "view",
    "board side", "drive", "power-on",
]  # fmt: skip
Viewer: TypeAlias = Literal["stacking", "firmware", "assembly", "buying"]

_METADATA = "column"


class Field(Struct, frozen=True):
    """One column. ``names``: every spelling of its header that is accepted, the usual one first.

    ``cell``: how a cell is read; ``own`` where the reader of the table does it. ``unit``: of its quantities and of
    bare numbers in it. ``kind``: of a change of it; empty for a detail. ``bound``: to the ``place`` (the pin of the
    chip) where the trade ties it there; else the data tell whether it goes with the signal. ``seen_by``: whom a change
    of it can concern; empty for all who read the table. ``todo``: of a pin's column that firmware is set up by, what
    its developer does about a difference ({old} and {new} stand for the values); ``said``: its name in a sentence.
    """

    name: str
    names: tuple[str, ...]
    cell: Cell = "text"
    unit: str = ""
    kind: str = ""
    bound: Literal["", "place"] = ""
    seen_by: frozenset[str] = frozenset()
    todo: str = ""
    said: str = ""

    @property
    def title(self) -> str:
        """As documents and messages name it."""
        return self.names[0]


def key(name: str, names: str) -> Field:
    """A column that says which record a row speaks of, or that only the reader of the table uses."""
    return Field(name, tuple(names.split(",")), "own")


def column(
    names: str,
    *,
    cell: Cell = "text",
    unit: str = "",
    kind: str = "",
    bound: Literal["", "place"] = "",
    seen_by: str = "",
    todo: str = "",
    said: str = "",
    default: Reading = EMPTY,
) -> Any:
    """A field of a record that a column fills. ``names`` and ``seen_by`` are divided by commas."""
    viewers = frozenset(filter(None, seen_by.split(",")))
    shape: Cell = "quantity" if unit and cell == "text" else cell
    listed = tuple(names.split(","))
    found = Field("", listed, shape, unit, kind, bound, viewers, todo, said or listed[0])
    return dataclasses.field(default=default, metadata={_METADATA: found})


@cache
def columns_of(record: type) -> tuple[Field, ...]:
    """The columns of a kind of record, in their usual order."""
    return tuple(
        replace(item.metadata[_METADATA], name=item.name)
        for item in dataclasses.fields(record)
        if _METADATA in item.metadata
    )
