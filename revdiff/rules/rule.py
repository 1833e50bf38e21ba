"""One rule: what it guards, why that matters, how it is worked out, what to do, and the check itself."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from revdiff.rules.finding import Audience, Finding, Party, Severity, Step
from revdiff.rules.situation import Situation


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A rule under its stable name.

    ``why``, ``how`` and ``remedy`` are written for a practitioner; ``witness`` is one concrete thing that goes
    wrong; ``source`` names the publication that a limit or formula is taken from.
    """

    name: str
    title: str
    severity: Severity
    audience: Audience
    step: Step
    why: str
    how: str
    remedy: str
    witness: str
    source: str
    check: Callable[[Rule, Situation], Iterable[Finding]]
    hazard: bool = False

    def found(self, *, parties: tuple[Party, ...], subject: str, message: str, **details: object) -> Finding:
        """A finding of this rule. ``details``: any further field of Finding."""
        fields: dict[str, object] = {
            "rule": self.name,
            "severity": self.severity,
            "audience": self.audience,
            "step": self.step,
            "remedy": self.remedy,
            "source": self.source,
            "hazard": self.hazard,
            **details,
        }
        return Finding(parties=parties, subject=subject, message=message, **fields)  # type: ignore[arg-type]
