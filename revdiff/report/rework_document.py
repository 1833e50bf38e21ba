"""The work that makes an old board a new one, as a sheet for the bench; or why there is none."""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.release.document import Block, Document, Heading, Items, Row, Sentence, Table
from revdiff.release.review import Review
from revdiff.release.rework import Rework, reworks
from revdiff.release.verdicts import counted

BOUND = (
    "From the parts lists, pin maps and connector maps alone: whether pads, tracks and heights allow it has to be "
    "looked at. Work on boards for batteries or mains is for somebody licensed for it; test a board as new before it "
    "is powered."
)


def rework_document(review: Review) -> Document:
    """A part for each board that changed."""
    return tuple(_blocks(review))


def _blocks(review: Review) -> Iterator[Block]:
    design = review.comparison.new
    yield Heading(f"{design.title or design.name}: boards of {review.old.name} made into {review.new.name}", 1)
    found = reworks(review)
    if not found:
        yield Sentence("Within what was compared, no part of a board that both revisions have asks for work.")
    for item in found:
        yield from _board(item)
    yield Sentence(BOUND)


def _board(item: Rework) -> Iterator[Block]:
    labels = f" {item.before} → {item.after}" if item.before and item.after else ""
    if item.needs:
        yield Heading(f"{item.board}{labels}: needs a new printed circuit board", 2, "break")
        yield Items(tuple(f"{why}: {', '.join(what)}" for why, what in item.needs), 1)
        return
    count = sum(len(step.where) for step in item.steps)
    yield Heading(f"{item.board}{labels}: can be reworked, {counted(count, 'part')}", 2, "good")
    rows = [
        Row(
            (str(number), step.work, ", ".join(step.where), str(len(step.where)), step.before or "–", step.after or "–")
        )
        for number, step in enumerate(item.steps, 1)
    ]
    yield Table(("Step", "Do", "Where", "Pieces", "From", "To"), tuple(rows))
