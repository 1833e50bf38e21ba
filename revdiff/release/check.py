"""The result of checking a change: all that it brings, against the base and every revision that reached users.

Everything that an output of ``revdiff check`` tells is in ``Check``, typed and in the order in which it is to be told.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final, Literal

from msgspec import Struct
from msgspec.structs import replace

from revdiff.compare.change import Change
from revdiff.design import Diagnostic
from revdiff.design.diagnostic import failing_faults
from revdiff.judge.drift import Drift
from revdiff.judge.finding import AUDIENCES, SEVERITIES, Audience, Finding, NotChecked
from revdiff.judge.settings import SettingChange
from revdiff.judge.waivers import WaiverUse
from revdiff.quantities.designator import natural_key
from revdiff.readers.entries import MANIFEST
from revdiff.release.review import Review
from revdiff.release.standing import standing
from revdiff.sources import Identity, Message

# How the change's files were read; see readers/trusted.py.
ReadingKind = Literal["own", "change-paths", "base-paths"]
READINGS: Final[Mapping[ReadingKind, str]] = {
    "own": "its own files, read and judged as its own manifest says",
    "change-paths": "its own files, read and judged as the base's manifest says",
    "base-paths": "the files that the base's manifest names, read and judged as that says",
}


class Held(Struct, frozen=True):
    """A released revision that the change was held against, and its boards that reached users.

    ``also``: further tags of the same content.
    """

    identity: Identity
    boards: tuple[str, ...]
    also: tuple[str, ...] = ()


class ToldFinding(Struct, frozen=True):
    """One result, once: ``against`` names every revision it holds against, ``readings`` those that show it.

    ``finding`` carries its waiver. ``standing``: the base had it already against that shipped revision, so that the
    change doesn't bring it.
    """

    finding: Finding
    against: tuple[str, ...]
    readings: tuple[ReadingKind, ...] = ("own",)
    standing: bool = False

    @property
    def hidden(self) -> bool:
        """Whether the change's own manifest hides it: only the base's shows it."""
        return "own" not in self.readings


class ToldChange(Struct, frozen=True):
    """One change of the data. ``mention``: the commit and the word by which its message names it; empty: none does."""

    change: Change
    readings: tuple[ReadingKind, ...] = ("own",)
    mention: str = ""


class Check(Struct, frozen=True, kw_only=True):
    """The result of a check.

    ``review`` is of ``base`` and ``change`` as the change's own manifest has it. ``base`` is the state that the change
    started from; ``tip`` the state of the base that its waivers and its policy are taken from, which is ``base`` where
    nothing was added to it since. ``chosen`` says how the base was found. ``settings`` come first in every output, then
    ``findings``, the loudest first, those waived or standing after the others. ``brought`` and ``cured`` are
    contradictions between documents. ``untold``: who nobody can tell any more whether things fit, for want of a check
    that the base's data allowed. ``folder`` is that of the design in the repository; ``spans`` says where a cell of
    the change stands in its line: (file, line, position in the row) -> (first character, the one after the last).
    """

    base: Identity
    tip: Identity
    change: Identity
    chosen: str
    review: Review
    readings: tuple[ReadingKind, ...]
    settings: tuple[SettingChange, ...]
    findings: tuple[ToldFinding, ...]
    changes: tuple[ToldChange, ...]
    not_checked: tuple[NotChecked, ...]
    brought: tuple[Drift, ...]
    cured: tuple[Drift, ...]
    diagnostics: tuple[Diagnostic, ...]
    held: tuple[Held, ...]
    waivers: tuple[WaiverUse, ...]
    commits: tuple[Message, ...]
    untold: frozenset[Audience] = frozenset()
    date: str = ""
    folder: str = ""
    spans: Mapping[tuple[str, int, int], tuple[int, int]] = {}

    @property
    def title(self) -> str:
        """The design's title, or its name."""
        design = self.review.comparison.old
        return design.title or design.name

    @property
    def faulty(self) -> bool:
        """Whether the change's data has faults that its base hasn't, or its manifest any."""
        designs = self.review.comparison.old, self.review.comparison.new
        return bool(failing_faults(designs[0].diagnostics, designs[1].diagnostics, MANIFEST, strict=True))

    @property
    def brings(self) -> tuple[ToldFinding, ...]:
        """The findings that the change brings and nobody waived."""
        return tuple(item for item in self.findings if item.finding.waiver is None and not item.standing)

    @property
    def unmentioned(self) -> tuple[ToldChange, ...]:
        """The changes that no commit message names; none where there are no commits to ask."""
        return tuple(item for item in self.changes if not item.mention) if self.commits else ()

    @property
    def doubted(self) -> tuple[Audience, ...]:
        """Who nobody can tell, since the change, whether things fit; what somebody waived is decided.

        Also where it doesn't fit by the change's tables alone, which the base explains away.
        """
        found = {item.finding.audience for item in self.brings if item.finding.doubt} | self.untold
        found |= {item.audience for item in standing(self.review).itself}
        return tuple(sorted(found, key=AUDIENCES.index))

    def fails(self, level: str) -> bool:
        """Whether there is something at this level, one of ``FAIL_LEVELS``, or at a louder one.

        A change of which nobody can tell what it breaks is as loud as a break, but for who asks for breaks alone.
        """
        if level not in ("never", "break") and self.doubted:
            return True
        if level == "doubt":
            return self.fails("break")
        if level == "contradiction":
            return bool(self.brought) or self.fails("break")
        if level == "unmentioned":
            return bool(self.unmentioned) or self.fails("break")
        if level == "settings":
            return bool(self.settings) or self.fails("break")
        loud = SEVERITIES[: SEVERITIES.index(level) + 1] if level in SEVERITIES else ()
        told = (*(item.severity for item in self.settings), *(item.finding.severity for item in self.brings))
        return any(item in loud for item in told)


FAIL_LEVELS: Final = ("never", "break", "doubt", "caution", "info", "settings", "contradiction", "unmentioned")


def told_findings(
    results: Iterable[tuple[str, ReadingKind, Iterable[Finding]]], before: Mapping[str, frozenset[object]]
) -> tuple[ToldFinding, ...]:
    """Every distinct result once. ``results``: (revision held against, reading, findings), the base first.

    ``before``: by revision, what the base itself already had against it, as ``same_result`` names it.
    """
    found: dict[object, ToldFinding] = {}
    for name, reading, findings in results:
        for item in findings:
            standing = same_result(item) in before.get(name, ())
            key = (*same_result(item), standing)
            known = found.get(key)
            if known is None:
                found[key] = ToldFinding(item, (name,), (reading,), standing)
            else:
                against = tuple(dict.fromkeys((*known.against, name)))
                kinds = tuple(dict.fromkeys((*known.readings, reading)))
                found[key] = ToldFinding(known.finding, against, kinds, standing)
    brought = {key[:-1] for key in found if isinstance(key, tuple) and not key[-1]}
    kept = (item for key, item in found.items() if not (item.standing and same_result(item.finding) in brought))
    return tuple(sorted(kept, key=_loudest_first))


def same_result(item: Finding) -> tuple[object, ...]:
    """Two findings that are one result, whatever revision they are against.

    A board that is the same on both sides of one comparison is the old one in another, and meets the new one alike.
    """
    parties = tuple((party.name, party.role or "old") for party in item.parties)
    return item.rule, parties, item.subject, item.severity, item.hazard, item.arithmetic


def _loudest_first(item: ToldFinding) -> tuple[object, ...]:
    finding = item.finding
    quiet = item.standing, finding.waiver is not None
    return (
        *quiet,
        SEVERITIES.index(finding.severity),
        not finding.hazard,
        finding.rule,
        finding.roles,
        natural_key(finding.subject),
        finding.arithmetic,
    )


def with_waivers(told: Sequence[ToldFinding], findings: Sequence[Finding]) -> tuple[ToldFinding, ...]:
    """``told`` with the same findings, one by one, as waivers left them."""
    again = [replace(item, finding=finding) for item, finding in zip(told, findings, strict=True)]
    return tuple(sorted(again, key=_loudest_first))
