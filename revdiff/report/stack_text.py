"""What the reports of stacks share: headings, cautions, and the words of a verdict."""

from __future__ import annotations

from revdiff.judge import Answer, Verdict
from revdiff.release.notes import CAUTIONS

STYLES: dict[Answer, str] = {
    "fits": "green",
    "fits with care": "yellow",
    "cannot tell": "yellow",
    "not judged": "yellow",
    "does not fit": "bold red",
}
BOUND = "Within what was checked; schematic, layout, heat and electromagnetic behaviour were not."
SAFETY = (*CAUTIONS, BOUND)


def counted_findings(verdict: Verdict) -> str:
    """``2 breaks, 1 caution``; empty where there are none."""
    parts = []
    for severity in ("break", "caution", "info"):
        number = sum(1 for item in verdict.findings if item.severity == severity)
        if number:
            parts.append(f"{number} {severity}" + ("s" if number > 1 else ""))
    return ", ".join(parts)
