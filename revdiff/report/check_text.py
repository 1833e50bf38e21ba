"""What all forms of a check's result say in the same words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from revdiff.judge.settings import SettingChange
from revdiff.release.check import READINGS, Check, ToldChange, ToldFinding
from revdiff.release.verdicts import counted
from revdiff.sources import Identity

_FEW = 4  # revisions that are named one by one


def summary(check: Check) -> str:
    """How many of what, on one line."""
    counts = [counted(len(of_severity(check.brings, severity)), severity) for severity in ("break", "caution")]
    waived = sum(1 for item in check.findings if item.finding.waiver and not item.standing)
    doubted = " and ".join(check.doubted)
    parts = [
        *counts,
        f"{doubted}: nobody can tell any more whether things fit" if doubted else "",
        f"{waived} waived" if waived else "",
        counted(len(check.changes), "change"),
        counted(len(check.settings), "changed setting") if check.settings else "",
        counted(len(check.brought), "new contradiction"),
        f"{len(check.unmentioned)} not mentioned" if check.unmentioned else "",
    ]
    return "; ".join(part for part in parts if part) + "."


def states(check: Check) -> Iterator[tuple[str, Identity]]:
    """The states that are compared, each with its part."""
    yield "from", check.base
    yield "to", check.change
    if check.tip.commit != check.base.commit:
        yield "base", check.tip


def held_against(check: Check) -> str:
    """What the change was held against."""
    if not check.held:
        return "Held against the base alone: no released revision is marked as shipped."
    tags = [name for item in check.held for name in (item.identity.name, *item.also)]
    return f"Held against the base and {counted(len(tags), 'revision')} marked as shipped: {', '.join(tags)}."


def of_severity(findings: Iterable[ToldFinding], severity: str) -> list[ToldFinding]:
    """Those of one severity."""
    return [item for item in findings if item.finding.severity == severity]


def group_of(item: ToldFinding) -> str:
    """What is held against what, and against which revisions."""
    names = ", ".join(item.against[:_FEW])
    rest = len(item.against) - _FEW
    against = f"{names} and {rest} more" if rest > 0 else names
    crossing = f": {item.finding.crossing}" if item.finding.crossing else ""
    seen = f"; seen only in {READINGS[item.readings[0]]}" if item.hidden else ""
    return f"{item.finding.roles}{crossing} (against {against}{seen})"


def seen(item: ToldChange) -> str:
    """By which reading a change shows, where its own manifest hides it."""
    return "" if "own" in item.readings else f" (seen only in {READINGS[item.readings[0]]})"


def setting_line(item: SettingChange) -> str:
    """One change of what is read or of what judges, with its place."""
    arrow = f"{item.before or '–'} → {item.after or '–'}" if item.before else item.after
    place = item.origin_after or item.origin_before
    text = f"{item.subject}: {arrow}" if arrow else item.subject
    return f"{text} ({place})" if place is not None else text
