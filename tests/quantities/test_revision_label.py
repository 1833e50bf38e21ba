"""The order of revision labels. Letters: ASME Y14.35-2014 as fcsuper.com/swblog quotes it; shorter
before longer and a dash before A: company practice (mr-miata.net 2015/05); numbers: common practice, no
source; pre-releases: Semantic Versioning 2.0.0, clause 11.
"""

from __future__ import annotations

import pytest
from hypothesis import given

from revdiff.quantities.revision_label import revision_key
from tests.quantities.strategies import anything, untimed


@pytest.mark.parametrize(
    "ordered",
    [
        ["rev1.9", "rev1.10", "A", "B", "C1", "C2", "C10", "Z", "AA"],
        ["-", "A", "B", "H", "J", "Y", "AA", "AB", "AH", "AJ", "AY", "BA", "YY"],
        ["v1.2.0", "v1.10.0", "v2.0.0"],
        ["v1.2", "v1.2.0"],
        ["1.2.0-alpha", "1.2.0-beta", "1.2.0-rc1", "1.2.0-rc2", "1.2.0", "1.2.1"],
        ["1", "1A", "1B", "2"],
        ["2023-12", "2024-01", "2024-01-15", "2024-06"],
        ["20231231", "2024-01-15", "1.6.2024", "20240602"],
        ["RevA", "Rev. B", "revision C", "rev D"],
        ["hw-v1.3", "v1.4", "board rev 1.5", "1.6"],
        ["1.2.3.4", "1.2.3.10"],
        ["9" * 5000, "1" + "0" * 5000],
    ],
)
def test_order(ordered: list[str]) -> None:
    backwards = ordered[::-1]
    assert sorted(backwards, key=revision_key) == ordered


@pytest.mark.parametrize(("one", "other"), [("v1.2.0", "V1.2.0"), ("RevB", "B"), ("Rev. B", "rev-b"), ("r3", "3")])
def test_words_before_the_label_do_not_count(one: str, other: str) -> None:
    assert revision_key(one)[0] == revision_key(other)[0]


def test_v_and_r_alone_are_revision_letters() -> None:
    assert sorted(["V", "R", "T", "P"], key=revision_key) == ["P", "R", "T", "V"]


@given(anything, anything)
@untimed
def test_only_the_same_label_ties(one: str, other: str) -> None:
    assert (revision_key(one) < revision_key(other)) + (revision_key(other) < revision_key(one)) == (one != other)
