"""Which contacts meet by place. The numbering schemes are common practice, no source."""

from __future__ import annotations

from decimal import Decimal

import pytest

from revdiff.design import Connector, Origin, Reading
from revdiff.judge.position import by_place, name_of, places, slips
from revdiff.quantities.quantity import Quantity


def connector(count: int, rows: int, numbering: str = "", view: str = "", side: str = "") -> Connector:
    def number(value: int) -> Reading:
        return Reading(str(value), Quantity(Decimal(value), ""))

    def word(text: str) -> Reading:
        return Reading(text, text) if text else Reading()

    return Connector(
        name="J1",
        count=number(count),
        rows=number(rows),
        numbering=word(numbering),
        view=word(view),
        board_side=word(side),
        origin=Origin("x.csv", 1),
    )


@pytest.mark.parametrize(
    ("numbering", "rows"),
    [
        ("row-wise", [["1", "2", "3"], ["4", "5", "6"]]),
        ("zig-zag", [["1", "3", "5"], ["2", "4", "6"]]),
        ("counter-clockwise", [["1", "2", "3"], ["6", "5", "4"]]),
    ],
)
def test_a_numbering_scheme_gives_each_contact_its_place(numbering: str, rows: list[list[str]]) -> None:
    found = places(connector(6, 2, numbering))
    assert found is not None
    assert {place: number for number, place in found.items()} == {
        (row, along): number for row, numbers in enumerate(rows) for along, number in enumerate(numbers)
    }


def test_without_a_numbering_two_rows_have_no_known_places() -> None:
    assert places(connector(6, 2)) is None
    assert by_place(connector(6, 2), connector(6, 2)) is None


def test_in_one_row_every_scheme_is_the_same() -> None:
    assert places(connector(3, 1)) == {"1": (0, 0), "2": (0, 1), "3": (0, 2)}


@pytest.mark.parametrize(
    ("a", "b", "pairs", "name"),
    [
        (("zig-zag",), ("zig-zag",), "1-1 2-2 3-3 4-4 5-5 6-6", "by number"),
        (("row-wise",), ("zig-zag",), "1-1 2-3 3-5 4-2 5-4 6-6", "by another numbering"),
        (
            ("zig-zag", "mating face"),
            ("zig-zag", "mating face"),
            "1-2 2-1 3-4 4-3 5-6 6-5",
            "crosswise between the rows (mirrored)",
        ),
        (
            ("zig-zag", "top"),
            ("zig-zag", "mating face", "bottom"),
            "1-2 2-1 3-4 4-3 5-6 6-5",
            "crosswise between the rows (mirrored)",
        ),
        (("zig-zag", "top"), ("zig-zag", "mating face", "top"), "1-1 2-2 3-3 4-4 5-5 6-6", "by number"),
    ],
)
def test_contacts_meet_by_place(a: tuple[str, ...], b: tuple[str, ...], pairs: str, name: str) -> None:
    one, two = connector(6, 2, *a), connector(6, 2, *b)
    found = by_place(one, two)
    assert found == dict(pair.split("-") for pair in pairs.split())
    assert name_of(found, one) == name


def test_a_mating_face_of_an_unknown_side_cannot_be_told() -> None:
    assert by_place(connector(6, 2, "zig-zag", "top"), connector(6, 2, "zig-zag", "mating face")) is None


def test_a_plug_turned_by_half_a_turn() -> None:
    one = connector(6, 2, "zig-zag")
    found = by_place(one, one, turned=True)
    assert found == {"1": "6", "2": "5", "3": "4", "4": "3", "5": "2", "6": "1"}
    assert name_of(found, one) == "by half a turn (rotated)"


def test_the_ways_to_plug_wrongly() -> None:
    one = connector(6, 2, "zig-zag")
    straight = {str(number): str(number) for number in range(1, 7)}
    assert slips(straight, one) == {
        "turned round": {"1": "6", "2": "5", "3": "4", "4": "3", "5": "2", "6": "1"},
        "shifted by one": {"1": "3", "2": "4", "3": "5", "4": "6"},
        "shifted by one the other way": {"3": "1", "4": "2", "5": "3", "6": "4"},
    }
