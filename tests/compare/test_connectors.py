"""Connectors as wholes: renumbered, used again, split, merged."""

from __future__ import annotations

import pytest

from tests.compare.boards import changes, design, told

CASES = [
    ("renumbered", {"J3": "A B C GND"}, {"J7": "A B C GND"}, ["connector.renumbered J3 → J7"]),
    (
        "the name used again",
        {"J3": "A B C GND"},
        {"J7": "A B C GND", "J3": "X Y GND"},
        ["connector.added J3", "connector.renumbered J3 → J7"],
    ),
    (
        "two exchanged",
        {"J3": "A B C", "J4": "X Y Z"},
        {"J4": "A B C", "J3": "X Y Z"},
        ["connector.renumbered J3 → J4", "connector.renumbered J4 → J3"],
    ),
    ("split", {"J3": "A B C D E F"}, {"J8": "A B C", "J9": "D E F"}, ["connector.split J3 → J8, J9"]),
    (
        "split, one part keeps the name",
        {"J3": "A B C D E F"},
        {"J3": "A B C", "J9": "D E F"},
        ["connector.split J3 → J3, J9"],
    ),
    ("merged", {"J8": "A B C", "J9": "D E F"}, {"J3": "A B C D E F"}, ["connector.merged J8, J9 → J3"]),
    (
        "merged into one of them",
        {"J3": "A B C", "J9": "D E F"},
        {"J3": "A B C D E F"},
        ["connector.merged J3, J9 → J3"],
    ),
    (
        "renumbered, with a contact moved",
        {"J3": "A B C -"},
        {"J7": "- B C A"},
        ["connector.renumbered J3 → J7", "contact.moved A"],
    ),
    (
        "the name used again on a connector with as many grounds",
        {"J2": "A GND B GND C GND - -"},
        {"J3": "A GND B GND C GND - -", "J2": "X GND Y GND Z GND - -"},
        ["connector.added J2", "connector.renumbered J2 → J3"],
    ),
    (
        "the name used again on a connector that shares some signals",
        {"J2": "A B C D GND"},
        {"J3": "A B C D GND", "J2": "A B X Y Z GND"},
        ["connector.added J2", "connector.renumbered J2 → J3"],
    ),
    (
        "a second one of the same kind takes no name away",
        {"J2": "A B C GND"},
        {"J2": "A B C GND", "J3": "A B C GND"},
        ["connector.added J3"],
    ),
    (
        "grounds and open pins alone make no two connectors one",
        {"J2": "GND - GND A"},
        {"J3": "GND - GND X"},
        ["connector.added J3", "connector.removed J2"],
    ),
    (
        "a contact that changed is no reason to look elsewhere",
        {"J2": "A B C D GND"},
        {"J2": "A B C X GND", "J3": "D K GND"},
        ["connector.added J3", "contact.signal J2.4"],
    ),
    ("another one", {"J3": "A B C"}, {"J7": "X Y Z"}, ["connector.added J7", "connector.removed J3"]),
    (
        "a second one with the same supply is no piece of the first",
        {"J1": "A B C GND +5V SDA SCL K"},
        {"J1": "A B C GND +5V SDA SCL K", "J2": "GND +5V SDA SCL"},
        ["connector.added J2"],
    ),
]


@pytest.mark.parametrize(("before", "after", "expected"), [item[1:] for item in CASES], ids=[item[0] for item in CASES])
def test_connectors(before: dict[str, str], after: dict[str, str], expected: list[str]) -> None:
    # A connector of its own keeps every signal in use, so that none is taken for renamed.
    rest = {"J99": "A B C D E F K X Y Z"}
    old, new = design(contacts=before | rest), design(contacts=after | rest)
    assert sorted(told(old, new)) == expected


def test_place_and_part_number_tell_a_connector_with_few_signals() -> None:
    rest = {"J99": "A B X"}
    old = design(contacts={"J3": "A B GND"} | rest, connectors="J3 3 PN-3 10 20, J99 3 PN-3 90 90")
    new = design(contacts={"J7": "A X GND"} | rest, connectors="J7 3 PN-3 10 20, J99 3 PN-3 90 90")
    assert sorted(told(old, new)) == ["connector.renumbered J3 → J7", "contact.signal J7.2"]


def test_a_split_says_which_contact_became_which() -> None:
    (change,) = changes(design(contacts={"J3": "A B C D"}), design(contacts={"J8": "C D", "J9": "A B"}))
    assert dict(change.pairs) == {"J3.1": "J9.1", "J3.2": "J9.2", "J3.3": "J8.1", "J3.4": "J8.2"}


def test_a_renumbered_connector_takes_its_line_of_the_parts_list_with_it() -> None:
    old = design("J3 header THT, R1 10k", contacts={"J3": "A B C"})
    new = design("J7 header THT, R1 10k", contacts={"J7": "A B C"})
    assert told(old, new) == ["connector.renumbered J3 → J7"]


def test_strict_names_takes_another_name_for_another_connector() -> None:
    old, new = design(contacts={"J3": "A B C"}), design(contacts={"J7": "A B C"})
    assert sorted(told(old, new, strict=True)) == ["connector.added J7", "connector.removed J3"]
