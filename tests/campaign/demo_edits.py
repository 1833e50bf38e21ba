"""``python -m tests.campaign.demo_edits --edits 400 --seed 1``: single edits of the demo that nobody is told about.

One cell is emptied, exchanged with the one below or set to it, one row or one line of the manifest is taken out. Which
of them endanger a board nobody knows but a reader: the list is to be read, and what should have been told becomes a
case of ``tests/judge/test_edits.py``. Cells that only people read (notes, prices, makers) are left out.
"""

from __future__ import annotations

import argparse
import csv
import io
import random
from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

from revdiff.compare.comparison import compare_designs
from revdiff.design import Design
from revdiff.design.diagnostic import FaultyDesign
from revdiff.judge import judge_change
from revdiff.judge.drift import drifts
from tests.judge.demo import demo_files, load_demo

# Of these a board, its firmware and its cables see nothing.
_FOR_PEOPLE = frozenset(
    {
        *("function", "note", "remark", "purpose", "description", "cost", "currency", "life cycle", "alternates"),
        *("manufacturer", "part number", "quantity", "qty"),
    }
)
_OF_EVERY_BOARD = frozenset({"release-same-label", "firmware-unrecognised"})


class Edit(NamedTuple):
    """One file that becomes ``text``."""

    what: str
    file: str
    text: str


def edits() -> Iterator[Edit]:
    """All of them, file by file."""
    for file, text in demo_files().items():
        lines = text.splitlines(keepends=True)
        if file.endswith(".csv"):
            yield from _cells(file, text)
        elif file == "revdiff.toml":
            for index, line in enumerate(lines):
                if "=" in line and not line.startswith(("title", "#")):
                    yield Edit(
                        f"{file}:{index + 1} gone: {line.strip()}", file, "".join(lines[:index] + lines[index + 1 :])
                    )


def _cells(file: str, text: str) -> Iterator[Edit]:
    delimiter = ";" if text.partition("\n")[0].count(";") > 2 else ","
    rows = list(csv.reader(io.StringIO(text), delimiter=delimiter))

    def written(*changed: tuple[int, list[str]]) -> str:
        out = io.StringIO()
        by_row = dict(changed)
        csv.writer(out, delimiter=delimiter, lineterminator="\n").writerows(
            by_row.get(at, row) for at, row in enumerate(rows) if by_row.get(at, row)
        )
        return out.getvalue()

    for at, row in enumerate(rows[1:], 1):
        where = f"{file}:{at + 1} ({', '.join(filter(None, row[:3]))})"
        below = at + 1 if at + 1 < len(rows) else at - 1
        yield Edit(f"{where} gone", file, written((at, [])))
        for column, name in enumerate(rows[0]):
            cell, other = row[column], rows[below][column]
            if not cell or name.lower() in _FOR_PEOPLE:
                continue
            yield Edit(f"{where} {name}: {cell} emptied", file, written((at, _with(row, column, ""))))
            if cell != other:
                yield Edit(
                    f"{where} {name}: {cell} is {other or 'empty'}", file, written((at, _with(row, column, other)))
                )
                both = (at, _with(row, column, other)), (below, _with(rows[below], column, cell))
                yield Edit(f"{where} {name}: {cell} and {other or 'empty'} exchanged", file, written(*both))


def _with(row: list[str], column: int, cell: str) -> list[str]:
    return [cell if at == column else old for at, old in enumerate(row)]


def outcome(old: Design, edit: Edit) -> str:
    """``refused``, ``fault``, ``told``, ``contradiction``, ``listed`` as a change, or ``silent``."""
    try:
        new = load_demo({**demo_files(), edit.file: edit.text})
    except FaultyDesign:
        return "refused"
    if any(item.severity == "fault" for item in new.diagnostics):
        return "fault"
    comparison = compare_designs(old, new)
    verdict = judge_change(comparison, "old", "new")
    found = {item.rule for item in verdict.findings if item.severity != "info"} - _OF_EVERY_BOARD
    if found or verdict.answer not in ("fits", "fits with care"):
        return "told"
    if {item.id for item in drifts(new)} - {item.id for item in drifts(old)}:
        return "contradiction"
    return "listed" if comparison.changes or comparison.unclear else "silent"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--edits", type=int, default=400)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    every = list(edits())
    chosen = random.Random(given.seed).sample(every, min(given.edits, len(every)))
    old, counts = load_demo(demo_files()), Counter[str]()
    for edit in chosen:
        counts[how := outcome(old, edit)] += 1
        if how in ("listed", "silent"):
            print(f"{how}: {edit.what}", flush=True)
    print(
        f"{len(chosen)} of {len(every)} edits: {', '.join(f'{number} {how}' for how, number in counts.most_common())}"
    )


if __name__ == "__main__":
    main()
