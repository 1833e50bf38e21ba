"""What is to be told about the data, folded: one line for each sort and file, what both revisions share once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from revdiff.design import Diagnostic

# What many rows of one table are told of, in the plural.
_MANY: Mapping[str, str] = {
    "alternate-row": "rows taken as alternates of the part above",
    "ambiguous-number": "numbers that could be thousands or decimals, compared as text",
    "bare-row": "rows that name parts and say nothing else of them",
    "date": "texts that a spreadsheet may have turned into dates",
    "exponent": "numbers or codes that a spreadsheet may have shortened",
    "letter-for-digit": "cells with letters where figures should stand, not compared",
    "long-cell": "cells that run over several lines and hold delimiters",
    "lost-zero": "size codes that a spreadsheet may have taken the zero from",
    "no-designator": "rows without a designator, left out",
    "ragged-row": "rows longer than their header; the cells beyond were left out",
    "remark-row": "rows taken as headings or remarks",
    "row-left-out": "rows left out, since they say not whom they are about",
    "two-uses-of-a-pin": "pins with two outputs or functions",
    "unknown-word": "words that no rule knows, compared as text",
    "unnumbered-designator": "rows without a numbered designator, left out",
}
# What was read as it was meant and leaves nothing out.
_HARMLESS = frozenset(
    {"continued-row", "lists-side-by-side", "multiplied-quantity", "repeated-row", "running-number"}
    | {"shortened-name", "tables-joined", "units-of-one-part"}
)


def data_lines(diagnostics: Iterable[Diagnostic]) -> list[str]:
    """A line for each sort of statement about each file, faults first; the harmless ones are only counted."""
    kinds: dict[tuple[str, str, str], dict[str, list[Diagnostic]]] = {}
    harmless: dict[str, int] = {}
    for item in diagnostics:
        if item.code in _HARMLESS and item.severity == "notice":
            harmless[item.code] = harmless.get(item.code, 0) + 1
            continue
        kinds.setdefault((item.severity, item.code, item.origin.file), {}).setdefault(item.revision, []).append(item)
    lines = [line for key in sorted(kinds, key=lambda key: key[0]) for line in _of_one_sort(kinds[key])]
    if harmless:
        named = ", ".join(f"{code.replace('-', ' ')} ({count})" for code, count in sorted(harmless.items()))
        lines.append(f"notice: {sum(harmless.values())} more that leave nothing out, listed in the JSON form: {named}")
    return lines


def _of_one_sort(told: Mapping[str, Sequence[Diagnostic]]) -> Iterable[str]:
    """The lines of one sort of statement about one file, by revision."""
    sides: dict[tuple[tuple[str, str], ...], list[str]] = {}
    for revision, items in told.items():
        sides.setdefault(tuple((item.message, item.found) for item in items), []).append(revision)
    for revisions in sides.values():
        items = told[revisions[-1]]
        first = items[0]
        head = f"{first.severity}, {' and '.join(filter(None, revisions))}"
        if len(items) == 1:
            yield f"{head}: {first}"
        elif first.code in _MANY:
            place = f"first at line {first.origin.line}" if first.origin.line else "in the file"
            found = f", {first.found!r}" if first.found else ""
            advice = f". {first.remedy}" if first.remedy else ""
            yield f"{head}: {first.origin.file}: {len(items)} {_MANY[first.code]}, {place}{found}{advice}"
        else:
            yield from (f"{head}: {item}" for item in items)
