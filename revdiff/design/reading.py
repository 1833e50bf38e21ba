"""A cell as it was read: the raw text beside what it means."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from revdiff.quantities.quantity import Quantity
from revdiff.quantities.size_code import Package
from revdiff.quantities.text import fold
from revdiff.quantities.tolerance import Tolerance

Meaning: TypeAlias = str | bool | Quantity | Tolerance | Package | tuple[object, ...] | None
Outcome: TypeAlias = Literal["equal", "different", "unclear"]


@dataclass(frozen=True, slots=True)
class Reading:
    """One cell. Two readings are equal when they mean the same, however they are written.

    ``meaning`` is None for an empty cell, folded text where the cell is no quantity. ``unclear`` marks a
    text that could mean two things (``1,000``): such a reading equals only the same text.
    """

    raw: str = field(default="", compare=False)
    meaning: Meaning = None
    unclear: bool = False

    def __bool__(self) -> bool:
        return self.meaning is not None

    def __str__(self) -> str:
        return self.raw

    @property
    def quantity(self) -> Quantity | None:
        """The quantity this cell holds, or None where it holds none."""
        return self.meaning if isinstance(self.meaning, Quantity) else None

    @property
    def word(self) -> str:
        """The meaning where it is a word (a direction, a gender, folded text), else an empty text."""
        return self.meaning if isinstance(self.meaning, str) else ""


EMPTY = Reading()


def compare_readings(old: Reading, new: Reading) -> Outcome:
    """Equal, different, or unclear where at least one of the two could mean either."""
    if old is new or old == new:
        return "equal"
    if isinstance(old.meaning, Package) and isinstance(new.meaning, Package):
        if set(old.meaning.sizes) & set(new.meaning.sizes):
            # The same code is the same size, though only one of the two tables shows which system it is of.
            return "equal" if fold(old.raw) == fold(new.raw) else "unclear"
        return "different"
    if (old.unclear and new) or (new.unclear and old):
        return "unclear"
    return "different"
