"""Whether a part is fitted, from every place where a parts list may say so."""

from __future__ import annotations

import re

from revdiff.design import Reading
from revdiff.design.model import FITTED
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import clean, fold
from revdiff.quantities.value_cell import is_unfitted
from revdiff.readers import cells, words
from revdiff.readers.faults import Faults
from revdiff.readers.rows import RowReader
from revdiff.readers.table import Table

_APART = ("designator", "quantity", "value", "fitted", "not_fitted", "item")  # columns with a reading of their own
_PIECES = pattern(r"[,;()\[\]/\n]")
_SIGN = pattern(r"\bDN[PIF]\b")
_HINTS = (
    *("dnp", "dni", "dnf", "dnm", "dns", "n/f", "omit", "nofit", "no fit", "no-fit", "nopop", "no pop", "no-pop"),
    *("unfit", "unpop", "not fit", "not pop", "not mount", "not place", "not inst", "not assem", "do not ", "unbest"),
    *(
        "nicht best",
        "n.b.",
        "non mont",
        "ne pas",
        "no mont",
        "no pobl",
        "sin mont",
        "不贴",
        "不焊",
        "\x1fnf\x1f",
        "exclude",
    ),
)
_HEADING = pattern(
    r"(?:the following |parts |components |teile )?(?:are |is )?"
    r"(dn[pifms]|unfitted|(?:do )?not (?:to be )?(?:be )?(?:fit|plac|populat|mount|install|assembl)\w*|unpopulated|"
    r"nicht bestück\w*|non mont\w*|no montad\w*|不贴装?|不焊接?)(?: parts| components| list| teile)?",
    re.IGNORECASE,
)
# Words of the same meaning anywhere in a heading of the writer's own (common practice, no source).
_WORDING = pattern(
    r"\bdn[pifm]\b|\b(?:not|never|un)[ -]?(?:to be |be |yet |been )?(?:fit|plac|popul|mount|install|assembl|stuff)|"
    r"\bomitted|\bexcluded|\b(?:left|stays?|remains?|kept|keep|leave) (?:empty|unused|blank|vacant)|"
    r"\bempty (?:position|place|pad|footprint)|"
    r"nicht best|nicht mont|unbest|unmont|(?:bleib\w*) (?:leer|frei)|non (?:mont|peupl|équip|câbl)|"
    r"no (?:mont|pobl)|sin (?:mont|pobl)|不贴|不焊|空贴",
    re.IGNORECASE,
)
# A remark on how such parts are marked elsewhere is no heading.
_REMARK = pattern(
    r"\b(?:unless|except|marked|mark|if|where|when|otherwise|means?|=|sofern|wenn|außer|markiert|sauf|si|salvo)\b",
    re.IGNORECASE,
)
_UNSTATED = "fitted or not"
_LONGEST_HEADING = 60
_LONGEST_WORDING = 120


def unfitted_heading(text: str) -> tuple[bool, str]:
    """Whether a text announces parts that aren't fitted (``Not fitted:``), and what stands after it."""
    cleaned = clean(text)
    found = _HEADING.match(cleaned)
    if found is None:
        free = len(cleaned) <= _LONGEST_WORDING and _WORDING.search(cleaned) and not _REMARK.search(cleaned)
        return bool(free), ""
    rest = cleaned[found.end() :]
    if rest and not rest[0].isspace() and rest[0] not in ":=-–":
        return False, ""
    rest = rest.strip(" :=-–")
    return len(cleaned) <= _LONGEST_HEADING or bool(rest), rest


class Fitting:
    """Reads the fitted state of the rows of one parts list."""

    def __init__(self, table: Table, rows: RowReader, faults: Faults) -> None:
        self._table = table
        self._rows = rows
        self._faults = faults
        apart = {table.columns.get(name) for name in _APART}
        others = [(at, name) for name, at in {**table.columns, **table.extra}.items() if at not in apart]
        self._others = others if _hinted(table, [at for at, _ in others]) else []
        self._signs: dict[str, bool | None] = {}
        self._columns = [item for item in (("fitted", False), ("not_fitted", True)) if item[0] in table.columns]
        self._known: dict[tuple[str, str], Reading] = {}
        at = table.columns.get("fitted")
        cells_of = {row[at] for _, row in table.rows if at < len(row)} if at is not None else set()
        self._says_yes = any(fold(cell) in words.YES for cell in cells_of)

    def of(self, line: int, row: list[str], value_sign: str, quantity_zero: bool) -> tuple[Reading, list[str]]:
        """The state, and the fields whose cell is nothing but a sign of not fitting.

        ``value_sign``: the value cell, where it says that the part isn't fitted. Contradicting cells are a fault.
        Nothing is unclear where the column says of other parts that they are fitted.
        """
        stated, field = self._stated(line, row)
        signs = [("value", value_sign)] if value_sign else []
        emptied = []
        for at, name in self._others:
            cell = row[at] if at < len(row) else ""
            if not cell:
                continue
            if cell not in self._signs:
                self._signs[cell] = _sign(cell)
            whole = self._signs[cell]
            if whole is not None:
                signs.append((name, clean(cell)))
            if whole:
                emptied.append(name)
        if quantity_zero:
            signs.append(("quantity", "0"))
        if not signs:
            if self._says_yes and not stated.raw:
                return Reading(clean(self._rows.cell(row, "fitted")), _UNSTATED, unclear=True), emptied
            return stated, emptied
        name, text = signs[0]
        if stated.raw and stated.meaning is True:
            self._faults.fault(
                "contradiction",
                f"the part is said to be fitted here, and not to be in its {name.replace('_', ' ')}; "
                "the column for it was taken",
                self._table.origin(line, field),
                found=f"{stated.raw} against {text}",
                remedy="Correct whichever is wrong.",
            )
            return stated, emptied
        return (stated if stated.meaning is False else Reading(text, False)), emptied

    def _stated(self, line: int, row: list[str]) -> tuple[Reading, str]:
        result, place = FITTED, "fitted"
        for field, inverse in self._columns:
            raw = self._rows.cell(row, field)
            if not raw:
                continue
            reading = self._known.get((field, raw))
            if reading is None:
                reading = self._known[field, raw] = self._read(line, field, raw, inverse)
            if reading.meaning is False or not result.raw:
                result, place = reading, field
        return result, place

    def _read(self, line: int, field: str, raw: str, inverse: bool) -> Reading:
        try:
            return cells.fitted_reading(raw, inverse)
        except cells.UnreadableCell as error:
            self._faults.fault(
                "unreadable-value",
                "whether the part is fitted can't be read",
                self._table.origin(line, field),
                found=clean(raw),
                expected=str(error),
                remedy="Correct the cell, or leave it empty for a fitted part.",
            )
            return Reading(clean(raw), _UNSTATED, unclear=True)


def _hinted(table: Table, positions: list[int]) -> bool:
    """Whether any cell in these columns may say that a part isn't fitted; most tables have no such word there."""
    text = "\x1f".join([row[at] for _, row in table.rows for at in positions if at < len(row)]).lower()
    return any(hint in f"\x1f{text}\x1f" for hint in _HINTS)


def _sign(cell: str) -> bool | None:
    """True where the cell is nothing but a sign of not fitting, False where it holds one, None otherwise."""
    folded = fold(cell)
    if folded in words.UNFITTED - {"ni", "np", "nm"} or is_unfitted(cell):
        return True
    if len(cell) > 200:
        return None
    if _SIGN.search(cell) or any(is_unfitted(piece) for piece in _PIECES.split(cell) if piece and piece != cell):
        return False
    return None
