"""Stacks and their matrix as typed records, which are printed as JSON."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, TypeVar

from msgspec import Meta

from revdiff.judge import Verdict
from revdiff.judge.engine import Answer
from revdiff.judge.matrix import Matrix, Variant
from revdiff.release.support import reason, support_lines
from revdiff.report import records
from revdiff.report.data import json_text
from revdiff.report.records import SCHEMA_VERSION, Count, Record, Version, copied, copies


class UnmadeCheck(records.NotChecked, frozen=True):
    """A check that could not be made."""

    essential: Annotated[bool, Meta(description="without it nobody can tell whether things fit")]


class Arranged(Record, frozen=True):
    """Boards at their revisions, judged."""

    pairing: Annotated[str, Meta(description="the boards, such as 'base@rev-c + radio@rev-b'")]
    verdict: Answer
    checks_made: Count
    checks: Annotated[Count, Meta(description="checks made and checks that could not be made")]
    findings: list[records.Finding]
    not_checked: list[UnmadeCheck]


class OneStack(Record, frozen=True):
    """One stack of boards, judged."""

    schema_version: Version
    stack: Arranged
    waivers: list[records.UsedWaiver]


class AlikeBoards(Record, frozen=True):
    """A board, at revisions that are alike in all that is judged."""

    board: str
    revisions: list[str]


class ArrangedBoards(Arranged, frozen=True):
    """Of a matrix, boards that were judged together."""

    boards: list[AlikeBoards]
    because: str


A = TypeVar("A", bound=Arranged)


class LeftOut(Record, frozen=True):
    """A revision that could not be judged."""

    revision: str
    why: str


class StackMatrix(Record, frozen=True):
    """All pairs and whole stacks of boards."""

    schema_version: Version
    title: str
    support: list[str]
    pairs: list[ArrangedBoards]
    stacks: list[ArrangedBoards]
    stacks_not_judged: Count
    left_out: list[LeftOut]
    held: list[str]
    waivers: list[records.UsedWaiver]


def stack_json(verdict: Verdict) -> str:
    """One stack: the same verdict, the same bytes."""
    return json_text(OneStack(SCHEMA_VERSION, _arranged(Arranged, verdict), records.waivers_of(verdict.waivers)))


def matrix_json(matrix: Matrix) -> str:
    """The matrix with every verdict in full."""
    return json_text(
        StackMatrix(
            schema_version=SCHEMA_VERSION,
            title=matrix.title,
            support=list(support_lines(matrix)),
            pairs=[
                _boards((row, column), cell)
                for grid in matrix.grids
                for row, cells in zip(grid.rows, grid.cells, strict=True)
                for column, cell in zip(grid.columns, cells, strict=True)
            ],
            stacks=[_boards(stack.variants, stack.verdict) for stack in matrix.stacks],
            stacks_not_judged=matrix.unjudged,
            left_out=[LeftOut(name, why) for name, why in matrix.left_out],
            held=list(matrix.held),
            waivers=records.waivers_of(matrix.waivers),
        )
    )


def _boards(variants: Iterable[Variant], verdict: Verdict) -> ArrangedBoards:
    return _arranged(ArrangedBoards, verdict, boards=copies(AlikeBoards, variants), because=reason(verdict))


def _arranged(kind: type[A], verdict: Verdict, **own: object) -> A:
    unmade = [
        copied(UnmadeCheck, item, what=f"{item.check}: {item.subject}" if item.subject else item.check)
        for item in verdict.unmade
    ]
    return copied(
        kind,
        verdict,
        pairing=verdict.title,
        verdict=verdict.answer,
        checks_made=verdict.made,
        findings=records.findings_of(verdict.findings),
        not_checked=unmade,
        **own,
    )
