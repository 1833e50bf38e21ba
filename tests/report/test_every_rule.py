"""Whatever a rule finds reaches a reader: in the default report, and in the notes, of the pair that fires it."""

from __future__ import annotations

import pytest

from revdiff.judge import judge_change
from revdiff.judge.registry import ALL
from revdiff.release.cause_text import ToldCause, told_causes
from revdiff.release.notes import release_notes
from revdiff.release.review import Review
from revdiff.report.draft import draft
from revdiff.report.markdown import region_name
from tests.judge.pairs import PAIRS
from tests.report.test_text import printed
from tests.support import MemoryRevision, compare

pytestmark = pytest.mark.slow


def review(name: str) -> Review:
    old, new = PAIRS[name].old, PAIRS[name].fired
    comparison = compare(old, new)
    identities = MemoryRevision(old, "v1").identity, MemoryRevision(new, "v2").identity
    return Review(*identities, comparison, judge_change(comparison, "v1", "v2"))


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("name", [rule.name for rule in ALL if not PAIRS[rule.name].alone])
def test_every_finding_reaches_a_reader(name: str) -> None:
    found = review(name)
    page = flat(printed(found, 1000, detail=False))
    listed = page.partition("Arrangements that are hit")[2]
    causes = told_causes(found)
    assert {item.id for cause in causes for item in cause.findings} == {item.id for item in found.findings}
    for cause in causes:
        check_told(cause, page)
        for item in cause.findings:
            assert not item.crossing or item.pairing in listed, item.id
            if item.hazard and not item.below:
                assert flat(item.message) in page or says_alike(cause, item.rule, page), item.id


def check_told(cause: ToldCause, page: str) -> None:
    """Its strongest message or a title that says as much; of what can hurt the arithmetic and its limit; what to do."""
    head = cause.findings[0]
    assert flat(head.message) in page or (cause.title and cause.title in page and not head.hazard), head.id
    if head.hazard and head.limit:
        assert flat(head.worked) in page, head.id
    assert flat(head.remedy) in page


def says_alike(cause: ToldCause, rule: str, page: str) -> bool:
    """Whether another finding of the same rule and cause stands for it."""
    return any(item.rule == rule and flat(item.message) in page for item in cause.findings)


@pytest.mark.parametrize("name", [rule.name for rule in ALL if not PAIRS[rule.name].alone])
def test_every_cause_is_in_the_notes_with_a_place_for_its_reason(name: str) -> None:
    found = review(name)
    first = draft(release_notes(found))
    flattened = flat(first.text)
    for cause in told_causes(found):
        assert first.text.count(f"<!-- own {region_name(f'why-{cause.cause.id}')} -->") == 1, cause.cause.id
        assert cause.word != "hazard" or "Safety: what can hurt or destroy" in flattened
    assert draft(release_notes(found), first.text).text == first.text
