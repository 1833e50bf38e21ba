"""Which column is which by what its cells hold, in any language, where no word of the header says it.

Shares of cells from which a column is taken for something are common practice, without a source; what was guessed is
always told, with the line of the manifest that settles it.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Collection, Iterator, Sequence
from functools import lru_cache

from revdiff.quantities.designator import DesignatorFault, expand, parse_designator
from revdiff.quantities.text import clean, fold
from revdiff.quantities.value_cell import names_package, read_value_cell
from revdiff.readers.columns import CONTACTS, PINS, TableKind
from revdiff.readers.grid import Rows
from revdiff.readers.guesses import begins_with_designator, names_port, pin_share, port_share
from revdiff.readers.value_units import value_unit

_SAMPLE = 300  # rows looked at
_LEAST = 3  # filled cells, from which a column says anything
_MOST, _MANY, _SOME = 0.8, 0.6, 0.4  # shares
_WORDS = 2.5  # in a cell of a column of descriptions, on average
_NUMBER = re.compile(r"[0-9][0-9.,]*")
_CODE = re.compile(r"[A-Za-z0-9][A-Za-z0-9_./+#-]{3,39}")
_MAKER = re.compile(r"[^\W\d_][^\d_]{1,39}")
_RAIL = re.compile(
    r"[+-]?[0-9]{1,2}(?:[.V][0-9])?V?(?:[0-9])?|[DAP]?GND[A-Z]{0,3}|V(?:CC|DD|SS|IN|BAT|BUS|OUT)[A-Z]{0,3}"
)

Cells = list[tuple[int, str]]  # (row, text) of the filled cells of a column


def first_of_parts(rows: Rows) -> tuple[int, int] | None:
    """The first row that names parts and the column that does; None where no column holds reference designators."""
    return _first(rows, _names_parts)


def first_of_ports(rows: Rows) -> tuple[int, int] | None:
    """The first row with a port name and the column of them; None where no column holds port names."""
    return _first(rows, names_port)


def _first(rows: Rows, holds: Callable[[str], bool]) -> tuple[int, int] | None:
    best: tuple[int, int, int] | None = None
    width = max((len(row) for _, row in rows[:_SAMPLE]), default=0)
    for at in range(width):
        cells = _filled(rows, at)
        named = [(row, text) for row, text in cells if holds(text)]
        if len(named) < _LEAST or len({text for _, text in named}) < len(named):
            continue
        below = [row for row, _ in cells if row >= named[0][0]]
        if len(named) >= _MOST * len(below) and (best is None or len(named) > best[0]):
            best = len(named), named[0][0], at
    return None if best is None else (best[1], best[2])


def header_above(rows: Rows, first: int) -> int | None:
    """The row above the first row of data, where it can be a header: words, and no number among them."""
    texts = [text for text in map(clean, rows[first - 1][1]) if text] if first else []
    numbers = any(_NUMBER.fullmatch(text) for text in texts)
    return first - 1 if len(texts) > 1 and not numbers and not any(map(_names_parts, texts)) else None


def guess_parts(rows: Rows, designators: int, free: Collection[int], lacking: Collection[str]) -> dict[str, int]:
    """The fields of a parts list, of those that are ``lacking``, that columns among ``free`` hold by sight."""
    rows = rows[:_SAMPLE]
    refs = {index: _refs(row[designators]) for index, (_, row) in enumerate(rows) if designators < len(row)}
    columns = {at: cells for at in free if len(cells := _filled(rows, at)) >= _LEAST}
    found: dict[str, int] = {}

    def take(field: str, share: Callable[[Cells], float], least: float, near: int | None = None) -> None:
        if field not in lacking:
            return
        scores = {at: share(cells) for at, cells in columns.items() if near is None or abs(at - near) == 1}
        good = [at for at, score in scores.items() if score >= least]
        if len(good) > 1:  # of two alike neither is taken
            good = [at for at in good if scores[at] > max(scores[other] for other in good if other != at)]
        if len(good) == 1:
            found[field] = good[0]
            del columns[good[0]]

    take("quantity", lambda cells: _share(cells, lambda row, text: text == str(len(refs.get(row, ())))), _MOST)
    take("package", lambda cells: _share(cells, lambda _, text: names_package(text)), _MANY)
    take("value", lambda cells: _value_share(cells, refs), _MANY)
    take("fitted", lambda cells: _share(cells, lambda _, text: _says_fitted(text)) if _unfits(cells) else 0.0, _MOST)
    take("part_number", _code_share, _MANY)
    if "part_number" in found:
        take("manufacturer", _maker_share, _MANY, found["part_number"])
    take("description", _prose_share, _SOME)
    return found


def multiples(rows: Rows, quantities: int, free: Collection[int]) -> list[int]:
    """The columns that only multiply the column of quantities, as for a lot of ten boards."""
    counts = {row: int(text) for row, text in _filled(rows, quantities) if _is_count(text)}
    found = []
    for at in free:
        cells = _filled(rows, at)
        pairs = {(counts.get(row, 0), int(text)) if _is_count(text) else (0, 1) for row, text in cells}
        if len(cells) >= _LEAST and (0, 1) not in pairs and _one_factor(pairs):
            found.append(at)
    return found


def guess_terminals(rows: Rows, kind: TableKind, free: Collection[int], lacking: Collection[str]) -> dict[str, int]:
    """The number or port and the signal of a pin map or contact table, where columns among ``free`` hold them."""
    rows = rows[:_SAMPLE]
    columns = {at: cells for at in free if len(cells := _filled(rows, at)) >= _LEAST}
    found: dict[str, int] = {}
    key, share = ("port", port_share) if kind is PINS else ("contact", pin_share)
    if key in lacking:
        good = [at for at in columns if share(rows, at) >= _MOST and _distinct(columns[at]) >= _MANY]
        if len(good) != 1:
            return {}
        found[key] = good[0]
        del columns[good[0]]
    if "signal" in lacking and kind in (PINS, CONTACTS):
        scores = {at: _distinct(cells) * len(cells) for at, cells in columns.items() if _distinct(cells) >= _MANY}
        if kind is CONTACTS:
            scores = {at: score for at, score in scores.items() if _share(columns[at], _is_rail) > 0}
        if scores:
            found["signal"] = max(scores, key=lambda at: (scores[at], -at))
    return found


def _filled(rows: Rows, at: int) -> Cells:
    return list(_cells(rows, at))


def _cells(rows: Rows, at: int) -> Iterator[tuple[int, str]]:
    for index, (_, row) in enumerate(rows[:_SAMPLE]):
        text = clean(row[at]) if 0 <= at < len(row) else ""
        if any(map(str.isalnum, text)):
            yield index, text


def _share(cells: Cells, holds: Callable[[int, str], bool]) -> float:
    return sum(holds(row, text) for row, text in cells) / len(cells)


def _distinct(cells: Cells) -> float:
    return len({fold(text) for _, text in cells}) / len(cells)


@lru_cache(maxsize=4096)
def _refs(text: str) -> tuple[str, ...]:
    try:
        return expand(text, 1000)
    except DesignatorFault:
        return ()


def _names_parts(text: str) -> bool:
    """Whether a cell holds reference designators with numbers, of known classes, and nothing else."""
    return begins_with_designator(text) and all(
        (parsed := parse_designator(ref)) is not None and parsed.number is not None for ref in _refs(text) or ("?",)
    )


def _value_share(cells: Cells, refs: dict[int, tuple[str, ...]]) -> float:
    """Of the parts whose values have a unit, the share whose cell can be read as a value in it."""
    units = [(text, value_unit(refs[row][0])) for row, text in cells if refs.get(row)]
    with_unit = [(text, unit) for text, unit in units if unit]
    lettered = sum(any(map(str.isalpha, text)) for text, _ in with_unit)
    if len(with_unit) < 2 or not lettered:
        return 0.0
    read = sum(not names_package(text) and read_value_cell(text, unit).value is not None for text, unit in with_unit)
    return read / len(with_unit)


def _says_fitted(text: str) -> bool:
    from revdiff.readers import words

    return fold(text) in words.YES | words.NO | words.UNFITTED


def _unfits(cells: Cells) -> bool:
    """Whether any cell can mean nothing but a part that isn't fitted: yes and no could be said of anything."""
    from revdiff.readers import words

    return any(fold(text) in words.UNFITTED - words.YES - words.NO for _, text in cells)


def _code_share(cells: Cells) -> float:
    """Letters and figures in one word, most of them only once: part numbers."""
    if _distinct(cells) < _MANY:
        return 0.0
    return _share(
        cells,
        lambda _, text: (
            _CODE.fullmatch(text) is not None
            and any(map(str.isdecimal, text))
            and (any(map(str.isalpha, text)) or len(text) > 5)
            and not names_package(text)
            and not begins_with_designator(text)
        ),
    )


def _maker_share(cells: Cells) -> float:
    """Names of few words, without figures, some of which come back: makers."""
    counts = Counter(fold(text) for _, text in cells)
    if len(counts) < 2 or len(counts) == len(cells):
        return 0.0
    return _share(cells, lambda _, text: _MAKER.fullmatch(text) is not None and not _says_fitted(text))


def _prose_share(cells: Cells) -> float:
    words = sum(len(text.split()) for _, text in cells) / len(cells)
    return _distinct(cells) if words >= _WORDS else 0.0


def _is_count(text: str) -> bool:
    return text.isascii() and text.isdecimal() and len(text) < 7


def _one_factor(pairs: Collection[tuple[int, int]]) -> bool:
    factors = {other / count for count, other in pairs if count}
    return len(factors) == 1 and len(pairs) > 1 and factors.pop() > 1


def _is_rail(_row: int, text: str) -> bool:
    return _RAIL.fullmatch(text.upper()) is not None


def described(texts: Sequence[str], positions: dict[str, int]) -> str:
    """What was taken for what: `value from 'Wartość'`, or from the column of a number where it has no header."""
    return ", ".join(f"{name.replace('_', ' ')} from {_name(texts, at)}" for name, at in positions.items())


def _name(texts: Sequence[str], at: int) -> str:
    text = clean(texts[at]) if at < len(texts) else ""
    return repr(text) if text else f"column {at + 1}"


def stated(texts: Sequence[str], positions: dict[str, int]) -> str:
    """The same as the manifest says it."""
    import json

    named = [
        (name, json.dumps(clean(texts[at]), ensure_ascii=False) if at < len(texts) and clean(texts[at]) else at + 1)
        for name, at in positions.items()
    ]
    return "columns = { " + ", ".join(f"{name} = {text}" for name, text in named) + " }"
