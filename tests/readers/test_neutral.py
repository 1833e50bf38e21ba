"""Edits that change no meaning make no change."""

from __future__ import annotations

import csv
import io
import random
from collections.abc import Callable, Sequence

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from revdiff.compare.comparison import compare_designs
from revdiff.design import Design
from tests.readers.memory import load

Rows = list[list[str]]

PARTS: Rows = [
    ["Designator", "Quantity", "Value", "Package", "Part number", "Voltage", "Fitted", "Cost", "Colour"],
    ["R1, R2", "2", "4.7 kΩ", "0603 inch", "AB1", "", "yes", "0.012", ""],
    ["R3", "1", "100 Ω", "0805", "AB2", "", "no", "0.01", "blue"],
    ["C1-C3", "3", "100 nF", "0402 inch", "CD1", "16 V", "yes", "0.02", ""],
    ["C4", "1", "10 µF", "1206", "CD2", "6.3 V", "yes", "0.05", ""],
    ["U1", "1", "controller", "LQFP-64", "QX4", "", "yes", "3.20", ""],
]
PINS: Rows = [
    ["Device", "Pin", "Port", "Signal", "Direction", "Active", "Pull", "Level"],
    ["U1", "1", "PA0", "KEY", "in", "low", "up 10k", "3.3 V"],
    ["U1", "2", "PA1", "LED", "out", "high", "", "3.3 V"],
    ["U1", "3", "PA2", "", "", "", "", ""],
]
CONTACTS: Rows = [
    ["Connector", "Contact", "Signal", "Direction", "Level", "Current"],
    ["J1", "1", "GND", "ground", "", "1 A"],
    ["J1", "2", "+5V", "supply out", "5 V", "0.5 A"],
    ["J1", "3", "NC", "", "", ""],
]
CONNECTORS: Rows = [["Connector", "Contacts", "Pitch", "Gender"], ["J1", "4", "2.54 mm", "male"]]
NEEDS: Rows = [["Signal", "Pin", "Active"], ["LED", "PA1", "high"], ["KEY", "PA0", "low"]]
TABLES = {"parts": PARTS, "pins": PINS, "contacts": CONTACTS, "connectors": CONNECTORS, "needs": NEEDS}


def written(rows: Sequence[Sequence[str]], delimiter: str = ",", end: str = "\n", encoding: str = "utf-8") -> bytes:
    file = io.StringIO()
    csv.writer(file, delimiter=delimiter, lineterminator=end).writerows(rows)
    return file.getvalue().encode(encoding)


def design(tables: dict[str, bytes]) -> Design:
    entries = "\n".join(f'{name} = "{name}.csv"' for name in tables if name != "needs")
    manifest = f'[design]\nname = "demo"\n[boards.base]\n{entries}\n[firmware.pump]\nneeds = "needs.csv"\n'
    return load({"revdiff.toml": manifest, **{f"{name}.csv": data for name, data in tables.items()}})


ORIGINAL = design({name: written(rows) for name, rows in TABLES.items()})


def changes(edit: Callable[[str, Rows], bytes]) -> list[str]:
    new = design({name: edit(name, [list(row) for row in rows]) for name, rows in TABLES.items()})
    found = compare_designs(ORIGINAL, new)
    assert not found.unclear
    return [f"{item.kind} {item.subject}: {item.before} -> {item.after}" for item in found.changes]


def reordered(rows: Rows, order: Sequence[int]) -> Rows:
    return [[row[at] for at in order] for row in rows]


def renotated(rows: Rows, words: dict[str, str]) -> Rows:
    return [[words.get(cell, cell) for cell in row] for row in rows]


NOTATION = {
    "4.7 kΩ": "4k7",
    "100 Ω": "100R",
    "100 nF": "0,1µF",
    "10 µF": "10u",
    "0603 inch": "1608 metric",
    "0402 inch": "0402 (1005 metric)",
    "16 V": "16V0",
    "6.3 V": "6V3",
    "3.3 V": "3V3",
    "5 V": "5.00V",
    "0.5 A": "500 mA",
    "2.54 mm": "100 mil",
    "yes": "",
    "no": "DNP",
    "NC": "-",
    "in": "Input",
    "out": "O",
    "low": "L",
    "up 10k": "PU 10 kΩ",
    "male": "pin header",
    "ground": "GND",
    "supply out": "Power out",
    "AB1": "  ab1 ",
    "0.05": "0.050",
}
ALIASES = {
    "Designator": "RefDes",
    "Quantity": "Qty",
    "Value": "Wert",
    "Package": "Footprint",
    "Part number": "MPN",
    "Voltage": "Voltage rating",
    "Fitted": "Populate",
    "Cost": "Unit price",
    "Device": "MCU",
    "Pin": "PIN_NUMBER",
    "Port": "GPIO",
    "Signal": "Net",
    "Direction": "Dir.",
    "Contact": "Kontakt",
    "Connector": "Conn",
    "Contacts": "Positions",
    "Colour": "COLOUR",
}


@pytest.mark.parametrize(
    "edit",
    [
        lambda _name, rows: written(rows),
        lambda _name, rows: written([rows[0], *rows[:0:-1]]),
        lambda _name, rows: written(reordered(rows, range(len(rows[0]))[::-1])),
        lambda _name, rows: written(renotated(rows, NOTATION)),
        lambda _name, rows: written(renotated(rows[:1], ALIASES) + rows[1:]),
        lambda _name, rows: written(rows, delimiter=";"),
        lambda _name, rows: written(rows, delimiter="\t", end="\r\n"),
        lambda _name, rows: written(rows, end="\r"),
        lambda _name, rows: written(rows, encoding="utf-8-sig"),
        lambda _name, rows: written(rows, encoding="utf-16"),
        lambda _name, rows: written([["Tables of the base board"], [], *rows, [], ["exported by hand"]]),
        lambda _name, rows: written([item for row in rows for item in (row, [""] * len(row))]),
        lambda _name, rows: written([[f" {cell}\u00a0 " for cell in row] for row in rows]),
        lambda _name, rows: written([[*row, ""] for row in rows]),
    ],
    ids=[
        *("nothing", "rows turned round", "columns turned round", "notation", "column names", "semicolons"),
        *("tabs and CRLF", "CR", "byte-order mark", "UTF-16", "preamble and footer", "blank rows", "blanks"),
        "empty column",
    ],
)
def test_an_edit_without_meaning_makes_no_change(edit: Callable[[str, Rows], bytes]) -> None:
    assert changes(edit) == []


@pytest.mark.parametrize(
    "groups",
    [
        [["R1", "1"], ["R2", "1"], ["R3", "1"], ["C1, C3", "2"], ["C2", "1"], ["C4", "1"], ["U1", "1"]],
        [["R2 R1", "2"], ["R3", ""], ["C1;C2;C3", "3"], ["C4", "1"], ["U1", "1"]],
        [["R1..R2", "2"], ["r3", "1"], ["C1-3", "3"], ["C4", "1"], ["U1", "1"]],
    ],
)
def test_grouping_the_designators_otherwise_makes_no_change(groups: Rows) -> None:
    said = {"R1": 1, "R2": 1, "R3": 2, "C1": 3, "C2": 3, "C3": 3, "C4": 4, "U1": 5}

    def edit(name: str, rows: Rows) -> bytes:
        if name != "parts":
            return written(rows)
        grouped = []
        for refs, quantity in groups:
            first = refs.upper()[:2]
            grouped.append([refs, quantity, *rows[said[first]][2:]])
        return written([rows[0], *grouped])

    assert changes(edit) == []


def test_a_workbook_of_the_same_cells_makes_no_change() -> None:
    import openpyxl

    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in PARTS:
        sheet.append([int(cell) if cell.isdecimal() and cell != "0805" else cell or None for cell in row])
    file = io.BytesIO()
    book.save(file)
    entries = "\n".join(f'{name} = "{name}.csv"' for name in TABLES if name not in ("needs", "parts"))
    files: dict[str, bytes | str] = {f"{name}.csv": written(rows) for name, rows in TABLES.items()}
    files["parts.xlsx"] = file.getvalue()
    files["revdiff.toml"] = (
        f'[design]\nname = "demo"\n[boards.base]\nparts = "parts.xlsx"\n{entries}\n'
        '[firmware.pump]\nneeds = "needs.csv"\n'
    )
    assert compare_designs(ORIGINAL, load(files)).changes == ()


@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(
    seed=st.randoms(use_true_random=False),
    delimiter=st.sampled_from([",", ";", "\t", "|"]),
    end=st.sampled_from(["\n", "\r\n", "\r"]),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16"]),
    notation=st.booleans(),
    aliases=st.booleans(),
)
def test_any_mixture_of_such_edits_makes_no_change(
    seed: random.Random, delimiter: str, end: str, encoding: str, notation: bool, aliases: bool
) -> None:
    def edit(_name: str, rows: Rows) -> bytes:
        body = rows[1:]
        seed.shuffle(body)
        order = list(range(len(rows[0])))
        seed.shuffle(order)
        header = renotated(rows[:1], ALIASES) if aliases else rows[:1]
        body = renotated(body, NOTATION) if notation else body
        return written(reordered(header + body, order), delimiter, end, encoding)

    assert changes(edit) == []


@pytest.mark.parametrize(
    ("table", "old", "new", "kind"),
    [
        ("parts", "4.7 kΩ", "4.8 kΩ", "part.value"),
        ("parts", "0603 inch", "0603 metric", "part.package"),
        ("parts", "no", "yes", "part.fitted"),
        ("parts", "blue", "red", "part.field"),
        ("pins", "low", "high", "pin.active"),
        ("contacts", "5 V", "3.3 V", "contact.level"),
        ("connectors", "2.54 mm", "2 mm", "connector.pitch"),
        ("needs", "PA0", "PA7", "contract.changed"),
    ],
)
def test_an_edit_of_meaning_makes_its_change(table: str, old: str, new: str, kind: str) -> None:
    def edit(name: str, rows: Rows) -> bytes:
        return written(renotated(rows, {old: new}) if name == table else rows)

    assert [item.split()[0] for item in changes(edit)] == [kind]
