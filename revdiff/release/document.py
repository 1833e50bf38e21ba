"""A report as blocks of plain text: what is said, in which order, and how much it matters; never how it looks.

Documents are made once, here in ``release/``; the renderers in ``report/`` escape every text and lay it out. A text is
never markup of any output.
"""

from __future__ import annotations

from typing import Literal, TypeAlias

from msgspec import Struct

Tone = Literal["", "title", "hazard", "break", "caution", "info", "good"]


class Blank(Struct, frozen=True):
    """A place for what only a person knows. ``name`` is its own in a document; ``hint`` says what belongs there."""

    name: str
    hint: str


Cell: TypeAlias = "str | Blank"


class Heading(Struct, frozen=True):
    """``level``: 1 for the title of the document."""

    text: str
    level: int = 2
    tone: Tone = "title"


class Sentence(Struct, frozen=True):
    """A paragraph. ``indent``: it belongs to what stands above it."""

    text: Cell
    indent: int = 0
    tone: Tone = ""


class Pair(Struct, frozen=True):
    """A label and what it is said of."""

    label: str
    text: Cell
    tone: Tone = ""


class Pairs(Struct, frozen=True):
    """Labels with their texts, below each other."""

    rows: tuple[Pair, ...]
    indent: int = 0


class Items(Struct, frozen=True):
    """Texts of one kind, below each other."""

    texts: tuple[Cell, ...]
    indent: int = 0


class Row(Struct, frozen=True):
    """A row of a table; the tone is that of its first cell, ``tones`` those of all, where there are any."""

    cells: tuple[Cell, ...]
    tone: Tone = ""
    tones: tuple[Tone, ...] = ()


class Table(Struct, frozen=True):
    """A table. ``bare``: its columns need no headings where it stands in a terminal."""

    headings: tuple[str, ...]
    rows: tuple[Row, ...]
    bare: bool = False


class Gap(Struct, frozen=True):
    """Room between two parts."""


class Folded(Struct, frozen=True):
    """What few readers want; a page shows its title until somebody asks for it."""

    title: str
    blocks: tuple[Block, ...]


class Section(Struct, frozen=True):
    """A part of a draft that a person may go on writing in; drafted anew, it is known by its name."""

    name: str
    blocks: Document


Block: TypeAlias = "Heading | Sentence | Pairs | Items | Table | Gap | Folded"
Document: TypeAlias = tuple[Block, ...]
