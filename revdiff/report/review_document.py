"""What changed between two revisions, and what that breaks, as a document: the answer first, then cause by cause."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from revdiff.compare.kinds import GROUPS, KINDS
from revdiff.judge.causes import OUTCOMES
from revdiff.judge.finding import SEVERITIES, Finding, NotChecked
from revdiff.judge.waivers import waiver_lines
from revdiff.release.cause_text import (
    ToldCause,
    by_outcome,
    everything_else,
    said_of,
    short,
    told_causes,
    word_of,
)
from revdiff.release.document import Block, Document, Gap, Heading, Items, Pair, Pairs, Row, Sentence, Table, Tone
from revdiff.release.review import Focus, Review
from revdiff.release.scope import nothing_changed
from revdiff.release.verdicts import counted, verdicts
from revdiff.release.version_step import advice
from revdiff.release.words import CAUTIONS, GROUP_TITLES, SEVERITY_TITLES
from revdiff.report.cause_blocks import arrangement_blocks, cause_blocks
from revdiff.report.data_lines import data_lines
from revdiff.report.other_readings import TITLE as READINGS
from revdiff.report.other_readings import reading_lines
from revdiff.report.page import change_line
from revdiff.sources import Identity

_ANSWERS: dict[str, Tone] = {"yes": "good", "no": "break", "unknown": "caution"}
FIRST = OUTCOMES[:2]  # what the answer names one by one
_SHORT = 56  # characters that causes may take together on one line
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


def answer_blocks(review: Review, *, one_by_one: bool = True) -> Iterator[Block]:
    """The answer for each reader; ``one_by_one`` also what can hurt, destroy, or keep things from working."""
    yield Pairs(tuple(Pair(item.reader, item.sentence, _ANSWERS[item.answer]) for item in verdicts(review)))
    yield from _left_out(review)
    if one_by_one:
        yield from _first(review, told_causes(review))


def _identity(item: Identity) -> str:
    of = f" of {item.date[:10]}" if item.date else ""
    return f"{item.name}: {item.kind} {item.commit[:12]}".rstrip() + of


def _left_out(review: Review) -> Iterator[Block]:
    """What the focus doesn't show, in numbers: nobody takes a part for the whole."""
    if review.focus == Focus():
        return
    whole = review.whole
    loud = _hazards(whole) - _hazards(review)
    rest = [
        counted(len(whole.changes) - len(review.changes), "change"),
        counted(len(whole.findings) - len(review.findings), "finding"),
    ]
    hazards = f", {counted(loud, 'hazard')} among them" if loud else ""
    yield Sentence(f"Only what concerns {review.focus}; left out: {' and '.join(rest)}{hazards}.")


def _hazards(review: Review) -> int:
    return sum(1 for item in review.findings if item.hazard and item.severity == "break")


def _first(review: Review, causes: tuple[ToldCause, ...]) -> Iterator[Block]:
    """One line for each cause that can hurt, destroy, or keep things from working; the rest counted."""
    rows: dict[object, list[ToldCause]] = {}
    for item in causes:
        if item.cause.outcome in FIRST:
            rows.setdefault((item.cause.kind, item.word, item.hits), []).append(item)
    loud = [item for together in rows.values() for item in _lines(together)]
    if loud:
        yield Table(("", "No.", "What happened, and what it hits"), tuple(loud), bare=True)
    grouped = by_outcome(causes)
    rest, silent = len(everything_else(review)), grouped["works wrongly in silence"]
    counts = [
        f"{len(silent)} {'goes' if len(silent) == 1 else 'go'} on working wrongly",
        f"{len(grouped['to be checked'])} to check",
        f"{counted(rest, 'other change')}",
        f"{counted(len(review.not_checked), 'check')} not made",
    ]
    told = [text for text in counts if not text.startswith("0 ")]
    if told:
        yield Sentence(f"{'Also: ' if loud else ''}{', '.join(told)}.")


def _lines(together: list[ToldCause]) -> Iterator[Row]:
    """A line for each cause; those of one kind that only don't work and hit the same share a line while it is short."""
    line: list[ToldCause] = []
    for item in together:
        if line and (item.word == "hazard" or len(_titles([*line, item])) > _SHORT):
            yield _row(line)
            line = []
        line.append(item)
    yield _row(line)


def _row(line: list[ToldCause]) -> Row:
    numbers = ", ".join(str(item.number) for item in line)
    return Row((line[0].word, numbers, f"{_titles(line)} — {line[0].hits}"), line[0].word)


def _titles(line: list[ToldCause]) -> str:
    if len(line) == 1:
        return line[0].title
    names = dict.fromkeys(name for item in line for _, name in item.cause.subjects)
    return f"{', '.join(names)}: {short(line[0].cause.kind)}"


def _told(review: Review, causes: tuple[ToldCause, ...]) -> Iterator[Block]:
    """Cause by cause: what follows, the arithmetic, what else happened, what to do; then whom each hits. All once."""
    remedies: dict[str, int] = {}
    if causes:
        yield Heading(f"Cause by cause ({len(causes)})")
    for item in causes:
        yield from cause_blocks(item, remedies, titled=item.cause.outcome not in FIRST)
    yield from arrangement_blocks(causes)
    rest = everything_else(review)
    if rest:
        yield Gap()
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
