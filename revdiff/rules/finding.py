"""What a change or a pairing means: a rule's judgement, with its arithmetic."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from revdiff.design import Origin

Severity = Literal["break", "caution", "info"]
SEVERITIES: tuple[Severity, ...] = ("break", "caution", "info")
# Whose promise a rule guards.
Audience = Literal["stacking", "firmware", "assembly", "buying", "documentation"]
# The step of a version number (semver.org 2.0.0, by analogy) that a finding asks for.
Step = Literal["major", "minor", "patch"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One judgement. ``pairing`` names the two things it is about, as ``base@rev-c + radio@rev-b``; ``crossing``
    says which of the two is new.

    ``arithmetic`` shows formula, numbers and result; ``limit`` what the result is held against; ``source``
    where the limit comes from. ``changes`` are the ids of the changes behind it. ``hazard``: it can hurt
    somebody or destroy hardware.
    """

    rule: str
    severity: Severity
    audience: Audience
    step: Step
    pairing: str
    subject: str
    message: str
    crossing: str = ""
    arithmetic: str = ""
    limit: str = ""
    source: str = ""
    remedy: str = ""
    changes: tuple[str, ...] = ()
    hazard: bool = False
    origin_before: Origin | None = None
    origin_after: Origin | None = None

    @property
    def id(self) -> str:
        """The same in every run: rule, pairing and subject."""
        return "/".join(item for item in (self.rule, self.pairing, self.subject) if item)


@dataclass(frozen=True, slots=True)
class NotChecked:
    """A check that could not be made, and what would let it be made."""

    what: str
    why: str
    needs: str
