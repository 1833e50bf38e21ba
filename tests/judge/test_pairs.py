"""Every rule fires on its pair of revisions, is silent on the near miss and on equal ones; and what else speaks up.

``golden/pairs.txt`` holds every finding on every pair. To record it anew: ``python -m tests.judge.test_pairs``, then
read the difference.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest

from revdiff.compare.comparison import compare_designs
from revdiff.judge import judge_change, judge_stack, member
from revdiff.judge.finding import Finding
from revdiff.judge.registry import ALL
from tests.judge.pairs import PAIRS
from tests.support import Files, load

pytestmark = pytest.mark.slow

GOLDEN = Path(__file__).parent / "golden" / "pairs.txt"
NAMES = [rule.name for rule in ALL]


def told(old: Files, new: Files, *, alone: bool) -> tuple[Finding, ...]:
    found = load(new, "new")
    if alone:
        return judge_stack([member(found, name, "new") for name in found.boards]).findings
    return judge_change(compare_designs(load(old), found), "old", "new").findings


def test_every_rule_has_a_pair_and_every_pair_a_rule() -> None:
    assert sorted(PAIRS) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_a_rule_fires_on_its_pair_and_not_on_the_near_miss(name: str) -> None:
    pair = PAIRS[name]
    assert pair.missed != pair.old
    assert name in {item.rule for item in told(pair.old, pair.fired, alone=pair.alone)}
    assert name not in {item.rule for item in told(pair.old, pair.missed, alone=pair.alone)}


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_told_of_equal_revisions(name: str) -> None:
    assert told(PAIRS[name].fired, PAIRS[name].fired, alone=False) == ()


def test_a_finding_carries_what_a_reader_needs() -> None:
    for name, pair in PAIRS.items():
        for item in told(pair.old, pair.fired, alone=pair.alone):
            assert all((item.message, item.remedy, item.parties)), name
            assert item.origin_before or item.origin_after or not pair.alone, (name, item.rule)
            assert not item.limit or any(char.isdigit() for char in item.limit), (name, item.rule, item.limit)
            assert "no source" not in item.source or item.source.startswith("EIA"), (name, item.source)


def lines(findings: Iterable[Finding]) -> Iterator[str]:
    for item in findings:
        how = "hazard" if item.hazard else item.severity
        yield f"    {how}: {item.rule} | {item.pairing} | {item.subject} | {item.message} | {item.arithmetic}"


def recorded() -> str:
    text = []
    for name in sorted(PAIRS):
        pair = PAIRS[name]
        for what, files in (("fires", pair.fired), ("near miss", pair.missed)):
            text += [f"{name}, {what}", *lines(told(pair.old, files, alone=pair.alone))]
    return "\n".join(text) + "\n"


def test_each_rule_on_each_pair_says_what_is_recorded() -> None:
    assert recorded() == GOLDEN.read_text(encoding="utf-8")


if __name__ == "__main__":
    GOLDEN.parent.mkdir(exist_ok=True)
    GOLDEN.write_text(recorded(), encoding="utf-8")
