"""Seeded designs of any size, as plain rows: what the growth benchmark compares. All data are invented."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from random import Random

PARTS_HEADER = (
    "Designator",
    "Quantity",
    "Value",
    "Package",
    "Manufacturer",
    "Part number",
    "Tolerance",
    "Fitted",
    "Cost",
)
PINS_HEADER = ("Device", "Pin", "Port", "Signal", "Function", "Direction", "Pull", "Level")
CONTACTS_HEADER = ("Connector", "Contact", "Signal", "Direction", "Level", "Current")
_SHARES = (("R", 0.45), ("C", 0.35), ("D", 0.08), ("U", 0.05), ("Q", 0.05), ("L", 0.02))
_FIGURES = ("1", "1.2", "1.5", "1.8", "2.2", "2.7", "3.3", "3.9", "4.7", "5.6", "6.8", "8.2")
_UNITS = {"R": ("", "k", "M"), "C": ("p", "n", "u"), "L": ("n", "u")}

Row = tuple[str, ...]


@dataclass(frozen=True)
class Tables:
    """One revision: parts one row each (designator first, no quantity), pins and contacts as their tables have them."""

    parts: tuple[Row, ...]
    pins: tuple[Row, ...]
    contacts: tuple[Row, ...]

    def files(self, rng: Random) -> dict[str, bytes]:
        """The files of the revision, rows shuffled and parts of equal data grouped, as people keep them."""
        manifest = (
            '[design]\nname = "growth"\n[boards.main]\ntitle = "Main"\n'
            'parts = { file = "parts.csv", package_code = "inch" }\npins = "pins.csv"\ncontacts = "contacts.csv"\n'
        )
        groups: dict[tuple[str, Row], list[str]] = {}
        for row in self.parts:
            groups.setdefault((row[0].rstrip("0123456789"), row[1:]), []).append(row[0])
        parts = [(", ".join(refs), str(len(refs)), *data) for (_, data), refs in groups.items()]
        return {
            "revdiff.toml": manifest.encode(),
            "parts.csv": _csv(PARTS_HEADER, rng.sample(parts, len(parts))),
            "pins.csv": _csv(PINS_HEADER, rng.sample(self.pins, len(self.pins))),
            "contacts.csv": _csv(CONTACTS_HEADER, rng.sample(self.contacts, len(self.contacts))),
        }


def _csv(header: Sequence[str], rows: Sequence[Row]) -> bytes:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(header)
    writer.writerows(rows)
    return out.getvalue().encode()


def make_tables(count: int, seed: int) -> Tables:
    """A revision with ``count`` parts, a tenth as many pins and a twentieth as many contacts."""
    rng = Random(f"{seed}/{count}")
    parts: list[Row] = []
    for prefix, share in _SHARES:
        wanted = max(2, round(count * share))
        kinds = [_kind(prefix, rng, index) for index in range(max(2, round(wanted**0.7)))]
        parts += [(f"{prefix}{number}", *rng.choice(kinds)) for number in range(1, wanted + 1)]
    pins = tuple(
        (
            f"U{number // 64 + 1}",
            str(number % 64 + 1),
            f"P{number % 64}",
            f"SIG{number}",
            rng.choice(("GPIO", "TIM", "ADC")),
            rng.choice(("in", "out")),
            rng.choice(("none", "up 10k")),
            "3.3 V",
        )
        for number in range(count // 10)
    )
    contacts = tuple(
        (f"J{number // 40 + 1}", str(number % 40 + 1), f"SIG{number}", "out", "3.3 V", "0.02 A")
        for number in range(count // 20)
    )
    return Tables(tuple(parts), pins, contacts)


def _kind(prefix: str, rng: Random, index: int) -> Row:
    value = f"{rng.choice(_FIGURES)}{rng.choice(_UNITS[prefix])}" if prefix in _UNITS else f"device {prefix}{index}"
    package = rng.choice(("0402", "0603", "0805"))
    number = f"{prefix}N-{index:04d}"
    return (
        value,
        package,
        rng.choice(("Tessary", "Bowick", "Vessary")),
        number,
        "1 %",
        "yes",
        f"{rng.randrange(1, 900) / 1000:g}",
    )


@dataclass(frozen=True)
class Change:
    """A true change of one part, by its new designator: the column and what it says now."""

    ref: str
    column: str
    text: str


def one_percent(tables: Tables, seed: int) -> tuple[Tables, tuple[Change, ...]]:
    """The revision with one part in a hundred changed: its value, cost, part number or fitting."""
    rng = Random(f"{seed}/changed")
    parts = list(tables.parts)
    changes = []
    for index in sorted(rng.sample(range(len(parts)), max(2, len(parts) // 100))):
        column, place, text = rng.choice(
            (("Value", 1, f"9.{index % 10}k"), ("Cost", 7, f"{10 + index % 7}"), ("Part number", 4, f"NEW-{index}"))
        )
        row = list(parts[index])
        row[place] = text
        parts[index] = tuple(row)
        changes.append(Change(row[0], column, text))
    return replace(tables, parts=tuple(parts)), tuple(changes)


def annotated_anew(tables: Tables, seed: int) -> Tables:
    """The revision with every class of parts numbered in another order."""
    rng = Random(f"{seed}/annotated")
    numbers: dict[str, list[str]] = {}
    for row in tables.parts:
        numbers.setdefault(row[0].rstrip("0123456789"), []).append(row[0])
    for refs in numbers.values():
        rng.shuffle(refs)
    return replace(tables, parts=tuple((numbers[row[0].rstrip("0123456789")].pop(), *row[1:]) for row in tables.parts))
