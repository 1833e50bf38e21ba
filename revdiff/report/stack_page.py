"""One stack as a document: the verdict, what doesn't fit told once for all places alike, what was not checked."""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.judge import Verdict
from revdiff.judge.finding import Finding
from revdiff.judge.waivers import waiver_lines
from revdiff.release.cause_text import word_of
from revdiff.release.document import Block, Document, Heading, Pair, Pairs, Sentence
from revdiff.release.support import reason
from revdiff.report.review_document import listed, not_made
from revdiff.report.stack_text import SAFETY, TONES, counted_findings


def stack_page(verdict: Verdict, *, detail: bool = False) -> Document:
    """``detail``: every finding with its rule, and every check that could not be made."""
    return tuple(_blocks(verdict, detail))


def _blocks(verdict: Verdict, detail: bool) -> Iterator[Block]:
    yield Heading(verdict.title, 1)
    told = "; ".join(filter(None, (verdict.answer, counted_findings(verdict), verdict.coverage)))
    yield Sentence(told, tone=TONES[verdict.answer])
    if verdict.answer in ("cannot tell", "not judged") and (because := reason(verdict)):
        yield Sentence(f"Because of: {because}")
    yield from _each(verdict) if detail else _alike(verdict)
    yield from not_made(verdict.not_checked, detail=detail)
    yield from listed("Waivers", waiver_lines(verdict.waivers))
    yield Sentence(f"Cautions: {' '.join(SAFETY)}")


def _alike(verdict: Verdict) -> Iterator[Block]:
    """Of one pair of things and one rule together: every hazard told, of what else is alike the places."""
    groups: dict[tuple[str, str, str], list[Finding]] = {}
    for item in verdict.findings:
        groups.setdefault((item.pairing, item.rule, item.severity), []).append(item)
    remedies: dict[str, str] = {}
    rows: dict[str, list[Pair]] = {}
    for (pairing, _, _), items in sorted(groups.items(), key=lambda one: _rank(verdict, one[0][0])):
        head, *rest = items
        told = [f"{head.subject}: {head.told} ({head.worked})."]
        loud = [item for item in rest if item.hazard or item.waiver is not None]
        told += [f"{item.subject}: {item.told}." for item in loud]
        if alike := [item.subject for item in rest if item not in loud]:
            told.append(f"Alike: {', '.join(alike)}.")
        place = remedies.setdefault(head.remedy, head.subject)
        told.append(f"To do: {head.remedy}" if place == head.subject else f"To do: as at {place}.")
        rows.setdefault(pairing, []).append(Pair(word_of(head), " ".join(told), word_of(head)))
    for pairing, pairs in rows.items():
        yield Heading(pairing)
        yield Pairs(tuple(pairs), 1)


def _rank(verdict: Verdict, pairing: str) -> int:
    """Where the loudest finding of a pair of things stands."""
    return next(index for index, item in enumerate(verdict.findings) if item.pairing == pairing)


def _each(verdict: Verdict) -> Iterator[Block]:
    if verdict.findings:
        yield Heading(f"Findings ({len(verdict.findings)})")
    for item in verdict.findings:
        source = f"; source: {item.source}" if item.source else ""
        text = f"{item.pairing}, {item.subject}: {item.told} ({item.worked}{source}). {item.remedy} [{item.rule}]"
        yield Pairs((Pair(word_of(item), text, word_of(item)),), 1)
