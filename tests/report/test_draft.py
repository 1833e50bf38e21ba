"""Drafting anew: whatever a person did to a draft stays, and what can't be decided is told."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from revdiff.release.document import Blank, Heading, Pair, Pairs, Section, Sentence
from revdiff.report.draft import draft, is_draft, places_left


def sections(middle: str = "as it is", *, with_end: bool = True) -> list[Section]:
    top = Section("title", (Heading("Board", 1), Sentence(Blank("summary", "what it is for"))))
    body = Section("safety", (Heading("Safety"), Sentence(middle), Pairs((Pair("Why", Blank("why/J1 -- x", "why")),))))
    end = Section("end", (Heading("End"), Sentence("over")))
    return [top, body, end] if with_end else [top, body]


FIRST = draft(sections())
SUMMARY = "**[to be filled in: what it is for]**"
WHY = "**[to be filled in: why]**"


def test_a_draft_counts_its_places() -> None:
    assert FIRST.left == ("to be filled in: what it is for", "to be filled in: why")
    assert is_draft(FIRST.text)
    assert not is_draft("# Notes\n\nmine\n")


def test_drafting_the_same_again_changes_nothing() -> None:
    assert draft(sections(), FIRST.text).text == FIRST.text


def test_what_was_filled_in_stays_when_the_draft_changes() -> None:
    mine = FIRST.text.replace(SUMMARY, "A board.\n\nFor gardens.").replace(WHY, "a **fault** in rev A")
    again = draft(sections("otherwise"), mine)
    assert "A board.\n\nFor gardens." in again.text
    assert "a **fault** in rev A" in again.text
    assert "otherwise" in again.text
    assert "as it is" not in again.text
    assert (again.left, again.told) == ((), ())


@pytest.mark.parametrize("where", ["Safety", "End", "Board"])
def test_what_was_written_below_a_part_stays_there(where: str) -> None:
    head = re.search(rf"^#+ {where} .*$", FIRST.text, re.MULTILINE)
    assert head is not None
    following = FIRST.text.find("\n#", head.end())
    at = following if following >= 0 else len(FIRST.text)
    mine = f"{FIRST.text[:at]}\nMy own paragraph.\n\n## And a heading\n{FIRST.text[at:]}"
    again = draft(sections("otherwise"), mine)
    assert again.text.count("My own paragraph.\n\n## And a heading") == 1
    assert again.told == ()
    assert draft(sections("otherwise"), again.text).text == again.text


def test_a_part_rewritten_by_hand_stays_where_the_draft_says_the_same_as_before() -> None:
    mine = FIRST.text.replace("as it is", "as I say")
    again = draft(sections(), mine)
    assert "as I say" in again.text
    assert "as it is" not in again.text


def test_a_part_rewritten_by_hand_and_drafted_otherwise_is_a_conflict_and_both_stand() -> None:
    mine = FIRST.text.replace("as it is", "as I say").replace(WHY, "because")
    again = draft(sections("otherwise"), mine)
    assert "as I say" in again.text
    assert "otherwise" in again.text
    assert again.text.count("because") >= 1
    assert again.told == ("safety: rewritten by hand, and the draft has changed since; both stand there",)
    assert any(item.startswith("to be decided") for item in again.left)
    third = draft(sections("otherwise"), again.text)
    assert third.text.count("otherwise") == again.text.count("otherwise")


def test_what_was_written_where_nothing_is_drafted_any_more_is_kept_at_the_end() -> None:
    mine = FIRST.text.replace("over", "over and out").rstrip() + "\n\nA last word.\n"
    again = draft(sections(with_end=False), mine)
    assert "over and out" in again.text
    assert "A last word." in again.text
    assert again.told


def test_a_place_that_is_gone_keeps_its_text() -> None:
    mine = FIRST.text.replace(WHY, "because")
    top, _, end = sections()
    again = draft([top, Section("safety", (Heading("Safety"), Sentence("as it is"))), end], mine)
    assert "because" in again.text
    assert any("its place is gone" in item for item in again.told)


def test_what_stands_before_the_first_part_stays() -> None:
    again = draft(sections("otherwise"), f"---\nlayout: post\n---\n{FIRST.text}")
    assert again.text.startswith("---\nlayout: post\n---")


@settings(deadline=None)
@given(st.text(alphabet="ab *|#->\n", min_size=1, max_size=40).filter(lambda text: text.strip() and "--" not in text))
def test_whatever_is_written_into_a_place_stays(text: str) -> None:
    mine = FIRST.text.replace(SUMMARY, text)
    again = draft(sections("otherwise"), mine)
    assert text.strip("\n") in again.text
    assert draft(sections("otherwise"), again.text).text == again.text


def test_the_marks_are_not_seen_on_a_page() -> None:
    """CommonMark 0.31.2: comments are HTML; by a parser of its own."""
    page = MarkdownIt("commonmark", {"html": True}).enable("table").render(FIRST.text)
    shown = re.sub(r"<!--.*?-->|<[^>]*>", "", page)
    assert "draft" not in shown
    assert "own" not in shown
    assert "<strong>[to be filled in: why]</strong>" in page
    assert "<strong>[to be filled in: what it is for]</strong>" in page


def test_a_name_cannot_end_its_comment() -> None:
    text = draft([Section("a", (Heading("A"), Pairs((Pair("x", Blank("--> <b> --", "why")),))))]).text
    assert "<b>" not in text
    assert text.count("-->") == 3


def test_names_that_differ_in_a_sign_have_places_of_their_own() -> None:
    rows = tuple(Pair(name, Blank(name, "why")) for name in ("why-J1.1", "why-J1/1", "why-J1 1"))
    first = draft([Section("a", (Heading("A"), Pairs(rows)))])
    assert len(set(re.findall(r"<!-- own (\S+) -->", first.text))) == 3


def test_much_that_was_written_below_a_part_is_parted_off_at_once() -> None:
    """Work that grew with the square of the lines would not end here."""
    mine = FIRST.text + "a line of mine\n" * 20_000
    again = draft(sections("otherwise"), mine)
    assert again.text.count("a line of mine") == 20_000
    assert again.told == ()


def test_places_left_are_named() -> None:
    assert places_left("x **[to be filled in: a\\_b]** y **[to be decided: c]**") == (
        "to be filled in: a_b",
        "to be decided: c",
    )
