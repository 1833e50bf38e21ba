"""The review for a terminal, or for a pipe: plain text at any width, colour only where it is wanted."""

from __future__ import annotations

from typing import TYPE_CHECKING

from revdiff.compare.change import Change
from revdiff.compare.kinds import GROUPS, KINDS
from revdiff.judge.finding import SEVERITIES, Finding
from revdiff.judge.waivers import waiver_lines
from revdiff.release.notes import GROUP_TITLES
from revdiff.release.review import Review
from revdiff.release.verdicts import verdicts
from revdiff.release.visible import visible
from revdiff.report.markdown import SEVERITY_TITLES
from revdiff.report.other_readings import TITLE as READINGS
from revdiff.report.other_readings import reading_lines
from revdiff.report.page import Page, change_line

if TYPE_CHECKING:
    from rich.console import Console

_STYLES = {"break": "bold red", "caution": "yellow", "info": "cyan"}
_ANSWERS = {"yes": "green", "no": "bold red", "unknown": "yellow"}


def print_review(review: Review, console: Console) -> None:
    """Prints the whole review."""
    _Printer(console).review(review)


class _Printer:
    def __init__(self, console: Console) -> None:
        self._page = Page(console)

    def review(self, review: Review) -> None:
        design = review.comparison.new
        self._page.line(f"{design.title or design.name}: {review.old.name} → {review.new.name}", "bold")
        for identity in (review.old, review.new):
            parts = [identity.kind, identity.name, identity.commit[:12], identity.date]
            self._page.line("  " + "  ".join(part for part in parts if part), "dim")
        self._page.line("")
        for verdict in verdicts(review):
            text = self._page.text("")
            text.append(f"{verdict.reader}: ", style=_ANSWERS[verdict.answer])
            text.append(visible(verdict.sentence))
            self._page.put(text, 0, hang=2)
        for severity in SEVERITIES:
            self._findings(severity, [item for item in review.findings if item.severity == severity])
        for group in GROUPS:
            self._changes(group, [change for change in review.changes if change.group == group])
        if not review.changes:
            self._page.line("")
            self._page.line("Within what was compared, nothing changed.")
        page = self._page
        page.listed(READINGS, reading_lines(review.comparison.other_readings))
        page.listed("Not checked", [f"{item.what}: {item.why}; needs {item.needs}" for item in review.not_checked])
        page.listed("Waivers", waiver_lines(review.waivers))
        page.listed("About the data", [f"{item.severity}, {item.revision}: {item}" for item in review.diagnostics])

    def _findings(self, severity: str, findings: list[Finding]) -> None:
        if not findings:
            return
        self._page.heading(f"{SEVERITY_TITLES[severity]} ({len(findings)})", _STYLES[severity])
        by_pairing: dict[str, list[Finding]] = {}
        for item in findings:
            by_pairing.setdefault(f"{item.pairing}: {item.crossing}" if item.crossing else item.pairing, []).append(
                item
            )
        for pairing, items in by_pairing.items():
            self._page.put(self._page.text(pairing, "bold"), 2)
            for item in items:
                text = self._page.text("hazard: " if item.hazard else "", _STYLES[severity])
                text.append(visible(f"{item.subject}: {item.told} "), style="default")
                text.append(visible(f"({item.worked}) [{item.rule}]"), style="dim")
                self._page.put(text, 4, hang=2)

    def _changes(self, group: str, changes: list[Change]) -> None:
        if not changes:
            return
        self._page.heading(f"{GROUP_TITLES[group]} ({len(changes)})", "bold")
        board = kind = None
        for change in sorted(changes, key=lambda item: item.board):
            if change.board != board:
                board, kind = change.board, None
                self._page.put(self._page.text(change.board or "all boards", "bold"), 2)
            if change.kind != kind:
                kind = change.kind
                self._page.put(self._page.text(KINDS[kind][1], "dim"), 4)
            self._page.put(self._page.text(change_line(change)), 6, hang=2)
