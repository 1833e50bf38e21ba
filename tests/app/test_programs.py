"""The three functions that programs use."""

from __future__ import annotations

from pathlib import Path

import pytest

import revdiff

pytestmark = pytest.mark.slow


def test_opening_comparing_and_reviewing_tell_one_thing(demo: Path) -> None:
    old, new = (revdiff.open(name, repository=demo) for name in ("rev-c", "rev-d"))
    assert not old.contradicts
    verdict = revdiff.review(old, new)
    found = revdiff.compare("rev-c", "rev-d", repository=demo)
    assert verdict.answer == found.verdict.answer == "does not fit"
    assert {item.id for item in verdict.findings} == {item.id for item in found.findings}
