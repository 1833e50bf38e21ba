"""The coverage as a table of text: what goes wrong, which rule finds it, with which data."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from revdiff.rules import firmware_coverage, stack_coverage
from revdiff.rules.stack_coverage import Mode

_WIDTH = 88
_NOT = "not detected"


def coverage_text() -> str:
    """Every failure mode with its rules, or that nothing detects it and the data that would let it be detected."""
    lines = [
        "What goes wrong when a revision changes, and what finds it. A number is the rank among the failure modes.",
        "",
        "Stacked boards",
        *_modes(stack_coverage.MODES),
        "",
        "Firmware",
        *_modes(firmware_coverage.MODES),
    ]
    return "\n".join(lines) + "\n"


def _modes(modes: tuple[Mode, ...]) -> Iterator[str]:
    for mode in modes:
        rank = f"{mode.number:>2}" if mode.number else " –"
        yield from textwrap.wrap(f"{rank}  {mode.what}", _WIDTH, subsequent_indent="    ")
        found = f"rules: {', '.join(mode.rules)}" if mode.rules else _NOT
        for text in (found, f"data: {mode.data}"):
            yield from textwrap.wrap(
                text, _WIDTH, initial_indent="    ", subsequent_indent="      ", break_on_hyphens=False
            )
