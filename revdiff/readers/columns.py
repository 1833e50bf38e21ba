"""The columns of each table, and how a header is matched to them.

A header matches without regard to case, blanks and punctuation; a unit in brackets after it is taken as
the unit of bare numbers in that column.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from types import MappingProxyType

from revdiff.quantities.text import squeeze
from revdiff.readers import aliases

MORE_SOURCES = 9  # makers and part numbers beside the first that one row may name, in numbered columns


@dataclass(frozen=True, slots=True)
class TableKind:
    """One kind of table: its name, its fields with their aliases, and the fields no table of it can lack.

    ``required`` is a list of alternatives: of each inner tuple one field has to be there. ``stand_ins``: the
    fields that are taken in place of a required one where a table lacks it.
    """

    name: str
    aliases: Mapping[str, str]
    required: tuple[tuple[str, ...], ...]
    stand_ins: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def fields(self) -> tuple[str, ...]:
        """The field names in their usual order."""
        return tuple(dict.fromkeys(self.aliases.values()))


def _kind(
    name: str,
    required: tuple[tuple[str, ...], ...],
    names: aliases.Names,
    stand_ins: Mapping[str, tuple[str, ...]] | None = None,
) -> TableKind:
    found: dict[str, str] = {}
    for field_name, others in names.items():
        for alias in (field_name, *others.split(",")):
            found.setdefault(squeeze(alias), field_name)
    return TableKind(name, MappingProxyType(found), required, MappingProxyType(dict(stand_ins or {})))


PARTS = _kind("parts list", (("designator",),), aliases.PARTS)
PINS = _kind("pin map", (("pin", "port"), ("signal",)), aliases.PINS, {"signal": ("function", "purpose")})
CONTACTS = _kind("contact table", (("contact",), ("signal",)), aliases.CONTACTS, {"signal": ("function",)})
CONNECTORS = _kind("connector table", (("connector",),), aliases.CONNECTORS)
NEEDS = _kind("list of needs", (("signal",),), aliases.NEEDS)
JOINTS = _kind("list of joints", (("board_a",), ("connector_a",), ("board_b",), ("connector_b",)), aliases.JOINTS)

_BRACKETED = re.compile(r"^([^(\[]*)[\(\[]([^()\[\]]{1,12})[\)\]]\s*$")
_NUMBER_SIGN = re.compile(r"#$|no\.?$")


def match_header(text: str, kind: TableKind) -> tuple[str, str]:
    """The field that a header cell names and the unit in its brackets; two empty texts where it names none.

    Numbered makers and part numbers (``MPN 2``) of a parts list are the fields ``part_number_2`` and so on.
    """
    return _match(text, kind.name) if len(text) <= 80 and "**" not in text and "?" not in text else ("", "")


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
    if field_name not in ("part_number", "manufacturer"):
        return ""
    return field_name if number == "1" else f"{field_name}_{number}"


_KINDS: Mapping[str, TableKind] = MappingProxyType(
    {kind.name: kind for kind in (PARTS, PINS, CONTACTS, CONNECTORS, NEEDS, JOINTS)}
)
