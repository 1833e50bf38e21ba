"""All rules of firmware and of derived quantities."""

from __future__ import annotations

from revdiff.rules import (
    derived,
    firmware,
    firmware_board,
    firmware_hazards,
    firmware_identity,
    firmware_parts,
    firmware_roles,
    firmware_shared,
)
from revdiff.rules.rule import Rule

RULES: tuple[Rule, ...] = (
    *derived.RULES,
    *firmware.RULES,
    *firmware_board.RULES,
    *firmware_hazards.RULES,
    *firmware_identity.RULES,
    *firmware_parts.RULES,
    *firmware_roles.RULES,
    *firmware_shared.RULES,
)
