"""Parts that make a voltage, or protect: what a change of them is told as. Names are invented."""

from __future__ import annotations

import pytest

from revdiff.compare.comparison import compare_designs
from revdiff.judge import judge_change
from tests.support import SMALL, edit, judged, load

HEAD = "Designator,Value,Part number,Description,Fitted,Package\n"


def told(before: str, after: str) -> list[tuple[str, str]]:
    """Rules of guards that fire between two rows of a parts list; an empty row: there is none."""
    old, new = (
        load(edit({**SMALL, "top/parts.csv": f"{HEAD}R7,10k,RA,,yes,0603\n{row and row + ',SOT-23'}\n"}))
        for row in (before, after)
    )
    found = judge_change(compare_designs(old, new), "old", "new").findings
    return [(item.rule, item.severity) for item in found if item.rule.startswith(("part-output", "part-protection"))]


VOLTAGE, GUARD = [("part-output-voltage", "caution")], [("part-protection-removed", "caution")]


@pytest.mark.parametrize(
    ("before", "after", "expected"),
    [
        ("U5,LDO 3.3 V,AB-1,,yes", "U5,LDO 5 V,AB-2,,yes", VOLTAGE),
        ("U5,3V3,AB-1,voltage regulator,yes", "U5,5V0,AB-2,voltage regulator,yes", VOLTAGE),
        ("U5,regulator,AB1117-3.3,,yes", "U5,regulator,AB1117-5.0,,yes", VOLTAGE),
        ("U5,regulator,AB1117-33,,yes", "U5,regulator,AB1117-50,,yes", VOLTAGE),
        # The same voltage, another maker; and a controller, whose number ends in figures that are none.
        ("U5,LDO 3.3 V,AB-1,,yes", "U5,LDO 3V3,CD-7,,yes", []),
        ("U5,regulator,AB1117-33,,yes", "U5,regulator,CD4503,,yes", []),
        ("U5,controller,MC-30,,yes", "U5,controller,MC-31,,yes", []),
        # The rating of a capacitor is no voltage that it makes.
        ("C5,1u 16 V,CA-1,,yes", "C5,1u 50 V,CA-2,,yes", []),
        ("D5,TVS 15 V,TV-15,,yes", "", GUARD),
        ("D5,SMBJ,TV-15,transient suppressor,yes", "D5,SMBJ,TV-15,transient suppressor,no", GUARD),
        ("F5,2 A,FU-2,,yes", "", GUARD),
        ("Q5,MOSFET,QP-1,reverse battery protection,yes", "Q5,MOSFET,QP-1,reverse battery protection,no", GUARD),
        ("D5,Diode,DI-1,Verpolungsschutz,yes", "", GUARD),
        ("R5,10k,RA,write protect of the memory,yes", "", []),
        ("D5,diode,DI-1,,yes", "", []),
        ("D5,TVS 15 V,TV-15,,no", "", []),
        ("D5,TVS 15 V,TV-15,,no", "D5,TVS 15 V,TV-15,,yes", []),
        ("F5,2 A,FU-2,,yes", "F5,0R,RZ,,yes", GUARD),
        ("D5,TVS 15 V,TV-15,,yes", "D5,0R,RZ,,yes", GUARD),
        ("D5,TVS 15 V,TV-15,,yes", "D5,TVS 18 V,TV-18,,yes", []),
        ("F5,2 A,FU-2,,yes", "F5,1 A,FU-1,,yes", []),
    ],
)
def test_what_makes_a_voltage_and_what_protects(before: str, after: str, expected: list[tuple[str, str]]) -> None:
    assert told(before, after) == expected


@pytest.mark.parametrize(
    ("after", "expected"),
    [
        ("D5,0R,RZ,,yes", GUARD),
        ("D5,schottky,DI-1,,no", GUARD),
        ("", GUARD),
        ("D5,schottky 60 V,DI-2,,yes", []),
    ],
)
def test_what_the_manifest_says_to_block_protects(after: str, expected: list[tuple[str, str]]) -> None:
    blocking = ("revdiff.toml", "[boards.top]", '[boards.top.blocking]\n"+5V" = "D5"\n[boards.top]')
    one, two = (
        load(edit({**SMALL, "top/parts.csv": f"{HEAD}R7,10k,RA,,yes,0603\n{row and row + ',SOT-23'}\n"}, *edits))
        for row, edits in (("D5,schottky,DI-1,,yes", [blocking]), (after, [blocking] if after else []))
    )
    found = judge_change(compare_designs(one, two), "old", "new").findings
    assert [(item.rule, item.severity) for item in found if item.rule == "part-protection-removed"] == expected
    assert one.boards["top"].sections.blocking == {"+5v": "D5"}
    assert ("D5" in two.boards["top"].sections.blocking.values()) == (not expected)


@pytest.mark.parametrize(
    ("before", "after", "raised"),
    [
        ("2 A", "2.5 A", True),
        ("0.5 A resettable", "1 A resettable", True),
        ("2A", "2000 mA", False),
        ("", "3 A", False),
    ],
)
def test_a_fuse_is_read_however_it_is_written(before: str, after: str, *, raised: bool) -> None:
    fuse = "F1,1,{},2410,FU-1,,,,yes,active,0.20\nD1,1,LED red"
    old = edit(SMALL, ("base/parts.csv", "D1,1,LED red", fuse.format(before)))
    new = edit(SMALL, ("base/parts.csv", "D1,1,LED red", fuse.format(after)))
    assert ("part-fuse-raised" in {item.rule for item in judged(old, new).findings}) == raised
