"""XLSX, read-only, with limits set before anything is unpacked."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable, Iterator
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

from revdiff.design import Origin
from revdiff.errors import DataFault
from revdiff.readers.faults import Faults, counted
from revdiff.readers.grid import MAX_CELL, Grid, Rows

# Above what a parts list of 20,000 rows takes; a file that unpacks to more is refused unread.
MAX_UNPACKED = 64 * 1024 * 1024
MAX_MEMBERS = 1_000
MAX_ROWS = 50_000
MAX_COLUMNS = 128
MAX_ELEMENTS = 2_000_000  # rows, cells and shared texts in all worksheets; each takes time, however short it is
_HEAD = 60  # rows of each worksheet that are looked at to choose one
_ELEMENT = re.compile(rb"<(?:\w{1,12}:)?(?:row|c|si)[ />]")
_MERGED = re.compile(rb'<(?:\w{1,12}:)?mergeCell [^>]{0,40}?ref="([A-Z]{1,3})([0-9]{1,7}):([A-Z]{1,3})([0-9]{1,7})"')
# A cell with something in it, from the columns with two letters on.
_CELL = re.compile(rb'<(?:\w{1,12}:)?c r="([A-Z]{2,3})([0-9]{1,7})"[^>]{0,80}(?<!/)>')
_EXACT = 10**15
_TITLES_SHOWN = 12

Score = Callable[[Rows], int]


def workbook_grid(data: bytes, file: str, sheet: str, score: Score, faults: Faults) -> Grid:
    """Reads one worksheet: the one named, or the one whose first rows score best.

    Numbers become their shortest decimal text, dates ISO text. A formula counts as its stored result (with a
    notice); one without a stored result is refused, since its value is not in the file. A cell merged down
    over rows counts in each of them. Raises DataFault for anything that is no sound workbook, or too large.
    """
    _check_archive(data, file)
    with _Open(data, file, results=False) as book:
        worksheet = _choose(book, file, sheet, score, faults)
        title = str(worksheet.title)
        place = f"{file}#{title}"
        rows = _rows(worksheet, place)
        path = str(getattr(worksheet, "_worksheet_path", ""))
    formulas = [(row, column) for row, texts in rows for column, text in enumerate(texts) if text.startswith("=")]
    if formulas:
        _put_results(rows, formulas, data, file, title, faults)
    markup = _markup(data, path)
    _refuse_far_columns(markup, place)
    _fill_merged(rows, markup, place, faults)
    return Grid(place, tuple(rows), f"worksheet {title!r}")


class _Open:
    """A workbook that is closed after use; whatever goes wrong inside becomes a DataFault."""

    def __init__(self, data: bytes, file: str, *, results: bool) -> None:
        self._data, self._file, self._results = data, file, results
        self._book: Any = None

    def __enter__(self) -> Any:
        import openpyxl

        try:
            self._book = openpyxl.load_workbook(
                io.BytesIO(self._data), read_only=True, data_only=self._results, keep_links=False
            )
        except Exception as error:
            raise _unsound(self._file, error) from None
        return self._book

    def __exit__(self, kind: object, error: BaseException | None, trace: object) -> None:
        self._book.close()
        if isinstance(error, Exception) and not isinstance(error, DataFault):
            raise _unsound(self._file, error) from None


def _unsound(file: str, error: Exception) -> DataFault:
    why = (str(error).splitlines() or [""])[0][:120] or type(error).__name__
    return DataFault(f"{file}: found no sound XLSX workbook ({why}). Open it, and save it again as XLSX or CSV.")


def _choose(book: Any, file: str, sheet: str, score: Score, faults: Faults) -> Any:
    sheets = list(book.worksheets)
    titles = [str(item.title) for item in sheets]
    shown = ", ".join(map(repr, titles[:_TITLES_SHOWN])) or "none"
    if sheet:
        for item in sheets:
            if str(item.title) == sheet:
                return item
        raise DataFault(f"{file}: found the worksheets {shown}, expected {sheet!r}. Correct sheet in the manifest.")
    if not sheets:
        raise DataFault(f"{file}: found no worksheet, expected a table. Save the table as XLSX or CSV.")
    if len(sheets) == 1:
        return sheets[0]
    scored = [
        (score(tuple(_head(item, file))), item.sheet_state == "visible", -index) for index, item in enumerate(sheets)
    ]
    best = max(scored)
    chosen = sheets[-best[2]]
    if sum(item[0] == best[0] for item in scored) > 1 or best[0] == 0:
        faults.notice(
            "several-worksheets",
            f"several worksheets could be meant; {chosen.title!r} was read",
            Origin(f"{file}#{chosen.title}", 1),
            found=shown,
            remedy='To choose, name it in the manifest: sheet = "...".',
        )
    return chosen


def _head(worksheet: Any, file: str) -> Iterator[tuple[int, list[str]]]:
    for number, values in enumerate(worksheet.iter_rows(max_row=_HEAD, max_col=MAX_COLUMNS, values_only=True), 1):
        yield number, [_text(value, file, number) for value in values]


def _rows(worksheet: Any, place: str) -> list[tuple[int, list[str]]]:
    rows: list[tuple[int, list[str]]] = []
    for number, values in enumerate(worksheet.iter_rows(max_col=MAX_COLUMNS, values_only=True), start=1):
        if values.count(None) == len(values):
            continue
        texts = [_text(value, place, number) for value in values]
        while texts and not texts[-1]:
            texts.pop()
        if not texts:
            continue
        if number > MAX_ROWS:
            raise DataFault(f"{place}:{number}: found a cell below row {MAX_ROWS}, the last that is read.")
        rows.append((number, texts))
    return rows


def _text(value: object, place: str, row: int) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return _number(value)
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time() == time() else value.isoformat(" ")
    if isinstance(value, date):
        return value.isoformat()
    text = str(value)
    if len(text) > MAX_CELL:
        raise DataFault(f"{place}:{row}: found a cell of {len(text)} characters, expected {MAX_CELL} at most.")
    return text


def _number(value: int | float) -> str:
    """A plain decimal; in exponent form where a spreadsheet, with its 15 figures, can't have kept the number."""
    number = Decimal(repr(value))
    if not number.is_finite():
        return str(value)
    return f"{number.normalize():f}" if abs(number) < _EXACT else f"{number.normalize():E}"


def _put_results(
    rows: list[tuple[int, list[str]]],
    formulas: list[tuple[int, int]],
    data: bytes,
    file: str,
    title: str,
    faults: Faults,
) -> None:
    place = f"{file}#{title}"
    with _Open(data, file, results=True) as book:
        stored = dict(_rows(next(item for item in book.worksheets if str(item.title) == title), place))
    by_row = dict(rows)
    told = 0
    for row, column in formulas:
        formula, texts = by_row[row][column], stored.get(row, [])
        result = texts[column] if column < len(texts) else ""
        if not result:
            raise DataFault(
                f"{place}:{row}:{column + 1}: found the formula {formula[:60]!r} without a stored result, expected a "
                "value. Open the workbook, let it calculate, save it; or store the value itself."
            )
        told += result != formula
        by_row[row][column] = result
    if told:
        row, column = formulas[0]
        faults.notice(
            "formula",
            f"formulas in {counted(told, 'cell')} of this worksheet; their stored results were read, which may be old",
            Origin(place, row, column + 1),
            found=by_row[row][column],
            remedy="Open the workbook, let it calculate and save it, or store the values themselves.",
        )


def _markup(data: bytes, path: str) -> bytes:
    """The XML of the worksheet, for what openpyxl doesn't give when it only reads."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        member = path.lstrip("/")
        return archive.read(member) if member in archive.namelist() else b""


def _refuse_far_columns(markup: bytes, place: str) -> None:
    for found in _CELL.finditer(markup):
        if _column(found[1]) >= MAX_COLUMNS:
            raise DataFault(
                f"{place}:{int(found[2])}: found a cell beyond column {MAX_COLUMNS}, the last that is read. "
                "Save only the columns that are meant."
            )


def _fill_merged(rows: list[tuple[int, list[str]]], markup: bytes, place: str, faults: Faults) -> None:
    """A cell that is merged over several rows holds its text in the first; it counts in all of them."""
    merged = _MERGED.findall(markup)
    by_row = dict(rows)
    filled = []
    for left, top, _, bottom in merged[:MAX_ROWS]:
        column = _column(left)
        texts = by_row.get(int(top), [])
        if column >= min(len(texts), MAX_COLUMNS) or not texts[column]:
            continue
        for row in range(int(top) + 1, min(int(bottom), MAX_ROWS) + 1):
            below = by_row.get(row)
            if below is not None:
                below.extend([""] * (column + 1 - len(below)))
                below[column] = texts[column]
                filled.append((row, column))
    if filled:
        row, column = filled[0]
        faults.notice(
            "merged-cells",
            f"cells are merged over several rows; their text was taken for each of the rows ({len(filled)} in all)",
            Origin(place, row, column + 1),
            found=by_row[row][column],
            remedy="To be sure, write the text into every row.",
        )


def _column(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number - 1


def _check_archive(data: bytes, file: str) -> None:
    """Raises DataFault for what is no workbook, and for one that would take too much memory or time."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            members = archive.infolist()
            if len(members) > MAX_MEMBERS or sum(item.file_size for item in members) > MAX_UNPACKED:
                raise DataFault(
                    f"{file}: found a workbook that unpacks to more than {MAX_UNPACKED // 1024 // 1024} MiB or "
                    f"{MAX_MEMBERS} files, expected less. Save only the table that is meant."
                )
            if "[Content_Types].xml" not in archive.namelist():
                raise DataFault(f"{file}: found a zip archive that is no XLSX workbook. Save the table as XLSX or CSV.")
            elements = 0
            for item in members:
                if item.filename.endswith(".xml"):
                    elements += len(_ELEMENT.findall(archive.read(item)))
                if elements > MAX_ELEMENTS:
                    raise DataFault(
                        f"{file}: found more than {MAX_ELEMENTS} cells and rows in a workbook, expected fewer. "
                        "Save only the table that is meant."
                    )
    except DataFault:
        raise
    except Exception as error:  # a broken archive fails in many ways: zlib, encryption, lying sizes
        raise _unsound(file, error) from None
