"""What the cells below a header say about its columns, where the header itself doesn't settle it."""

from __future__ import annotations

import re
from collections.abc import Iterator

from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import clean
from revdiff.readers.grid import Rows

_SAMPLE = 300  # rows looked at
_STRAYS = 2  # cells in a column of numbers that may be something else, as a total is
_DESIGNATOR = pattern(r"([A-Za-z]{1,4})_?[0-9]{1,4}[A-Za-z]?(?![A-Za-z0-9])")
# Class letters of IEEE 315-1975 clause 22.4 that boards use, and some of common practice without a source.
_CLASSES = frozenset(
    {"A", "AT", "B", "BT", "BZ", "C", "CB", "CN", "CON", "CR", "D", "DS", "E", "F", "FB", "FID", "FL", "G", "H", "IC"}
    | {"J", "JP", "K", "L", "LED", "LS", "M", "MH", "MK", "MP", "P", "PS", "Q", "R", "RN", "RT", "RV", "S", "SP"}
    | {"ST", "SW", "T", "TB", "TC", "TP", "TR", "U", "V", "VR", "W", "X", "XF", "XTAL", "Y", "Z"}
)
_PORT_NAME = pattern(r"(?:P[A-K]|GPIO_?|IO_?|P|D|A|RA|RB|RC|RD|RE)[0-9]{1,3}(?:[._][0-9]{1,2})?", re.IGNORECASE)
_PORT_ONLY = pattern(r"(?:P[A-K]|GPIO_?|IO_?)[0-9]{1,3}", re.IGNORECASE)
_PIN_NUMBER = pattern(r"[0-9]{1,3}|[A-Z]{1,2}[0-9]{1,2}")


def _cells(rows: Rows, position: int) -> Iterator[str]:
    for _, row in rows[:_SAMPLE]:
        if 0 <= position < len(row):
            text = clean(row[position])
            if text:
                yield text


def designator_share(rows: Rows, position: int) -> float:
    """The share of the filled cells of a column that begin with a reference designator of a known class."""
    cells = list(_cells(rows, position))
    return sum(map(begins_with_designator, cells)) / len(cells) if cells else 0.0


def begins_with_designator(text: str) -> bool:
    """Whether a text begins as a reference designator of a known class does."""
    found = _DESIGNATOR.match(text)
    return found is not None and found[1].upper() in _CLASSES


def distinct(rows: Rows, position: int) -> bool:
    """Whether no two cells of a column are equal, as designators are and values aren't."""
    cells = list(_cells(rows, position))
    return len(set(cells)) == len(cells)


def is_running_number(rows: Rows, position: int) -> bool:
    """Whether a column holds whole numbers that rise from row to row, but for a remark or two."""
    last, strays = -1, 0
    cells = list(_cells(rows, position))
    for text in cells:
        number = text.removesuffix(".")
        if not (number.isascii() and number.isdecimal() and len(number) < 10):
            strays += 1
        elif int(number) <= last:
            return False
        else:
            last = int(number)
    return strays <= max(_STRAYS, len(cells) // 4) and len(cells) - strays > 1


def counts_rows(rows: Rows, position: int, *, gaps: bool = False) -> bool:
    """Whether a column holds nothing but the numbers of its rows, 1, 2, 3 and so on in any order, each once.

    ``gaps``: up to half of them may be missing, since rows are taken out of a list and the others keep their numbers.
    """
    cells = {clean(row[position]) for _, row in rows if 0 <= position < len(row)}
    numbers = sorted(int(text) for text in cells if text.isascii() and text.isdecimal() and len(text) < 7)
    first = numbers[0] if numbers else 2
    if not _STRAYS < len(numbers) == len(cells) == len(rows):
        return False
    return numbers[-1] <= 2 * len(rows) if gaps else first < 2 and numbers[-1] == len(rows) - 1 + first


def names_port(text: str) -> bool:
    """Whether a text can be nothing but a port name: `PA5`, `GPIO12`."""
    return _PORT_ONLY.fullmatch(text) is not None


def port_share(rows: Rows, position: int) -> float:
    """The share of the filled cells of a column that are port names, such as ``PA5`` or ``GPIO12``."""
    cells = list(_cells(rows, position))
    return sum(_PORT_NAME.fullmatch(text) is not None for text in cells) / len(cells) if cells else 0.0


def holds_port_names(rows: Rows, position: int) -> bool:
    """Whether most cells of a column can be nothing but port names (`PA5`, `GPIO12`); balls of a grid may be `A5`."""
    cells = list(_cells(rows, position))
    return bool(cells) and sum(_PORT_ONLY.fullmatch(text) is not None for text in cells) > len(cells) / 2


def pin_share(rows: Rows, position: int) -> float:
    """The share of the filled cells of a column that are pin or contact numbers, such as ``37`` or ``B12``."""
    cells = list(_cells(rows, position))
    return sum(_PIN_NUMBER.fullmatch(text) is not None for text in cells) / len(cells) if cells else 0.0
