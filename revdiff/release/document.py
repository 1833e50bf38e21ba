"""A report as blocks of plain text: what is said, in which order, and how much it matters; never how it looks.

Documents are made once, here in ``release/``; the renderers in ``report/`` escape every text and lay it out. A text is
never markup of any output.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

Tone = Literal["", "title", "hazard", "break", "caution", "info", "good"]


@dataclass(frozen=True, slots=True)
class Blank:
    """A place for what only a person knows. ``name`` is its own in a document; ``hint`` says what belongs there."""

    name: str
    hint: str


Cell: TypeAlias = "str | Blank"


@dataclass(frozen=True, slots=True)
class Heading:
    """``level``: 1 for the title of the document."""

    text: str
    level: int = 2
    tone: Tone = "title"


@dataclass(frozen=True, slots=True)
class Sentence:
    """A paragraph. ``indent``: it belongs to what stands above it."""

    text: Cell
    indent: int = 0
    tone: Tone = ""


@dataclass(frozen=True, slots=True)
class Pair:
    """A label and what it is said of."""

    label: str
    text: Cell
    tone: Tone = ""


@dataclass(frozen=True, slots=True)
class Pairs:
    """Labels with their texts, below each other."""

    rows: tuple[Pair, ...]
    indent: int = 0


@dataclass(frozen=True, slots=True)
class Items:
    """Texts of one kind, below each other."""

    texts: tuple[Cell, ...]
    indent: int = 0


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a table; the tone is that of its first cell."""

    cells: tuple[Cell, ...]
    tone: Tone = ""


@dataclass(frozen=True, slots=True)
class Table:
    """A table. ``bare``: its columns need no headings where it stands in a terminal."""

    headings: tuple[str, ...]
    rows: tuple[Row, ...]
    bare: bool = False


@dataclass(frozen=True, slots=True)
class Gap:
    """Room between two parts."""


@dataclass(frozen=True, slots=True)
class Folded:
    """What few readers want; a page shows its title until somebody asks for it."""

    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a draft that a person may go on writing in; drafted anew, it is known by its name."""

    name: str
    blocks: Document


Block: TypeAlias = "Heading | Sentence | Pairs | Items | Table | Gap | Folded"
Document: TypeAlias = tuple[Block, ...]
