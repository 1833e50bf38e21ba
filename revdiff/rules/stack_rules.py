"""The rules of stacking, and those that judge one stack by itself."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from types import MappingProxyType

from revdiff.rules import (
    joint_mechanics,
    joint_signals,
    stack_bus,
    stack_current,
    stack_i2c,
    stack_levels,
    stack_mechanics,
    stack_power_on,
    stack_rails,
    stack_reserved,
    stack_signals,
    stack_straps,
)
from revdiff.rules.finding import Finding
from revdiff.rules.meetings import Joined
from revdiff.rules.rule import Rule
from revdiff.rules.stack_scene import StackRule

RULES: tuple[Rule, ...] = (
    *stack_bus.RULES,
    *stack_current.RULES,
    *stack_i2c.RULES,
    *stack_levels.RULES,
    *stack_mechanics.RULES,
    *stack_power_on.RULES,
    *stack_rails.RULES,
    *stack_reserved.RULES,
    *stack_signals.RULES,
    *stack_straps.RULES,
)
OF_ONE_STACK: tuple[StackRule, ...] = tuple(rule for rule in RULES if isinstance(rule, StackRule))

_CHECKS = {**joint_mechanics.JOINT_CHECKS, **joint_signals.JOINT_CHECKS}
_NAMED = MappingProxyType({rule.name: rule for rule in (*joint_mechanics.RULES, *joint_signals.RULES)})
OF_JOINTS: tuple[tuple[Rule, Callable[[Rule, Joined], Iterable[Finding]]], ...] = tuple(
    (_NAMED[name], check) for name, check in sorted(_CHECKS.items())
)
"""The rules of joints, which judge old and new pairings and single stacks alike, with their checks."""
