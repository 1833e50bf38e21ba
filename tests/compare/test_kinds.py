"""Every kind of change, from the smallest edit of a design that makes it, and nothing else with it."""

from __future__ import annotations

import pytest

from revdiff.compare.kinds import GROUPS, KINDS
from tests.support import SMALL, Files, compare, edit

_TOML = "revdiff.toml"
_PARTS = "base/parts.csv"
_PINS = "base/pins.csv"
_CONNECTORS = "base/connectors.csv"
_CONTACTS = "base/contacts.csv"
_WIDE: Files = edit(
    SMALL,
    (_PARTS, "Designator,", "Remark,Designator,"),
    *((_PARTS, f"\n{ref},1,", f"\n,{ref},1,") for ref in ("R1", "R2", "C1", "C2", "U1", "U2", "D1")),
    (_CONNECTORS, "Part number", "Part number,X,Note"),
    (_CONNECTORS, "PH-6", "PH-6,10 mm,"),
)
_TWO_OUTSIDE: Files = edit(
    SMALL,
    (_CONNECTORS, "PH-6\n", "PH-6\nJ2,outside,3,1,5 mm,male,PT-3\nJ3,outside,3,1,5 mm,male,PT-3\n"),
    (
        _CONTACTS,
        "J1,6,,,,\n",
        "J1,6,,,,\n" + "".join(f"J{j},{n},FIELD{j}{n},out,,\n" for j in (2, 3) for n in (1, 2, 3)),
    ),
)
_MERGED: Files = edit(
    SMALL,
    (_CONNECTORS, "PH-6\n", "PH-6\nJ4,outside,6,1,5 mm,male,PT-6\n"),
    (
        _CONTACTS,
        "J1,6,,,,\n",
        "J1,6,,,,\n" + "".join(f"J4,{3 * j + n - 6},FIELD{j}{n},out,,\n" for j in (2, 3) for n in (1, 2, 3)),
    ),
)
_BOARD = '[boards.side]\nparts = "side/parts.csv"\n[[joints]]'
_SIDE: Files = {**edit(SMALL, (_TOML, "[[joints]]", _BOARD)), "side/parts.csv": "Designator,Value\nR1,10k\n"}
_SECOND: Files = edit(SMALL, (_TOML, "[firmware.blink]", '[firmware.more]\nboard = "base"\n[firmware.blink]'))
_NO_JOINT: Files = edit(SMALL, (_TOML, '[[joints]]\na = "base.J1"\nb = "top.J1"\n', ""))
_EIGHT: Files = edit(SMALL, (_CONNECTORS, "joint,6,1", "joint,8,1"))
_EXTRA: Files = edit(
    SMALL,
    (_CONNECTORS, "PH-6\n", "PH-6\nJ9,outside,1,1,,male,\n"),
    (_CONTACTS, "J1,6,,,,\n", "J1,6,,,,\nJ9,1,SPARE,,,\n"),
)
_RENUMBERED: Files = edit(
    _TWO_OUTSIDE,
    (_CONNECTORS, "J2,", "J7,"),
    *((_CONTACTS, f"J2,{n},", f"J7,{n},") for n in (1, 2, 3)),
)

_DRAWN: Files = edit(
    SMALL, (_CONNECTORS, "Part number", "Part number,Numbering"), (_CONNECTORS, "PH-6", "PH-6,zig-zag")
)
_RESTING: Files = edit(
    SMALL, (_CONTACTS, "Current", "Current,Power-on"), (_CONTACTS, "TX,out,3.3 V,", "TX,out,3.3 V,,low")
)


def _noted(files: Files, path: str) -> Files:
    """The files with a column of notes in one table."""
    head, *rows = files[path].splitlines()
    table = [f"{head},Note", *(f"{row},note {number}" for number, row in enumerate(rows))]
    return {**files, path: "\n".join(table) + "\n"}


# kind, subject, old files, new files
_NOTED = edit(
    SMALL,
    (_PINS, "Level,Analog\n", "Level,Analog,Purpose\n"),
    (_PINS, "GPIO,out,high,,3.3 V,\n", "GPIO,out,high,,3.3 V,,status\n"),
)
CASES: list[tuple[str, str, Files, Files]] = [
    ("board.added", "side", SMALL, _SIDE),
    ("board.removed", "side", _SIDE, SMALL),
    ("joint.added", "base.J1–top.J1", _NO_JOINT, SMALL),
    ("joint.removed", "base.J1–top.J1", SMALL, _NO_JOINT),
    (
        "joint.changed",
        "base.J1–top.J1",
        SMALL,
        edit(SMALL, (_TOML, 'b = "top.J1"', 'b = "top.J1"\ncontacts = "mirrored"')),
    ),
    ("connector.added", "J9", SMALL, _EXTRA),
    ("connector.removed", "J9", _EXTRA, SMALL),
    ("connector.renumbered", "J2", _TWO_OUTSIDE, _RENUMBERED),
    ("connector.split", "J4", _MERGED, _TWO_OUTSIDE),
    ("connector.merged", "J4", _TWO_OUTSIDE, _MERGED),
    ("connector.count", "J1", SMALL, edit(SMALL, (_CONNECTORS, "joint,6,1", "joint,8,2"))),
    ("connector.pitch", "J1", SMALL, edit(SMALL, (_CONNECTORS, "2.54 mm", "2 mm"))),
    ("connector.gender", "J1", SMALL, edit(SMALL, (_CONNECTORS, ",male,", ",female,"))),
    ("connector.position", "J1", _WIDE, edit(_WIDE, (_CONNECTORS, "10 mm", "12 mm"))),
    ("connector.numbering", "J1", _DRAWN, edit(_DRAWN, (_CONNECTORS, "zig-zag", "row-wise"))),
    ("connector.role", "J1", SMALL, edit(SMALL, (_CONNECTORS, "joint", "outside"))),
    ("connector.field", "J1", _WIDE, edit(_WIDE, (_CONNECTORS, "10 mm,", "10 mm,new"))),
    ("contact.added", "J1.7", _EIGHT, edit(_EIGHT, (_CONTACTS, "J1,6,,,,\n", "J1,6,,,,\nJ1,7,MORE,out,,\n"))),
    ("contact.removed", "J1.6", SMALL, edit(SMALL, (_CONTACTS, "J1,6,,,,\n", ""))),
    (
        "contact.moved",
        "HEAT",
        SMALL,
        edit(SMALL, (_CONTACTS, "J1,5,HEAT,out,3.3 V,\nJ1,6,,,,", "J1,5,,,,\nJ1,6,HEAT,out,3.3 V,")),
    ),
    (
        "contact.swapped",
        "J1: TX ↔ HEAT",
        SMALL,
        edit(SMALL, (_CONTACTS, "J1,3,TX", "J1,3,HEAT"), (_CONTACTS, "J1,5,HEAT", "J1,5,TX")),
    ),
    ("contact.signal", "J1.6", SMALL, edit(SMALL, (_CONTACTS, "J1,6,,,,", "J1,6,LED,out,,"))),
    ("contact.direction", "J1.3", SMALL, edit(SMALL, (_CONTACTS, "TX,out", "TX,open drain"))),
    ("contact.level", "J1.3", SMALL, edit(SMALL, (_CONTACTS, "TX,out,3.3 V", "TX,out,5 V"))),
    ("contact.current", "J1.1", SMALL, edit(SMALL, (_CONTACTS, "supply,5 V,1 A", "supply,5 V,2 A"))),
    (
        "contact.behaviour",
        "J1.3",
        _RESTING,
        edit(_RESTING, (_CONTACTS, "3.3 V,,low", "3.3 V,,high")),
    ),
    (
        "contact.field",
        "J1.3",
        edit(SMALL, (_CONTACTS, "Current", "Current,Note")),
        edit(SMALL, (_CONTACTS, "Current", "Current,Note"), (_CONTACTS, "TX,out,3.3 V,", "TX,out,3.3 V,,new")),
    ),
    ("contact.column", "note", SMALL, _noted(SMALL, _CONTACTS)),
    ("connector.column", "note", _TWO_OUTSIDE, _noted(_TWO_OUTSIDE, _CONNECTORS)),
    ("pin.column", "note", SMALL, _noted(SMALL, _PINS)),
    ("part.column", "Note", SMALL, _noted(SMALL, _PARTS)),
    ("signal.renamed", "HEATER", SMALL, {path: text.replace("HEAT", "HEATER") for path, text in SMALL.items()}),
    ("pin.added", "AUX", SMALL, edit(SMALL, (_PINS, "PA5,,,,,,", "PA5,AUX,GPIO,in,,,"))),
    ("pin.removed", "VBAT_SENSE", SMALL, edit(SMALL, (_PINS, "VBAT_SENSE,ADC,analog in,,,3.3 V,ADC1_IN4", ",,,,,,"))),
    (
        "pin.moved",
        "LED",
        SMALL,
        edit(
            SMALL,
            (_PINS, "PA0,LED,GPIO,out,high,,3.3 V,", "PA0,,,,,,,"),
            (_PINS, "PA5,,,,,,,", "PA5,LED,GPIO,out,high,,3.3 V,"),
        ),
    ),
    (
        "pin.swapped",
        "TX ↔ RX",
        SMALL,
        edit(
            SMALL,
            (_PINS, "PA2,TX,UART1_TX,out,,,", "PA2,RX,UART1_RX,in,,up,"),
            (_PINS, "PA3,RX,UART1_RX,in,,up,", "PA3,TX,UART1_TX,out,,,"),
        ),
    ),
    ("pin.signal", "U1.5", SMALL, edit(SMALL, (_PINS, "VBAT_SENSE,ADC,analog in", "BUZZER,TIM2,out"))),
    ("pin.function", "TX", SMALL, edit(SMALL, (_PINS, "UART1_TX", "UART2_TX"))),
    ("pin.direction", "TX", SMALL, edit(SMALL, (_PINS, "UART1_TX,out", "UART1_TX,open drain"))),
    ("pin.active", "LED", SMALL, edit(SMALL, (_PINS, "LED,GPIO,out,high", "LED,GPIO,out,low"))),
    ("pin.pull", "HEAT", SMALL, edit(SMALL, (_PINS, "high,down", "high,up"))),
    ("pin.level", "TX", SMALL, edit(SMALL, (_PINS, "UART1_TX,out,,,3.3 V", "UART1_TX,out,,,1.8 V"))),
    ("pin.analog", "VBAT_SENSE", SMALL, edit(SMALL, (_PINS, "ADC1_IN4", "ADC2_IN4"))),
    ("pin.port", "LED", SMALL, edit(SMALL, (_PINS, "PA0", "PB0"))),
    ("pin.field", "LED", _NOTED, edit(_NOTED, (_PINS, "status", "fault"))),
    ("contract.added", "more", SMALL, _SECOND),
    ("contract.removed", "more", _SECOND, SMALL),
    ("contract.changed", "blink", SMALL, edit(SMALL, (_TOML, '"1.0"', '"1.1"'))),
    ("part.value", "R1", SMALL, edit(SMALL, (_PARTS, "10k,0603,RA-10K", "12k,0603,RA-12K"))),
    ("part.package", "R1", SMALL, edit(SMALL, (_PARTS, "10k,0603,RA-10K", "10k,0402,RB-10K"))),
    ("part.rating", "C1", SMALL, edit(SMALL, (_PARTS, "50 V", "16 V"))),
    ("part.fitted", "D1", SMALL, edit(SMALL, (_PARTS, "LR-1,,,,yes", "LR-1,,,,no"))),
    ("part.renumbered", "R2", SMALL, edit(SMALL, (_PARTS, "R2,", "R8,"))),
    ("part.added", "R3", SMALL, edit(SMALL, (_PARTS, "C1,1", "R3,1,1M,0603,RA-1M,1%,,,yes,active,0.01\nC1,1"))),
    ("part.removed", "D1", SMALL, edit(SMALL, (_PARTS, "D1,1,LED red,0603,LR-1,,,,yes,active,0.04\n", ""))),
    ("part.substituted", "U2", SMALL, edit(SMALL, (_PARTS, "VR-33", "XR-33"))),
    ("part.lifecycle", "U1", SMALL, edit(SMALL, (_PARTS, "MC-8,,,,yes,active", "MC-8,,,,yes,last order"))),
    ("part.cost", "U1", SMALL, edit(SMALL, (_PARTS, "2.00", "2.50"))),
    ("part.field", "R1", _WIDE, edit(_WIDE, (_PARTS, "\n,R1", "\nnear J1,R1"))),
    ("design.field", "design.name", SMALL, edit(SMALL, (_TOML, '"pair"', '"trio"'))),
]


@pytest.mark.parametrize(("kind", "subject", "old", "new"), CASES, ids=[case[0] for case in CASES])
def test_the_smallest_edit_of_a_kind_makes_one_change_of_it(kind: str, subject: str, old: Files, new: Files) -> None:
    assert [(item.kind, item.subject) for item in compare(old, new).changes] == [(kind, subject)]


def test_a_replaced_controller_is_one_change_beside_that_of_its_part() -> None:
    pins = [(_PINS, f"PA{number},", f"B{number},") for number in range(6)]
    new = edit(SMALL, ("base/parts.csv", "controller,QFP-8,MC-8", "controller,QFN-8,QX-8"), *pins)
    assert [(item.kind, item.subject) for item in compare(SMALL, new).changes] == [
        ("pin.controller", "U1"),
        ("part.package", "U1"),
    ]


def test_pins_that_go_by_other_names_on_the_same_part_are_no_other_controller() -> None:
    new = edit(SMALL, *((_PINS, f"PA{number},", f"B{number},") for number in range(6)))
    assert "pin.controller" not in {item.kind for item in compare(SMALL, new).changes}


def test_every_kind_has_a_case() -> None:
    by_nets = {
        "pin.opened",
        "pin.connected",
        "signal.voltage",
        "pad.changed",
        *(kind for kind in KINDS if kind.startswith("net.")),
    }
    # Those are in tests/nets/cases.py; a replaced controller has a test of its own.
    assert {case[0] for case in CASES} == set(KINDS) - by_nets - {"pin.controller"}


def test_every_kind_belongs_to_a_group() -> None:
    assert {group for group, _ in KINDS.values()} == set(GROUPS)
