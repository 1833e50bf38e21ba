"""Marks that a merge left half-way in a text: each is a fault, and what stands on both sides is read."""

from __future__ import annotations

from revdiff.design import Origin
from revdiff.quantities.pattern import pattern
from revdiff.readers.faults import Faults

MARK = pattern(r"(?:<{7}|={7}|>{7}|\|{7})(?: |$)")  # as version control writes them


def tell_mark(faults: Faults, file: str, line: int, found: str) -> None:
    """One mark."""
    faults.fault(
        "conflict-marker",
        "this is the mark of a merge that was left half-way; the rows of both sides were read",
        Origin(file, line),
        found=found,
        remedy="Settle the merge: keep the rows that are right, and take out the marks.",
    )


def without_merge_marks(text: str, file: str, faults: Faults) -> str:
    """The text with a blank line for each mark, of a merge that begins and ends in it, and all else at its line.

    Within a table of vertical bars it is a row of empty cells, since a blank line would end the table.
    """
    if "<<<<<<<" not in text or ">>>>>>>" not in text:
        return text
    lines = text.splitlines(keepends=True)
    marks = [index for index, line in enumerate(lines) if MARK.match(line.rstrip("\r\n"))]
    signs = {lines[index][0] for index in marks}
    if not {"<", ">"} <= signs:
        return text
    for index in marks:
        found = lines[index].rstrip("\r\n")
        tell_mark(faults, file, index + 1, found.rstrip())
        end = lines[index][len(found) :]
        barred = index > 0 and lines[index - 1].lstrip().startswith("|")
        lines[index] = ("| |" if barred else "") + end
    return "".join(lines)
