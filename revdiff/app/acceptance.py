"""Waivers where no two revisions are an old and a new one: those of the oldest revision that is looked at."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime
from pathlib import Path

from msgspec.structs import replace

from revdiff.app.moments import moment_and_tags
from revdiff.app.review import design_of
from revdiff.design.sections import Waiver
from revdiff.judge import Verdict
from revdiff.judge.finding import Finding
from revdiff.judge.matrix import Matrix
from revdiff.judge.waivers import Waived, moment_of, together, waive
from revdiff.readers.loader import Loader
from revdiff.sources import Identity, open_revision

Dated = tuple[Identity, tuple[Waiver, ...]]
"""A revision, and the waivers of its manifest."""


_NEVER = datetime.max.replace(tzinfo=UTC)


class Acceptance:
    """Marks findings as waived. What is not committed is newer than all that is, as ``compare`` has OLD and NEW."""

    def __init__(self, repository: Path, design: str, waivers: str, today: date | None) -> None:
        self._repository = repository
        self._today = today
        self._stated: Dated | None = None
        if waivers:
            revision = open_revision(waivers, repository=repository, design=design_of(waivers, repository, design))
            self._stated = revision.identity, Loader().load(revision).sections.waivers

    def of(self, revisions: Sequence[Dated], findings: Iterable[Finding]) -> Waived:
        """The findings about these revisions, marked."""
        oldest = min(revisions, key=lambda item: (not item[0].date, moment_of([item[0].date]) or _NEVER))
        identity, accepted = self._stated or oldest
        if not accepted:
            return Waived(tuple(findings), ())
        identities = (identity, *(item for item, _ in revisions))
        return waive(findings, accepted, *moment_and_tags(identities, self._repository, self._today))

    def of_stack(self, revisions: Sequence[Dated], verdict: Verdict) -> Verdict:
        """The verdict with its findings marked; the verdict itself stays."""
        return replace(verdict, accepted=self.of(revisions, verdict.findings))


def accepted_matrix(matrix: Matrix, acceptance: Acceptance, dated: dict[int, Dated]) -> Matrix:
    """The matrix with the findings of every cell marked. ``dated``: by the id of the design of a member."""
    grids = tuple(
        replace(
            grid,
            cells=tuple(
                tuple(
                    acceptance.of_stack([dated[id(one.member.design)], dated[id(two.member.design)]], cell)
                    for two, cell in zip(grid.columns, cells, strict=True)
                )
                for one, cells in zip(grid.rows, grid.cells, strict=True)
            ),
        )
        for grid in matrix.grids
    )
    stacks = tuple(
        replace(
            item,
            verdict=acceptance.of_stack([dated[id(variant.member.design)] for variant in item.variants], item.verdict),
        )
        for item in matrix.stacks
    )
    marked = replace(matrix, grids=grids, stacks=stacks)
    return replace(marked, waivers=together(use for verdict in marked.verdicts for use in verdict.waivers))
