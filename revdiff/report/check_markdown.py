"""The result of a check in Markdown that fits into a review comment: the loudest first, what is left out counted."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from msgspec import Struct

from revdiff.compare.kinds import GROUPS, KINDS
from revdiff.judge.finding import SEVERITIES
from revdiff.judge.waivers import waiver_lines
from revdiff.release.check import Check, ToldChange, ToldFinding
from revdiff.release.words import CAUTIONS, GROUP_TITLES, SEVERITY_TITLES
from revdiff.report.check_text import group_of, held_against, of_severity, seen, setting_line, states, summary
from revdiff.report.data_lines import data_lines
from revdiff.report.drift import drift_line
from revdiff.report.escape import escape
from revdiff.report.page import change_line

# Comment fields of code hosts take some 65,000 characters (common practice, no source); bytes are never fewer.
LIMIT = 60_000
LEAST = 1_000


class _Section(Struct):
    """Entries below a title. ``entries``: (heading of its group, entry), both Markdown.

    ``rank``: where room is wanting, what has the lower one comes first. A change that floods what is told first would
    else push out what it breaks.
    """

    title: str
    entries: list[tuple[str, str]] = []
    rank: int = 9


def check_markdown(check: Check, limit: int = LIMIT) -> str:
    """The page, of at most ``limit`` bytes of UTF-8 (``LEAST`` or more); ends with a line end."""
    head, sections, foot = list(_head(check)), list(_sections(check)), _foot(check)
    total = sum(len(section.entries) for section in sections)

    def page(shown: int) -> str:
        return "\n".join([*head, *_shown(sections, shown), *foot]) + "\n"

    if _size(whole := page(total)) <= limit:
        return whole
    sections.sort(key=lambda section: section.rank)
    low, high = 0, total
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if _size(page(middle)) <= limit else (low, middle - 1)
    if _size(told := page(low)) <= limit:
        return told
    # Not even what was left out has room: the counts alone.
    text = f"**{summary(check)}** The limit of {limit} bytes leaves no room for more; revdiff check tells all.\n"
    return text.encode()[:limit].decode(errors="ignore")


def _size(text: str) -> int:
    return len(text.encode())


def _shown(sections: Iterable[_Section], shown: int) -> Iterator[str]:
    """The first ``shown`` entries of all sections, and how many of each were left out."""
    cut = []
    for section in sections:
        entries = section.entries[: max(shown, 0)]
        shown -= len(section.entries)
        if entries:
            yield from ("", f"## {section.title} ({len(section.entries)})")
        group = None
        for heading, entry in entries:
            if heading != group:
                group = heading
                yield from ("", f"**{heading}**", "") if heading else ("",)
            yield entry
        if len(entries) < len(section.entries):
            cut.append(f"- {section.title}: {len(section.entries) - len(entries)} of {len(section.entries)} left out")
    if cut:
        yield from ("", "## Left out for want of room", "", *cut, "", "`revdiff check` on a terminal tells all.")


def _head(check: Check) -> Iterator[str]:
    yield f"# {escape(check.title)}: check of {escape(check.change.name)}"
    yield from ("", f"**{summary(check)}**", "")
    for name, identity in states(check):
        commit = f", commit `{identity.commit}`" if identity.commit else ""
        yield f"- {name}: {escape(identity.kind)} {escape(identity.name)}{commit}"
    yield f"- Base: {escape(check.chosen)}"
    yield f"- {escape(held_against(check))}"


def _foot(check: Check) -> list[str]:
    return ["", "## Cautions", "", *(f"- {text}" for text in CAUTIONS)] if check.findings else []


def _sections(check: Check) -> Iterator[_Section]:
    for rank, severity in zip((0, 3, 5), SEVERITIES, strict=True):
        found = [(item.meaning, setting_line(item)) for item in check.settings if item.severity == severity]
        entries = [(meaning, f"- {escape(line, start=True)}") for meaning, line in found]
        yield _Section(f"What is read and what judges changed, judged as the base says: {severity}", entries, rank)
    faults = [item for item in check.diagnostics if item.severity == "fault"]
    yield _Section("Faults in the data", _lines(f"{item.revision}: {item}" for item in faults), 1)
    for rank, severity in zip((2, 4, 6), SEVERITIES, strict=True):
        told = of_severity(check.brings, severity)
        hazards = [item for item in told if item.finding.hazard]
        rest = [item for item in told if not item.finding.hazard]
        title = SEVERITY_TITLES[severity]
        yield _Section(f"{title}: hazards", _findings(hazards), 1 if severity == "break" else rank)
        yield _Section(f"{title}: others" if hazards else title, _findings(rest), rank)
    yield _Section("Waived", _findings([item for item in check.findings if item.finding.waiver and not item.standing]))
    yield _Section("Contradictions between documents that the change brings", _lines(map(drift_line, check.brought)))
    yield _Section("Not checked", _lines(f"{item.what}: {item.why}; needs {item.needs}" for item in check.not_checked))
    yield _Section("Not named in a commit message", _changes(check.unmentioned))
    for group in GROUPS:
        yield _Section(GROUP_TITLES[group], _changes(item for item in check.changes if item.change.group == group))
    yield _Section("Contradictions that it cures", _lines(map(drift_line, check.cured)))
    yield _Section(
        "Not by this change: the base had these already", _findings([i for i in check.findings if i.standing])
    )
    yield _Section("Waivers", _lines(waiver_lines(check.waivers)))
    notices = [item for item in check.diagnostics if item.severity != "fault"]
    yield _Section("About the data", _lines(data_lines(notices)))


def _lines(lines: Iterable[str]) -> list[tuple[str, str]]:
    return [("", f"- {escape(line, start=True)}") for line in lines]


def _findings(findings: Iterable[ToldFinding]) -> list[tuple[str, str]]:
    groups: dict[str, list[str]] = {}
    for item in findings:
        finding = item.finding
        text = f"{escape(finding.subject, start=True)}: {escape(finding.told)}"
        worked = f"({escape(finding.worked)})"
        hazard = "**Hazard.** " if finding.hazard else ""
        groups.setdefault(escape(group_of(item)), []).append(f"- {hazard}{text} {worked} `{finding.rule}`")
    return [(group, line) for group, lines in groups.items() for line in lines]


def _changes(changes: Iterable[ToldChange]) -> list[tuple[str, str]]:
    found = []
    for item in sorted(changes, key=lambda told: told.change.board):
        change = item.change
        heading = f"{escape(change.board) or 'all boards'}, {KINDS[change.kind][1]}"
        found.append((heading, f"- {escape(change_line(change) + seen(item), start=True)}"))
    return found
