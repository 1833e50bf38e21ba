"""How errors and faults are told on the terminal."""

from __future__ import annotations

import sys

from revdiff.design.diagnostic import Diagnostic, FaultyDesign
from revdiff.errors import RevdiffError
from revdiff.release.visible import visible


def show_error(error: RevdiffError) -> None:
    """One message on standard error; of a design that can't be read, every fault on a line of its own."""
    if not isinstance(error, FaultyDesign):
        print(f"revdiff: {visible(str(error))}", file=sys.stderr)
        return
    faults = [item for item in error.diagnostics if item.severity == "fault"]
    print("revdiff: the design can't be read:", file=sys.stderr)
    show_diagnostics(faults)


def show_diagnostics(diagnostics: list[Diagnostic]) -> None:
    """Each diagnostic on a line of standard error, with the revision it is of."""
    for item in diagnostics:
        print(f"  {visible(item.revision)}: {visible(str(item))}", file=sys.stderr)
