"""The result of a check as typed records, which are printed as JSON."""

from __future__ import annotations

from revdiff.judge.finding import Severity
from revdiff.release.check import Check, ReadingKind
from revdiff.report import records
from revdiff.report.data import json_text
from revdiff.report.records import SCHEMA_VERSION, Place, Record, Revision, Version, copied, copies


class HeldRevision(Revision, frozen=True):
    """A released revision that the change was held against."""

    boards: list[str]
    also: list[str]


class Setting(Record, frozen=True):
    """A change of what is read, or of what judges."""

    id: str
    code: str
    severity: Severity
    meaning: str
    subject: str
    before: str
    after: str
    origin_before: Place | None
    origin_after: Place | None


class HeldFinding(records.Finding, frozen=True):
    """A finding, and the revisions that it holds against."""

    against: list[str]
    readings: list[ReadingKind]
    standing: bool


class ReadChange(records.Change, frozen=True):
    """A change, and the readings of the change's files that show it."""

    readings: list[ReadingKind]
    mention: str


class Commit(Record, frozen=True):
    """A commit of the change."""

    id: str
    message: str


class CheckedChange(Record, frozen=True):
    """A change, judged as its base says, against the base and all that was shipped.

    Every list is in the order in which it is to be told.
    """

    schema_version: Version
    title: str
    base: Revision
    tip: Revision
    change: Revision
    chosen: str
    date: str
    held: list[HeldRevision]
    settings: list[Setting]
    findings: list[HeldFinding]
    contradictions_brought: list[records.Contradiction]
    contradictions_cured: list[records.Contradiction]
    changes: list[ReadChange]
    not_checked: list[records.NotChecked]
    diagnostics: list[records.Diagnostic]
    waivers: list[records.UsedWaiver]
    commits: list[Commit]


def check_json(check: Check) -> str:
    """The document as text."""
    return json_text(check_data(check))


def check_data(check: Check) -> CheckedChange:
    """The document."""
    return copied(
        CheckedChange,
        check,
        schema_version=SCHEMA_VERSION,
        held=[copied(HeldRevision, item.identity, boards=item.boards, also=item.also) for item in check.held],
        findings=[
            records.finding_of(
                HeldFinding, item.finding, against=item.against, readings=item.readings, standing=item.standing
            )
            for item in check.findings
        ],
        contradictions_brought=[records.contradiction_of(item) for item in check.brought],
        contradictions_cured=[records.contradiction_of(item) for item in check.cured],
        changes=[
            records.change_of(ReadChange, item.change, readings=item.readings, mention=item.mention)
            for item in check.changes
        ],
        not_checked=copies(records.NotChecked, check.not_checked),
        diagnostics=copies(records.Diagnostic, check.diagnostics),
        waivers=records.waivers_of(check.waivers),
        commits=[Commit(item.commit, item.text) for item in check.commits],
    )
