"""What documents are made from: two revisions with their comparison and verdict, or one revision by itself."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct
from msgspec.structs import replace

from revdiff.compare.change import Change
from revdiff.compare.comparison import Comparison
from revdiff.design import Design, Diagnostic
from revdiff.design.diagnostic import failing_faults
from revdiff.judge import Answer, Cause, ChangeVerdict, Verdict
from revdiff.judge.causes import stem
from revdiff.judge.drift import Drift, is_bought
from revdiff.judge.finding import Finding, NotChecked
from revdiff.judge.waivers import Waived, WaiverUse, moment_of
from revdiff.readers.entries import MANIFEST
from revdiff.sources import Identity

_LISTED = 6


class Focus(Struct, frozen=True):
    """What a reader asked to see: of these boards, and of these groups of readers; empty: of all."""

    boards: tuple[str, ...] = ()
    groups: tuple[str, ...] = ()

    def __str__(self) -> str:
        return ", ".join((*self.boards, *self.groups))

    def shows(self, boards: Iterable[str], group: str) -> bool:
        """Whether something that concerns these boards and this group is to be seen."""
        of_boards = not self.boards or any(board in self.boards for board in boards)
        return of_boards and (not self.groups or group in self.groups)


class Review(Struct, frozen=True):
    """The comparison of two revisions with its verdict. All its parts are in a fixed, meaningful order.

    ``waived``: the findings as the waivers of the old revision's manifest mark them, or of wherever those were said
    to be, and what became of each waiver.
    """

    old: Identity
    new: Identity
    comparison: Comparison
    verdict: ChangeVerdict
    waived: Waived | None = None
    focus: Focus = Focus()

    @property
    def whole(self) -> Review:
        """The same without a focus: what is said of the revisions never rests on a part of what was found."""
        return replace(self, focus=Focus()) if self.focus != Focus() else self

    @property
    def changes(self) -> tuple[Change, ...]:
        """All changes that the focus shows."""
        found = self.comparison.changes
        if self.focus == Focus():
            return found
        return tuple(item for item in found if self.focus.shows(item.boards, item.group))

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings that the focus shows, cause by cause, the worst first; those that the base waives say so."""
        found = self.waived.findings if self.waived is not None else self.verdict.findings
        if self.focus == Focus():
            return found
        shows = self.focus.shows
        return tuple(item for item in found if shows((stem(one.name) for one in item.parties), item.audience))

    @property
    def waivers(self) -> tuple[WaiverUse, ...]:
        """What became of every waiver."""
        return self.waived.uses if self.waived is not None else ()

    @property
    def swapped(self) -> bool:
        """Whether the new revision is older than the old one: what is told as added was removed, as far as dates go."""
        uncommitted = [item.kind in ("work tree", "index") for item in (self.old, self.new)]
        if self.old.commit and self.old.commit == self.new.commit:
            return False
        if uncommitted[0] and self.new.commit:
            return True
        dates = moment_of([self.old.date]), moment_of([self.new.date])
        return dates[0] is not None and dates[1] is not None and dates[1] < dates[0]

    @property
    def causes(self) -> tuple[Cause, ...]:
        """The changes that belong together, each with what follows from it, the worst first; those the focus shows."""
        if self.focus == Focus():
            return self.verdict.causes
        shown = {item.cause for item in self.findings}
        return tuple(item for item in self.verdict.causes if item.id in shown)

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

    @property
    def brings_faults(self) -> bool:
        """Whether the new revision has faults that the old one hasn't, or in its manifest.

        Those of old tags nobody can mend.
        """
        return bool(failing_faults(self.comparison.old.diagnostics, self.comparison.new.diagnostics, MANIFEST))


class Look(Struct, frozen=True):
    """One revision by itself: its design, where its documents contradict each other, and the verdict of its stacks."""

    identity: Identity
    design: Design
    drifts: tuple[Drift, ...]
    verdicts: tuple[Verdict, ...] = ()

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What its own boards and firmware do to each other."""
        return tuple(item for verdict in self.verdicts for item in verdict.findings)

    @property
    def contradicts(self) -> bool:
        """Whether the revision contradicts itself: its documents, or its own boards and firmware."""
        return bool(self.drifts) or any(item.answer == "does not fit" for item in self.verdicts)

    @property
    def answer(self) -> Answer:
        """The worst of all its stacks."""
        order: tuple[Answer, ...] = ("does not fit", "cannot tell", "fits with care", "fits", "not judged")
        return min((item.answer for item in self.verdicts), key=order.index, default="not judged")

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
            bought = {
                ref: part.data for ref, part in board.parts.items() if is_bought(ref) and part.data.fitted.meaning
            }
            bare = [ref for ref, data in bought.items() if not data.part_number]
            if bare:
                listed = ", ".join(bare[:_LISTED]) + (" …" if len(bare) > _LISTED else "")
                found.append(f"{name}: {len(bare)} fitted parts have no part number: {listed}")
        if not self.design.contracts:
            found.append("no firmware contract is declared; [firmware.NAME] would name one")
        return tuple(found)
