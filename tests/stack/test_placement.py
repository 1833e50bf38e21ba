"""Board on board: one rigid placement, worked out by hand for simple shapes."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from revdiff.design import Connector, Origin, Reading
from revdiff.judge.placement import place, turn
from revdiff.judge.position import from_the_end
from revdiff.quantities.quantity import Quantity


def at(x: float, y: float, rotation: int = 0) -> Connector:
    def reading(value: float, unit: str) -> Reading:
        return Reading(str(value), Quantity(Decimal(str(value)), unit))

    return Connector(
        name="J1", x=reading(x, "m"), y=reading(y, "m"), rotation=reading(rotation, "°"), origin=Origin("x.csv", 1)
    )


@given(shift=st.tuples(st.integers(-50, 50), st.integers(-50, 50)), quarter=st.integers(0, 3))
def test_any_shift_and_turn_of_the_whole_board_fits(shift: tuple[int, int], quarter: int) -> None:
    points = [complex(0, 0), complex(40, 0), complex(10, 30)]
    moved = [point * 1j**quarter + complex(*shift) for point in points]
    found = place([(at(p.real, p.imag), at(q.real, q.imag)) for p, q in zip(points, moved, strict=True)])
    assert found is not None
    assert not found.mirrored
    assert found.worst < 1e-9
    assert round(found.angle) % 360 == 90 * quarter


def test_a_joint_that_moved_by_2_54_is_half_that_off_at_each_end() -> None:
    found = place([(at(0, 0), at(0, 0)), (at(40, 0), at(42.54, 0))])
    assert found is not None
    assert found.worst == pytest.approx(1.27)


def test_three_joints_laid_out_mirrored_fit_only_face_to_face() -> None:
    points = [(0, 0), (40, 0), (10, 30)]
    found = place([(at(x, y), at(x, -y)) for x, y in points])
    assert found is not None
    assert found.mirrored


def test_a_joint_without_a_position_leaves_it_open() -> None:
    assert place([(at(0, 0), Connector(name="J1", origin=Origin("x.csv", 1)))]) is None


@pytest.mark.parametrize(
    ("a", "b", "by"), [(0, 0, 0), (90, 90, 0), (0, 180, 180), (270, 90, 180), (0, 90, 90), (90, 0, 270)]
)
def test_a_connector_against_the_turn_of_its_board_is_turned_round(a: int, b: int, by: int) -> None:
    pairs = [(at(0, 0, a), at(5, 5, b)), (at(40, 0), at(45, 5))]
    assert turn(*pairs[0], place(pairs)) == by


@pytest.mark.parametrize(
    ("pairs", "size", "from_end"),
    [
        ({"1": "4", "2": "3", "3": "2", "4": "1"}, 4, True),
        ({"1": "4"}, 4, True),
        ({"1": "1", "2": "3"}, 4, False),
        ({"A1": "A1", "B1": "B1"}, 4, False),
        ({}, 4, False),
        ({"9" * 5000: "1"}, 4, False),
    ],
)
def test_contacts_that_meet_counted_from_the_other_end(pairs: dict[str, str], size: int, from_end: bool) -> None:
    assert from_the_end(pairs, size) is from_end
