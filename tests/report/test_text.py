"""The terminal and Markdown reports: complete, in order, and not to be forged by a cell."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from markdown_it import MarkdownIt
from markdown_it.token import Token
from rich.console import Console

from revdiff.app.review import review_revisions
from revdiff.release.review import Review
from revdiff.report.document_terminal import print_document
from revdiff.report.markdown import to_markdown
from revdiff.report.review_document import review_document
from tests.support import SMALL, edit


def printed(review: Review, width: int = 100, *, detail: bool = True) -> str:
    page = io.StringIO()
    print_document(
        review_document(review, detail=detail),
        Console(file=page, width=width, no_color=True, highlight=False, emoji=False),
    )
    return page.getvalue()


def marked(review: Review, *, detail: bool = True) -> str:
    return to_markdown(review_document(review, detail=detail))


@pytest.fixture(scope="module")
def review(demo: Path) -> Review:
    return review_revisions("rev-b", "rev-c", repository=demo)


def tokens(page: str) -> list[Token]:
    """What a Markdown parser of its own makes of the page (CommonMark 0.31 with tables, by markdown-it-py)."""
    return MarkdownIt("commonmark").enable("table").parse(page)


def hostile_review(folder: Path, text: str) -> Review:
    for name, files in (("old", SMALL), ("new", edit(SMALL, ("base/parts.csv", "R2,1,4k7", f'R2,1,"{text}"')))):
        for path, content in files.items():
            target = folder / name / path
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_text(content, encoding="utf-8")
    return review_revisions(f"folder:{folder / 'old'}", f"folder:{folder / 'new'}", repository=folder)


def test_breaks_come_before_cautions_and_findings_before_changes(review: Review) -> None:
    for text in (printed(review), marked(review)):
        places = [text.index(heading) for heading in ("Breaks (", "Take care (", "Stacking and connectors (")]
        assert places == sorted(places)


def test_every_change_and_finding_is_in_both(review: Review) -> None:
    wide = printed(review, 400)
    pages = marked(review).replace("\\", "")
    for change in review.changes:
        assert change.subject in wide
        assert change.subject in pages
    for finding in review.findings:
        assert finding.message in wide
        assert finding.arithmetic in wide
        assert finding.rule in pages


def test_equal_revisions_say_so_within_bounds(demo: Path) -> None:
    same = review_revisions("rev-a", "rev-a", repository=demo)
    for text in (printed(same), marked(same)):
        assert "No change was found in 3" in text


@pytest.mark.parametrize(
    "text",
    [
        "| broken | table |",
        "[link](https://example.org)",
        "<script>alert(1)</script>",
        "![image](https://example.org/x.png)",
        "`code` **bold**",
        "line one\nline two",
        "[bold red]rich markup[/]",
        ":smile:",
    ],
)
def test_a_cell_cannot_forge_markup(tmp_path: Path, text: str) -> None:
    review = hostile_review(tmp_path, text)
    shown = " ".join(text.split())
    assert shown in printed(review, 300)
    page = marked(review)
    cells = [token for token in tokens(page) if token.type == "inline"]
    texts = ["".join(child.content for child in token.children or ()) for token in cells]
    assert any(shown in item for item in texts)
    used = {child.type for token in cells for child in token.children or ()}
    assert used <= {"text", "text_special", "strong_open", "strong_close", "code_inline"}
    clean = marked(hostile_review(tmp_path / "clean", "plain"))
    assert [token.type for token in tokens(page)] == [token.type for token in tokens(clean)]


@pytest.mark.parametrize("text", ["@somebody", "#123"])
def test_a_cell_cannot_mention_people_or_issues(tmp_path: Path, text: str) -> None:
    row = next(line for line in marked(hostile_review(tmp_path, text)).splitlines() if "R2: " in line)
    assert f"`{text}`" in row


def test_a_bare_address_does_not_become_a_link(tmp_path: Path) -> None:
    page = marked(hostile_review(tmp_path, "see https://example.org/x"))
    assert "https://" not in page
    assert "https\\://example.org/x" in page
