"""One pair of revisions, as files, and what a person who knows both would say of them."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeAlias

Sheets: TypeAlias = Mapping[str, Sequence[Sequence[str | int | float | None]]]  # of a workbook, by title
Content: TypeAlias = str | bytes | Sheets
Files: TypeAlias = Mapping[str, Content]


@dataclass(frozen=True)
class Pair:
    """``old`` and ``new``: files by path; one file each is compared as such, several by the manifest of ``init``.

    ``changes``: everything that truly happened, by hand, as ``KIND SUBJECT`` or ``KIND SUBJECT: BEFORE > AFTER``;
    of parts ``KIND SUBJECT: FIELD BEFORE > AFTER; ...``. ``told``: codes of what must be told about the files;
    ``faults``: the codes of all faults, by default none. ``findings``: rules that must find something; where no pin,
    signal or contact changed, nothing may be called a break.
    """

    about: str
    old: Files
    new: Files
    changes: tuple[str, ...] = ()
    told: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()
    findings: tuple[str, ...] = ()
    unchecked: tuple[str, ...] = ()  # what must be told as not checked, among other things
    refused: str = ""  # what the error says, where the two can't be compared


@dataclass(frozen=True)
class Edited:
    """A text, and the same text with passages that stand in it once put otherwise."""

    old: str
    edits: tuple[tuple[str, str], ...] = field(default=())

    @property
    def new(self) -> str:
        """The text after the edits."""
        text = self.old
        for before, after in self.edits:
            assert text.count(before) == 1, f"{before!r} stands {text.count(before)} times"
            text = text.replace(before, after)
        return text


def edited(about: str, path: str, text: str, *edits: tuple[str, str], **stated: Any) -> Pair:
    """A pair of one text file whose second revision is the first after edits."""
    return Pair(about, {path: text}, {path: Edited(text, edits).new}, **stated)


def data_of(content: Content) -> bytes:
    """The bytes of a file."""
    if isinstance(content, bytes):
        return content
    return content.encode() if isinstance(content, str) else _workbook(content)


def _workbook(sheets: Sheets) -> bytes:
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.worksheets[0])
    for title, rows in sheets.items():
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(list(row))
    buffer = io.BytesIO()
    book.save(buffer)
    return buffer.getvalue()
