"""One worksheet's XML to rows of texts (ECMA-376 part 1, clause 18.3), in one pass.

What says how far the table goes is not believed: rows and cells count where they stand, in rising order, as the
standard has them. A library that skips what stands elsewhere would leave out parts without a word.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any
from xml.parsers import expat

from msgspec import Struct

from revdiff.errors import DataFault
from revdiff.quantities.pattern import pattern
from revdiff.readers.grid import MAX_CELL

MAX_ROWS = 50_000
MAX_COLUMNS = 128
MAX_CHARACTERS = 64 * 1024 * 1024  # of all cells; one shared text may stand in each of them
_EXACT = 10**15
_SPACES = (
    "http://schemas.openxmlformats.org/spreadsheetml/2006/main",
    "http://purl.oclc.org/ooxml/spreadsheetml/main",
)
_ELEMENTS = {f"{space} {name}": name for space in _SPACES for name in ("row", "c", "v", "f", "t", "rPh", "mergeCell")}
_PLACE = pattern(r"([A-Z]{1,3})([1-9][0-9]{0,6})")
_AREA = pattern(r"([A-Z]{1,3})([1-9][0-9]{0,6}):([A-Z]{1,3})([1-9][0-9]{0,6})")


class Shared(Struct, frozen=True):
    """What the worksheets of one workbook share: texts, and which styles show a number as a date or a duration."""

    texts: Sequence[str] = ()
    dates: Set[int] = frozenset()
    durations: Set[int] = frozenset()
    epoch: datetime = datetime(1899, 12, 30)


class Sheet(Struct):
    """The rows that hold anything, as (number from 1, texts). Columns count from 0.

    ``formulas``: row and column of each whose stored result stands in the rows. ``merged``: column, first and last
    row of each merged area.
    """

    rows: list[tuple[int, list[str]]] = []
    formulas: list[tuple[int, int]] = []
    merged: list[tuple[int, int, int]] = []
    characters: int = 0


def read_sheet(xml: bytes, place: str, shared: Shared, last: int = 0) -> Sheet:
    """Reads a worksheet, or its rows up to number ``last`` where that isn't 0.

    ``place`` is what faults begin with. Raises DataFault for XML that isn't well-formed, rows or cells out of order,
    values of no known form, formulas without a stored result, and tables beyond the limits.
    """
    reader = _Reader(place, shared, last)
    try:
        reader.parser.Parse(xml, True)
    except _Enough:
        pass
    except expat.ExpatError as error:
        raise DataFault(
            f"{place}: found XML that is not well-formed ({expat.ErrorString(error.code)}). "
            "Open the workbook, and save it again as XLSX or CSV."
        ) from None
    return reader.sheet


class _Enough(Exception):
    """All rows that are wanted have been read."""


class _Reader:
    def __init__(self, place: str, shared: Shared, last: int) -> None:
        self.sheet = Sheet()
        self._place = place
        self._shared = shared
        self._last = last
        self._row = 0
        self._texts: list[str] | None = None  # of the row that is open
        self._column = -1
        self._cell: dict[str, str] | None = None  # the attributes of the cell that is open
        self._found: dict[str, str] = {}  # in it, by element
        self._sound = 0  # depth in phonetic hints, which are no part of the text
        self._characters: list[str] = []
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.buffer_text = True
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._characters.append

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        known = _ELEMENTS.get(name)
        if known is None:
            return
        self._characters.clear()
        if known == "c":
            if self._texts is None:
                raise self._fault(self._row, "a cell outside any row", "cells in rows")
            self._cell, self._found = attributes, {}
        elif known == "row":
            self._begin_row(attributes.get("r"))
        elif known == "rPh":
            self._sound += 1
        elif known == "mergeCell":
            self._merge(attributes.get("ref", ""))

    def _end(self, name: str) -> None:
        known = _ELEMENTS.get(name)
        if known is None:
            return
        if known == "c":
            if self._cell is not None:
                self._end_cell(self._cell)
            self._cell = None
        elif known == "row":
            if self._texts is not None and any(self._texts):
                self.sheet.rows.append((self._row, self._texts))
            self._texts = None
        elif known == "rPh":
            self._sound -= 1
        elif self._cell is not None and not self._sound:
            # A text may be in several runs.
            self._found[known] = self._found.get(known, "") + "".join(self._characters)

    def _begin_row(self, number: str | None) -> None:
        following = self._row + 1
        if number is not None and not (number.isascii() and number.isdecimal() and len(number) <= 7):
            raise self._fault(following, f"the row number {number[:20]!r}", "a number")
        row = following if number is None else int(number)
        if row < following or self._texts is not None:
            raise self._fault(row, f"row {row} after row {self._row}", "rows in rising order")
        if self._last and row > self._last:
            raise _Enough
        self._row, self._texts, self._column = row, [], -1

    def _end_cell(self, attributes: dict[str, str]) -> None:
        texts, place = self._texts, attributes.get("r")
        if texts is None:
            return
        column = self._column + 1
        if place is not None:
            named = _PLACE.fullmatch(place)
            if named is None or int(named[2]) != self._row:
                raise self._fault(self._row, f"the cell {place[:20]!r}", "a cell of this row")
            column = column_of(named[1])
        self._column = column
        text = self._text(attributes, column)
        if not text:
            return
        if column >= MAX_COLUMNS:
            raise DataFault(
                f"{self._place}:{self._row}: found a cell beyond column {MAX_COLUMNS}, the last that is read. "
                "Save only the columns that are meant."
            )
        if self._row > MAX_ROWS:
            raise DataFault(f"{self._place}:{self._row}: found a cell below row {MAX_ROWS}, the last that is read.")
        if column < len(texts) and texts[column]:
            raise self._fault(self._row, f"the cell {place!r} twice", "each cell once")
        texts.extend([""] * (column + 1 - len(texts)))
        texts[column] = text
        self.sheet.characters += len(text)
        check_characters(self.sheet.characters, self._place, self._row)

    def _text(self, attributes: dict[str, str], column: int) -> str:
        """The text of the cell that ends."""
        formula = self._found.get("f")
        kind, raw = attributes.get("t", "n"), self._found.get("v", "")
        if kind == "inlineStr":
            raw = self._found.get("t", "")
        text = self._value(kind, raw, attributes.get("s", "0"), column) if raw else ""
        if len(text) > MAX_CELL:
            raise DataFault(
                f"{self._place}:{self._row}: found a cell of {len(text)} characters, expected {MAX_CELL} at most."
            )
        if formula is not None and not text and not self._last:
            raise DataFault(
                f"{self._place}:{self._row}:{column + 1}: found the formula {'=' + formula[:60]!r} without a stored "
                "result, expected a value. Open the workbook, let it calculate, save it; or store the value itself."
            )
        if formula is not None:
            self.sheet.formulas.append((self._row, column))
        return text

    def _value(self, kind: str, raw: str, style: str, column: int) -> str:
        try:
            if kind == "s":
                return self._shared.texts[_whole(raw)]
            if kind == "b":
                return "yes" if _whole(raw) else "no"
            if kind == "n":
                return self._number(raw, _whole(style))
            if kind == "d":
                from openpyxl.utils.datetime import from_ISO8601

                return text_of(from_ISO8601(raw))  # type: ignore[no-untyped-call]
        except (ValueError, IndexError, OverflowError):
            raise DataFault(
                f"{self._place}:{self._row}:{column + 1}: found {raw[:40]!r} in a cell of the type {kind!r}, "
                "which can't be that. Open the workbook, and save it again."
            ) from None
        return raw

    def _number(self, raw: str, style: int) -> str:
        if "_" in raw:
            raise ValueError
        value = float(raw) if "." in raw or "E" in raw or "e" in raw or raw[-1:] in "fFnNyY" else int(raw)
        if style not in self._shared.dates:
            return text_of(value)
        from openpyxl.utils.datetime import from_excel

        try:
            return text_of(from_excel(value, self._shared.epoch, timedelta=style in self._shared.durations))
        except (OverflowError, ValueError):
            return "#VALUE!"  # what a spreadsheet shows for a number that is no date

    def _merge(self, area: str) -> None:
        found = _AREA.fullmatch(area)
        if found is not None and int(found[4]) > int(found[2]):
            self.sheet.merged.append((column_of(found[1]), int(found[2]), int(found[4])))

    def _fault(self, row: int, found: str, expected: str) -> DataFault:
        return DataFault(
            f"{self._place}:{max(row, 1)}: found {found}, expected {expected}. "
            "Open the workbook, and save it again as XLSX or CSV."
        )


def check_characters(characters: int, place: str, row: int) -> None:
    """Raises DataFault for more characters than the cells of one worksheet may hold."""
    if characters > MAX_CHARACTERS:
        raise DataFault(
            f"{place}:{row}: found more than {MAX_CHARACTERS:,} characters in the cells up to here, expected fewer. "
            "Save only the rows and columns that are meant."
        )


def _whole(text: str) -> int:
    """A whole number from 0. Raises ValueError for anything else."""
    text = text.strip()
    if not (text.isascii() and text.isdecimal() and len(text) < 10):
        raise ValueError
    return int(text)


def text_of(value: Any) -> str:
    """The text of a value: numbers in their shortest decimal form, dates after ISO 8601."""
    if isinstance(value, (int, float)):
        return _plain(value)
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time() == time() else value.isoformat(" ")
    return value.isoformat() if isinstance(value, date) else str(value)


def _plain(value: int | float) -> str:
    """A plain decimal; in exponent form where a spreadsheet, with its 15 figures, can't have kept the number."""
    number = Decimal(repr(value))
    if not number.is_finite():
        return str(value)
    return f"{number.normalize():f}" if abs(number) < _EXACT else f"{number.normalize():E}"


def column_of(letters: str) -> int:
    """The column from 0 that letters name: 0 for `A`, 26 for `AA`."""
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number - 1
