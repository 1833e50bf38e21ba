"""The coverage as a table of text: what goes wrong, which rule finds it, with which data."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from revdiff.judge.coverage import FOUND, NOT_FOUND, Gap, Mode


def coverage_text(width: int = 88) -> str:
    """Every failure mode with its rules, or that nothing detects it and the data that would let it be detected."""
    lines = textwrap.wrap(
        "What goes wrong when a revision changes, and what finds it. A number is the rank among the failure modes.",
        width,
    )
    for concern, modes in FOUND.items():
        lines += ["", concern]
        listed: tuple[Mode | Gap, ...] = (*modes, *NOT_FOUND[concern])
        lines += [line for mode in listed for line in _of(mode, width)]
    return "\n".join(lines) + "\n"


def _of(mode: Mode | Gap, width: int) -> Iterator[str]:
    rank = f"{mode.number:>2}" if mode.number else " –"
    yield from textwrap.wrap(f"{rank}  {mode.what}", width, subsequent_indent="    ")
    found = f"rules: {', '.join(mode.rules)}" if isinstance(mode, Mode) else "not detected"
    data = "; ".join(mode.data) if isinstance(mode, Mode) else mode.data
    for text in (found, f"data: {data}"):
        yield from textwrap.wrap(text, width, initial_indent="    ", subsequent_indent="      ", break_on_hyphens=False)
