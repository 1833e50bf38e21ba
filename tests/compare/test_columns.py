"""A column that changes as a whole is one entry with a count; one cell that differs besides is told on its own.

Tables as people keep them: hundreds of rows, headers in any words.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import pytest

from revdiff.compare.comparison import Comparison, compare_designs
from tests.campaign.run import reproduces
from tests.support import compare, judged, load

Row = dict[str, str]

PACKAGES = ("R_0603", "R_0805", "C_0603", "SOT-23", "R_0603")


def _parts(count: int = 300) -> list[Row]:
    return [
        {
            "Reference": f"R{number}",
            "Value": ("10k", "22k", "100R")[number % 3],
            "Footprint": PACKAGES[number % 5],
            "Shelf": f"B{number % 20}",
        }
        for number in range(1, count + 1)
    ]


def _files(rows: Sequence[Row], table: str = "parts") -> dict[str, str]:
    head = list(rows[0])
    lines = [";".join(head), *(";".join(row[name] for name in head) for row in rows)]
    return {
        "revdiff.toml": f'[design]\nname = "d"\n[boards.main]\n{table} = "t.csv"\n',
        "t.csv": "\n".join(lines) + "\n",
    }


def _compared(old: Sequence[Row], new: Sequence[Row], table: str = "parts") -> Comparison:
    return compare_designs(load(_files(old, table)), load(_files(new, table)))


def _told(comparison: Comparison) -> list[str]:
    assert reproduces(comparison)
    return [f"{item.kind} {item.subject}: {item.before} → {item.after} ({item.pattern})" for item in comparison.changes]


def _with(rows: Sequence[Row], **cells: object) -> list[Row]:
    """The rows with columns made from a function of the row, or filled with a text."""
    return [
        {**row, **{name: cell(row) if callable(cell) else str(cell) for name, cell in cells.items()}} for row in rows
    ]


def _renamed(rows: Sequence[Row], old: str, new: str) -> list[Row]:
    return [{new if name == old else name: text for name, text in row.items()} for row in rows]


def _without(rows: Sequence[Row], name: str) -> list[Row]:
    return [{key: text for key, text in row.items() if key != name} for row in rows]


def _edited(rows: Sequence[Row], ref: str, **cells: str) -> list[Row]:
    return [{**row, **cells} if row["Reference"] == ref else row for row in rows]


OLD = _parts()


def _batch(row: Row) -> str:
    return f"lot {row['Reference']}"


CASES: list[tuple[str, list[Row], list[str]]] = [
    ("new", _with(OLD, Batch=_batch), ["part.column Batch: – → 300 cells (column new)"]),
    ("gone", _without(OLD, "Shelf"), ["part.column Shelf: 300 cells → – (column gone)"]),
    (
        "renamed",
        _renamed(OLD, "Shelf", "Store room"),
        ["part.column Store room: Shelf → Store room (column renamed, 300 cells)"],
    ),
    (
        "renamed, with one other cell",
        _edited(_renamed(OLD, "Shelf", "Store room"), "R7", **{"Store room": "attic"}),
        [
            "part.column Store room: Shelf → Store room (column renamed, 300 cells)",
            "part.field R7: B7 → attic ()",
        ],
    ),
    (
        "a library before each package",
        _with(OLD, Footprint=lambda row: f"lib:{row['Footprint']}"),
        ["part.column package: R_0603 → lib:R_0603 (column spelled otherwise, 300 cells)"],
    ),
    (
        "a library of its own for some",
        _with(OLD, Footprint=lambda row: f"{'ics' if 'SOT' in row['Footprint'] else 'lib'}:{row['Footprint']}"),
        ["part.column package: R_0603 → lib:R_0603 (column spelled otherwise, 300 cells)"],
    ),
    (
        "a pad suffix, and one package that changed besides",
        _edited(
            _with(OLD, Footprint=lambda row: f"{row['Footprint']}_handsolder"), "R8", Footprint="R_1206_handsolder"
        ),
        [
            "part.column package: R_0603 → R_0603_handsolder (column spelled otherwise, 300 cells)",
            "part.package R8: SOT-23_handsolder → R_1206_handsolder ()",
        ],
    ),
    (
        "a value that changed besides",
        _edited(_with(OLD, Batch=_batch), "R9", Value="47k"),
        ["part.column Batch: – → 300 cells (column new)", "part.value R9: 10k → 47k ()"],
    ),
]


@pytest.mark.parametrize(("new", "told"), [item[1:] for item in CASES], ids=[item[0] for item in CASES])
def test_a_column_that_changes_as_a_whole_is_one_entry(new: list[Row], told: list[str]) -> None:
    found = _told(_compared(OLD, new))
    assert sorted(found) == sorted(told)
    assert len(_told(_compared(new, OLD))) == len(told)


def test_a_column_that_is_filled_for_the_first_time_is_one_entry() -> None:
    old = _with(OLD, Remark="", MPN="")
    new = _with(OLD, Remark=_batch, MPN=lambda row: f"AL-{row['Value']}")
    assert _told(_compared(old, new)) == [
        "part.column part number: – → 300 cells (column new)",
        "part.column Remark: – → 300 cells (column new)",
    ]


DISTINCT = _with(OLD, Value=lambda row: f"{row['Reference'][1:]}R")
NEAR: list[tuple[str, list[Row], list[Row], list[str]]] = [
    (
        "one cell of an empty column",
        _with(OLD, Remark=""),
        _edited(_with(OLD, Remark=""), "R7", Remark="near J1"),
        ["part.field R7:  → near J1 ()"],
    ),
    (
        "one size instead of another is no spelling",
        _with(OLD, Footprint="R_0603"),
        _with(OLD, Footprint="R_0805"),
        ["part.package R1–R300: R_0603 → R_0805 ()"],
    ),
    (
        "three of three hundred cells are no column",
        DISTINCT,
        [{**row, "Footprint": f"lib:{row['Footprint']}"} if index < 3 else row for index, row in enumerate(DISTINCT)],
        ["part.package R"],
    ),
]


@pytest.mark.parametrize(("old", "new", "told"), [item[1:] for item in NEAR], ids=[item[0] for item in NEAR])
def test_what_is_no_change_of_a_whole_column(old: list[Row], new: list[Row], told: list[str]) -> None:
    found = _told(_compared(old, new))
    assert all(any(line.startswith(start) for line in found) for start in told)
    assert not any(line.startswith("part.column") for line in found)


def test_parts_that_came_and_went_beside_a_new_column() -> None:
    new = _with([*OLD[1:], {"Reference": "C1", "Value": "1u", "Footprint": "C_0603", "Shelf": "B1"}], Batch=_batch)
    found = _told(_compared(OLD, new))
    assert found == [
        "part.added C1:  → 1u C_0603 ()",
        "part.removed R1: 22k R_0805 →  ()",
        "part.column Batch: – → 300 cells (column new)",
    ]


@pytest.mark.parametrize(
    ("table", "head", "kind"),
    [
        ("pins", ("Pin", "Net"), "pin.column"),
        ("contacts", ("Connector", "Pin", "Net"), "contact.column"),
    ],
)
def test_columns_of_other_tables(table: str, head: Sequence[str], kind: str) -> None:
    def row(number: int) -> Row:
        cells: Mapping[str, str] = {"Connector": "J1", "Pin": str(number), "Net": f"N{number}"}
        return {name: cells[name] for name in head}

    old = [row(number) for number in range(1, 41)]
    new = _with(old, Wire=lambda item: f"w{item['Pin']}", Note=lambda item: f"see {item['Pin']}")
    assert sorted(_told(_compared(old, new, table))) == [
        f"{kind} Wire: – → 40 cells (column new)",
        f"{kind} note: – → 40 cells (column new)",
    ]


def test_a_known_column_that_one_list_lacks_is_still_named_as_not_compared() -> None:
    for old, new in ((OLD, _with(OLD, MPN="AL-1")), (_with(OLD, MPN="AL-1"), OLD)):
        comparison = _compared(old, new)
        assert [item.kind for item in comparison.changes] == ["part.column"]
        assert [(item.field, item.no_column) for item in comparison.unclear] == [("part_number", True)]


def test_parts_that_go_out_of_production_are_named_though_the_whole_column_is_new() -> None:
    new = _with(OLD, **{"Life cycle": lambda row: "obsolete" if row["Reference"] in ("R3", "R4") else "active"})
    found = [item for item in judged(_files(OLD), _files(new)).findings if item.rule == "part-life-ending"]
    assert [item.subject for item in found] == ["R3, R4"]


def test_a_column_of_contacts_that_one_revision_lacks_is_named_as_not_compared() -> None:
    rows = "".join(f"J1,{number},S{number},{{level}}\n" for number in range(1, 6))
    files = {"revdiff.toml": '[design]\nname = "d"\n[boards.b]\ncontacts = "c.csv"\n'}
    full = {**files, "c.csv": "Connector,Contact,Signal,Level\n" + rows.format(level="3.3 V")}
    bare = {**files, "c.csv": "Connector,Contact,Signal,Step\n" + rows.format(level="x")}
    for old, new in ((full, bare), (bare, full)):
        assert ("all contacts", "level", True) in [
            (item.subject, item.field, item.no_column) for item in compare(old, new).unclear
        ]
