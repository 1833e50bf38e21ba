"""What is wrong with, or was assumed about, a file of the design."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Literal

from msgspec import Struct

from revdiff.design.origin import Origin
from revdiff.errors import DataFault


class Diagnostic(Struct, frozen=True, kw_only=True):
    """One located statement about the data.

    ``code`` is a stable kebab-case name. A ``fault`` has to be mended (exit status 3); a ``notice`` tells what
    the reader assumed or left out. ``found`` and ``expected`` may be empty; ``remedy`` says what to do.
    """

    code: str
    severity: Literal["fault", "notice"]
    message: str
    origin: Origin
    found: str = ""
    expected: str = ""
    remedy: str = ""
    revision: str = ""

    def __str__(self) -> str:
        text = f"{self.origin}: {self.message}"
        if self.found:
            text += f"; found {self.found!r}"
        if self.expected:
            text += f"; expected {self.expected}"
        if self.remedy:
            text += f". {self.remedy}"
        return text


# What is told of a revision without a manifest: by whose it was read, and what of that holds there.
LENT = frozenset({"lent-manifest", "no-manifest-yet", "taken-instead", "not-there-yet", "read-plainly"})


def failing_faults(
    old: Iterable[Diagnostic], new: Iterable[Diagnostic], manifest: str, *, strict: bool = False
) -> tuple[Diagnostic, ...]:
    """The faults of ``new`` that ``old`` hasn't, in whatever row; ``strict``: in the same column of the same file.

    Those in the new ``manifest`` fail anyway: they keep a whole section or contract from being judged.
    """

    def key(item: Diagnostic) -> object:
        place = (item.origin.file, item.origin.column) if strict else ()
        return item.code, item.found or item.message, place

    known = Counter(key(item) for item in old if item.severity == "fault")
    found = []
    for item in new:
        if item.severity == "fault":
            known[key(item)] -= 1
            if known[key(item)] < 0 or item.origin.file == manifest:
                found.append(item)
    return tuple(found)


class FaultyDesign(DataFault):
    """The design can't be read at all. Carries every fault that was found on the way."""

    def __init__(self, diagnostics: Iterable[Diagnostic]) -> None:
        self.diagnostics = tuple(diagnostics)
        super().__init__("\n".join(str(item) for item in self.diagnostics))
