"""The review as plain data, as the published JSON Schema describes it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from revdiff.compare.change import Change
from revdiff.compare.records import shown
from revdiff.design import Design, Diagnostic, Origin
from revdiff.design.sections import Waiver
from revdiff.judge import Cause
from revdiff.judge.finding import Finding
from revdiff.judge.waivers import WaiverUse
from revdiff.release.cause_text import everything_else
from revdiff.release.review import Review
from revdiff.release.verdicts import verdicts
from revdiff.release.version_step import Advice, advice
from revdiff.report.data import SCHEMA_VERSION, json_text
from revdiff.report.other_readings import reading_data
from revdiff.sources import Identity


def to_json(review: Review) -> str:
    """The document as text: the same review, the same bytes."""
    return json_text(document(review))


def document(review: Review) -> dict[str, Any]:
    """The document as plain data."""
    return {
        "schema_version": SCHEMA_VERSION,
        "old": _revision(review.old, review.comparison.old),
        "new": _revision(review.new, review.comparison.new),
        "changes": [change_data(item) for item in review.changes],
        "answer": review.verdict.answer,
        "readers": [{"reader": item.reader, "answer": item.answer, "told": item.sentence} for item in verdicts(review)],
        "causes": [cause_data(item) for item in review.causes],
        "steps": [step_data(item) for item in advice(review)],
        "everything_else": [item.id for item in everything_else(review)],
        "findings": [finding_data(item) for item in review.findings],
        "other_readings": [reading_data(item) for item in review.comparison.other_readings],
        "not_checked": [{"what": item.what, "why": item.why, "needs": item.needs} for item in review.not_checked],
        "waivers": waivers_data(review.waivers),
        "diagnostics": [diagnostic_data(item) for item in review.diagnostics],
    }


def _revision(identity: Identity, design: Design) -> dict[str, Any]:
    return {
        "asked": identity.asked,
        "kind": identity.kind,
        "name": identity.name,
        "commit": identity.commit,
        "date": identity.date,
        "design": design.name,
        "title": design.title,
        "boards": {
            name: {"title": board.title, "revision": board.revision} for name, board in sorted(design.boards.items())
        },
    }


def step_data(item: Advice) -> dict[str, Any]:
    """The step of its number that the design (no board), or a board, asks for; by the numbers of its causes, from 1."""
    return {
        "board": item.name,
        "step": item.step,
        "next": item.next,
        "scheme": item.scheme,
        "before": item.before,
        "after": item.after,
        "causes": list(item.causes),
        "warning": item.warning,
    }


def change_data(change: Change) -> dict[str, Any]:
    """One change as plain data."""
    match = change.match
    return {
        "id": change.id,
        "kind": change.kind,
        "group": change.group,
        "board": change.board,
        "subject": change.subject,
        "before": change.before,
        "after": change.after,
        "pattern": change.pattern,
        "fields": [
            {"name": item.name, "before": shown(item.name, item.before), "after": shown(item.name, item.after)}
            for item in change.fields
        ],
        "pairs": [list(pair) for pair in change.pairs],
        "wires": [
            {"before": item.before, "after": item.after, "net_before": item.net_before, "net_after": item.net_after}
            for item in change.wires
        ],
        "origin_before": place_data(change.origin_before),
        "origin_after": place_data(change.origin_after),
        "match": None
        if match is None
        else {"level": match.level, "confidence": match.confidence, "evidence": match.evidence},
    }


def cause_data(item: Cause) -> dict[str, Any]:
    """One cause as plain data; the title is structure: a kind of change and what it is of."""
    subjects = [{"board": board, "subject": subject} for board, subject in item.subjects]
    return {
        "id": item.id,
        "outcome": item.outcome,
        "title": {"kind": item.kind, "subjects": subjects},
        "changes": list(item.changes),
    }


def finding_data(item: Finding) -> dict[str, Any]:
    """One finding as plain data."""
    return {
        "id": item.id,
        "rule": item.rule,
        "severity": item.severity,
        "audience": item.audience,
        "step": item.step,
        "hazard": item.hazard,
        "pairing": item.pairing,
        "crossing": item.crossing,
        "subject": item.subject,
        "message": item.message,
        "arithmetic": item.arithmetic,
        "limit": item.limit,
        "source": item.source,
        "remedy": item.remedy,
        "changes": list(item.changes),
        "waiver": None if item.waiver is None else waiver_data(item.waiver),
        "cause": item.cause,
        "below": item.below,
        "origin_before": place_data(item.origin_before),
        "origin_after": place_data(item.origin_after),
    }


def waiver_data(waiver: Waiver) -> dict[str, str]:
    """Who lives with a finding, why, and how long; empty: without an end."""
    return {"reason": waiver.reason, "who": waiver.who, "until": str(waiver.until)}


def waivers_data(uses: Iterable[WaiverUse]) -> list[dict[str, Any]]:
    """What became of every waiver."""
    return [
        {
            "rule": use.waiver.rule,
            "subject": use.waiver.subject,
            "between": use.waiver.between,
            **waiver_data(use.waiver),
            "origin": place_data(use.waiver.origin),
            "state": use.state,
            "why": use.why,
            "findings": list(use.findings),
        }
        for use in uses
    ]


def diagnostic_data(item: Diagnostic) -> dict[str, Any]:
    """One diagnostic as plain data."""
    return {
        "code": item.code,
        "severity": item.severity,
        "revision": item.revision,
        "message": item.message,
        "origin": place_data(item.origin),
        "found": item.found,
        "expected": item.expected,
        "remedy": item.remedy,
    }


def place_data(origin: Origin | None) -> dict[str, Any] | None:
    """A place as plain data."""
    return None if origin is None else {"file": origin.file, "line": origin.line, "column": origin.column}
