"""All rules, by name. The list is explicit; a test proves that each is documented, fires, and stays silent."""

from __future__ import annotations

from revdiff.rules import firmware_rules, joint_mechanics, joint_signals, parts, release, stack_rules
from revdiff.rules.rule import Rule

ALL: tuple[Rule, ...] = tuple(
    sorted(
        (
            *joint_mechanics.RULES,
            *joint_signals.RULES,
            *firmware_rules.RULES,
            *parts.RULES,
            *release.RULES,
            *stack_rules.RULES,
        ),
        key=lambda rule: rule.name,
    )
)


def rule_named(name: str) -> Rule | None:
    """The rule of that name; None where there is none."""
    return next((rule for rule in ALL if rule.name == name), None)
