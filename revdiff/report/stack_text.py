"""What the reports of stacks share: headings, cautions, and the words of a verdict."""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.judge import Verdict
from revdiff.judge.firmware_matrix import FirmwareMatrix
from revdiff.judge.matrix import Matrix
from revdiff.judge.waivers import waiver_lines
from revdiff.release.document import Tone
from revdiff.release.verdicts import counted
from revdiff.release.words import CAUTIONS

TONES: dict[str, Tone] = {
    "as released": "good",
    "fits": "good",
    "fits with care": "caution",
    "cannot tell": "caution",
    "not judged": "caution",
    "does not fit": "break",
}
BOUND = "Within what was checked; schematic, layout, heat and electromagnetic behaviour were not."
SAFETY = (*CAUTIONS, BOUND)


def remark_lines(matrix: Matrix | FirmwareMatrix) -> Iterator[str]:
    """What a matrix of one revision was held against; what became of the waivers."""
    if matrix.subject and matrix.held:
        names = ", ".join(matrix.held)
        yield f"{matrix.subject} was held against {counted(len(matrix.held), 'revision')} marked as shipped: {names}"
    elif matrix.subject:
        yield f"{matrix.subject} was held against nothing: no released revision is marked as shipped"
    yield from (f"waiver {line}" for line in waiver_lines(matrix.waivers))


def counted_findings(verdict: Verdict) -> str:
    """``2 breaks, 1 caution``; empty where there are none."""
    parts = []
    for severity in ("break", "caution", "info"):
        number = sum(1 for item in verdict.findings if item.severity == severity)
        if number:
            parts.append(f"{number} {severity}" + ("s" if number > 1 else ""))
    return ", ".join(parts)
