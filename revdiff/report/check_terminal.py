"""The result of a check for a terminal or a log: what judges first, then what breaks, then all the rest."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from revdiff.compare.kinds import GROUPS, KINDS
from revdiff.judge.finding import SEVERITIES
from revdiff.judge.settings import SettingChange
from revdiff.judge.waivers import waiver_lines
from revdiff.release.check import Check, ToldChange, ToldFinding
from revdiff.release.scope import nothing_changed
from revdiff.release.verdicts import counted
from revdiff.release.words import CAUTIONS, GROUP_TITLES, SEVERITY_TITLES
from revdiff.report.check_text import group_of, held_against, of_severity, seen, setting_line, states, summary
from revdiff.report.data_lines import data_lines
from revdiff.report.drift import drift_line
from revdiff.report.page import Page, change_line

if TYPE_CHECKING:
    from rich.console import Console

_STYLES = {"break": "bold red", "caution": "yellow", "info": "cyan"}


def print_check(check: Check, console: Console) -> None:
    """Prints the whole result."""
    page = Page(console)
    page.line(f"{check.title}: check of {check.change.name}", "bold")
    for name, identity in states(check):
        parts = [f"{name:<7}", identity.kind, identity.name, identity.commit[:12], identity.date]
        page.line("  " + "  ".join(part for part in parts if part), "dim")
    page.put(page.text(f"Base: {check.chosen}"), 2, hang=2)
    page.put(page.text(held_against(check)), 2, hang=2)
    page.line("")
    page.put(page.text(summary(check), "bold"), 0, hang=2)
    _settings(page, check.settings)
    for severity in SEVERITIES:
        _findings(page, SEVERITY_TITLES[severity], _STYLES[severity], of_severity(check.brings, severity))
    _findings(page, "Waived", "", [item for item in check.findings if item.finding.waiver and not item.standing])
    page.listed("Contradictions between documents that the change brings", map(drift_line, check.brought))
    page.listed("Contradictions that it cures", map(drift_line, check.cured))
    page.listed("Not checked", [f"{item.what}: {item.why}; needs {item.needs}" for item in check.not_checked])
    _unmentioned(page, check)
    for group in GROUPS:
        _changes(page, GROUP_TITLES[group], [item for item in check.changes if item.change.group == group])
    if not check.changes:
        page.line("")
        page.put(page.text(nothing_changed(check.review.comparison)), 0)
    _findings(page, "Not by this change: the base had these already", "", [i for i in check.findings if i.standing])
    page.listed("Waivers", waiver_lines(check.waivers))
    page.listed("About the data", data_lines(check.diagnostics))
    if check.findings:
        page.line("")
        for text in CAUTIONS:
            page.put(page.text(text, "dim"), 0)


def _settings(page: Page, settings: Iterable[SettingChange]) -> None:
    """Grouped by what they are, the loudest first."""
    found = sorted(settings, key=lambda item: SEVERITIES.index(item.severity))
    if not found:
        return
    page.heading(f"What is read and what judges changed ({len(found)}); judged as the base says", "bold")
    code = ""
    for item in found:
        if item.code != code:
            code = item.code
            page.put(page.text(f"{item.severity}: {item.meaning} [{code}]", _STYLES[item.severity]), 2, hang=2)
        page.put(page.text(setting_line(item)), 4, hang=2)


def _findings(page: Page, title: str, style: str, findings: list[ToldFinding]) -> None:
    """By what is held against what; each result once, with the revisions that it holds for."""
    if not findings:
        return
    page.heading(f"{title} ({len(findings)})", style or "bold")
    groups: dict[str, list[ToldFinding]] = {}
    for item in findings:
        groups.setdefault(group_of(item), []).append(item)
    for group, items in groups.items():
        page.put(page.text(group, "bold"), 2, hang=2)
        for item in items:
            finding = item.finding
            text = page.text("hazard: " if finding.hazard else "", _STYLES[finding.severity])
            text.append_text(page.text(f"{finding.subject}: {finding.told} "))
            text.append_text(page.text(f"({finding.worked}) [{finding.rule}]", "dim"))
            page.put(text, 4, hang=2)


def _changes(page: Page, title: str, changes: list[ToldChange]) -> None:
    if not changes:
        return
    page.heading(f"{title} ({len(changes)})", "bold")
    board = kind = None
    for item in sorted(changes, key=lambda told: told.change.board):
        change = item.change
        if change.board != board:
            board, kind = change.board, None
            page.put(page.text(change.board or "all boards", "bold"), 2)
        if change.kind != kind:
            kind = change.kind
            page.put(page.text(KINDS[kind][1], "dim"), 4)
        page.put(page.text(change_line(change) + seen(item)), 6, hang=2)


def _unmentioned(page: Page, check: Check) -> None:
    """What no commit message names; by board and kind, so that it stays short."""
    if not check.commits:
        page.heading("What commit messages name was not looked at: no commit lies between base and change", "bold")
        return
    found: dict[str, list[str]] = {}
    for item in check.unmentioned:
        change = item.change
        found.setdefault(f"{change.board or 'all boards'}, {KINDS[change.kind][1]}", []).append(change.subject)
    if not found:
        page.heading(f"Every change is named by one of {counted(len(check.commits), 'commit message')}", "bold")
        return
    heading = f"Not named in {counted(len(check.commits), 'commit message')} ({len(check.unmentioned)})"
    page.heading(f"{heading}: no message has the signal, connector or part number, or designator and board", "bold")
    for group, subjects in found.items():
        page.put(page.text(f"{group}: {', '.join(subjects)}"), 2, hang=2)
