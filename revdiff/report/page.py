"""Wrapped lines on a terminal or in a pipe: text that is taken literally, hanging indents, colour where wanted.

No line starts what a log would obey, where a word that is longer than the line was cut either.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from typing import TYPE_CHECKING

from revdiff.compare.change import Change
from revdiff.report.visible import unheeded, visible

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

_NARROWEST = 40


class Page:
    """Puts text on a console, wrapped at its width. Nothing in a text is markup."""

    def __init__(self, console: Console) -> None:
        from rich.text import Text

        self._console = console
        self._text: type[Text] = Text

    def line(self, text: str, style: str = "") -> None:
        """A text from the left edge."""
        self.put(self.text(text, style), 0)

    def heading(self, text: str, style: str) -> None:
        """A blank line and a text."""
        self.line("")
        self.line(text, style)

    def listed(self, heading: str, lines: Iterable[str]) -> None:
        """A heading with the number of lines, and the lines; nothing where there are none."""
        texts = list(lines)
        if texts:
            self.heading(f"{heading} ({len(texts)})", "bold")
            for line in texts:
                self.put(self.text(line), 2, hang=2)

    def text(self, text: str, style: str = "") -> Text:
        """Text that is taken literally, with what can't be seen written out."""
        return self._text(visible(text), style=style)

    def put(self, text: Text, indent: int, hang: int = 0) -> None:
        """Prints below an indent; ``hang``: how much further wrapped lines are indented."""
        for number, line in enumerate(self.folded(text, max(self._console.width - indent - hang, 20))):
            self.put_line(line, indent + (hang if number else 0))

    def folded(self, text: Text, width: int) -> list[Text]:
        """The lines of a text at a width."""
        lines = list(text.wrap(self._console, width))
        for line in lines:
            line.rstrip()
            if line.plain.lstrip().startswith("::"):
                line.plain = unheeded(line.plain)
        return lines

    def put_line(self, line: Text, indent: int = 0) -> None:
        """Prints one line as it is."""
        self._console.print(self.text(" " * indent).append_text(line), no_wrap=True, overflow="ignore", crop=False)


def wrapped(text: str, width: int, indent: int = 0, hang: int = 2) -> list[str]:
    """Plain lines in the same way."""
    lines = textwrap.wrap(
        visible(text),
        max(width, _NARROWEST),
        initial_indent=" " * indent,
        subsequent_indent=" " * (indent + hang),
    )
    return [unheeded(line) for line in lines] or [""]


def change_line(change: Change) -> str:
    """One change on a line."""
    arrow = " → ".join(item or "–" for item in (change.before, change.after))
    text = f"{change.subject}: {arrow}" if (change.before or change.after) else change.subject
    if change.pattern:
        text += f" ({change.pattern})"
    if change.match is not None and change.match.level in ("inferred", "identical"):
        text += f" — taken as the same: {change.match.evidence} ({change.match.confidence:.0%})"
    return text
