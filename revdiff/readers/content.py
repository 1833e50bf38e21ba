"""Which column is which by what its cells hold, in any language, where no word of the header says it.

Shares of cells from which a column is taken for something are common practice, without a source; what was guessed is
always told, with the line of the manifest that settles it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Collection, Mapping, Sequence
from functools import lru_cache

from revdiff.quantities.designator import DesignatorFault, expand, parse_designator
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import clean, fold
from revdiff.quantities.value_cell import names_package, read_value_cell
from revdiff.readers import words
from revdiff.readers.columns import CONTACTS, PINS, TableKind
from revdiff.readers.grid import Rows
from revdiff.readers.guesses import begins_with_designator, names_port, pin_share, port_share
from revdiff.readers.value_units import value_unit

_SAMPLE = 300  # rows looked at to find where a table begins
_LEAST = 3  # filled cells, from which a column says anything
_MOST, _MANY = 0.8, 0.6  # shares
_WORDS = 2.5  # in a cell of a column of descriptions, on average
_NUMBER = pattern(r"[0-9][0-9.,]*")
_CODE = pattern(r"[A-Za-z0-9][A-Za-z0-9_./+#-]{3,39}")
_MAKER = pattern(r"[^\W\d_](?:[^\W\d_]|[ .&'-]){1,30}")
_RAIL = pattern(r"[+-]?[0-9]{1,2}(?:[.V][0-9])?V?(?:[0-9])?|[DAP]?GND[A-Z]{0,3}|V(?:CC|DD|SS|IN|BAT|BUS|OUT)[A-Z]{0,3}")

# Codes of dealers and of a house of one's own (common practice, no source).
_OTHER_CODE = pattern(
    "stock|order|suppl|distrib|dealer|vendor|shop|internal|in-?house|erp|lager|bestell|liefer|intern", re.IGNORECASE
)
_DIGITS = pattern(r"[0-9].*")
_LONG = 5  # figures, beyond which a number alone may be a part number


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
        cells = _filled(rows[:_SAMPLE], at)
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


def guess_parts(
    rows: Rows, columns: Mapping[str, int], free: Mapping[int, str], lacking: Collection[str]
) -> dict[str, int]:
    """The fields of a parts list, of those that are ``lacking``, that columns among ``free`` hold by sight.

    ``columns``: those of known fields, the designators among them. ``free``: the headers of the others by position.
    Different texts are counted, not cells, so that neither the order nor the grouping of the rows matters.
    """
    found = dict(columns)
    own = columns["designator"] if free and {"quantity", "value"} & set(lacking) else -1
    refs = [_refs(clean(row[own])) if 0 <= own < len(row) else () for _, row in rows]
    texts = {at: _texts(rows, at) for at in {*free, *columns.values()}}
    full = [at for at in free if len(_filled(rows, at)) >= _LEAST]

    def take(field: str, share: Callable[[int], float], least: float = _MANY, fewest: int = 1) -> None:
        if field in found or field not in lacking:
            return
        open_ = [at for at in full if at not in found.values() and len(texts[at]) >= fewest]
        shares = sorted(((share(at), -at) for at in open_), reverse=True)
        if shares and shares[0][0] >= least and (len(shares) == 1 or shares[0][0] > shares[1][0]):
            found[field] = -shares[0][1]  # of two that are alike neither is taken

    take("quantity", lambda at: _quantity_share(rows, at, refs), _MOST)
    take("fitted", lambda at: _share(texts[at], _says_fitted) if any(map(_unfits, texts[at])) else 0, _MOST)
    take("package", lambda at: _share(texts[at], names_package))
    take("value", lambda at: _value_share(rows, at, refs))
    values = len(texts[found["value"]]) if "value" in found else 0
    take("part_number", lambda at: _code_share(free[at], texts[at]), _MANY, max(_LEAST, int(values * _MANY)))
    if "part_number" in found:
        settling = [found["designator"], *(found[name] for name in ("package",) if name in found)]
        take("manufacturer", lambda at: _maker_share(rows, at, found["part_number"], settling), _MANY, 2)
    take("description", lambda at: sum(len(text.split()) for text in texts[at]) / len(texts[at]), _WORDS, _LEAST)
    return {name: at for name, at in found.items() if name not in columns}


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
    texts = {at: _texts(rows, at) for at in free if len(_filled(rows, at)) >= _LEAST}
    found: dict[str, int] = {}
    key, share = ("port", port_share) if kind is PINS else ("contact", pin_share)
    if key in lacking:
        good = [at for at in texts if share(rows, at) >= _MOST and _repeats_little(rows, at)]
        if len(good) != 1:
            return {}
        found[key] = good[0]
    if "signal" in lacking:
        names = {at: len(texts[at]) for at in texts if at not in found.values() and _repeats_little(rows, at)}
        if kind is CONTACTS:
            names = {at: count for at, count in names.items() if any(map(_is_rail, texts[at]))}
        if names:
            found["signal"] = max(names, key=lambda at: (names[at], -at))
    return found


def _filled(rows: Rows, at: int) -> list[tuple[int, str]]:
    """The cells of a column that say anything, with the positions of their rows."""
    cells = ((index, clean(row[at])) for index, (_, row) in enumerate(rows) if 0 <= at < len(row) and row[at])
    return [(index, text) for index, text in cells if any(map(str.isalnum, text))]


def _texts(rows: Rows, at: int) -> list[str]:
    """The different texts of a column, those with nothing to say left out."""
    texts = {clean(text) for text in {row[at] for _, row in rows if 0 <= at < len(row)}}
    return sorted(text for text in texts if any(map(str.isalnum, text)))


def _share(texts: Sequence[str], holds: Callable[[str], bool]) -> float:
    return sum(map(holds, texts)) / len(texts)


def _repeats_little(rows: Rows, at: int) -> bool:
    return len(_texts(rows, at)) >= _MANY * len(_filled(rows, at))


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


def _quantity_share(rows: Rows, at: int, refs: Sequence[tuple[str, ...]]) -> float:
    """The share of the cells that hold the number of the parts that their row names."""
    named = [(text, len(refs[row])) for row, text in _filled(rows, at) if refs[row]]
    return sum(text == str(count) for text, count in named) / len(named) if len(named) >= _LEAST else 0.0


def _value_share(rows: Rows, at: int, refs: Sequence[tuple[str, ...]]) -> float:
    """Of the texts beside parts whose values have a unit, the share that can be read as a value in it."""
    pairs = {(text, unit) for row, text in _filled(rows, at) if refs[row] and (unit := value_unit(refs[row][0]))}
    if len(pairs) < 2 or not any(any(map(str.isalpha, text)) for text, _ in pairs):
        return 0.0
    read = sum(not names_package(text) and read_value_cell(text, unit).value is not None for text, unit in pairs)
    return read / len(pairs)


def _says_fitted(text: str) -> bool:
    return fold(text) in words.YES | words.NO | words.UNFITTED


def _unfits(text: str) -> bool:
    """Whether a text can mean nothing but a part that isn't fitted: yes and no could be said of anything."""
    return fold(text) in words.UNFITTED - words.YES - words.NO


def _code_share(header: str, texts: Sequence[str]) -> float:
    """The share of part numbers, unless the header says that these are codes of somebody else."""
    return 0.0 if _OTHER_CODE.search(header) else _share(texts, _is_code)


def _is_code(text: str) -> bool:
    """Whether a text is a word of letters and figures, and neither a package nor a designator."""
    if _CODE.fullmatch(text) is None or not any(map(str.isdecimal, text)):
        return False
    long = any(map(str.isalpha, text)) or len(text) > _LONG
    return long and not names_package(text) and not begins_with_designator(text)


def _maker_share(rows: Rows, at: int, numbers: int, settling: Sequence[int]) -> float:
    """The share of the part numbers beside which one and the same proper name stands.

    What the class or the package of a part settles already is a category; what says yes or no is none either.
    """
    names = dict(_filled(rows, at))
    if not all(map(_is_name, set(names.values()))):
        return 0.0
    for other in settling:
        class_of = {
            row: _DIGITS.sub("", text.split(",")[0]) if other == settling[0] else text
            for row, text in _filled(rows, other)
        }
        if len({(class_of[row], name) for row, name in names.items() if row in class_of}) <= len(
            set(class_of.values())
        ):
            return 0.0
    beside: dict[str, set[str]] = {}
    for row, number in _filled(rows, numbers):
        beside.setdefault(number, set()).add(names.get(row, ""))
    known = {next(iter(texts)) for texts in beside.values()}
    single = sum(len(texts) == 1 and "" not in texts for texts in beside.values())
    return single / len(beside) if 1 < len(known) < len(beside) else 0.0


def _is_name(text: str) -> bool:
    """Whether a text is a proper name of few words: each longer word begins with a capital letter."""
    parts = text.split()
    named = all(part[0].isupper() or len(part) < _LEAST or not part[0].isalpha() for part in parts)
    return named and len(parts) <= _LEAST and _MAKER.fullmatch(text) is not None and not _says_fitted(text)


def _is_count(text: str) -> bool:
    return text.isascii() and text.isdecimal() and len(text) < 7


def _one_factor(pairs: Collection[tuple[int, int]]) -> bool:
    factors = {other / count for count, other in pairs if count}
    return len(factors) == 1 and len(pairs) > 1 and factors.pop() > 1


def _is_rail(text: str) -> bool:
    return _RAIL.fullmatch(text.upper()) is not None


def described(texts: Sequence[str], positions: dict[str, int]) -> str:
    """What was taken for what: `value from 'Wartość'`, or from the column of a number where it has no header."""
    return ", ".join(f"{name.replace('_', ' ')} from {_name(texts, at)}" for name, at in positions.items())


def _name(texts: Sequence[str], at: int) -> str:
    text = clean(texts[at]) if at < len(texts) else ""
    return repr(text) if text else f"column {at + 1}"


def as_stated(texts: Sequence[str], positions: Mapping[str, int]) -> dict[str, str | int]:
    """The columns as the manifest names them: by the header's text, or by the position from 1."""
    return {
        name: clean(texts[at]) if at < len(texts) and clean(texts[at]) else at + 1 for name, at in positions.items()
    }


def stated(columns: Mapping[str, str | int]) -> str:
    """What settles the columns in the manifest."""
    return (
        "columns = { "
        + ", ".join(f"{name} = {json.dumps(at, ensure_ascii=False)}" for name, at in columns.items())
        + " }"
    )
