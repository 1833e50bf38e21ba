"""Stacks and their matrix as plain data and JSON."""

from __future__ import annotations

from typing import Any

from revdiff.judge import Verdict
from revdiff.judge.matrix import Matrix, Variant
from revdiff.release.support import reason, support_lines
from revdiff.report.data import SCHEMA_VERSION, json_text
from revdiff.report.document import finding_data, waivers_data


def stack_json(verdict: Verdict) -> str:
    """One stack: the same verdict, the same bytes."""
    return _text(
        {
            "schema_version": SCHEMA_VERSION,
            "stack": stack_data(verdict),
            "waivers": waivers_data(verdict.waivers),
        }
    )


def matrix_json(matrix: Matrix) -> str:
    """The matrix with every verdict in full."""
    return _text(
        {
            "schema_version": SCHEMA_VERSION,
            "title": matrix.title,
            "support": list(support_lines(matrix)),
            "pairs": [
                {
                    "boards": [_variant(row), _variant(column)],
                    "because": reason(cell),
                    **stack_data(cell),
                }
                for grid in matrix.grids
                for row, cells in zip(grid.rows, grid.cells, strict=True)
                for column, cell in zip(grid.columns, cells, strict=True)
            ],
            "stacks": [
                {
                    "boards": [_variant(item) for item in stack.variants],
                    "because": reason(stack.verdict),
                    **stack_data(stack.verdict),
                }
                for stack in matrix.stacks
            ],
            "stacks_not_judged": matrix.unjudged,
            "left_out": [{"revision": name, "why": why} for name, why in matrix.left_out],
            "held": list(matrix.held),
            "waivers": waivers_data(matrix.waivers),
        }
    )


def stack_data(verdict: Verdict) -> dict[str, Any]:
    """One verdict as plain data."""
    return {
        "pairing": verdict.title,
        "verdict": verdict.answer,
        "checks_made": verdict.made,
        "checks": verdict.checks,
        "findings": [finding_data(item) for item in verdict.findings],
        "not_checked": [
            {
                "what": f"{item.check}: {item.subject}" if item.subject else item.check,
                "why": item.why,
                "needs": item.needs,
                "essential": item.essential,
            }
            for item in verdict.unmade
        ],
    }


def _variant(variant: Variant) -> dict[str, Any]:
    return {"board": variant.board, "revisions": list(variant.revisions)}


def _text(data: dict[str, Any]) -> str:
    return json_text(data)
