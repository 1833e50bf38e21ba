"""Part numbers that differ only in how the part is packed: told as such where the design says so, never equal."""

from __future__ import annotations

import pytest

from revdiff.compare.part_changes import packing_difference
from tests.support import SMALL, compare, edit

STATED = edit(SMALL, ("revdiff.toml", 'name = "pair"', 'name = "pair"\npacking_suffixes = ["-TR", "-CT"]'))
REELED = ("base/parts.csv", "MC-8,", "MC-8-TR,")


def told(old: dict[str, str], new: dict[str, str]) -> list[tuple[str, str, str]]:
    return [
        (item.kind, item.subject, item.pattern) for item in compare(old, new).changes if item.kind != "design.field"
    ]


def test_a_packing_suffix_is_told_as_such() -> None:
    assert told(STATED, edit(STATED, REELED)) == [("part.substituted", "U1", "packing only, suffix none → -TR")]


def test_without_a_stated_rule_it_is_a_substitution_like_any_other() -> None:
    assert told(dict(SMALL), edit(SMALL, REELED)) == [("part.substituted", "U1", "")]


def test_a_change_cannot_bring_its_own_rule() -> None:
    assert told(dict(SMALL), edit(STATED, REELED)) == [("part.substituted", "U1", "")]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("AB-1", "AB-1-TR", "none → -TR"),
        ("AB-1-CT", "ab-1-tr", "-CT → -tr"),
        ("AB-1-TR", "AB-2-TR", ""),
        ("AB-1", "AB-1", ""),
        ("-TR", "-CT", ""),
        ("AB-1", "AB-1-TT", ""),
    ],
)
def test_only_the_suffix_may_differ(old: str, new: str, said: str) -> None:
    assert packing_difference(old, new, ("-TR", "-CT")) == said
