"""What documents are made from: two revisions with their comparison and verdict, or one revision by itself."""

from __future__ import annotations

from dataclasses import dataclass

from revdiff.compare.change import Change
from revdiff.compare.comparison import Comparison
from revdiff.design import Design, Diagnostic
from revdiff.judge import Cause, ChangeVerdict
from revdiff.judge.drift import Drift
from revdiff.judge.finding import Finding, NotChecked
from revdiff.judge.waivers import Waived, WaiverUse
from revdiff.sources import Identity


@dataclass(frozen=True, slots=True)
class Review:
    """The comparison of two revisions with its verdict. All its parts are in a fixed, meaningful order.

    ``waived``: the findings as waivers mark them, and what became of those in the old revision's manifest, or wherever they were said to be.
    """

    old: Identity
    new: Identity
    comparison: Comparison
    verdict: ChangeVerdict
    waived: Waived | None = None

    @property
    def changes(self) -> tuple[Change, ...]:
        """All changes."""
        return self.comparison.changes

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings, cause by cause, the worst first; those that the base waives say so."""
        return self.waived.findings if self.waived is not None else self.verdict.findings

    @property
    def waivers(self) -> tuple[WaiverUse, ...]:
        """What became of every waiver."""
        return self.waived.uses if self.waived is not None else ()

    @property
    def causes(self) -> tuple[Cause, ...]:
        """The changes that belong together, each with what follows from it, the worst first."""
        return self.verdict.causes

    @property
    def not_checked(self) -> tuple[NotChecked, ...]:
        """The checks that could not be made."""
        return self.verdict.not_checked

    @property
    def diagnostics(self) -> tuple[Diagnostic, ...]:
        """What is to be told about the data of both revisions; the same statement about both only once."""
        seen: dict[object, Diagnostic] = {}
        for design in (self.comparison.old, self.comparison.new):
            for item in design.diagnostics:
                seen.setdefault((item.code, item.origin, item.message, item.found, item.revision), item)
        return tuple(seen.values())

    @property
    def faulty(self) -> bool:
        """Whether the data of either revision has faults."""
        return any(item.severity == "fault" for item in self.diagnostics)


@dataclass(frozen=True, slots=True)
class Look:
    """One revision by itself: its design and where its documents contradict each other."""

    identity: Identity
    design: Design
    drifts: tuple[Drift, ...]

    @property
    def faulty(self) -> bool:
        """Whether its data has faults."""
        return any(item.severity == "fault" for item in self.design.diagnostics)

    @property
    def missing(self) -> tuple[str, ...]:
        """What could not be held against each other, and what would allow it."""
        found = []
        for name, board in self.design.boards.items():
            if not board.nodes:
                found.append(f"{name}: nothing was held against a netlist; boards.{name}.netlist would name one")
        if not self.design.contracts:
            found.append("no firmware contract is declared; [firmware.NAME] would name one")
        return tuple(found)
