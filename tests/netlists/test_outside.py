"""An independent reader of IPC-D-356, the general-purpose package `gerbonara`, reads the same nets from the same file.

It is no dependency of this project; without it the check is skipped. Its reading of aliases, isolated points, signs
and units is its own, and so agrees only if both follow the published columns.
"""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from random import Random

import pytest

from tests.netlists.writing import file356, read356, record


def make_board(pins: int) -> bytes:
    """A board of 40-pin parts on random nets: long names through aliases, isolated pins, vias, negative places."""
    chance = Random(356)
    names = ["GND", "+3V3", *(f"NET{number}" for number in range(200)), *(f"NNAME{number}" for number in range(1, 21))]
    lines = [f"P  NNAME{number:<5} LONG_NAME_OF_SIGNAL_{number}" for number in range(1, 21)]
    for number in range(pins):
        net = "N/C" if number % 17 == 0 else chance.choice(names)
        place = chance.randint(-99_999, 999_999), chance.randint(-99_999, 999_999)
        operation = chance.choice(["317", "327"])
        if number % 11 == 0:
            lines.append(record("GND" if net == "N/C" else net, "VIA", "", *place, mid=True))
        else:
            ref, pin = f"U{number // 40}", str(number % 40 + 1)
            lines.append(record(net, ref, pin, *place, operation=operation, mid=number % 5 == 0))
    return file356(*lines)


def test_the_independent_reader_finds_the_same_pins_on_the_same_nets(tmp_path: Path) -> None:
    ipc356 = pytest.importorskip("gerbonara.ipc356")
    data = make_board(6_000)
    path = tmp_path / "board.ipc"
    path.write_bytes(data)
    netlist, told = read356(data)
    assert told == []

    inch = Decimal("0.0254")  # in metres; the other reader keeps inches as floating-point numbers
    theirs = [
        (item.ref_des, item.pin, item.net_name or "", round(item.x, 4), round(item.y, 4))
        for item in ipc356.Netlist.open(path).test_records
        if not item.is_via
    ]
    ours = [
        (item.ref, item.pin, item.net, round(float(item.x / inch), 4), round(float(item.y / inch), 4))
        for item in netlist.terminals
        if item.x is not None and item.y is not None
    ]
    assert len(ours) > 5_000
    assert sorted(ours) == sorted(theirs)
