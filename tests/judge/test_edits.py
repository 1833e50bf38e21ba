"""Edits of the demo's last revision that endanger it, and what every reader of one question must be told of them.

Common practice, no source: what a part that is turned, left out, exchanged or no longer stated does to a stack.
"""

from __future__ import annotations

import re
from typing import NamedTuple

import pytest

from revdiff.compare.comparison import compare_designs
from revdiff.design import Design
from revdiff.judge import judge_change, judge_itself, judge_stack, member
from revdiff.judge.registry import OF_CHANGES
from tests.judge.demo import demo_files, load_demo
from tests.judge.support import Row, c, changed, design

MANIFEST = "revdiff.toml"
PARTS = {name: f"{name}/parts.csv" for name in ("base", "valves", "radio")}
CONTACTS = {name: f"{name}/contacts.csv" for name in ("base", "valves", "radio")}
CONNECTORS = {name: f"{name}/connectors.csv" for name in ("base", "valves", "radio")}


class Edit(NamedTuple):
    """Texts of one file that become others, by regular expressions, once each. ``rule``: one that has to find it.

    ``change`` and ``stack``: the answer of the comparison, and of the new revision stacked by itself.
    """

    name: str
    file: str
    edits: tuple[tuple[str, str], ...]
    change: str
    stack: str
    rule: str = ""
    hazard: bool = False


EDITS = (
    Edit(
        "a rail that the manifest says a board feeds is taken at all its contacts",
        CONTACTS["base"],
        ((r"(?m)^(J1,\d+,\+3V3,.*)supply out", r"\1supply in"),) * 3,
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "a supply is given from both sides of two contacts",
        CONTACTS["radio"],
        ((r"(?m)^(J1,[12],\+3V3,.*)supply in", r"\1supply out"),) * 2,
        "cannot tell",
        "cannot tell",
        "joint-supply-given-twice",
    ),
    Edit(
        "a ground contact is said to carry less than comes back through its joint",
        CONTACTS["base"],
        ((r"(?m)^(J10,3,GND,supply,ground,)4 A", r"\g<1>0.4 A"),),
        "fits with care",
        "fits with care",
        "stack-return-budget",
    ),
    Edit(
        "all grounds of two joints are said to carry less than comes back",
        CONTACTS["base"],
        (
            *((rf"(?m)^(J10,{at},GND,supply,ground,)4 A", r"\g<1>0.4 A") for at in (3, 4)),
            *((rf"(?m)^(J2,{at},GND,supply,ground,)2 A", r"\g<1>0.2 A") for at in (5, 6, 7, 8, 21)),
        ),
        "does not fit",
        "does not fit",
        "stack-return-budget",
    ),
    Edit(
        "what gave a signal that another board passes on takes it",
        CONTACTS["radio"],
        ((r"(?m)^(J1,18,GNSS_PPS,)out", r"\1in"),),
        "fits with care",
        "fits with care",
        "stack-no-driver",
    ),
    Edit(
        "what gave a voltage that is measured takes it",
        CONTACTS["valves"],
        ((r"(?m)^(J2,22,VALVE_ISENSE,)out", r"\1in"),),
        "fits with care",
        "fits with care",
        "stack-no-driver",
    ),
    Edit(
        "a contact takes what the controller gives",
        CONTACTS["base"],
        ((r"(?m)^(J2,18,HEAT_EN,drive,)out", r"\1in"),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "the resistor that holds a signal, by the parts list's own words, is not fitted",
        PARTS["base"],
        ((r"(?m)^(R32,.*,)yes,", r"\1no,"),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "the same has another value than the pin map states",
        PARTS["base"],
        ((r"(?m)^(R32,.*,)10k,", r"\g<1>1M,"),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "the same is in the list no more",
        PARTS["base"],
        ((r"(?m)^R32,.*\n", ""),),
        "cannot tell",
        "fits",
    ),
    Edit(
        "the resistor that a note beside the pull names is not fitted",
        PARTS["radio"],
        ((r"(?m)^(R4 R17,.*,)yes,", r"\1no,"),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "a boot strap is pulled the other way than its resistor is called",
        "base/pins.csv",
        ((r"(?m)^(U1,60,.*)down 10k", r"\1up 10k"),),
        "does not fit",
        "cannot tell",
    ),
    Edit(
        "a resistor in series of a signal is in the list no more",
        PARTS["base"],
        ((r"(?m)^R45,.*\n", ""),),
        "fits",
        "fits",
    ),
    Edit(
        "a connector of a joint is a header in the parts list, and female in its table",
        PARTS["base"],
        ((r'(?m)^(J2,1,"power and drive lines, to valves",)2x12 socket(.*)PW-S212', r"\1 2x12 header\2PW-H212"),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "the resistor that firmware recognises the board by is not fitted",
        PARTS["base"],
        ((r"(?m)^(R36,.*,)yes,", r"\1no,"),),
        "does not fit",
        "fits",
        "firmware-identity-changed",
    ),
    Edit(
        "a link takes the place of a pull-down",
        PARTS["valves"],
        ((r"(?m)^R9;1;100k", "R9;1;0R"),),
        "does not fit",
        "does not fit",
        "stack-pull-overload",
    ),
    Edit(
        "a fuse lets more through",
        PARTS["base"],
        ((r"(?m)^(F1,.*battery fuse,)10 A(.*)10A(.*)10A", r"\g<1>20 A\g<2>20A\g<3>20A"),),
        "fits",
        "fits",
        "part-fuse-raised",
    ),
    Edit(
        "one of two freewheel diodes is left out",
        PARTS["valves"],
        ((r"(?m)^D8, D9;2", "D8;1"),),
        "fits",
        "fits",
        "part-protection-removed",
    ),
    Edit(
        "a pin has another level than the contact of its signal",
        "base/pins.csv",
        ((r"(?m)^(U1,25,PC5,HEAT_EN,.*?)3\.3 V", r"\g<1>5 V"),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "a contact to the outside is said to carry more than its connector is rated for",
        CONTACTS["base"],
        ((r"(?m)^(J3,1,BAT\+,battery,supply in,)8 A", r"\g<1>15 A"),),
        "does not fit",
        "does not fit",
        "stack-contact-rating",
        hazard=True,
    ),
    Edit(
        "the supply pin of an expander is on the battery",
        "valves/pins.csv",
        ((r"(?m)^U1,1,VDD,\+3V3,,supply in,,,3\.3 V", "U1,1,VDD,VBAT_SW,,supply in,,,14.4 V"),),
        "does not fit",
        "fits",
        "part-supply-changed",
        hazard=True,
    ),
    Edit(
        "a column of directions has a header that nobody knows",
        CONTACTS["radio"],
        (("Direction", "Dirn"),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "a column of levels likewise",
        CONTACTS["radio"],
        (("Level", "Lvl"),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "a contact to the outside has another supply, of which no level is stated",
        CONTACTS["valves"],
        ((r"(?m)^J9,1,VFLOW,supply out,5 V", "J9,1,+24V,supply out,"),),
        "does not fit",
        "fits",
        hazard=True,
    ),
    Edit(
        "a connector of a joint is not in the parts list, which has others",
        PARTS["valves"],
        ((r"(?m)^J11;.*\n", ""),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "a load gets the port that another signal has",
        "base/pins.csv",
        ((r"(?m)^(U1,25,)PC5(,HEAT_EN,)", r"\1PB2\2"),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "a connector of a joint is not fitted",
        PARTS["valves"],
        ((r"(?m)^(J11;.*;)yes;", r"\1no;"),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "the controller of three releases is not fitted",
        PARTS["base"],
        ((r"(?m)^(U1,.*,)yes,", r"\1no,"),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "the memory that software tells the board by is not fitted",
        PARTS["radio"],
        ((r"(?m)^(U3[;,\t].*[;,\t])yes([;,\t])", r"\1no\2"),),
        "does not fit",
        "does not fit",
    ),
    Edit(
        "a connector to the outside is not fitted, which no joint needs",
        PARTS["base"],
        ((r"(?m)^(J7,.*,)yes,", r"\1no,"),),
        "fits",
        "fits",
    ),
    Edit(
        "a cell that says whether a pull-down is fitted says it no more",
        PARTS["valves"],
        ((r"(?m)^(R9;.*;)yes;", r"\1-;"),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "the same of a part that nothing else names",
        PARTS["valves"],
        ((r"(?m)^(C1[-;].*;)yes;", r"\1;"),),
        "fits",
        "fits",
    ),
    Edit(
        "a pull-down in two rows, with two values",
        PARTS["valves"],
        ((r"(?m)^(R9;1;)100k(;.*\n)", r"\g<1>100k\2\g<1>10M\2"),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "a contact in two rows, with two signals",
        CONTACTS["base"],
        ((r"(?m)^J2,9,VALVE1(,.*\n)", r"J2,9,VALVE1\1J2,9,HEAT_EN\1"),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "the same, the other signal first",
        CONTACTS["base"],
        ((r"(?m)^J2,9,VALVE1(,.*\n)", r"J2,9,HEAT_EN\1J2,9,VALVE1\1"),),
        "does not fit",
        "does not fit",
        hazard=True,
    ),
    Edit(
        "a need in two rows, with two pins",
        "firmware/irrigation.csv",
        ((r"(?m)^HEAT_EN,25(,.*\n)", r"HEAT_EN,25\1HEAT_EN,26\1"),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "a section of the manifest that can't be read",
        MANIFEST,
        ((r'"\+3V3" = "0\.3 A"', '"+3V3" = "some"'),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "a connector of one row turned by half a turn",
        CONNECTORS["base"],
        ((r"(?m)^(J10,.*66 mm,)0,", r"\g<1>180,"),),
        "does not fit",
        "cannot tell",
        hazard=True,
    ),
    Edit(
        "a connector of two rows turned by half a turn",
        CONNECTORS["base"],
        ((r"(?m)^(J1,.*40 mm,)90,", r"\g<1>270,"),),
        "does not fit",
        "cannot tell",
        hazard=True,
    ),
    Edit(
        "a connector turned by a quarter",
        CONNECTORS["radio"],
        ((r"(?m)^(J2,.*74 mm,)180,", r"\g<1>90,"),),
        "does not fit",
        "cannot tell",
        hazard=True,
    ),
    Edit(
        "all connectors of a board in other coordinates",
        CONNECTORS["radio"],
        ((r"(?m)^(J1,.*11 mm,)15 mm,74 mm,0", r"\g<1>20 mm,74 mm,0"), (r"(?m)^(J2,.*)56 mm", r"\g<1>61 mm")),
        "fits with care",
        "fits",
    ),
    Edit(
        "both ground contacts of a joint gone",
        CONTACTS["base"],
        ((r"(?m)^J10,3,GND.*\n", ""), (r"(?m)^J10,4,GND.*\n", "")),
        "does not fit",
        "does not fit",
        "joint-ground-lost",
        hazard=True,
    ),
    Edit(
        "a part that blocks became a resistor",
        PARTS["radio"],
        (("(?m)^D11,1,schottky,SOD-123,(.*?),LKS140D", "D11,1,0R,SOD-123,\\1,TSY-0R"),),
        "fits",
        "fits",
        "part-protection-removed",
    ),
    Edit(
        "what a joint pairs is no longer stated",
        MANIFEST,
        (('\\[\\[joints\\]\\]\\na = "base\\.J10"\\nb = .*\\n.*\\n', ""),),
        "does not fit",
        "cannot tell",
    ),
    Edit(
        "a pull-down is no longer stated",
        MANIFEST,
        (('HEAT_EN = "down R9"\\n', ""),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "a pull-up is no longer stated, and a column has another",
        MANIFEST,
        (('BOARD_ID = "up 1k .*\\n', ""),),
        "does not fit",
        "cannot tell",
    ),
    Edit(
        "a pull-up is no longer stated, and a column has it, too",
        MANIFEST,
        (('I2C1_SCL = "up 4k7.*\\n', ""),),
        "fits",
        "fits",
    ),
    Edit(
        "what feeds a rail is no longer stated",
        MANIFEST,
        (("\\[boards\\.base\\.feeds\\].*\\n.*\\n", ""),),
        "cannot tell",
        "fits",
    ),
    Edit(
        "a load is no longer stated",
        MANIFEST,
        (("\\[boards\\.valves\\.loads\\].*\\n.*\\n", ""),),
        "cannot tell",
        "fits",
    ),
    Edit(
        "a load of a rail that nothing has",
        MANIFEST,
        (('(\\[boards\\.valves\\.loads\\].*\\n"\\+3V3)"', '\\1X"'),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "a pull of a signal that nothing has",
        MANIFEST,
        (('VALVE6 = "down R6"', 'VALVE7 = "down R6"'),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "a bus of a signal that nothing has",
        MANIFEST,
        (('signals = \\["I2C1_SCL", ', 'signals = ["I2C1_CLK", '),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "a bus is no longer stated",
        MANIFEST,
        (("\\[buses\\.I2C1\\].*\\n(?:[a-z].*\\n)+", ""),),
        "cannot tell",
        "fits",
    ),
    Edit(
        "a constant of firmware is no longer stated",
        MANIFEST,
        (('battery_ratio = "0\\.2157"\\n', ""),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "limits of a derived quantity are no longer stated",
        MANIFEST,
        (('low = "3\\.2 V"\\nhigh = .*\\n', ""),),
        "cannot tell",
        "fits",
    ),
    Edit(
        "a part that software talks to is no longer stated",
        MANIFEST,
        (("\\[software\\.eeprom\\].*\\n(?:[a-z].*\\n)+", ""),),
        "cannot tell",
        "fits",
    ),
    Edit(
        "limits of a controller are no longer stated",
        MANIFEST,
        (("input_limit = .*\\n", ""),),
        "cannot tell",
        "fits",
    ),
    Edit(
        "the resistors of a bus have another value in the parts list, and the old one in the manifest",
        PARTS["base"],
        ((r"(?m)^(.R18, R19.,.*up,)4k7(.*)4K7", r"\g<1>47k\g<2>47K"),),
        "does not fit",
        "does not fit",
        "stack-bus-pull",
    ),
    Edit(
        "a ground contact is given a signal, and goes on being called ground",
        CONTACTS["base"],
        ((r"(?m)^J1,4,GND,", "J1,4,SPI1_SCK,"),),
        "cannot tell",
        "cannot tell",
    ),
    Edit(
        "a contact of a cable's connector carries another signal of the board",
        CONTACTS["valves"],
        ((r"(?m)^J6,6,VALVE_COM,", "J6,6,VALVE3_OUT,"),),
        "fits with care",
        "fits",
        "cable-pinout-changed",
    ),
    Edit(
        "a contact that passes a signal on is gone",
        CONTACTS["valves"],
        ((r"(?m)^J3,13,GNSS_TXD,.*\n", ""),),
        "does not fit",
        "fits",
    ),
    Edit(
        "the needs of a release are no longer listed",
        MANIFEST,
        ((r'needs = "firmware/irrigation.csv"\n', ""),),
        "cannot tell",
        "fits",
    ),
    Edit(
        "the only release of a controller is no longer listed",
        MANIFEST,
        (
            (
                r"\[firmware\.radio-link\]\n(?:[a-z].*\n)+\n\[firmware\.radio-link\.constants\]\n(?:[a-z].*\n)+",
                "",
            ),
        ),
        "cannot tell",
        "fits",
    ),
    Edit(
        "a cell that firmware relies on is emptied",
        "base/pins.csv",
        ((r"(?m)^(U1,26,.*PUMP1_PWM,)TIM1_CH2N", r"\1"),),
        "cannot tell",
        "fits",
    ),
    Edit(
        "a signal that is passed on is taken for its partner of a serial line",
        CONTACTS["valves"],
        ((r"(?m)^J3,12,GNSS_RXD,", "J3,12,GNSS_TXD,"),),
        "does not fit",
        "fits with care",
    ),
    Edit(
        "the value of a pull-down is a word",
        PARTS["valves"],
        ((r"(?m)^(R9;1;)100k;", r"\1see note;"),),
        "cannot tell",
        "cannot tell",
    ),
)

_OF_CHANGES = {item.name for item in OF_CHANGES}


def _edited(file: str, edits: tuple[tuple[str, str], ...]) -> Design:
    files = dict(demo_files())
    for pattern, text in edits:
        files[file], count = re.subn(pattern, text, files[file], count=1)
        assert count == 1, f"{pattern} is not in {file}"
    return load_demo(files)


@pytest.mark.slow
@pytest.mark.parametrize("edit", EDITS, ids=lambda item: item.name)
def test_every_reader_is_told(edit: Edit) -> None:
    old, new = _edited(edit.file, ()), _edited(edit.file, edit.edits)
    verdict = judge_change(compare_designs(old, new), "old", "new")
    alone = judge_stack([member(new, name, "new") for name in new.boards])
    assert (verdict.answer, alone.answer) == (edit.change, edit.stack)
    assert [item.answer for item in judge_itself(new, "new")] == [edit.stack]
    if edit.rule:
        assert edit.rule in {item.rule for item in verdict.findings}
        assert (edit.rule in {item.rule for item in alone.findings}) == (edit.rule not in _OF_CHANGES)
    found = (*verdict.findings, *(item for item in alone.findings if item.rule == edit.rule))
    assert any(item.hazard for item in found) == edit.hazard


def test_a_fault_that_stood_before_is_no_news_of_the_change_but_of_the_stack() -> None:
    twice = ((r"(?m)^J2,9,VALVE1(,.*\n)", r"J2,9,VALVE1\1J2,9,HEAT_EN\1"),)
    old = _edited(CONTACTS["base"], twice)
    new = _edited(CONTACTS["base"], (*twice, (r"(?m)^J8,1,ALARM_OUT(.*)0\.5 A", r"J8,1,ALARM_OUT\g<1>0.4 A")))
    assert judge_change(compare_designs(old, new), "old", "new").answer == "fits with care"
    assert judge_stack([member(new, name, "new") for name in new.boards]).answer == "cannot tell"


def test_a_check_that_could_be_made_and_cannot_be_any_more_leaves_it_open() -> None:
    def stack(third: Row) -> Design:
        base = (c("GND", "ground"), c("+5V", "supply out", "5 V", current="1 A"), third)
        top = (c("GND", "ground"), c("+5V", "supply in", "5 V", current="0.5 A"), third)
        return design({"base": base, "top": top})

    old, same, vague = stack(c("")), stack(c("NC")), stack(c("+5V", "supply", "5 V"))
    assert changed(old, same).answer == "fits"
    assert changed(old, vague).answer == "cannot tell"
    assert changed(vague, stack(c("+5V", "supply", "5.0 V"))).answer == "fits"
