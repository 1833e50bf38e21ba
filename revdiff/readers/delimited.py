"""CSV and TSV in any common form: delimiter, line ends, quotation."""

from __future__ import annotations

import csv
import io

from revdiff.design import Origin
from revdiff.errors import DataFault
from revdiff.readers.faults import Faults
from revdiff.readers.grid import MAX_CELL, MAX_COLUMNS, MAX_ROWS, Grid, Rows

_DELIMITERS = ("\t", ";", ",", "|")
_SAMPLE = 20_000  # characters looked at to find the delimiter
_USEFUL_WIDTH = 12  # beyond this many columns, more of them say nothing about the delimiter
_SWALLOWED = 3  # line breaks in one cell from which a quotation mark may have been forgotten


def delimited_grid(text: str, file: str, how: str, delimiter: str, faults: Faults) -> Grid:
    """Splits text into rows. The delimiter is the manifest's, a ``sep=`` line's, or the one that fits best.

    Raises DataFault for a quotation mark that is never closed, and for tables beyond the limits.
    """
    text = text.rstrip("\x1a")
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    if text[:4].casefold() == "sep=" and text[5:6] == "\n" and text[4] not in '"\n':
        # The line is emptied, not removed, so that the lines below keep their numbers.
        delimiter, text = delimiter or text[4], text[5:]
    if not delimiter:
        delimiter = best_delimiter(text)
    return Grid(file, _split(text, delimiter, file, faults), f"{how}, delimiter {delimiter!r}")


def _split(text: str, delimiter: str, file: str, faults: Faults) -> Rows:
    # A blank after the delimiter belongs to no cell, unless it is the delimiter.
    reader = csv.reader(io.StringIO(text, newline="\n"), delimiter=delimiter, skipinitialspace=delimiter != " ")
    rows: list[tuple[int, list[str]]] = []
    start, last = 1, 1
    try:
        for cells in reader:
            end = reader.line_num
            if end != start:
                _look_for_swallowed(cells, start, delimiter, file, faults)
            if any(cells) and any(map(str.strip, cells)):
                if len(cells) > MAX_COLUMNS:
                    raise DataFault(
                        f"{file}:{start}: found {len(cells)} cells in one row, expected {MAX_COLUMNS} at most. "
                        "Check the delimiter, or save only the columns that are meant."
                    )
                rows.append((start, cells))
                if len(rows) > MAX_ROWS:
                    raise DataFault(
                        f"{file}:{start}: found more than {MAX_ROWS} rows, expected fewer. Split the table."
                    )
            start, last = end + 1, start
    except csv.Error:
        raise DataFault(
            f"{file}:{start}: found a cell of more than {csv.field_size_limit()} characters, expected "
            f"{MAX_CELL} at most. Look for a quotation mark that is never closed."
        ) from None
    _check_closed(text, last, delimiter, file)
    if len(text) > MAX_CELL:
        _check_lengths(rows, file)
    return tuple(rows)


def _look_for_swallowed(cells: list[str], line: int, delimiter: str, file: str, faults: Faults) -> None:
    """A forgotten quotation mark joins rows up to the next one: a cell with many lines and delimiters in it."""
    for position, cell in enumerate(cells, 1):
        if cell.count("\n") >= _SWALLOWED and cell.count(delimiter) >= cell.count("\n"):
            faults.notice(
                "long-cell",
                f"this cell runs over {cell.count(chr(10)) + 1} lines and holds delimiters",
                Origin(file, line, position),
                found=cell[:60],
                remedy="If rows are missing, look for a quotation mark that is never closed.",
            )


def _check_closed(text: str, last: int, delimiter: str, file: str) -> None:
    """The last row swallows the rest of the file where its quotation mark is never closed."""
    if '"' not in text:
        return
    tail = text.split("\n")[last - 1 :]
    try:
        list(csv.reader([line + "\n" for line in tail], delimiter=delimiter, strict=True))
    except csv.Error as error:
        if "end of data" in str(error):
            raise DataFault(
                f"{file}:{last}: found a quotation mark that is never closed, expected a second one. "
                "Close it, or write it twice where it belongs to the text."
            ) from None


def _check_lengths(rows: list[tuple[int, list[str]]], file: str) -> None:
    for line, cells in rows:
        for position, cell in enumerate(cells, 1):
            if len(cell) > MAX_CELL:
                raise DataFault(
                    f"{file}:{line}:{position}: found a cell of {len(cell)} characters, expected {MAX_CELL} at most."
                )


def best_delimiter(text: str) -> str:
    """The delimiter under which most rows have the same, larger number of cells.

    Only the first lines are tried. A table of one column fits none; the comma is then as good as any.
    """
    sample = text[:_SAMPLE]
    if len(text) > _SAMPLE:
        sample = sample[: sample.rfind("\n") + 1] or sample
    best, best_score = ",", 0.0
    for delimiter in _DELIMITERS:
        if delimiter not in sample:
            continue
        try:
            reader = csv.reader(io.StringIO(sample, newline="\n"), delimiter=delimiter)
            widths = [len(cells) for cells in reader if any(cells)]
        except csv.Error:
            continue
        if not widths:
            continue
        for width in {max(set(widths), key=lambda width: (widths.count(width), width)), max(widths)}:
            share = widths.count(width) / len(widths)
            score = share * min(width - 1, _USEFUL_WIDTH) ** 0.5 if width > 1 else 0.0
            if score > best_score:
                best, best_score = delimiter, score
    return best
