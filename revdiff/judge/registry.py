"""All rules, by name. The list is explicit; a test proves that each is documented, fires, and stays silent."""

from __future__ import annotations

from revdiff.judge.rule import Rule
from revdiff.judge.rules import (
    board,
    buses,
    currents,
    drive,
    firmware,
    joints,
    levels,
    mechanics,
    power_on,
    straps,
    supplies,
)

ALL: tuple[Rule, ...] = tuple(
    sorted(
        (
            *board.RULES,
            *buses.RULES,
            *currents.RULES,
            *drive.RULES,
            *firmware.RULES,
            *joints.RULES,
            *levels.RULES,
            *mechanics.RULES,
            *power_on.RULES,
            *straps.RULES,
            *supplies.RULES,
        ),
        key=lambda rule: rule.name,
    )
)


def rule_named(name: str) -> Rule | None:
    """The rule of that name; None where there is none."""
    return next((rule for rule in ALL if rule.name == name), None)
