"""Pins and contacts: moves, swaps, rotations, renumberings, and what only looks like them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from revdiff.compare.comparison import compare_designs
from tests.campaign.run import reproduces
from tests.compare.boards import changes, design, told
from tests.support import load

PINS = [
    ("a move to an unused pin", "A B C -", "- B C A", ["pin.moved A"]),
    ("a swap", "A B C D", "C B A D", ["pin.swapped A ↔ C (exchange)"]),
    ("a rotation of three", "A B C D", "C A B D", ["pin.swapped A → B → C (rotation of 3)"]),
    ("a rotation of four", "A B C D", "D A B C", ["pin.swapped A → B → C → D (rotation of 4)"]),
    ("a pin newly used", "A B -", "A B C", ["pin.added C"]),
    ("a pin no longer used", "A B C", "A B -", ["pin.removed C"]),
    ("a move onto a signal that goes", "A B C", "B - C", ["pin.removed A", "pin.moved B"]),
    (
        "two grounds trade places with signals",
        "GND A GND B",
        "A GND B GND",
        ["pin.swapped GND ↔ A (exchange)", "pin.swapped GND ↔ B (exchange)"],
    ),
    ("a ground more", "GND A -", "GND A GND", ["pin.added GND"]),
]


@pytest.mark.parametrize(("before", "after", "expected"), [item[1:] for item in PINS], ids=[item[0] for item in PINS])
def test_pins(before: str, after: str, expected: list[str]) -> None:
    assert told(design(pins=before), design(pins=after)) == expected


TWELVE = "A B C D E F G H I K L M"
CONTACTS = [
    (
        "numbered from the other end",
        TWELVE,
        "M L K I H G F E D C B A",
        ["contact.moved J1 (numbered from the other end)"],
    ),
    ("odd and even exchanged", TWELVE, "B A D C F E H G K I M L", ["contact.moved J1 (odd and even rows exchanged)"]),
    (
        "a pair added at the front",
        TWELVE,
        f"X Y {TWELVE}",
        ["contact.added J1.1", "contact.added J1.2", "contact.moved J1 (shifted by +2)"],
    ),
    (
        "a pair taken out at the front",
        TWELVE,
        "C D E F G H I K L M",
        ["contact.removed J1.1", "contact.removed J1.2", "contact.moved J1 (shifted by -2)"],
    ),
    (
        "a pair put in further back",
        TWELVE,
        "A B C D X Y E F G H I K L M",
        ["contact.added J1.5", "contact.added J1.6", "contact.moved J1 (shifted by +2)"],
    ),
    (
        "numbered from the other end, and two signals swapped",
        TWELVE,
        "M L K I H G F E B C D A",
        ["contact.moved J1 (numbered from the other end)", "contact.swapped J1: B ↔ D (exchange)"],
    ),
    (
        "row by row instead of zig-zag",
        "A1 B1 A2 B2 A3 B3 A4 B4",
        "A1 A2 A3 A4 B1 B2 B3 B4",
        ["contact.moved J1 (row by row instead of zig-zag)"],
    ),
    (
        "a rotation is no shift",
        TWELVE,
        "E A B C D F G H I K L M",
        ["contact.swapped J1: A → B → C → D → E (rotation of 5)"],
    ),
    ("one move is no pattern", "A B C -", "- B C A", ["contact.moved A"]),
    (
        "two contacts trade places",
        TWELVE,
        TWELVE.replace("A", "@").replace("M", "A").replace("@", "M"),
        ["contact.swapped J1: A ↔ M (exchange)"],
    ),
    ("a true reassignment", "A B GND", "A X:in GND:in", ["contact.direction J1.3", "contact.signal J1.2"]),
]


@pytest.mark.parametrize(
    ("before", "after", "expected"), [item[1:] for item in CONTACTS], ids=[item[0] for item in CONTACTS]
)
def test_contacts(before: str, after: str, expected: list[str]) -> None:
    # The pin map keeps the old names in use, so that another name on a contact is no rename.
    pins = " ".join(f"{item}:out" for item in "ABCDEFGHIKLM")
    old, new = (design(pins=pins, contacts={"J1": text}) for text in (before, after))
    assert sorted(told(old, new)) == sorted(expected)


MOUNTED = "Connector;Contact;Signal\n"


def _header(name: str, signals: str, *pads: str) -> str:
    rows = [f"{name};{number};{signal.replace('-', '')}\n" for number, signal in enumerate(signals.split(), 1)]
    return "".join([*rows, *(f"{name};{pad}\n" for pad in pads)])


def _told_of(old: str, new: str) -> list[str]:
    toml = '[design]\nname = "d"\n[boards.main]\npins = "p.csv"\ncontacts = "c.csv"\n'
    pins = "Pin,Signal\n" + "".join(f"{number},{name}\n" for number, name in enumerate(TWELVE.split(), 1))
    both = [load({"revdiff.toml": toml, "p.csv": pins, "c.csv": MOUNTED + rows}) for rows in (old, new)]
    return told(*both)


BACKWARDS = " ".join(reversed(TWELVE.split()))


@pytest.mark.parametrize(
    ("pads_before", "pads_after"),
    [
        (["MP;GND"], ["MP;GND"]),
        (["MP1;GND", "MP2;GND"], ["MP1;GND", "MP2;GND"]),
        (["SH;SHIELD", "SH;SHIELD"], ["SH;SHIELD", "SH;SHIELD"]),
        (["MP;"], ["MP;"]),
    ],
    ids=["one", "two", "two of one number", "open"],
)
def test_a_mounting_pad_does_not_hide_that_a_connector_is_numbered_from_the_other_end(
    pads_before: list[str], pads_after: list[str]
) -> None:
    found = _told_of(_header("J1", TWELVE, *pads_before), _header("J1", BACKWARDS, *pads_after))
    assert found == ["contact.moved J1 (numbered from the other end)"]


def test_a_mounting_pad_that_went_is_told_beside_the_pattern() -> None:
    found = _told_of(_header("J1", TWELVE, "MP;GND"), _header("J1", BACKWARDS))
    assert sorted(found) == ["contact.moved J1 (numbered from the other end)", "contact.removed J1.MP"]


def test_the_same_pattern_on_several_connectors_is_one_entry() -> None:
    six, turned = "A B C D E F", "F E D C B A"
    other, other_turned = "G H I K L M", "M L K I H G"
    old = design(pins=TWELVE, contacts={"J1": six, "J2": other, "J3": "A B C D"})
    new = design(pins=TWELVE, contacts={"J1": turned, "J2": other_turned, "J3": "A B C D"})
    (change,) = changes(old, new)
    assert (change.kind, change.subject, change.before, change.after) == ("contact.moved", "J1, J2", "1–6", "6–1")
    assert change.pattern == "numbered from the other end"
    assert len(change.pairs) == 12
    assert reproduces(compare_designs(old, new))


def test_patterns_that_differ_are_told_apart() -> None:
    old = design(pins=TWELVE, contacts={"J1": "A B C D E F", "J2": "G H I K L M"})
    new = design(pins=TWELVE, contacts={"J1": "F E D C B A", "J2": "H G K I M L"})
    assert told(old, new) == [
        "contact.moved J1 (numbered from the other end)",
        "contact.moved J2 (odd and even rows exchanged)",
    ]


def test_a_pattern_on_connectors_of_two_sizes_names_what_became_of_each() -> None:
    old = design(pins=TWELVE, contacts={"J1": "A B C D E F G H", "J2": "I K L M"})
    new = design(pins=TWELVE, contacts={"J1": "H G F E D C B A", "J2": "M L K I"})
    (change,) = changes(old, new)
    assert (change.subject, change.before, change.after) == ("J1, J2", "J1 1–8, J2 1–4", "J1 8–1, J2 4–1")


def test_a_signal_that_goes_to_another_connector_is_one_move() -> None:
    old = design(contacts={"J1": "A B C", "J2": "D - E"})
    new = design(contacts={"J1": "A - C", "J2": "D B E"})
    assert told(old, new) == ["contact.moved B"]


def test_a_signal_that_goes_to_another_device_is_one_move() -> None:
    old = design(pins={"U1": "A B C", "U2": "D - E"})
    new = design(pins={"U1": "A - C", "U2": "D B E"})
    assert told(old, new) == ["pin.moved B"]


def test_what_belongs_to_the_pin_moves_with_no_change_of_its_own() -> None:
    (change,) = changes(design(pins="A B C -"), design(pins="- B C A"))
    assert [(item.name, item.before.raw, item.after.raw) for item in change.fields] == [("port", "P1", "P4")]


def test_a_move_covers_what_the_place_it_left_says_now() -> None:
    old = design(pins="A:out:TIM B - C")
    new = design(pins="-::spare B A:out:TIM C")
    assert told(old, new) == ["pin.moved A"]


def test_a_row_that_goes_with_the_signal_that_left_it_is_part_of_the_move() -> None:
    old, new = design(pins="A B C"), design(pins="@ B C A")
    gone = replace(new.boards["main"], pins={key: pin for key, pin in new.boards["main"].pins.items() if key[1] != "1"})
    found = changes(old, replace(new, boards={"main": gone}))
    assert [(change.kind, [item.name for item in change.fields]) for change in found] == [
        ("pin.moved", ["port", "U1.1.listed"])
    ]


def test_strict_names_takes_only_equal_numbers_for_the_same_place() -> None:
    found = told(design(pins="A B C D"), design(pins="C B A D"), strict=True)
    assert found == ["pin.signal U1.1", "pin.signal U1.3"]
