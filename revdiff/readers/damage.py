"""What a spreadsheet does to texts that look like numbers or dates, recognised by the traces it leaves.

`0402` loses its zero, `2-4` becomes a date, `1E3` and long part numbers become numbers in exponent form.
What was there before can't be told for certain, so nothing is put back (common practice, no source).
"""

from __future__ import annotations

import re
from typing import NamedTuple

from revdiff.quantities.pattern import pattern
from revdiff.quantities.quantity import read_quantity
from revdiff.quantities.size_code import read_package

_MONTHS = (
    "jan|feb|mar|apr|may|jun|jul|aug|sep|sept|oct|nov|dec|mrz|mär|mai|okt|dez|janv|févr|mars|avr|juin|juil|août|déc|"
    "ene|abr|ago|dic|january|february|march|april|june|july|august|september|october|november|december"
)
_DATE = pattern(
    rf"[0-9]{{4}}-[01][0-9]-[0-3][0-9](?:[T ][0-9:.]+)?|[0-9]{{1,2}}[-. /](?:{_MONTHS})\.?(?:[-. /][0-9]{{2,4}})?"
    rf"|(?:{_MONTHS})\.?[-. /][0-9]{{1,4}}|[0-9]{{1,2}}[./][0-9]{{1,2}}[./](?:19|20)[0-9]{{2}}",
    re.IGNORECASE,
)
_BEGINNINGS = frozenset(month[:3] for month in _MONTHS.split("|"))
_EXPONENT = pattern(r"[0-9](?:[.,][0-9]+)?[eE][+-]?[0-9]{1,3}")
_LOST_ZERO = frozenset({"201", "402", "603", "805"})
_LETTERS = pattern(r"[0-9OoIl.,]+")
_MIXED = pattern(r"[0-9.,]*[OoIl]+[0-9.,]|[0-9.,]+[OoIl]")
_FIGURES = str.maketrans("OoIl", "0011")
_NAMES = frozenset({"value", "package", "part_number", "port", "signal", "pin", "contact", "connector", "designator"})


class Damage(NamedTuple):
    """What happened, and how the text may have read before."""

    code: str
    message: str
    expected: str


def damage_of(field: str, text: str) -> Damage | None:
    """The trace of a spreadsheet in a cleaned cell of ``field``, or None."""
    if field not in _NAMES or not text:
        return None
    if field in ("value", "package") and _MIXED.match(text):
        meant = _letters_as_figures(field, text)
        if meant:
            return Damage("letter-for-digit", "letters stand here where figures should", meant)
    if not (text[0].isdecimal() or text[:3].casefold() in _BEGINNINGS):
        return None
    if field == "package" and text in _LOST_ZERO:
        return Damage("lost-zero", "this may be a size code that a spreadsheet took the zero from", f"0{text}")
    if _DATE.fullmatch(text):
        return Damage("date", "this may be a text that a spreadsheet turned into a date", "a text such as 2-4")
    if _EXPONENT.fullmatch(text):
        what = "a number in full" if field != "value" else "a value such as 1k or 1000"
        return Damage("exponent", "this may be a number or a code that a spreadsheet shortened", what)
    return None


def _letters_as_figures(field: str, text: str) -> str:
    """The text with O and l as figures, where only so it is a value or the code of a size; else empty."""
    figures = _LETTERS.match(text)
    meant = figures[0].translate(_FIGURES) + text[figures.end() :] if figures else text
    if field == "package":
        return meant if read_package(meant).sizes and not read_package(text).sizes else ""
    return meant if read_quantity(meant, "") is not None and read_quantity(text, "") is None else ""


REMEDY = "Restore it from the source, and store the column as text in the spreadsheet."
