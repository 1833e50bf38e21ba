"""Expressions that are compiled when they are first used do what compiled ones do."""

from __future__ import annotations

import re

import pytest

from revdiff.quantities.pattern import pattern


@pytest.mark.parametrize("text", ["R12", "", "r12", "R12\n"])
def test_it_answers_as_a_compiled_one(text: str) -> None:
    ours, plain = pattern(r"[a-z]\d+", re.IGNORECASE), re.compile(r"[a-z]\d+", re.IGNORECASE)
    for method in ("match", "fullmatch", "search", "findall"):
        assert repr(getattr(ours, method)(text)) == repr(getattr(plain, method)(text))
    assert ours.sub("", text) == plain.sub("", text)
    assert ours.pattern == plain.pattern


def test_bytes_stay_bytes() -> None:
    assert pattern(rb"\d+").findall(b"a1b22") == [b"1", b"22"]


def test_a_wrong_one_is_told_where_it_is_used_first() -> None:
    wrong = pattern("(")
    with pytest.raises(re.error):
        wrong.search("")
