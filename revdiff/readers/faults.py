"""Collects what is wrong with a file, so that all of it can be told at once."""

from __future__ import annotations

from revdiff.budget import Budget
from revdiff.design import Diagnostic, Origin


def counted(number: int, noun: str) -> str:
    """`1 pin`, `2 pins`."""
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


class Faults:
    """The diagnostics of one file in the order they were found, beside what its reading may take of the run."""

    def __init__(self, budget: Budget | None = None) -> None:
        self.found: list[Diagnostic] = []
        self.budget = Budget() if budget is None else budget

    def fault(
        self,
        code: str,
        message: str,
        origin: Origin,
        *,
        found: str = "",
        expected: str = "",
        remedy: str = "",
    ) -> None:
        """Records something that has to be mended."""
        self._add("fault", code, message, origin, found, expected, remedy)

    def notice(
        self,
        code: str,
        message: str,
        origin: Origin,
        *,
        found: str = "",
        expected: str = "",
        remedy: str = "",
    ) -> None:
        """Records an assumption or something left out."""
        self._add("notice", code, message, origin, found, expected, remedy)

    def _add(
        self, severity: str, code: str, message: str, origin: Origin, found: str, expected: str, remedy: str
    ) -> None:
        self.found.append(
            Diagnostic(
                code=code,
                severity="fault" if severity == "fault" else "notice",
                message=message,
                origin=origin,
                found=found[:120],
                expected=expected,
                remedy=remedy,
            )
        )
