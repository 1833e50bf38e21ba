"""What a netlist says of resistors on a signal, of dividers, and of open terminals.

The ratio of a divider is R2 / (R1 + R2) (Ohm's law and Kirchhoff's voltage law; any handbook of circuits).
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from revdiff.design import Board
from revdiff.judge.terminals import leading_nowhere
from revdiff.judge.wired import dividers, wired_pulls
from tests.nets.writing import as_356, files, parsed
from tests.support import load

PARTS = "R1,10k R2,4k7 R3,22 R4,100k U1,controller U2,driver J1,plug D1,red"


def board(nets: str, parts: str = PARTS) -> Board:
    pins = "U1.1 SDA U1.2 SENSE"
    return load(files(as_356(parsed(nets)), "ipc", parts, pins)).boards["main"]


REST = "GND: J1.9 D1.1 R4.1\nVX: D1.2 R4.2 J1.8\n"


@pytest.mark.parametrize(
    ("nets", "said"),
    [
        ("SDA: U1.1 R1.1\n+3V3: R1.2 U2.1 R2.1 R3.1\nGND: R2.2 R3.2 J1.9", "R1 up 10000 +3v3"),
        ("SDA: U1.1 R1.1\nGND: R1.2 U2.1 R2.1 R3.1\nX: R2.2 R3.2 J1.9", "R1 down 10000"),
        # Behind a series resistor of 22 Ω.
        ("SDA: U1.1 R3.1\nSDA_J: R3.2 R1.1 J1.1\n+3V3: R1.2 U2.1 R2.1\nGND: R2.2 J1.9", "R1 up 10022 +3v3"),
        # A resistor between two signals pulls neither.
        ("SDA: U1.1 R1.1\nSCL: R1.2 J1.1\n+3V3: U2.1 R2.1\nGND: R2.2 J1.9 R3.1\nY: R3.2 J1.4", "nothing"),
        # Another part on the signal may hold it: nothing can be said.
        ("SDA: U1.1 U2.3\n+3V3: U2.1 R2.1 R1.1\nGND: R2.2 J1.9 R3.1 R1.2\nY: R3.2 J1.4", "unknown"),
        # The netlist lacks parts of the list.
        ("SDA: U1.1 J1.1\n+3V3: U2.1 R2.1\nGND: R2.2 J1.9", "unknown"),
    ],
)
def test_the_resistors_on_a_signal(nets: str, said: str) -> None:
    pulls = wired_pulls(board(f"{nets}\nZ: R4.1 D1.1\nW: R4.2 D1.2" if said != "unknown" or "U2.3" in nets else nets))
    found = pulls.get("sda")
    if found is None:
        assert said == "unknown"
    else:
        texts = [f"{item.ref} {item.way} {item.ohms:.0f} {item.rail}".strip() for item in found]
        assert (", ".join(texts) or "nothing") == said


@pytest.mark.parametrize(
    ("nets", "ratio"),
    [
        ("SENSE: U1.2 R1.2 R2.1\n+5V: R1.1 J1.1\nGND: R2.2 J1.9", "4700 / 14700"),
        ("SENSE: U1.2 R1.2 R2.1\nGND: R1.1 J1.9\n+5V: R2.2 J1.1", "10000 / 14700"),
        # Three resistors are no divider of two, nor is one.
        ("SENSE: U1.2 R1.2 R2.1 R3.1\nGND: R1.1 R3.2 J1.9\n+5V: R2.2 J1.1", ""),
        ("SENSE: U1.2 R1.2 J1.5\nGND: R1.1 J1.9", ""),
    ],
)
def test_dividers(nets: str, ratio: str) -> None:
    found = dividers(board(nets)).get("sense")
    if not ratio:
        assert found is None
    else:
        low, _, total = ratio.partition(" / ")
        assert found is not None
        assert found.ratio == Decimal(low) / Decimal(total)


def test_terminals_that_lead_nowhere_whatever_their_nets_are_called() -> None:
    whole = board(
        "SDA: U1.1\nSENSE: U1.2 R1.1 R2.1 R3.1\nGND: R1.2 R2.2 R3.2 U2.1 J1.1 D1.1 R4.1\nX: R4.2 D1.2\n*: U2.2"
    )
    assert leading_nowhere(whole) == {("U1", "1"), ("U2", "2")}
    part = board("SDA: U1.1\nSENSE: U1.2 R1.1")  # the netlist lacks parts of the list
    assert leading_nowhere(part) == frozenset()


@pytest.mark.parametrize(
    ("nets", "nowhere"),
    [
        ("SDA: U1.1 U1.7\nSENSE: U1.2 R2.1 R3.1", {("U1", "1"), ("U1", "7")}),
        ("SDA: U1.1\nSENSE: U1.2 U1.7 R2.1 R3.1", {("U1", "1")}),
        # The pin map states SDA at pin 1 and SENSE at 2; a link of two pins that it states itself is meant.
        ("SDA: U1.1 U1.2\nX: R2.1 R3.1", {("U1", "1"), ("U1", "2")}),
        ("SDA: U1.1 U1.3\nX: U1.2 R2.1 R3.1", set()),
    ],
)
def test_a_net_of_one_part_leads_nowhere_unless_a_table_states_the_link(
    nets: str, nowhere: set[tuple[str, str]]
) -> None:
    rest = "GND: R1.2 R2.2 R3.2 U2.1 J1.1 D1.1 R4.1\nY: R4.2 D1.2 R1.1"
    loaded = load(files(as_356(parsed(f"{nets}\n{rest}")), "ipc", PARTS, "U1.1 SDA U1.2 SENSE U1.3 SDA"))
    assert leading_nowhere(loaded.boards["main"]) == nowhere
