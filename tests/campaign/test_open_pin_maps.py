"""Outside check against pin maps that others published; see ``open_pin_maps`` for the source and its licence.

Runs where REVDIFF_PIN_MAPS names the folder with both downloads.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.campaign.open_pin_maps import Difference, compare_releases, plain_difference, told_difference

_FOLDER = os.environ.get("REVDIFF_PIN_MAPS", "")


@pytest.mark.skipif(not _FOLDER, reason="REVDIFF_PIN_MAPS names no folder with the two downloads")
def test_the_program_and_an_independent_script_agree_on_every_board() -> None:
    result = compare_releases(Path(_FOLDER))
    assert result.disagreeing == ()
    assert result.differing > 0


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ({"SDA": "IO1"}, {"SDA": "IO1", "SCL": "IO2"}, Difference(frozenset({"SCL"}), frozenset(), frozenset())),
        ({"SDA": "IO1", "D1": "IO1"}, {"SDA": "IO1"}, Difference(frozenset(), frozenset({"D1"}), frozenset())),
        ({"SDA": "IO1"}, {"SDA": "IO9"}, Difference(frozenset(), frozenset(), frozenset({"SDA"}))),
        ({"LED": "IO1"}, {"LAMP": "IO1"}, Difference(frozenset({"LAMP"}), frozenset({"LED"}), frozenset())),
        (
            {"A": "IO1", "B": "IO2"},
            {"A": "IO2", "B": "IO1"},
            Difference(frozenset(), frozenset(), frozenset({"A", "B"})),
        ),
    ],
    ids=["added", "one of two names removed", "moved", "another name", "swapped"],
)
def test_both_tell_the_same_of_small_pin_maps(old: dict[str, str], new: dict[str, str], expected: Difference) -> None:
    assert plain_difference(old, new) == told_difference(old, new) == expected
