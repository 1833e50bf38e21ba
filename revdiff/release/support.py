"""The matrix in plain language: what each revision needs of its partners."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from revdiff.judge import Verdict
from revdiff.judge.engine import told_together
from revdiff.judge.matrix import Grid, Matrix, Variant

_GOOD = ("fits", "fits with care")
_PLURAL = {"goes": "go", "needs": "need"}


def support_lines(matrix: Matrix, *, why: bool = True) -> tuple[str, ...]:
    """``radio rev-c needs base rev-b or later; base rev-a: VBAT of radio meets nothing``, for all boards.

    ``why``: with what speaks against each of the others.
    """
    found: dict[tuple[str, str], list[str]] = {}
    for grid in matrix.grids:
        for board, revisions, text in _lines(matrix, grid, why):
            found.setdefault((board, text), []).extend(revisions)
    return tuple(
        f"{board} {_list(revisions)} {_agreeing(text, len(revisions))}" for (board, text), revisions in found.items()
    )


def _agreeing(text: str, number: int) -> str:
    """The verb in the plural where several revisions are its subject."""
    verb, _, rest = text.partition(" ")
    return f"{verb if number == 1 else _PLURAL[verb]} {rest}"


def _lines(matrix: Matrix, grid: Grid, why: bool) -> Iterator[tuple[str, tuple[str, ...], str]]:
    rows, columns = grid.boards
    for index, column in enumerate(grid.columns):
        yield (
            column.board,
            column.revisions,
            _line(rows, grid.rows, [row[index] for row in grid.cells], matrix.order[rows], why),
        )
    for row, cells in zip(grid.rows, grid.cells, strict=True):
        yield row.board, row.revisions, _line(columns, grid.columns, list(cells), matrix.order[columns], why)


def _line(
    partner: str, variants: Sequence[Variant], verdicts: Sequence[Verdict], order: Sequence[str], why: bool
) -> str:
    answers = {
        revision: verdict.answer
        for variant, verdict in zip(variants, verdicts, strict=True)
        for revision in variant.revisions
    }
    good = [revision for revision in order if answers[revision] in _GOOD]
    unknown = [revision for revision in order if answers[revision] in ("cannot tell", "not judged")]
    text = _needs(partner, good, list(order))
    care = [revision for revision in good if answers[revision] == "fits with care"]
    if care:
        text += f"; with care: {_list(care)}"
    reasons: dict[str, list[str]] = {}
    for variant, verdict in zip(variants, verdicts, strict=True):
        if why and verdict.answer == "does not fit":
            reasons.setdefault(_worst(verdict), []).extend(variant.revisions)
    text += "".join(f"; {partner} {_list(revisions)}: {because}" for because, revisions in reasons.items())
    if unknown:
        text += f"; nobody can tell for {partner} {_list(unknown)}"
    return f"{text}."


def _needs(partner: str, good: list[str], order: list[str]) -> str:
    if not good:
        return f"goes with no {partner}"
    if good == order:
        return f"goes with every {partner}"
    if good == order[-len(good) :]:
        return f"needs {partner} {good[0]}" + (" or later" if len(good) > 1 else "")
    if good == order[: len(good)]:
        return f"goes with {partner} up to {good[-1]}" if len(good) > 1 else f"goes with {partner} {good[0]} only"
    return f"goes with {partner} {_list(good)} only"


def _worst(verdict: Verdict) -> str:
    """The one break to be named, with its place."""
    return f"{verdict.findings[0].message} ({verdict.findings[0].subject})"


def _list(items: Sequence[str]) -> str:
    return ", ".join(items) if len(items) <= 6 else f"{', '.join(items[:5])} and {len(items) - 5} more"


def reason(verdict: Verdict, most: int = 1, *, counted: bool = True) -> str:
    """Why a pairing has its verdict: its loudest findings, or the check that is missing; empty where it simply fits.

    ``counted``: with the number of those that are not told.
    """
    doubts = [item.finding() for item in verdict.judged if item.danger == "doubt"]
    loudest = [item for item in verdict.findings if item.severity == verdict.findings[0].severity]
    told = [f"{item.message} ({item.subject})" for item in (doubts if verdict.answer == "cannot tell" else loudest)]
    if not told:
        essential = told_together(item for item in verdict.unmade if item.essential)
        told = [f"{item.what}: {item.why}; needs {item.needs}" for item in essential]
    return "; ".join(told[:most]) + (f"; and {len(told) - most} more" if counted and len(told) > most else "")
