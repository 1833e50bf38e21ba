"""The review in Markdown, for a merge request or an issue."""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.compare.kinds import GROUPS, KINDS
from revdiff.judge.finding import SEVERITIES
from revdiff.judge.waivers import waiver_lines
from revdiff.release.markdown import escape, table
from revdiff.release.notes import GROUP_TITLES
from revdiff.release.review import Review
from revdiff.release.verdicts import verdicts
from revdiff.report.other_readings import TITLE as READINGS
from revdiff.report.other_readings import reading_lines

SEVERITY_TITLES = {"break": "Breaks", "caution": "Take care", "info": "Good to know"}


def to_markdown(review: Review) -> str:
    """The whole report; ends with a line end."""
    return "\n".join(_lines(review)).rstrip("\n") + "\n"


def _lines(review: Review) -> Iterator[str]:
    design = review.comparison.new
    yield f"# {escape(design.title or design.name)}: {escape(review.old.name)} to {escape(review.new.name)}"
    yield ""
    for identity in (review.old, review.new):
        commit = f", commit `{identity.commit}`" if identity.commit else ""
        yield f"- {escape(identity.kind)} {escape(identity.name)}{commit}"
    yield ""
    for item in verdicts(review):
        yield f"- **{item.reader}.** {escape(item.sentence)}"
    for severity in SEVERITIES:
        found = [item for item in review.findings if item.severity == severity]
        if not found:
            continue
        yield from ("", f"## {SEVERITY_TITLES[severity]} ({len(found)})", "")
        yield from table(
            ["Combination", "Where", "What", "Worked out", "Rule"],
            [
                [
                    escape(item.pairing),
                    escape(item.subject),
                    ("**Hazard.** " if item.hazard else "") + escape(item.told),
                    escape(item.worked),
                    item.rule,
                ]
                for item in found
            ],
        )
    for group in GROUPS:
        changes = [change for change in review.changes if change.group == group]
        if not changes:
            continue
        yield from ("", f"## {GROUP_TITLES[group]} ({len(changes)})", "")
        yield from table(
            ["Board", "What", "Change", "Before", "Now"],
            [
                [
                    escape(change.board) or "all",
                    escape(change.subject),
                    escape(f"{KINDS[change.kind][1]}: {change.pattern}" if change.pattern else KINDS[change.kind][1]),
                    escape(change.before) or "–",
                    escape(change.after) or "–",
                ]
                for change in changes
            ],
        )
    if not review.changes:
        yield from ("", "Within what was compared, nothing changed.")
    if readings := reading_lines(review.comparison.other_readings):
        yield from ("", f"## {READINGS}", "")
        yield from (f"- {escape(line)}" for line in readings)
    if review.not_checked:
        yield from ("", "## Not checked", "")
        for entry in review.not_checked:
            yield f"- {escape(entry.what, start=True)}: {escape(entry.why)}. It would need {escape(entry.needs)}."
    if review.waivers:
        yield from ("", "## Waivers", "")
        yield from (f"- {escape(line)}" for line in waiver_lines(review.waivers))
    if review.diagnostics:
        yield from ("", "## About the data", "")
        for note in review.diagnostics:
            yield f"- {note.severity} in {escape(note.revision)}: {escape(str(note))}"
