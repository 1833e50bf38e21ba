"""XLSX to a grid: which worksheet, and what its formulas and merged cells mean."""

from __future__ import annotations

import io
import warnings
from bisect import bisect_right
from collections.abc import Callable
from typing import Any

from msgspec import Struct

from revdiff.design import Origin
from revdiff.errors import DataFault
from revdiff.readers.archive import MAX_MEMBERS, unpacked, unsound
from revdiff.readers.faults import Faults, counted
from revdiff.readers.grid import Grid, Rows
from revdiff.readers.worksheet import MAX_COLUMNS, Shared, Sheet, check_characters, read_sheet

_HEAD = 60  # rows of each worksheet that are looked at to choose one
_TITLES_SHOWN = 12

Score = Callable[[Rows], int]


class _Listed(Struct, frozen=True):
    """A worksheet of the workbook, not yet read."""

    title: str
    visible: bool
    xml: bytes


def workbook_grid(data: bytes, file: str, sheet: str, score: Score, faults: Faults) -> Grid:
    """Reads one worksheet: the one named, or the one whose first rows score best.

    Numbers become their shortest decimal text, dates ISO text. A formula counts as its stored result (with a
    notice); one without a stored result is refused, since its value is not in the file. A cell merged down
    over rows counts in each of them. Raises DataFault for anything that is no sound workbook, or too large.
    """
    parts = unpacked(data, file, faults.budget)
    try:
        sheets, shared = _opened(data, parts)
    except Exception as error:  # a library that meets what its authors never did fails in any way
        raise unsound(file, error) from None
    chosen = _choose(sheets, shared, file, sheet, score, faults)
    place = f"{file}#{chosen.title}"
    read = read_sheet(chosen.xml, place, shared)
    _tell_formulas(read, place, faults)
    _fill_merged(read, place, faults)
    return Grid(place, tuple(read.rows), f"worksheet {chosen.title!r}")


def _opened(data: bytes, parts: dict[str, bytes]) -> tuple[list[_Listed], Shared]:
    """The worksheets in their order, and what they share. Fails in any way for what is no sound workbook."""
    from openpyxl.reader.excel import ExcelReader
    from openpyxl.styles.stylesheet import apply_stylesheet

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of what a reader of tables has no use for
        reader = ExcelReader(io.BytesIO(data), read_only=True, keep_links=False)
        try:
            # Step by step, since the rest (names, charts, pictures) is nothing that a table needs.
            reader.read_manifest()
            reader.read_strings()
            reader.read_workbook()
            apply_stylesheet(reader.archive, reader.wb)
            if len(reader.parser.sheets) > MAX_MEMBERS:
                raise ValueError(f"more than {MAX_MEMBERS} worksheets")
            sheets = [
                _Listed(str(sheet.name), sheet.state == "visible", parts[relation.target])
                for sheet, relation in reader.parser.find_sheets()
                if relation.target in parts and "chartsheet" not in relation.Type
            ]
            book: Any = reader.wb
            texts = [str(text) for text in reader.shared_strings]
            shared = Shared(texts, frozenset(book._date_formats), frozenset(book._timedelta_formats), book.epoch)
        finally:
            reader.archive.close()
    return sheets, shared


def _choose(sheets: list[_Listed], shared: Shared, file: str, sheet: str, score: Score, faults: Faults) -> _Listed:
    titles = [item.title for item in sheets]
    shown = ", ".join(map(repr, titles[:_TITLES_SHOWN])) or "none"
    if sheet:
        for item in sheets:
            if item.title == sheet:
                return item
        raise DataFault(f"{file}: found the worksheets {shown}, expected {sheet!r}. Correct sheet in the manifest.")
    if not sheets:
        raise DataFault(f"{file}: found no worksheet, expected a table. Save the table as XLSX or CSV.")
    if len(sheets) == 1:
        return sheets[0]
    scored = [
        (score(tuple(read_sheet(item.xml, f"{file}#{item.title}", shared, _HEAD).rows)), item.visible, -index)
        for index, item in enumerate(sheets)
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


def _tell_formulas(sheet: Sheet, place: str, faults: Faults) -> None:
    if not sheet.formulas:
        return
    row, column = sheet.formulas[0]
    faults.notice(
        "formula",
        f"formulas in {counted(len(sheet.formulas), 'cell')} of this worksheet; their stored results were read, "
        "which may be old",
        Origin(place, row, column + 1),
        found=dict(sheet.rows)[row][column],
        remedy="Open the workbook, let it calculate and save it, or store the values themselves.",
    )


def _fill_merged(sheet: Sheet, place: str, faults: Faults) -> None:
    """A cell that is merged over several rows holds its text in the first; it counts in all of them."""
    rows = sheet.rows
    numbers = [number for number, _ in rows]
    index = {number: at for at, number in enumerate(numbers)}
    filled: list[tuple[int, int]] = []
    before, end = -1, 0  # column and last row of the area above, in the same column
    for column, top, bottom in sorted(sheet.merged):
        if column == before and top <= end:
            raise DataFault(
                f"{place}:{top}: found merged cells that overlap others in their column, expected areas apart. "
                "Open the workbook, and save it again."
            )
        before, end = column, bottom
        first = index.get(top)
        texts = [] if first is None else rows[first][1]
        if first is None or column >= min(len(texts), MAX_COLUMNS) or not texts[column]:
            continue
        for number, below in rows[first + 1 : bisect_right(numbers, bottom)]:
            below.extend([""] * (column + 1 - len(below)))
            below[column] = texts[column]
            filled.append((number, column))
            sheet.characters += len(texts[column])
            check_characters(sheet.characters, place, number)
    if filled:
        row, column = filled[0]
        faults.notice(
            "merged-cells",
            f"cells are merged over several rows; their text was taken for each of the rows ({len(filled)} in all)",
            Origin(place, row, column + 1),
            found=rows[index[row]][1][column],
            remedy="To be sure, write the text into every row.",
        )
