"""A rule in words, for the person who met one of its findings."""

from __future__ import annotations

import textwrap

from revdiff.judge.registry import ALL
from revdiff.judge.rule import ChangeRule, Danger, Declared

_WEIGHT: dict[Danger, str] = {
    "hazard": "break, hazard",
    "break": "break",
    "doubt": "caution: somebody has to look",
    "caution": "caution",
    "info": "info",
}


def rule_list(page: int = 120) -> str:
    """Every rule: name, severity, what it finds."""
    width = max(len(rule.name) for rule in ALL)
    lines: list[str] = []
    for rule in ALL:
        lead = f"{rule.name:<{width}}  {_WEIGHT[rule.danger].partition(':')[0]:<13}  "
        lines += textwrap.wrap(rule.title, page, initial_indent=lead, subsequent_indent=" " * (width + 2))
    return "\n".join((*lines, ""))


def rule_text(rule: Declared, page: int = 88) -> str:
    """The whole text of one rule."""
    lines = [rule.name, f"{rule.title}.", ""]
    facts = [
        ("Severity", f"{_WEIGHT[rule.danger]}; the facts at hand may make it more or less"),
        ("Looks at", "a change" if isinstance(rule, ChangeRule) else "boards, and firmware, that are together"),
        ("Guards the promise of", rule.audience),
        ("Version step it asks for", rule.step),
        ("Why it matters", rule.why),
        ("How it is worked out", rule.how),
        ("Data it needs", "; ".join(rule.needs)),
        ("For example", rule.witness),
        ("Source", rule.source),
        ("What to do", rule.remedy),
    ]
    for name, text in facts:
        lines += textwrap.wrap(f"{name}: {text}", page, subsequent_indent="  ")
    return "\n".join(lines) + "\n"
