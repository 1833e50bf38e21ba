"""Seeded designs of any size, as plain rows: what the benchmarks compare. All data are invented.

The parts are those of the campaign's boards: few kinds, in rows of tens to hundreds.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from random import Random

from tests.campaign.boards import make_board

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
            groups.setdefault((_letters(row[0]), row[1:]), []).append(row[0])
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
    (board,) = make_board(seed, count).boards.values()
    parts: list[Row] = []
    last: dict[str, int] = {}
    for item in board.parts:
        prefix = _letters(item["designator"])
        last[prefix] = last.get(prefix, 0) + 1
        known = Random(f"{seed}/{prefix}/{item['value']}/{item['package']}")
        bought = known.choice(("Tessary", "Bowick", "Vessary")), f"{prefix}N-{known.randrange(10**6):06d}", "1 %"
        cost = f"{known.randrange(1, 900) / 1000:g}"
        fitted = "no" if item.get("fitted") else "yes"
        data = (*bought, fitted, cost) if item["value"] else ("", "", "", fitted, "")
        parts.append((f"{prefix}{last[prefix]}", item["value"], item["package"], *data))
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


def two_blocks(tables: Tables, *, overlap: bool) -> Tables:
    """The revision with two blocks of up to 200 parts renumbered, a run of R and one of C.

    Onto free numbers; or, with ``overlap``, the last of R by a third of the block's length, onto numbers of its own,
    and in C two neighbouring blocks that trade places.
    """
    found: dict[str, str] = {}
    for prefix in ("R", "C"):
        refs = sorted((row[0] for row in tables.parts if _letters(row[0]) == prefix), key=_number)
        size = min(200, len(refs) // 4)
        start = len(refs) // 3
        block = refs[-size:] if overlap and prefix == "R" else refs[start : start + size]
        numbers = [_number(ref) for ref in block]
        if not overlap:
            offset = _number(refs[-1]) // 100 * 100 + 100
            numbers = [number + offset for number in numbers]
        elif prefix == "R":
            numbers = [number + size // 3 for number in numbers]
        else:
            cut = size // 3
            numbers = [*numbers[-cut:], *numbers[:-cut]]
        found.update({ref: f"{prefix}{number}" for ref, number in zip(block, numbers, strict=True)})
    return replace(tables, parts=tuple((found.get(row[0], row[0]), *row[1:]) for row in tables.parts))


def _letters(ref: str) -> str:
    return ref.rstrip("0123456789")


def _number(ref: str) -> int:
    return int(ref[len(_letters(ref)) :])


def annotated_anew(tables: Tables, seed: int) -> Tables:
    """The revision with every class of parts numbered in another order."""
    rng = Random(f"{seed}/annotated")
    numbers: dict[str, list[str]] = {}
    for row in tables.parts:
        numbers.setdefault(_letters(row[0]), []).append(row[0])
    for refs in numbers.values():
        rng.shuffle(refs)
    return replace(tables, parts=tuple((numbers[_letters(row[0])].pop(), *row[1:]) for row in tables.parts))
