"""Pins and contacts: moves, swaps, rotations, renumberings, and what only looks like them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.compare.boards import changes, design, told

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
