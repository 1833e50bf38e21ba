"""The review for a terminal, or for a pipe: plain text at any width, colour only where it is wanted."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from revdiff.compare.change import Change
from revdiff.compare.kinds import GROUPS, KINDS
from revdiff.release.notes import GROUP_TITLES
from revdiff.release.review import Review
from revdiff.release.verdicts import verdicts
from revdiff.release.visible import visible
from revdiff.report.markdown import SEVERITY_TITLES
from revdiff.rules.finding import SEVERITIES, Finding

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

_STYLES = {"break": "bold red", "caution": "yellow", "info": "cyan"}
_ANSWERS = {"yes": "green", "no": "bold red", "unknown": "yellow"}


def print_review(review: Review, console: Console) -> None:
    """Prints the whole review."""
    _Printer(console).review(review)


class _Printer:
    def __init__(self, console: Console) -> None:
        from rich.text import Text

        self._console = console
        self._text: type[Text] = Text

    def review(self, review: Review) -> None:
        design = review.comparison.new
        self._line(f"{design.title or design.name}: {review.old.name} → {review.new.name}", "bold")
        for identity in (review.old, review.new):
            parts = [identity.kind, identity.name, identity.commit[:12], identity.date]
            self._line("  " + "  ".join(part for part in parts if part), "dim")
        self._line("")
        for verdict in verdicts(review):
            text = self._make("")
            text.append(f"{verdict.reader}: ", style=_ANSWERS[verdict.answer])
            text.append(visible(verdict.sentence))
            self._put(text, 0, hang=2)
        for severity in SEVERITIES:
            self._findings(severity, [item for item in review.findings if item.severity == severity])
        for group in GROUPS:
            self._changes(group, [change for change in review.changes if change.group == group])
        if not review.changes:
            self._line("")
            self._line("Within what was compared, nothing changed.")
        self._list("Not checked", [f"{item.what}: {item.why}; needs {item.needs}" for item in review.not_checked])
        self._list("About the data", [f"{item.severity}, {item.revision}: {item}" for item in review.diagnostics])

    def _findings(self, severity: str, findings: list[Finding]) -> None:
        if not findings:
            return
        self._heading(f"{SEVERITY_TITLES[severity]} ({len(findings)})", _STYLES[severity])
        by_pairing: dict[str, list[Finding]] = {}
        for item in findings:
            by_pairing.setdefault(f"{item.pairing}: {item.crossing}" if item.crossing else item.pairing, []).append(
                item
            )
        for pairing, items in by_pairing.items():
            self._put(self._make(pairing, "bold"), 2)
            for item in items:
                text = self._make("hazard: " if item.hazard else "", _STYLES[severity])
                text.append(visible(f"{item.subject}: {item.message} "), style="default")
                text.append(visible(f"({item.arithmetic}; limit: {item.limit}) [{item.rule}]"), style="dim")
                self._put(text, 4, hang=2)

    def _changes(self, group: str, changes: list[Change]) -> None:
        if not changes:
            return
        self._heading(f"{GROUP_TITLES[group]} ({len(changes)})", "bold")
        board = kind = None
        for change in sorted(changes, key=lambda item: item.board):
            if change.board != board:
                board, kind = change.board, None
                self._put(self._make(change.board or "all boards", "bold"), 2)
            if change.kind != kind:
                kind = change.kind
                self._put(self._make(KINDS[kind][1], "dim"), 4)
            self._put(self._make(_told(change)), 6, hang=2)

    def _list(self, heading: str, lines: Iterable[str]) -> None:
        texts = list(lines)
        if texts:
            self._heading(f"{heading} ({len(texts)})", "bold")
            for line in texts:
                self._put(self._make(line), 2, hang=2)

    def _heading(self, text: str, style: str) -> None:
        self._line("")
        self._line(text, style)

    def _line(self, text: str, style: str = "") -> None:
        self._put(self._make(text, style), 0)

    def _make(self, text: str, style: str = "") -> Text:
        """Text that is taken literally: nothing in it is markup."""
        return self._text(visible(text), style=style)

    def _put(self, text: Text, indent: int, hang: int = 0) -> None:
        """Prints below an indent; ``hang``: how much further wrapped lines are indented."""
        width = max(self._console.width - indent - hang, 20)
        for number, line in enumerate(text.wrap(self._console, width)):
            line.rstrip()
            space = indent + (hang if number else 0)
            self._console.print(self._make(" " * space).append_text(line), no_wrap=True, overflow="ignore", crop=False)


def _told(change: Change) -> str:
    arrow = " → ".join(item or "–" for item in (change.before, change.after))
    text = f"{change.subject}: {arrow}" if (change.before or change.after) else change.subject
    if change.pattern:
        text += f" ({change.pattern})"
    if change.match is not None and change.match.level in ("inferred", "identical"):
        text += f" — taken as the same: {change.match.evidence} ({change.match.confidence:.0%})"
    return text
