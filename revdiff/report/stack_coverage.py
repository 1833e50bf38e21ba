"""The coverage of stacking as a table of text: what goes wrong, which rule finds it, with which data."""

from __future__ import annotations

import textwrap

from revdiff.rules.stack_coverage import MODES

_WIDTH = 88
_NOT = "not detected"


def coverage_text() -> str:
    """Every failure mode with its rules, or that nothing detects it and the data that would let it be detected."""
    lines = [
        "How stacked boards fail, and what finds it. A number is the rank among the failure modes of revisions.",
        "",
    ]
    for mode in MODES:
        rank = f"{mode.number:>2}" if mode.number else " –"
        lines += textwrap.wrap(f"{rank}  {mode.what}", _WIDTH, subsequent_indent="    ")
        found = f"rules: {', '.join(mode.rules)}" if mode.rules else _NOT
        lines += textwrap.wrap(found, _WIDTH, initial_indent="    ", subsequent_indent="      ", break_on_hyphens=False)
        lines += textwrap.wrap(f"data: {mode.data}", _WIDTH, initial_indent="    ", subsequent_indent="      ")
    return "\n".join(lines) + "\n"
