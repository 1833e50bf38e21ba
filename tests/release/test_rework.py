"""Old boards made into new ones: by work on parts alone, or not. Common practice, no source."""

from __future__ import annotations

import pytest

from revdiff.judge import judge_change
from revdiff.release.review import Review
from revdiff.release.rework import Rework, reworks
from tests.support import SMALL, MemoryRevision, compare, edit

Edit = tuple[str, str, str]


def of_base(*edits: Edit) -> Rework | None:
    new = edit(SMALL, *edits)
    comparison = compare(SMALL, new)
    identities = MemoryRevision(SMALL, "v1").identity, MemoryRevision(new, "v2").identity
    found = reworks(Review(*identities, comparison, judge_change(comparison, "v1", "v2")))
    return next((item for item in found if item.board == "base"), None)


def steps(found: Rework | None) -> list[tuple[str, tuple[str, ...]]]:
    assert found is not None
    return [(item.work, item.where) for item in found.steps]


def test_removing_comes_first_then_exchanging_then_fitting() -> None:
    found = of_base(
        ("base/parts.csv", "R2,1,4k7,0603,RA-4K7,1%,,,yes", "R2,1,47k,0603,RA-47K,1%,,,yes"),
        ("base/parts.csv", "D1,1,LED red,0603,LR-1,,,,yes", "D1,1,LED red,0603,LR-1,,,,DNP"),
    )
    assert steps(found) == [("remove", ("D1",)), ("exchange", ("R2",))]
    assert found is not None
    assert found.possible
    assert (found.steps[1].before, found.steps[1].after) == ("4k7 0603 RA-4K7", "47k 0603 RA-47K")


NEEDS: list[tuple[str, tuple[Edit, ...], str]] = [
    ("another package", (("base/parts.csv", "4k7,0603,RA-4K7", "4k7,0402,RB-4K7"),), "parts have another package"),
    (
        "a new part",
        (("base/parts.csv", "D1,1,LED red", "R9,1,22R,0402,RA-22R,1%,,,yes,active,0.01\nD1,1,LED red"),),
        "parts came that the old board has no pads for",
    ),
    (
        "contacts",
        (("base/contacts.csv", "J1,3,TX,out", "J1,3,RX,in"), ("base/contacts.csv", "J1,4,RX,in", "J1,4,TX,out")),
        "contacts trade places",
    ),
    (
        "pins",
        (("base/pins.csv", "U1,6,PA5,,,,,,,", "U1,6,PA5,LED,GPIO,out,high,,3.3 V,"),
         ("base/pins.csv", "U1,1,PA0,LED,GPIO,out,high,,3.3 V,", "U1,1,PA0,,,,,,,")),
        "signals moved to other pins",
    ),
    ("a place", (("base/connectors.csv", "2.54 mm", "2.00 mm"),), "connectors have another pitch"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "edits", "why"), NEEDS, ids=[item[0] for item in NEEDS])
def test_what_asks_for_other_pads_or_tracks_asks_for_a_new_board(name: str, edits: tuple[Edit, ...], why: str) -> None:
    found = of_base(*edits)
    assert found is not None, name
    assert not found.possible
    assert why in [reason for reason, _ in found.needs]


def test_a_price_and_a_renamed_signal_ask_for_no_work() -> None:
    assert of_base(("base/parts.csv", "active,0.04", "active,0.05")) is None
