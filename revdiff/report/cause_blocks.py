"""A cause as blocks of a document, and the arrangements that causes hit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from revdiff.judge.finding import Finding
from revdiff.release.cause_text import ToldCause, word_of, worked
from revdiff.release.document import Block, Heading, Items, Pair, Pairs
from revdiff.release.hits import hits_of


def cause_blocks(item: ToldCause, remedies: dict[str, int], *, titled: bool) -> Iterator[Block]:
    """What follows from a cause, with the arithmetic, what else happened, and what to do; its number in front.

    ``remedies``: what was told already, and where. ``titled``: what happened stands nowhere else.
    """
    head, changed = item.findings[0], item.changed()
    told = []
    if not titled and (not item.restated or head.waiver is not None):
        told.append(sentence_of(head))
    elif not titled:
        told += [] if changed else [f"{head.subject}: {head.arithmetic}."]
    elif (item.told_by_title or item.restated) and head.waiver is None:
        arithmetic = "" if item.restated or item.only_moved else f" ({head.worked})"
        told.append(f"{item.word}: {item.title} — {item.hits}{arithmetic}.")
    else:
        named = f"{item.title} — {item.hits}" if item.title else item.hits
        told.append(f"{item.word}: {named}: {sentence_of(head)}")
    if changed:
        told.append(f"{'Also ' if told else ''}{changed}.")
    known = remedies.setdefault(head.remedy, item.number)
    told.append(f"To do: {head.remedy}" if known == item.number else f"To do: see {known}.")
    yield Pairs((Pair(str(item.number), " ".join(told), item.word),))
    others: dict[str, Finding] = {}
    for one in item.findings[1:]:
        if not one.below and one.rule != head.rule:
            others.setdefault(one.rule, one)
    if others:
        yield Pairs(
            tuple(
                Pair(word_of(one), sentence_of(one) if one.hazard else f"{one.told}.", word_of(one))
                for one in others.values()
            ),
            2,
        )


def sentence_of(item: Finding) -> str:
    """The message with its arithmetic."""
    text = worked(item)
    return f"{item.told} ({text})." if text else f"{item.told}."


def arrangement_blocks(causes: Iterable[ToldCause]) -> Iterator[Block]:
    """Every arrangement that is hit, with the numbers of the causes."""
    hits = hits_of(causes)
    if not hits:
        return
    yield Heading("Arrangements that are hit, and by which cause")
    alike: dict[str, list[str]] = {}
    for hit in hits:
        alike.setdefault(hit.numbers, []).extend(hit.names)
    yield Items(tuple(f"{', '.join(names)}: {numbers}" for numbers, names in alike.items()), 1)
