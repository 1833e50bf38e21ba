"""Stacks of the small design, and a design of three boards of which the middle one passes signals on."""

from __future__ import annotations

from revdiff.design import Design
from revdiff.judge import Member, Verdict, judge_stack, member
from tests.support import SMALL, Files, edit, load

CONNECTOR = "Connector,Role,Contacts,Rows,Pitch,Gender,Height,X,Y,Rotation,Rating\n"
CONTACT = "Connector,Contact,Signal,Direction,Level,Current,Function,Pull\n"
PIN = "Device,Pin,Port,Signal,Function,Direction,Active,Pull,Level,Address\n"

THREE: Files = {
    "revdiff.toml": """\
[design]
name = "three"
[boards.base]
revision = "A"
pins = "base/pins.csv"
connectors = "base/connectors.csv"
contacts = "base/contacts.csv"
[boards.mid]
revision = "A"
pins = "mid/pins.csv"
connectors = "mid/connectors.csv"
contacts = "mid/contacts.csv"
[boards.top]
revision = "A"
pins = "top/pins.csv"
connectors = "top/connectors.csv"
contacts = "top/contacts.csv"
[[joints]]
a = "base.J1"
b = "mid.J1"
[[joints]]
a = "mid.J2"
b = "top.J1"
""",
    "base/connectors.csv": CONNECTOR + "J1,joint,6,1,2.54 mm,male,11 mm,10 mm,10 mm,0,3 A\n",
    "mid/connectors.csv": CONNECTOR
    + "J1,joint,6,1,2.54 mm,female,11 mm,10 mm,10 mm,0,3 A\nJ2,joint,6,1,2.54 mm,male,11 mm,40 mm,10 mm,0,3 A\n",
    "top/connectors.csv": CONNECTOR + "J1,joint,6,1,2.54 mm,female,11 mm,40 mm,10 mm,0,3 A\n",
    "base/contacts.csv": CONTACT
    + """\
J1,1,+3V3,supply out,3.3 V,1 A,,
J1,2,GND,ground,,,,
J1,3,I2C1_SCL,open drain,3.3 V,,I2C,
J1,4,I2C1_SDA,open drain,3.3 V,,I2C,
J1,5,DATA,out,3.3 V,,,
J1,6,nCS,out,3.3 V,,select,
""",
    "mid/contacts.csv": CONTACT
    + """\
J1,1,+3V3,supply in,3.3 V,0.6 A,,
J1,2,GND,ground,,,,
J1,3,I2C1_SCL,open drain,3.3 V,,I2C,
J1,4,I2C1_SDA,open drain,3.3 V,,I2C,
J1,5,DATA,in,3.3 V,,,
J1,6,nCS,in,3.3 V,,select,
J2,1,+3V3,supply out,3.3 V,0.4 A,,
J2,2,GND,ground,,,,
J2,3,I2C1_SCL,open drain,3.3 V,,I2C,
J2,4,I2C1_SDA,open drain,3.3 V,,I2C,
J2,5,DATA,out,3.3 V,,,
J2,6,nCS,out,3.3 V,,select,
""",
    "top/contacts.csv": CONTACT
    + """\
J1,1,+3V3,supply in,3.3 V,0.4 A,,
J1,2,GND,ground,,,,
J1,3,I2C1_SCL,open drain,3.3 V,,I2C,
J1,4,I2C1_SDA,open drain,3.3 V,,I2C,
J1,5,DATA,in,3.3 V,,,
J1,6,nCS,in,3.3 V,,select,
""",
    "base/pins.csv": PIN
    + """\
U1,1,P1,I2C1_SCL,I2C1_SCL,open drain,,up 4k7,3.3 V,
U1,2,P2,I2C1_SDA,I2C1_SDA,open drain,,up 4k7,3.3 V,
U1,3,P3,DATA,GPIO,out,high,none,3.3 V,
U1,4,P4,nCS,GPIO,out,low,up 10k,3.3 V,
""",
    "mid/pins.csv": PIN
    + """\
U1,1,SCL,I2C1_SCL,I2C,open drain,,up 4k7,3.3 V,0x20
U1,2,SDA,I2C1_SDA,I2C,open drain,,up 4k7,3.3 V,
""",
    "top/pins.csv": PIN
    + """\
U1,1,SCL,I2C1_SCL,I2C,open drain,,up 4k7,3.3 V,0x21
U1,2,SDA,I2C1_SDA,I2C,open drain,,up 4k7,3.3 V,
U1,3,CS,nCS,SPI,in,low,up 10k,3.3 V,
""",
}
BASE, MID, TOP = "base/contacts.csv", "mid/contacts.csv", "top/contacts.csv"
MANIFEST = "revdiff.toml"
Edit = tuple[str, str, str]


def stack_of(*members: tuple[Design, str], revision: str = "r") -> list[Member]:
    """A stack of boards, each of a design."""
    return [member(design, board, revision) for design, board in members]


def three(*edits: Edit) -> Verdict:
    """The verdict of all three boards after edits."""
    design = load(edit(THREE, *edits))
    return judge_stack(stack_of((design, "base"), (design, "mid"), (design, "top")))


def two(*edits: Edit, base: tuple[Edit, ...] = ()) -> Verdict:
    """The verdict of the small design's boards: the lower one as it is, after ``base``, the upper one after both."""
    lower, upper = edit(SMALL, *base), edit(SMALL, *base, *edits)
    return judge_stack(stack_of((load(lower), "base"), (load(upper), "top")))


def rules_of(verdict: Verdict) -> list[str]:
    """The rules that spoke, each once."""
    return sorted({item.rule for item in verdict.findings})
