"""The draft of the release notes: its order, its bounds, its blanks, and what it must not invent."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from revdiff.app.review import review_revisions
from revdiff.release.notes import release_notes
from revdiff.release.review import Review


@pytest.fixture(scope="module")
def review(demo: Path) -> Review:
    return review_revisions("rev-b", "rev-c", repository=demo)


@pytest.fixture(scope="module")
def notes(review: Review) -> str:
    return release_notes(review)


def headings(text: str) -> list[str]:
    return re.findall(r"^#{2,3} (.*)$", text, re.MULTILINE)


def test_the_sections_stand_in_the_order_readers_need(notes: str) -> None:
    assert [name for name in headings(notes) if not name.startswith("###")][:4] == [
        "In one sentence for each reader",
        "Safety: do not mix",
        "What fits what",
        "Pins",
    ]
    assert headings(notes)[-1] == "What was not checked"


def test_it_names_both_revisions_with_their_full_commits(notes: str, review: Review) -> None:
    head = notes[: notes.index("## In one sentence")]
    assert f"`{review.new.commit}`" in head
    assert f"`{review.old.commit}`" in head
    assert len(review.new.commit) == 40
    assert review.new.date in head


def test_what_only_a_person_knows_is_a_visible_blank(notes: str, review: Review) -> None:
    for blank in ("date", "version", "decision"):
        assert f"**[to be filled in: {blank}]**" in notes
    assert notes.count("**[why?]**") == len(review.changes)


def test_do_not_mix_names_both_crossings(notes: str) -> None:
    safety = notes[notes.index("## Safety") : notes.index("## What fits what")]
    for pairing in ("base@rev-b + valves@rev-c", "base@rev-c + valves@rev-b", "irrigation 1.4.1 + base@rev-c"):
        assert f"**Do not combine {pairing}.**" in safety
    assert "current-limited supply" in safety
    assert "local codes" in safety


def test_a_single_board_is_combined_with_nothing(notes: str) -> None:
    """Its cables and unknown partners are concerned: it doesn't take the place of an older one."""
    safety = notes[notes.index("## Safety") : notes.index("## What fits what")]
    combined = re.findall(r"\*\*Do not combine (.*)\.\*\*", safety)
    assert all(" + " in item for item in combined)
    assert "**Do not put base@rev-c in the place of an older one.**" in safety


def test_the_cautions_stand_even_where_nothing_was_found(demo: Path) -> None:
    harmless = release_notes(review_revisions("rev-a", "rev-a", repository=demo))
    assert "Never plug or unplug boards while they are powered." in harmless
    assert "No combination of old and new boards or firmware was found to be hazardous" in harmless


def test_no_section_is_empty(demo: Path) -> None:
    for old, new in (("rev-a", "rev-a"), ("rev-a", "rev-b"), ("rev-c", "rev-d")):
        text = release_notes(review_revisions(old, new, repository=demo))
        assert not re.search(r"^#+ .*\n+(#|\Z)", text, re.MULTILINE)


def test_a_revision_without_pin_changes_has_no_pin_section(demo: Path) -> None:
    assert "Pins" not in headings(release_notes(review_revisions("rev-a", "rev-a", repository=demo)))


def test_claims_are_bounded(notes: str) -> None:
    assert "within what was compared" in notes.casefold()


def test_stock_counts_fitted_pieces_of_one_of_each_board(notes: str) -> None:
    """Counted by hand from the parts lists: two 18 pF load capacitors go, two 15 pF ones come."""
    assert "| Brackwater BWC0402-C0G-18P-50J | 2 | 0 | -2 |" in notes
    assert "| Brackwater BWC0402-C0G-15P-50J | 0 | 2 | +2 | buy |" in notes
