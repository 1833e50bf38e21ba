"""What the parts list says of connectors and pulls, against the tables that state them. Common practice, no source."""

from __future__ import annotations

import pytest

from revdiff.judge.drift import drifts
from revdiff.judge.effects import unjudged_parts
from revdiff.judge.listed import holding, not_as_stated, other_gender
from revdiff.judge.revisions import Revisions
from tests.support import SMALL, compare, edit, load

PARTS, PINS = "base/parts.csv", "base/pins.csv"
J1 = (PARTS, "D1,1,LED red", "J1,1,{},THT,PH-6,,,,yes,active,0.20\nD1,1,LED red")


@pytest.mark.parametrize(
    ("said", "other"),
    [
        ("1x6 header", False),
        ("Stiftleiste 1x6", False),
        ("1x6 socket", True),
        ("female header 1x6", True),
        ("Buchsenleiste", True),
        ("connector 1x6", False),
    ],
)
def test_a_connector_is_of_the_gender_that_its_part_is_called(said: str, *, other: bool) -> None:
    board = load(edit(SMALL, (J1[0], J1[1], J1[2].format(said)))).boards["base"]
    assert (other_gender(board, board.connectors["J1"]) is not None) == other


@pytest.mark.parametrize(("number", "codes"), [("PH-6", []), ("PH-8", ["connector-part"]), ("", [])])
def test_a_connector_has_the_part_number_of_its_part(number: str, codes: list[str]) -> None:
    listed = J1[2].format("connector").replace("PH-6", number)
    found = drifts(load(edit(SMALL, (J1[0], J1[1], listed))))
    assert [item.code for item in found if item.subject == "J1" and item.code.startswith("connector-p")] == codes


def resistor(text: str, pull: str = "down 10k") -> dict[str, str]:
    return edit(
        SMALL,
        (PARTS, "Designator,Quantity,Value", "Designator,Quantity,Description,Value"),
        *((PARTS, f"\n{ref},1,", f"\n{ref},1,{text if ref == 'R1' else ''},") for ref in ("R1", "R2", "C1", "C2")),
        *((PARTS, f"\n{ref},1,", f"\n{ref},1,,") for ref in ("U1", "U2", "D1")),
        (PINS, "U1,2,PA1,HEAT,GPIO,out,high,down,", f"U1,2,PA1,HEAT,GPIO,out,high,{pull},"),
    )


@pytest.mark.parametrize(
    ("text", "pull", "found"),
    [
        ("HEAT low at reset", "down 10k", [""]),
        ("HEAT low at reset", "down 22k", ["10k in the parts list"]),
        ("HEAT low at reset", "up 10k", ["called HEAT low at reset in the parts list"]),
        ("HEAT pull-up", "up 10k", [""]),
        ("HEAT high or low", "up 10k", [""]),
        ("HEAT low at reset", "down", []),
        ("HEAT series", "down 22k", []),
        ("pull-down", "down 22k", []),
    ],
)
def test_the_resistor_that_is_called_after_a_signal_is_the_one_that_is_stated(
    text: str, pull: str, found: list[str]
) -> None:
    board = load(resistor(text, pull)).boards["base"]
    assert [not_as_stated(item) for item in holding(board)] == found


@pytest.mark.parametrize(
    ("text", "change", "found"),
    [
        ("R1,1,10k", "R1,1,22k", {"base": ("R1",)}),
        ("RA-10K", "RB-10K", {}),  # the same value of another make
        ("C1,1,100n,0603,CA-100N,10%,50 V,X7R,yes", "C1,1,100n,0603,CA-100N,10%,50 V,X7R,no", {"base": ("C1",)}),
        ("U1,1,controller", "U1,1,controller 2", {}),  # judged by its pins
        ("R2,1,4k7,0603,RA-4K7,1%,,,yes,active,0.01\n", "", {"base": ("R2",)}),
    ],
)
def test_parts_that_act_otherwise_and_that_nothing_speaks_of(
    text: str, change: str, found: dict[str, tuple[str, ...]]
) -> None:
    comparison = compare(SMALL, edit(SMALL, (PARTS, text, change)))
    assert unjudged_parts(Revisions(comparison, "old", "new")) == found


def test_a_part_that_a_formula_or_a_pull_names_is_judged_by_that() -> None:
    named = edit(SMALL, ("revdiff.toml", "[boards.top]", '[boards.base.pulls]\nHEAT = "down R1"\n\n[boards.top]'))
    comparison = compare(named, edit(named, (PARTS, "R1,1,10k", "R1,1,22k")))
    assert unjudged_parts(Revisions(comparison, "old", "new")) == {}
