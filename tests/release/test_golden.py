"""Whole documents, as recorded in ``golden/``: whoever changes a sentence sees what it does to the page.

To record them anew: ``python -m tests.release.test_golden``, then read the difference.
"""

from __future__ import annotations

import io
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from rich.console import Console

from revdiff.app.review import review_revisions
from revdiff.demo import make_demo
from revdiff.judge import judge_change
from revdiff.release.review import Review
from revdiff.report.document import to_json
from revdiff.report.document_terminal import print_document
from revdiff.report.markdown import to_markdown
from revdiff.report.review_document import review_document
from tests.release.support import notes_text
from tests.support import SMALL, MemoryRevision, compare, edit

GOLDEN = Path(__file__).parent / "golden"
NEW = edit(
    SMALL,
    ("revdiff.toml", '[boards.base]\nrevision = "A"', '[boards.base]\nrevision = "B"'),
    ("base/parts.csv", "R2,1,4k7", "R2,1,47k"),
    ("base/parts.csv", "C2,1,1u,0805,CA-1U,10%,25 V", "C2,1,1 µF,0805,CB-1U,10%,16 V"),
    ("base/parts.csv", "D1,1,LED red,0603,LR-1,,,,yes", "D1,1,LED red,0603,LR-1,,,,DNP"),
    ("base/pins.csv", "U1,1,PA0,LED,GPIO,out,high", "U1,1,PA0,LED,GPIO,out,low"),
    ("base/contacts.csv", "J1,3,TX,out", "J1,3,RX,in"),
    ("base/contacts.csv", "J1,4,RX,in", "J1,4,TX,out"),
    ("base/contacts.csv", "J1,1,+5V,supply,5 V", "J1,1,+5V,supply,5.5 V"),
)


def review() -> Review:
    comparison = compare(SMALL, NEW)
    old, new = MemoryRevision(SMALL, "v1").identity, MemoryRevision(NEW, "v2").identity
    return Review(old, new, comparison, judge_change(comparison, "v1", "v2"))


def terminal(width: int, *, detail: bool = False) -> str:
    page = io.StringIO()
    print_document(
        review_document(review(), detail=detail),
        Console(file=page, width=width, no_color=True, highlight=False, emoji=False),
    )
    return page.getvalue()


DOCUMENTS: dict[str, Callable[[], str]] = {
    "notes.md": lambda: notes_text(review()),
    "report.md": lambda: to_markdown(review_document(review())),
    "report-detail.md": lambda: to_markdown(review_document(review(), detail=True)),
    "report.json": lambda: to_json(review()),
    "terminal-80.txt": lambda: terminal(80),
    "terminal-120.txt": lambda: terminal(120),
    "terminal-detail.txt": lambda: terminal(100, detail=True),
}


STEPS = (("a", "b"), ("b", "c"), ("c", "d"), ("a", "d"))


def demo_documents(repository: Path) -> Iterator[tuple[str, str]]:
    """The default report and the notes of each step of the demo."""
    for old, new in STEPS:
        review = review_revisions(f"rev-{old}", f"rev-{new}", repository=repository)
        page = io.StringIO()
        print_document(review_document(review), Console(file=page, width=80, no_color=True, highlight=False))
        yield f"demo-{old}-{new}.txt", page.getvalue()
        yield f"demo-{old}-{new}-notes.md", notes_text(review)


def test_the_documents_of_the_demo_are_as_recorded(demo: Path) -> None:
    for name, text in demo_documents(demo):
        assert text == (GOLDEN / name).read_text(encoding="utf-8"), name


@pytest.mark.parametrize("name", list(DOCUMENTS))
def test_the_document_is_as_recorded(name: str) -> None:
    assert DOCUMENTS[name]() == (GOLDEN / name).read_text(encoding="utf-8")


if __name__ == "__main__":
    GOLDEN.mkdir(exist_ok=True)
    for document, make in DOCUMENTS.items():
        (GOLDEN / document).write_text(make(), encoding="utf-8")
    with tempfile.TemporaryDirectory() as folder:
        make_demo(Path(folder) / "demo")
        for document, text in demo_documents(Path(folder) / "demo"):
            (GOLDEN / document).write_text(text, encoding="utf-8")
