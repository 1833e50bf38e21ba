"""A rule in words, for the person who met one of its findings."""

from __future__ import annotations

import textwrap

from revdiff.rules.registry import ALL
from revdiff.rules.rule import Rule

_WIDTH = 88


def rule_list() -> str:
    """Every rule on a line: name, severity, what it finds."""
    width = max(len(rule.name) for rule in ALL)
    return "".join(f"{rule.name:<{width}}  {rule.severity:<7}  {rule.title}\n" for rule in ALL)


def rule_text(rule: Rule) -> str:
    """The whole text of one rule."""
    lines = [rule.name, f"{rule.title}.", ""]
    facts = [
        ("Severity", rule.severity + (", hazard" if rule.hazard else "")),
        ("Guards the promise of", rule.audience),
        ("Version step it asks for", rule.step),
        ("Why it matters", rule.why),
        ("How it is worked out", rule.how),
        ("For example", rule.witness),
        ("Source", rule.source),
        ("What to do", rule.remedy),
    ]
    for name, text in facts:
        lines += textwrap.wrap(f"{name}: {text}", _WIDTH, subsequent_indent="  ")
    return "\n".join(lines) + "\n"
