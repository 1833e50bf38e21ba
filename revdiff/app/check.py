"""A change to the result of its check: read as its base says, held against the base and all that was shipped."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from pathlib import Path

from msgspec.structs import replace

from revdiff.app.lending import NamedManifest, by_named, named_manifest
from revdiff.app.moments import moment_and_tags
from revdiff.app.readings import ReadChange, read_change
from revdiff.app.review import design_of
from revdiff.app.shipped import Released, released, within
from revdiff.compare.comparison import Comparison, compare_designs
from revdiff.design import Design, Origin
from revdiff.errors import UsageFault
from revdiff.judge import ChangeVerdict, judge_change
from revdiff.judge.drift import Drift, drifts
from revdiff.judge.finding import Audience, Finding, NotChecked
from revdiff.judge.settings import SettingChange
from revdiff.judge.waivers import waive
from revdiff.readers.loader import Loader
from revdiff.readers.spans import cell_spans
from revdiff.release.check import (
    Check,
    Held,
    ReadingKind,
    ToldChange,
    ToldFinding,
    same_result,
    told_findings,
    with_waivers,
)
from revdiff.release.mentions import Messages
from revdiff.release.review import Review
from revdiff.sources import Submission, default_base, open_revision, open_submission

_Result = tuple[str, ReadingKind, Sequence[Finding]]


def check_change(
    base: str = "",
    change: str = "",
    *,
    repository: Path = Path(),
    design: str = "",
    manifest: str = "",
    today: date | None = None,
) -> Check:
    """Checks a change against its base and every revision that was shipped.

    ``base`` and ``change`` as in ``open_submission``: without a base, the branch or the release that the change is
    meant for; without a change, the work tree. ``manifest``: the one that both are read and judged by, for designs
    that have none of their own. ``today``: the day by which waivers lapse; without it, that of the
    newest commit that is judged. Raises UsageFault for a revision that can't be opened and where there is nothing to
    judge, FaultyDesign where one can't be read at all.
    """
    on_disk = any(name.startswith("folder:") for name in (base, change))
    inside = design if on_disk else design_of("worktree", repository, design)
    named = base or default_base(repository, change or "worktree")
    submission = open_submission(named, change, repository=repository, design=inside)
    if submission.unchanged:
        target = submission.target
        raise UsageFault(
            f"there is nothing to check: {target.kind} {target.name} holds {submission.change.identity.name} already. "
            "Name the base that the change is meant for."
        )
    lent = named_manifest(manifest, repository) if manifest else None
    return _Checking(submission, _chosen(base, named), repository, inside, today, lent).check()


def _chosen(base: str, named: str) -> str:
    if base:
        return "as named"
    if named.startswith("tag:"):
        return "the newest release before the change, since no branch of another repository is known"
    return "the branch that changes of this clone are meant for"


class _Checking:
    def __init__(
        self,
        submission: Submission,
        chosen: str,
        repository: Path,
        design: str,
        today: date | None,
        named: NamedManifest | None,
    ) -> None:
        self._submission = submission
        self._chosen = chosen
        self._repository = repository
        self._design = design
        self._today = today
        self._named = named
        self._loader = Loader()

    def check(self) -> Check:
        request = self._submission
        read = read_change(self._loader, request, self._named)
        tip = self._tip(read.base)
        own = compare_designs(read.base, read.readings[0][1])
        others = [(kind, compare_designs(read.base, design)) for kind, design in read.readings[1:]]
        shipped = released(self._loader, self._repository, self._design, tip)
        review = Review(request.base.identity, request.change.identity, own, judge_change(own, *self._names()))
        judged = [(kind, judge_change(comparison, *self._names())) for kind, comparison in others]
        results, before, untold = self._results(read, review, judged, shipped)
        told = told_findings(results, before)
        moment, tag = moment_and_tags(
            (request.target, request.base.identity, request.change.identity), self._repository, self._today
        )
        waived = waive((item.finding for item in told), tip.sections.waivers, moment, tag)
        review = replace(review, waived=waive(review.findings, tip.sections.waivers, moment, tag))
        brought, cured = _contradictions(read.base, read.readings[0][1])
        return Check(
            base=request.base.identity,
            tip=request.target,
            change=request.change.identity,
            chosen=self._chosen,
            review=review,
            readings=tuple(kind for kind, _ in read.readings),
            settings=read.settings,
            findings=with_waivers(told, waived.findings),
            changes=self._changes(own, others, read.base),
            not_checked=tuple(self._not_checked(review, judged, shipped)),
            brought=brought,
            cured=cured,
            diagnostics=review.diagnostics,
            held=tuple(Held(item.identity, item.boards, item.also) for item in shipped if item.design is not None),
            waivers=waived.uses,
            commits=request.messages,
            untold=untold,
            date="" if moment is None else moment.date().isoformat(),
            folder=self._design,
            spans=cell_spans(request.change, _places(read.settings, told, brought)),
        )

    def _tip(self, base: Design) -> Design:
        """The base as it is now: what was decided since the change began counts, what was undone doesn't."""
        target = self._submission.target
        if not target.commit or target.commit == self._submission.base.identity.commit:
            return base
        asked = f"commit:{target.commit}"
        opened = open_revision(asked, repository=self._repository, design=self._design)
        return self._loader.load(by_named(opened, self._named))

    def _names(self) -> tuple[str, str]:
        old, new = self._submission.base.identity.name, self._submission.change.identity.name
        return (f"{old} (old)", f"{new} (new)") if old == new else (old, new)

    def _results(
        self,
        read: ReadChange,
        review: Review,
        others: Sequence[tuple[ReadingKind, ChangeVerdict]],
        shipped: Sequence[Released],
    ) -> tuple[list[_Result], dict[str, frozenset[object]], frozenset[Audience]]:
        """The findings against the base and each shipped revision; those that the base had against the latter; and who
        nobody can tell any more whether things fit."""
        base_name, name = self._names()
        results: list[_Result] = [(base_name, "own", review.findings)]
        results += [(base_name, kind, verdict.findings) for kind, verdict in others]
        untold = _essential(review.verdict, *(verdict for _, verdict in others))
        before: dict[str, frozenset[object]] = {}
        of_base = list(results)
        base, change = self._submission.base.identity, self._submission.change.identity
        for item in shipped:
            old = item.identity.name
            if item.design is None or (change.commit and item.identity.commit == change.commit):
                continue
            if base.commit and item.identity.commit == base.commit:
                results += [(old, kind, self._kept(found, item)) for _, kind, found in of_base]
                continue
            known = judge_change(compare_designs(item.design, read.base), old, base_name)
            before[old] = frozenset(map(same_result, known.findings))
            for kind, design in read.readings:
                verdict = judge_change(compare_designs(item.design, design), old, name)
                results.append((old, kind, self._kept(verdict.findings, item)))
                untold |= _essential(verdict) - _essential(known)
        return results, before, frozenset(audience for _, audience in untold)

    @staticmethod
    def _kept(findings: Sequence[Finding], item: Released) -> list[Finding]:
        return [finding for finding in findings if within(finding, item.boards)]

    def _changes(
        self, own: Comparison, others: Sequence[tuple[ReadingKind, Comparison]], base: Design
    ) -> tuple[ToldChange, ...]:
        """All that changed by any reading, each once."""
        messages = Messages(self._submission.messages, dict.fromkeys((*own.new.boards, *base.boards)))
        found: dict[object, ToldChange] = {}
        for kind, comparison in (("own", own), *others):
            for change in comparison.changes:
                key = change.id, change.before, change.after
                known = found.get(key)
                if known is None:
                    found[key] = ToldChange(change, (kind,), messages.mention(change))
                else:
                    found[key] = ToldChange(change, (*known.readings, kind), known.mention)
        return tuple(found.values())

    def _not_checked(
        self, review: Review, others: Sequence[tuple[ReadingKind, ChangeVerdict]], shipped: Sequence[Released]
    ) -> Iterator[NotChecked]:
        found = dict.fromkeys(review.not_checked)
        for _, verdict in others:
            found.update(dict.fromkeys(verdict.not_checked))
        yield from found
        if not any(item.design is not None for item in shipped):
            yield NotChecked(
                "the change against what users hold",
                "no tagged revision is marked as shipped, so that it was held against its base alone",
                "shipped = true in [boards.NAME] of the base's manifest, or of a tag's",
            )
        for item in shipped:
            if item.design is None:
                yield NotChecked(f"the change against {item.identity.name}", item.why, "a revision that can be read")


def _essential(*verdicts: ChangeVerdict) -> set[tuple[object, Audience]]:
    """The checks without which nobody can tell, each with who is told of it."""
    return {((item.check, item.subject), item.audience) for verdict in verdicts for item in verdict.essential()}


def _contradictions(base: Design, change: Design) -> tuple[tuple[Drift, ...], tuple[Drift, ...]]:
    """Contradictions between documents that the change brings, and those that it cures."""
    before, after = ({item.id: item for item in drifts(design)} for design in (base, change))
    brought = tuple(item for key, item in after.items() if key not in before or before[key].message != item.message)
    return brought, tuple(item for key, item in before.items() if key not in after)


def _places(
    settings: Iterable[SettingChange], findings: Iterable[ToldFinding], brought: Iterable[Drift]
) -> Iterator[Origin]:
    """The places in the change that are told."""
    for item in settings:
        if item.origin_after is not None:
            yield item.origin_after
    for told in findings:
        if told.finding.origin_after is not None:
            yield told.finding.origin_after
    for drift in brought:
        yield drift.here
        if drift.there is not None:
            yield drift.there
