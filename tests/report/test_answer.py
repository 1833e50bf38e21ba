"""The report of a comparison: the answer on the first screen, each cause once, and nothing lost."""

from __future__ import annotations

import io
import re
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from msgspec import to_builtins
from rich.console import Console

from revdiff.app.review import review_revisions
from revdiff.judge.finding import Finding
from revdiff.release.cause_text import everything_else, told_causes
from revdiff.release.document import Blank, Block, Folded, Heading, Items, Pairs, Sentence, Table
from revdiff.release.review import Review
from revdiff.report.answer import first_lines, named_first
from revdiff.report.document import document
from revdiff.report.document_terminal import print_document
from revdiff.report.review_document import review_document
from tests.report.test_text import printed

STEPS = [("rev-a", "rev-b"), ("rev-b", "rev-c"), ("rev-c", "rev-d"), ("rev-a", "rev-d")]


@cache
def reviewed(demo: Path, old: str, new: str) -> Review:
    """The demo's revisions, compared once for all tests here."""
    return review_revisions(old, new, repository=demo)


@pytest.fixture(scope="module")
def review(demo: Path) -> Review:
    return reviewed(demo, "rev-b", "rev-c")


def texts(blocks: tuple[Block, ...]) -> Iterator[str]:
    """Everything that a document says, text by text."""
    for block in blocks:
        match block:
            case Heading() | Sentence():
                cells = [block.text]
            case Items():
                cells = list(block.texts)
            case Pairs():
                cells = [row.text for row in block.rows]
            case Table():
                cells = [cell for row in block.rows for cell in row.cells]
            case Folded():
                yield from texts(block.blocks)
                continue
            case _:
                continue
        yield from (cell for cell in cells if not isinstance(cell, Blank))


def sentences(blocks: tuple[Block, ...]) -> Counter[str]:
    """How often each sentence of four words or more is said."""
    said = (part.strip(" .") for text in texts(blocks) for part in re.split(r"(?<=[.!?])\s+", text))
    return Counter(part for part in said if len(part.split()) > 3 and not part.startswith("To do: see "))


def test_the_first_screen_is_the_whole_answer(review: Review) -> None:
    """On 80 columns and 24 lines: each reader's verdict, each cause that hurts, destroys or stops, the rest counted."""
    screen = "\n".join(printed(review, 80, detail=False).splitlines()[:24])
    for reader in ("Stacking", "Firmware", "Parts"):
        assert re.search(rf"^{reader}  ", screen, re.MULTILINE)
    loud = [item for item in told_causes(review) if item.cause.outcome in ("can hurt or destroy", "will not work")]
    assert len(loud) >= 18
    numbers = re.findall(r"^(?:hazard|break) +([0-9, ]+?)  ", screen, re.MULTILINE)
    assert [int(number) for line in numbers for number in line.split(",")] == [item.number for item in loud]
    assert "work wrongly" in screen
    assert "to check" in screen
    assert "other changes" in screen


@pytest.mark.parametrize(("old", "new"), STEPS)
def test_the_answer_fits_on_the_smallest_screen_and_names_every_loud_cause(demo: Path, old: str, new: str) -> None:
    """Where there are too many for a line each, what only breaks the same shares one; a hazard never does."""
    found = reviewed(demo, old, new)
    page = io.StringIO()
    print_document(review_document(found, summary=True), Console(file=page, width=80, no_color=True, highlight=False))
    assert len(page.getvalue().splitlines()) <= 24
    loud = [item for item in told_causes(found) if item.cause.outcome in ("can hurt or destroy", "will not work")]
    lines = first_lines(found)
    assert sorted(item.number for line in lines for item in line) == [item.number for item in loud]
    assert all(len(line) == 1 for line in lines if line[0].word == "hazard")


@pytest.mark.parametrize(("old", "new"), STEPS)
def test_what_the_answer_only_names_is_told_below(demo: Path, old: str, new: str) -> None:
    found = reviewed(demo, old, new)
    below = printed(found, 400, detail=False)
    for cause in told_causes(found):
        if cause.title:
            assert cause.title in below or cause.number in named_first(found)


@pytest.mark.parametrize(("old", "new"), STEPS)
def test_a_report_is_short_and_keeps_to_the_width(demo: Path, old: str, new: str) -> None:
    review = reviewed(demo, old, new)
    lines = printed(review, 80, detail=False).splitlines()
    assert max(map(len, lines)) <= 80
    assert len(lines) <= (150 if (old, new) != ("rev-a", "rev-d") else 240)


@pytest.mark.parametrize(("old", "new"), STEPS)
def test_nothing_is_said_twice(demo: Path, old: str, new: str) -> None:
    review = reviewed(demo, old, new)
    found = review_document(review)
    assert {text: count for text, count in sentences(found).items() if count > 1} == {}
    told = [item.title for item in told_causes(review) if item.title]
    assert len(told) == len(set(told))


def test_a_sentence_that_is_said_twice_is_noticed() -> None:
    assert sentences((Sentence("one two three four."), Items(("Else. one two three four",))))["one two three four"] == 2


@pytest.mark.parametrize(("old", "new"), STEPS)
def test_every_arrangement_that_is_hit_is_named_once(demo: Path, old: str, new: str) -> None:
    review = reviewed(demo, old, new)
    page = " ".join(printed(review, 400, detail=False).split())
    listed = page.partition("Arrangements that are hit, and by which cause")[2].partition("Everything else")[0]
    for name in {item.pairing for item in review.findings if item.crossing}:
        assert len(re.findall(rf"(?:^|[ ,])(?<!\+ ){re.escape(name)}(?=[,:]| \d)", listed)) == 1, name


def test_every_change_and_finding_is_reached_from_a_cause_or_everything_else(review: Review) -> None:
    data = to_builtins(document(review))
    reached = {item for cause in data["causes"] for item in cause["changes"]} | set(data["everything_else"])
    assert reached == {item["id"] for item in data["changes"]}
    assert {item["cause"] for item in data["findings"]} == {item["id"] for item in data["causes"]}
    page = printed(review, 400, detail=False)
    for item in everything_else(review):
        told = item.group == "documentation" or item.kind in ("pin.field", "part.cost", "part.lifecycle")
        assert told or item.subject in page, item.id


def test_every_message_that_no_stronger_one_stands_for_is_told(review: Review) -> None:
    """A finding below another, and one of a rule that the cause told already, stand in the detail."""
    page = printed(review, 400, detail=False)
    for cause in told_causes(review):
        head: Finding = cause.findings[0]
        if cause.cause.outcome == "can hurt or destroy":
            assert head.message in page
            assert head.remedy.split(". ")[0] in page


@pytest.mark.parametrize("hidden", ["yellow", "red"])
def test_colour_never_stands_for_a_word(review: Review, hidden: str) -> None:
    plain = printed(review, 80, detail=False)
    assert "\x1b" not in plain
    assert plain.count("\nhazard  ") == sum(1 for item in told_causes(review) if item.word == "hazard"), hidden
    assert "caution:" in plain
