"""Contradictions between the documents of one revision, as text and as data."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from revdiff.judge.drift import Drift
from revdiff.judge.engine import Answer
from revdiff.release.cause_text import word_of
from revdiff.release.document import Block, Document, Heading, Items, Pair, Pairs, Sentence
from revdiff.release.review import Look
from revdiff.release.scope import documents_agree
from revdiff.release.verdicts import counted
from revdiff.report import records
from revdiff.report.data import json_text
from revdiff.report.records import SCHEMA_VERSION, Record, Version, copies

_OWN: Final[Mapping[Answer, str]] = {
    "does not fit": "its own boards and firmware don't fit",
    "cannot tell": "nobody can tell whether its own boards and firmware fit",
    "fits with care": "its own boards and firmware fit with care",
    "fits": "its own boards and firmware fit",
    "not judged": "its own boards and firmware were not judged",
}


class Readiness(Record, frozen=True):
    """Where one revision contradicts itself: its documents, its own boards and firmware."""

    schema_version: Version
    revision: str
    commit: str
    contradicts_itself: bool
    verdict: Answer
    findings: list[records.Finding]
    not_checked: list[records.NotChecked]
    contradictions: list[records.Contradiction]
    not_compared: list[str]
    diagnostics: list[records.Diagnostic]
    places_left: list[str]


def ready_document(look: Look, left: tuple[str, ...] | None = None) -> Document:
    """Everything that stands in the way of releasing this revision. ``left``: places left to fill in its notes."""
    return tuple(_blocks(look, left))


def _blocks(look: Look, left: tuple[str, ...] | None) -> Iterator[Block]:
    name = look.identity.name
    said = f"{name} contradicts itself" if look.contradicts else name
    documents = f"{counted(len(look.drifts), 'contradiction')} between documents"
    yield Heading(f"{said}: {_OWN[look.answer]}; {documents}", 1)
    yield Items(tuple(map(drift_line, look.drifts)), 1)
    if look.findings:
        yield Heading("Its own boards and firmware")
        rows = [
            Pair(word_of(item), f"{item.subject}: {item.message} ({item.worked}) [{item.rule}]", word_of(item))
            for item in look.findings
        ]
        yield Pairs(tuple(rows), 1)
    for severity in ("fault", "notice"):
        found = [f"{item} [{item.code}]" for item in look.design.diagnostics if item.severity == severity]
        if found:
            yield Heading(f"{counted(len(found), severity)} in the data")
            yield Items(tuple(found), 1)
    unchecked = [one for verdict in look.verdicts for one in verdict.not_checked]
    for title, lines in (
        ("Not compared", look.missing),
        ("Not checked", tuple(f"{one.what}: {one.why}; needs {one.needs}" for one in unchecked)),
    ):
        if lines:
            yield Heading(title)
            yield Items(lines, 1)
    if left is not None:
        yield Heading(f"Notes: {counted(len(left), 'place')} left to fill" if left else "Notes: no place left to fill")
        yield Items(left, 1)
    if not look.drifts and not look.design.diagnostics:
        yield Sentence(documents_agree(look.design))


def drift_json(look: Look, left: tuple[str, ...] = ()) -> str:
    """The same as data."""
    return json_text(
        Readiness(
            schema_version=SCHEMA_VERSION,
            revision=look.identity.name,
            commit=look.identity.commit,
            contradicts_itself=look.contradicts,
            verdict=look.answer,
            findings=records.findings_of(look.findings),
            not_checked=copies(records.NotChecked, [one for verdict in look.verdicts for one in verdict.not_checked]),
            contradictions=[records.contradiction_of(item) for item in look.drifts],
            not_compared=list(look.missing),
            diagnostics=copies(records.Diagnostic, look.design.diagnostics),
            places_left=list(left),
        )
    )


def drift_line(item: Drift) -> str:
    """One contradiction with its places."""
    places = f"{item.here} and {item.there}" if item.there is not None else str(item.here)
    return f"{item.board} {item.subject}: {item.message} ({places}) [{item.code}]"
