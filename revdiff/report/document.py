"""The review as typed records, which are printed as JSON."""

from __future__ import annotations

from typing import Annotated, Literal, TypeAlias

from msgspec import Meta

from revdiff.design import Design
from revdiff.judge.engine import Answer
from revdiff.judge.finding import Step
from revdiff.release.cause_text import everything_else
from revdiff.release.review import Review
from revdiff.release.verdicts import verdicts
from revdiff.release.version_step import Scheme, advice
from revdiff.report import records
from revdiff.report.data import json_text
from revdiff.report.records import SCHEMA_VERSION, Record, Share, Version, copied, copies
from revdiff.sources import Identity

Position: TypeAlias = Annotated[int, Meta(ge=1)]


class PrintedBoard(Record, frozen=True):
    """How a board is called in one revision."""

    title: str
    revision: Annotated[str, Meta(description="as printed on the board")]


class ReviewedRevision(records.Revision, frozen=True):
    """A revision with what it holds."""

    design: str
    title: str
    boards: dict[str, PrintedBoard]


class Reader(Record, frozen=True):
    """The answer for one of those who read it."""

    reader: str
    answer: Literal["yes", "no", "unknown"]
    told: str


class NumberStep(Record, frozen=True):
    """The step of its number that the design, or a board, asks for."""

    board: Annotated[str, Meta(description="empty: the design as a whole")]
    step: Step | Literal[""]
    next: str
    scheme: Scheme
    before: str
    after: str
    causes: Annotated[list[Position], Meta(description="positions in causes, from 1")]
    warning: str


class OtherReading(Record, frozen=True):
    """Parts that were told as removed and added, and may be the same ones."""

    board: str
    old: Annotated[list[str], Meta(description="parts told as removed")]
    new: Annotated[list[str], Meta(description="parts told as added, with the same data")]
    confidence: Share
    tie: Annotated[bool, Meta(description="nothing tells which is which")]


class Comparison(Record, frozen=True):
    """The comparison of two revisions of a board design, judged.

    Every list is in a fixed order: equal inputs give equal bytes.
    """

    schema_version: Version
    old: ReviewedRevision
    new: ReviewedRevision
    changes: list[records.Change]
    answer: Annotated[Answer, Meta(description="the worst of all arrangements of old and new")]
    readers: Annotated[list[Reader], Meta(description="the answer in one sentence for each reader")]
    causes: list[records.Cause]
    steps: Annotated[list[NumberStep], Meta(description="the step that the design and each board ask for")]
    everything_else: Annotated[
        list[str], Meta(description="ids of the changes that nothing follows from, as far as anybody can tell")
    ]
    findings: list[records.Finding]
    other_readings: list[OtherReading]
    not_checked: list[records.NotChecked]
    waivers: list[records.UsedWaiver]
    diagnostics: list[records.Diagnostic]


def to_json(review: Review) -> str:
    """The document as text: the same review, the same bytes."""
    return json_text(document(review))


def document(review: Review) -> Comparison:
    """The document."""
    return Comparison(
        schema_version=SCHEMA_VERSION,
        old=_revision(review.old, review.comparison.old),
        new=_revision(review.new, review.comparison.new),
        changes=[records.change_of(records.Change, item) for item in review.changes],
        answer=review.verdict.answer,
        readers=[copied(Reader, item, told=item.sentence) for item in verdicts(review)],
        causes=[records.cause_of(item) for item in review.causes],
        steps=[copied(NumberStep, item, board=item.name) for item in advice(review)],
        everything_else=[item.id for item in everything_else(review)],
        findings=records.findings_of(review.findings),
        other_readings=copies(OtherReading, review.comparison.other_readings),
        not_checked=copies(records.NotChecked, review.not_checked),
        waivers=records.waivers_of(review.waivers),
        diagnostics=copies(records.Diagnostic, review.diagnostics),
    )


def _revision(identity: Identity, design: Design) -> ReviewedRevision:
    boards = {name: copied(PrintedBoard, board) for name, board in sorted(design.boards.items())}
    return copied(ReviewedRevision, identity, design=design.name, title=design.title, boards=boards)
