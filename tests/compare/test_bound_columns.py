"""Columns of pin maps and contact tables belong to the place or to the signal, as the data say.

Tables as people keep them: headers in any words, most cells filled.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from revdiff.compare.comparison import Comparison, compare_designs
from tests.campaign.run import reproduces
from tests.support import load

Rows = list[list[str]]


def _compared(table: str, header: str, old: Rows, new: Rows) -> Comparison:
    def read(rows: Rows) -> dict[str, str]:
        lines = "".join(",".join(row) + "\n" for row in rows)
        return {
            "revdiff.toml": f'[design]\nname = "d"\n[boards.main]\n{table} = "table.csv"\n',
            "table.csv": f"{header}\n{lines}",
        }

    return compare_designs(load(read(old)), load(read(new)))


def _told(comparison: Comparison) -> list[str]:
    assert reproduces(comparison)
    back = compare_designs(comparison.new, comparison.old)
    assert reproduces(back)
    assert len(back.changes) == len(comparison.changes)
    return [
        f"{item.kind} {item.subject}" + (f": {item.before} → {item.after}" if "swap" not in item.kind else "")
        for item in comparison.changes
    ]


def _swapped(rows: Rows, one: int, two: int, *columns: int) -> Rows:
    """The rows with the cells of some columns exchanged between two of them."""
    rows = [list(row) for row in rows]
    for column in columns:
        rows[one][column], rows[two][column] = rows[two][column], rows[one][column]
    return rows


CABLE = "Connector,Pin,Signal,Wire,Crimp,Used for,Direction"
HARNESS: Rows = [
    ["J4", "1", "VALVE1", "red", "2.5A", "front bed", "out"],
    ["J4", "2", "VALVE2", "black", "2.5A", "rear bed", "out"],
    ["J4", "3", "FLOW", "white", "1 A", "meter", "in"],
    ["J4", "4", "TANK", "green", "1A", "float switch", "in"],
    ["J4", "5", "GND", "blue", "5A", "", "ground"],
    ["J4", "6", "NC", "grey", "1A", "", ""],
]
MCU = "Pin,Name,Net,Bank voltage,Ball colour,Peripheral,Direction,Remark"
PINS: Rows = [
    ["1", "PA0", "LED", "3.3 V", "a", "TIM2_CH1", "out", "green"],
    ["2", "PA1", "KEY", "1.8V", "b", "EXTI1", "in", "front"],
    ["3", "PA2", "TX", "3.3 V", "c", "UART1_TX", "out", "log"],
    ["4", "PA3", "RX", "1.8V", "d", "UART1_RX", "in", "console"],
    ["5", "PA4", "NC", "3.3 V", "e", "", "", ""],
]

CASES: list[tuple[str, str, str, Rows, Callable[[Rows], Rows], list[str]]] = [
    (
        "wires and crimps stay, what the contact is for goes along",
        "contacts",
        CABLE,
        HARNESS,
        lambda rows: _swapped(rows, 0, 2, 2, 5, 6),
        ["contact.swapped J4: VALVE1 ↔ FLOW"],
    ),
    (
        "everything goes along: it was rewired",
        "contacts",
        CABLE,
        HARNESS,
        lambda rows: _swapped(rows, 0, 2, 2, 3, 4, 5, 6),
        ["contact.swapped J4: VALVE1 ↔ FLOW"],
    ),
    (
        "a wire that changed besides is told at its contact",
        "contacts",
        CABLE,
        HARNESS,
        lambda rows: [
            [*row[:3], "violet" if row[1] == "3" else row[3], *row[4:]] for row in _swapped(rows, 0, 2, 2, 5, 6)
        ],
        ["contact.swapped J4: VALVE1 ↔ FLOW", "contact.field J4.3: white → violet"],
    ),
    (
        "a note that changed with its signal is told of the signal",
        "contacts",
        CABLE,
        HARNESS,
        lambda rows: [
            [*row[:5], "new meter" if row[2] == "FLOW" else row[5], row[6]] for row in _swapped(rows, 0, 2, 2, 5, 6)
        ],
        ["contact.swapped J4: VALVE1 ↔ FLOW", "contact.field J4.1: meter → new meter"],
    ),
    (
        "a signal that moves to a free contact leaves its wire behind",
        "contacts",
        CABLE,
        HARNESS,
        lambda rows: _swapped(rows, 3, 5, 2, 5, 6),
        ["contact.moved TANK: J4.4 → J4.6"],
    ),
    (
        "the bank and the ball stay with the pin",
        "pins",
        MCU,
        PINS,
        lambda rows: _swapped(rows, 0, 1, 2, 5, 6, 7),
        ["pin.swapped LED ↔ KEY"],
    ),
    (
        "a map of what the chip can do: the peripheral stays with the pin",
        "pins",
        MCU,
        PINS,
        lambda rows: _swapped(rows, 0, 1, 2, 6, 7),
        ["pin.swapped LED ↔ KEY"],
    ),
    (
        "one of two swaps goes its own way: the majority decides, the other is told",
        "pins",
        MCU,
        PINS,
        lambda rows: [
            [*row[:6], "open drain" if row[2] == "TX" else row[6], row[7]]
            for row in _swapped(_swapped(rows, 0, 1, 2, 5, 6, 7), 2, 3, 2, 5, 6, 7)
        ],
        ["pin.swapped LED ↔ KEY", "pin.swapped TX ↔ RX", "pin.direction TX: out → open drain"],
    ),
    (
        "a move to a free pin",
        "pins",
        MCU,
        PINS,
        lambda rows: _swapped(rows, 0, 4, 2, 5, 6, 7),
        ["pin.moved LED: U1.1 (PA0) → U1.5 (PA4)"],
    ),
]


@pytest.mark.parametrize(
    ("table", "header", "old", "edit", "told"), [item[1:] for item in CASES], ids=[item[0] for item in CASES]
)
def test_a_swap_drags_no_column_along(
    table: str, header: str, old: Rows, edit: Callable[[Rows], Rows], told: list[str]
) -> None:
    assert sorted(_told(_compared(table, header, old, edit(old)))) == sorted(told)


def test_a_tie_goes_to_the_habit_of_the_trade() -> None:
    # Both cells of both columns are new: nothing says with whom they went.
    new = _swapped(HARNESS, 0, 2, 2)
    for row in (new[0], new[2]):
        row[3], row[5] = f"{row[3]}/striped", f"see {row[1]}"
    assert sorted(_told(_compared("contacts", CABLE, HARNESS, new))) == sorted(
        [
            "contact.swapped J4: VALVE1 ↔ FLOW",
            "contact.field J4.1: red → red/striped",
            "contact.field J4.3: white → white/striped",
            "contact.field J4.1: meter → see 1",
            "contact.field J4.3: front bed → see 3",
        ]
    )
