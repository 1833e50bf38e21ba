"""Where documents go: a terminal of any width, a pipe, a file."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from revdiff.cli.options import write_text
from revdiff.cli.paging import pages

if TYPE_CHECKING:
    from rich.console import Console

    from revdiff.release.document import Document

NARROW, WIDE = 80, 120
_IN_A_FILE = 100


def show_document(document: Document, form: str, output: Path | None, width: int | None) -> None:
    """Shows a document on the terminal, or writes it to a file without colour; ``form``: terminal or markdown."""
    if form == "markdown":
        from revdiff.report.markdown import to_markdown

        write_text(to_markdown(document), output)
        return
    from revdiff.report.document_terminal import print_document

    print_or_write(lambda console: print_document(document, console), output, width)


def page_width() -> int:
    """The width of the terminal, within what can be read well."""
    import shutil

    return min(max(shutil.get_terminal_size((NARROW, 24)).columns, NARROW), WIDE)


def print_or_write(show: Callable[[Console], None], output: Path | None, width: int | None) -> None:
    """Shows a report on the terminal, or writes it to a file without colour."""
    from rich.console import Console

    if output is None:
        console = Console(width=width, highlight=False, soft_wrap=False, emoji=False)
        if width is None:
            console.width = min(max(console.width, NARROW), WIDE)
        if not pages():
            show(console)
            return
        screen = io.StringIO()
        show(Console(file=screen, width=console.width, force_terminal=True, highlight=False, emoji=False))
        write_text(screen.getvalue(), None)
        return
    page = io.StringIO()
    show(Console(file=page, width=width or _IN_A_FILE, highlight=False, emoji=False, no_color=True))
    write_text(page.getvalue(), output)
