"""How a header is matched to the columns of a table.

A header matches without regard to case, blanks and punctuation; a unit in brackets after it is taken as
the unit of bare numbers in that column.
"""

from __future__ import annotations

from functools import lru_cache

from revdiff.design.tables import CONNECTORS, CONTACTS, JOINTS, NEEDS, PARTS, PINS, TABLES
from revdiff.design.tables import Table as TableKind
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import squeeze

MORE_SOURCES = 9  # makers and part numbers beside the first that one row may name, in numbered columns


_BRACKETED = pattern(r"^([^(\[]*)[\(\[]([^()\[\]]{1,12})[\)\]]\s*$")
_CELL = pattern(r"\*\*|\?.|(?:^|\W)[A-Za-z]{0,2}\?")  # `R?` and `REF**` stand below a header, `Stuff?` in it
_NUMBER_SIGN = pattern(r"#$|no\.?$")


def match_header(text: str, kind: TableKind) -> tuple[str, str]:
    """The field that a header cell names and the unit in its brackets; two empty texts where it names none.

    Numbered makers and part numbers (``MPN 2``) of a parts list are the fields ``part_number_2`` and so on.
    """
    return _match(text, kind.name) if len(text) <= 80 and _CELL.search(text) is None else ("", "")


@lru_cache(maxsize=4096)
def _match(text: str, kind_name: str) -> tuple[str, str]:
    kind = _KINDS[kind_name]
    field_name = kind.aliases.get(squeeze(text), "")
    if not field_name and text.strip() == "#":
        field_name = kind.aliases.get("no", "")
    if not field_name and kind is PARTS:
        field_name = _numbered(text)
    bracketed = _BRACKETED.match(text)
    if bracketed is None:
        return field_name, ""
    if not field_name:
        field_name = kind.aliases.get(squeeze(bracketed[1]), "")
    return field_name, bracketed[2].strip() if field_name else ""


def _numbered(text: str) -> str:
    name, number = text.strip()[:-1].rstrip(), text.strip()[-1:]
    field_name = PARTS.aliases.get(squeeze(_NUMBER_SIGN.sub("", name)), "") if number in tuple("123456789") else ""
    if field_name not in ("part_number", "manufacturer", "order_code"):
        return ""
    return field_name if number == "1" else f"{field_name}_{number}"


_KINDS = {kind.name: kind for kind in TABLES}

__all__ = ["CONNECTORS", "CONTACTS", "JOINTS", "MORE_SOURCES", "NEEDS", "PARTS", "PINS", "TableKind", "match_header"]
