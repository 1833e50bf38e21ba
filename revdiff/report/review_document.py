"""What changed between two revisions, and what that breaks, as a document: the answer first, then cause by cause."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from revdiff.compare.kinds import GROUPS, KINDS
from revdiff.judge.finding import SEVERITIES, Finding, NotChecked
from revdiff.judge.waivers import waiver_lines
from revdiff.release.cause_text import (
    ToldCause,
    everything_else,
    said_of,
    told_causes,
    word_of,
)
from revdiff.release.document import Block, Document, Gap, Heading, Items, Pair, Pairs, Sentence, Tone
from revdiff.release.review import Review
from revdiff.release.scope import nets_compared, nothing_changed
from revdiff.release.verdicts import counted
from revdiff.release.version_step import advice
from revdiff.release.words import CAUTIONS, GROUP_TITLES, SEVERITY_TITLES
from revdiff.report.answer import answer_blocks, named_first
from revdiff.report.cause_blocks import arrangement_blocks, cause_blocks
from revdiff.report.data_lines import data_lines
from revdiff.report.other_readings import TITLE as READINGS
from revdiff.report.other_readings import reading_lines
from revdiff.report.page import change_line
from revdiff.sources import Identity

_NEEDS = 2  # columns and keys that are named where checks could not be made


def review_document(review: Review, *, detail: bool = False, summary: bool = False) -> Document:
    """The whole report, of a focus what that shows.

    ``detail``: every finding by what it is about, and every change, instead of the causes. ``summary``: the answer.
    """
    return tuple(_blocks(review, detail, summary))


def _blocks(review: Review, detail: bool, summary: bool) -> Iterator[Block]:
    design = review.comparison.new
    causes = told_causes(review)
    yield Heading(f"{design.title or design.name}: {review.old.name} → {review.new.name}", 1)
    yield from answer_blocks(review)
    if summary:
        return
    yield from _detail(review) if detail else _told(review, causes)
    if not review.whole.changes:
        yield Gap()
        yield Sentence(nothing_changed(review.comparison))
    elif terminals := nets_compared(review.comparison):
        yield Sentence(terminals)
    yield from listed(READINGS, reading_lines(review.comparison.other_readings))
    yield from not_made(review.not_checked, detail=detail)
    yield from listed("Waivers", waiver_lines(review.waivers))
    yield from listed("About the data", data_lines(review.diagnostics))
    warnings = [f"{item.name or 'the design'}: {item.warning}" for item in advice(review) if item.warning]
    if warnings:
        yield Sentence(f"Numbers of revisions: {'; '.join(warnings)}.", tone="caution")
    yield Sentence("; ".join(_identity(item) for item in (review.old, review.new)) + ".")
    if any(item.severity != "info" for item in review.findings):
        yield Sentence(f"Cautions: {' '.join(CAUTIONS)}")


def _identity(item: Identity) -> str:
    of = f" of {item.date[:10]}" if item.date else ""
    return f"{item.name}: {item.kind} {item.commit[:12]}".rstrip() + of


def _told(review: Review, causes: tuple[ToldCause, ...]) -> Iterator[Block]:
    """Cause by cause: what follows, the arithmetic, what else happened, what to do; then whom each hits. All once."""
    remedies: dict[str, int] = {}
    named = named_first(review)
    if causes:
        yield Heading(f"Cause by cause ({len(causes)})")
    for item in causes:
        yield from cause_blocks(item, remedies, titled=item.number not in named)
    yield from arrangement_blocks(causes)
    rest = everything_else(review)
    if rest:
        yield Sentence(f"Everything else ({len(rest)}): {said_of(rest)}.")


def not_made(unmade: Sequence[NotChecked], *, detail: bool) -> Iterator[Block]:
    """The checks that could not be made: how many, and for want of what; in detail each."""
    if not unmade:
        return
    if detail:
        lines = [f"{item.what}: {item.why}; needs {item.needs}" for item in unmade]
        yield from listed("Not checked", lines)
        return
    needs = list(dict.fromkeys(item.needs for item in unmade))
    rest = len(needs) - _NEEDS
    more = f"; and {rest} more, which --detail names" if rest > 0 else ""
    yield Sentence(f"{counted(len(unmade), 'check')} not made for want of {'; '.join(needs[:_NEEDS])}{more}.")


def listed(title: str, lines: Iterable[str]) -> Iterator[Block]:
    """A heading with the number of texts, and the texts; nothing where there are none."""
    texts = tuple(lines)
    if texts:
        yield Heading(f"{title} ({len(texts)})")
        yield Items(texts, 1)


def _detail(review: Review) -> Iterator[Block]:
    tones: dict[str, Tone] = {"break": "break", "caution": "caution", "info": "info"}
    for severity in SEVERITIES:
        findings = [item for item in review.findings if item.severity == severity]
        if not findings:
            continue
        yield Heading(f"{SEVERITY_TITLES[severity]} ({len(findings)})", 2, tones[severity])
        pairings: dict[str, list[Finding]] = {}
        for item in findings:
            pairings.setdefault(f"{item.pairing}: {item.crossing}" if item.crossing else item.pairing, []).append(item)
        for pairing, items in pairings.items():
            yield Sentence(pairing, 1, "title")
            rows = [
                Pair(
                    "hazard" if item.hazard else severity,
                    f"{item.subject}: {item.told} ({item.worked}) [{item.rule}]",
                    word_of(item),
                )
                for item in items
            ]
            yield Pairs(tuple(rows), 2)
    for group in GROUPS:
        changes = sorted((item for item in review.changes if item.group == group), key=lambda item: item.board)
        if not changes:
            continue
        yield Heading(f"{GROUP_TITLES[group]} ({len(changes)})")
        places: dict[tuple[str, str], list[str]] = {}
        for change in changes:
            places.setdefault((change.board or "all boards", KINDS[change.kind][1]), []).append(change_line(change))
        for (board, kind), lines in places.items():
            yield Sentence(f"{board}: {kind}", 1, "title")
            yield Items(tuple(lines), 2)
