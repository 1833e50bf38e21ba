"""How errors and faults are told on the terminal."""

from __future__ import annotations

import os
import sys
import traceback
from pathlib import Path
from typing import TYPE_CHECKING

import click

from revdiff.design.diagnostic import LENT, Diagnostic, FaultyDesign
from revdiff.errors import RevdiffError
from revdiff.report.visible import unheeded, visible

if TYPE_CHECKING:
    from revdiff.release.review import Review


_HANG = 4  # columns before all but the first line of a message


def tell(text: str, indent: int = 0) -> None:
    """One message on standard error, wrapped at the width of the terminal; names and paths stay whole."""
    import textwrap

    from revdiff.cli.showing import page_width

    lines = textwrap.wrap(
        visible(text),
        page_width(),
        initial_indent=" " * indent,
        subsequent_indent=" " * _HANG,
        break_on_hyphens=False,
        break_long_words=False,
    )
    for line in lines:
        print(unheeded(line), file=sys.stderr)


def show_error(error: RevdiffError) -> None:
    """One message on standard error; of a design that can't be read, every fault on a line of its own."""
    if not isinstance(error, FaultyDesign):
        tell(f"revdiff: {error}")
        return
    faults = [item for item in error.diagnostics if item.severity == "fault"]
    tell("revdiff: the design can't be read:")
    show_diagnostics(faults)


def show_diagnostics(diagnostics: list[Diagnostic]) -> None:
    """Each diagnostic as a message of its own on standard error, with the revision it is of."""
    for item in diagnostics:
        tell(f"{item.revision}: {item}", 2)


def show_remarks(review: Review, *, lending: bool = True) -> None:
    """On standard error: that the two revisions may be swapped; with ``lending``, by whose manifest they were read."""
    if review.swapped:
        old, new = review.old.name, review.new.name
        tell(f"revdiff: {new} is older than {old}; if that isn't meant, name the older one first")
    if lending:
        show_diagnostics([item for item in review.diagnostics if item.code in LENT])


def show_mistake(error: click.ClickException) -> None:
    """A mistake of usage, with the usage of the command; nothing that was typed reaches the terminal as it is."""
    if isinstance(error, getattr(click.exceptions, "NoArgsIsHelpError", ())):
        error.show()  # the help is the message
        return
    context = getattr(error, "ctx", None)
    if context is not None:
        print(context.get_usage(), file=sys.stderr)
        print(f"Try '{context.command_path} --help' for help.", file=sys.stderr)
    tell(f"revdiff: {error.format_message()}")


def show_internal(error: Exception) -> None:
    """An error of revdiff itself on one line; the whole way to it where ``REVDIFF_TRACEBACK`` is set."""
    package = Path(__file__).resolve().parents[1]
    ways = [item for item in traceback.extract_tb(error.__traceback__) if Path(item.filename).is_relative_to(package)]
    place = f" at {Path(ways[-1].filename).relative_to(package.parent).as_posix()}:{ways[-1].lineno}" if ways else ""
    tell(
        f"revdiff: internal error, {type(error).__name__}{place}: {visible(str(error))[:200]}. Nothing was judged. "
        "This is a fault of revdiff: please report it to its maintainers, with what the same command says where "
        "REVDIFF_TRACEBACK=1 is set."
    )
    if os.environ.get("REVDIFF_TRACEBACK"):
        for line in "".join(traceback.format_exception(error)).splitlines():
            print(f"  {visible(line)}", file=sys.stderr)
