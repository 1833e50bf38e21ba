"""The draft of the release notes: its order, its bounds, its blanks, and what it must not invent."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest

from revdiff.app.review import review_revisions
from revdiff.judge.registry import ALL
from revdiff.release.review import Review
from revdiff.report.markdown import region_name
from tests.conftest import Run
from tests.release.support import notes_text


@pytest.fixture(scope="module")
def review(demo: Path) -> Review:
    return review_revisions("rev-b", "rev-c", repository=demo)


@pytest.fixture(scope="module")
def notes(review: Review) -> str:
    return notes_text(review)


def headings(text: str) -> list[str]:
    return re.findall(r"^#{2,3} (.*?)(?: <!--.*)?$", text, re.MULTILINE)


def section(text: str, title: str) -> str:
    return text.partition(f"\n## {title}")[2].partition("\n## ")[0]


def test_the_sections_stand_in_the_order_readers_need(notes: str) -> None:
    assert headings(notes) == [
        "What to use together",
        "Safety: what can hurt or destroy",
        "What else will not work, or is to be checked",
        "What firmware must change",
        "What to build and buy",
        "Faults and old boards",
        "Not checked",
    ]
    assert notes.index("<details><summary>Everything else") > notes.index("## Not checked")


def test_the_demo_takes_two_pages(notes: str) -> None:
    assert len(notes.splitlines()) <= 120


def test_it_names_both_revisions_with_their_full_commits(notes: str, review: Review) -> None:
    head = notes[: notes.index("## What to use together")]
    for identity in (review.new, review.old):
        assert identity.commit in head
        assert identity.date[:10] in head
    assert len(review.new.commit) == 40
    for board in ("base", "valves", "radio"):
        assert re.search(rf"^\| {board} \| .* \| B \| C \|", head, re.MULTILINE)


def test_there_is_one_place_for_the_reason_of_each_cause(notes: str, review: Review) -> None:
    for cause in review.causes:
        assert notes.count(f"<!-- own {region_name(f'why-{cause.id}')} -->") == 1, cause.id
    assert notes.count("<!-- own ") == notes.count("**[to be filled in:") == notes.count("<!-- /own -->")


def test_a_reader_meets_no_rule_and_no_key_of_the_manifest(notes: str) -> None:
    for rule in ALL:
        assert rule.name not in notes
    for key in ("boards.NAME", "[identity", "[firmware", "revdiff.toml"):
        assert key not in notes


def test_what_must_not_be_used_together_names_both_crossings(notes: str) -> None:
    together = section(notes, "What to use together")
    for pairing in ("base@rev-b + valves@rev-c", "base@rev-c + valves@rev-b", "irrigation 1.4.1 + base@rev-c"):
        assert pairing in together
    assert "base@rev-c in the place of an older one" in together
    safety = section(notes, "Safety")
    assert "current-limited supply" in safety
    assert "local codes" in safety


def test_the_set_that_belongs_together_is_named_with_what_is_known_of_it(notes: str) -> None:
    together = section(notes, "What to use together")
    assert "rev-c: base C + valves C + radio C + irrigation 2.0.0 + radio-link 2.0.0." in together
    assert "What was found in this set that is worse than in that of rev-b is told under 4, 8, in 378 parts" in together


def test_notes_forbid_no_set_that_stack_says_fits(notes: str, demo: Path, run: Run) -> None:
    """What is only to be looked at in the new set is no reason to keep its boards apart."""
    assert run("stack", "radio@rev-c", "valves@rev-c", "--repo", demo).stdout.startswith(
        "radio@rev-c + valves@rev-c\nfits;"
    )
    assert "radio@rev-c + valves@rev-c" not in section(notes, "What to use together")


def test_the_cautions_stand_even_where_nothing_was_found(demo: Path) -> None:
    harmless = notes_text(review_revisions("rev-a", "rev-a", repository=demo))
    assert "Never plug or unplug boards while they are powered." in harmless
    assert "No combination of old and new boards or firmware was found to be hazardous" in harmless


def test_no_section_is_empty(demo: Path) -> None:
    for old, new in (("rev-a", "rev-a"), ("rev-a", "rev-b"), ("rev-c", "rev-d")):
        text = notes_text(review_revisions(old, new, repository=demo))
        assert not re.search(r"^#+ .*\n+(#|\Z)", text, re.MULTILINE)


def test_a_revision_without_pin_changes_has_no_pin_section(demo: Path) -> None:
    assert "What firmware must change" not in headings(notes_text(review_revisions("rev-a", "rev-a", repository=demo)))


def test_parts_are_told_one_by_one_with_both_part_numbers(notes: str) -> None:
    """From the parts lists, by hand: two 18 pF load capacitors become 15 pF ones; a fuse went."""
    parts = section(notes, "What to build and buy")
    assert "C32, C33: 18p 0402 Brackwater BWC0402-C0G-18P-50J → 15p 0402 Brackwater BWC0402-C0G-15P-50J" in parts
    assert "**base, gone:** C44" in parts


def test_no_part_and_no_change_is_lost(notes: str, review: Review) -> None:
    """What stands nowhere else is in the folded part; a pin stands by its signal."""
    flat = notes.replace("\\", "")
    told = {item for cause in review.causes for item in cause.changes}
    for change in review.changes:
        assert change.id in told or change.subject in flat, change.id


def test_nothing_is_said_twice(notes: str) -> None:
    """But for the table of pins, which says of each signal what to do."""
    notes = notes.replace(section(notes, "What firmware must change"), "")
    bare = re.sub(r"<!--.*?-->|\*\*\[to be filled in.*?\]\*\*", "", notes)
    said = (part.strip(" .*-") for text in re.split(r"[|\n]", bare) for part in re.split(r"(?<=[.!?])\s+", text))
    counted = Counter(part for part in said if len(part.split()) > 5)
    assert {text: count for text, count in counted.items() if count > 1} == {}
