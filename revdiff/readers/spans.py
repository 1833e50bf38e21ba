"""Where a cell stands in its line of text: from the position in the row, which records keep, to characters."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from revdiff.design import Origin
from revdiff.errors import RevdiffError
from revdiff.readers.decoding import decode
from revdiff.readers.delimited import best_delimiter
from revdiff.readers.faults import Faults
from revdiff.sources import Revision

# (file, line, position of the cell) -> (first character, the one after the last), from 1.
Spans = Mapping[tuple[str, int, int], tuple[int, int]]
_ENDINGS = (".csv", ".tsv", ".tab", ".txt", ".md", ".markdown")


def cell_spans(revision: Revision, origins: Iterable[Origin]) -> Spans:
    """The spans of all cells that can be found again in their files; others have none."""
    wanted: dict[str, set[tuple[int, int]]] = {}
    for origin in origins:
        if origin.column and origin.file.lower().endswith(_ENDINGS):
            wanted.setdefault(origin.file, set()).add((origin.line, origin.column))
    found = {}
    for file, places in wanted.items():
        try:
            blob = revision.find(file)
            if blob is None:
                continue
            text, _ = decode(revision.read(blob), file, "", Faults())
        except RevdiffError:
            continue
        lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
        bars = file.lower().endswith((".md", ".markdown"))
        delimiter = "|" if bars else best_delimiter(text)
        for line, column in places:
            if line <= len(lines):
                cells = [*_cells(lines[line - 1], delimiter, quoted=not bars)]
                if bars and lines[line - 1].lstrip().startswith("|"):
                    cells = cells[1:]
                if column <= len(cells):
                    found[file, line, column] = cells[column - 1]
    return found


def _cells(line: str, delimiter: str, *, quoted: bool) -> Iterator[tuple[int, int]]:
    """The cells of a line, without the blanks around them; the last one may go on in the next line."""
    start = here = 0
    inside = False
    while here <= len(line):
        mark = line[here : here + 1]
        if quoted and mark == '"' and (inside or not line[start:here].strip()):
            inside = not inside
        elif not quoted and mark == "\\":
            here += 1
        elif here == len(line) or (mark == delimiter and not inside):
            cell = line[start:here]
            first = start + len(cell) - len(cell.lstrip()) if cell.strip() else start
            yield first + 1, first + len(cell.strip()) + 1
            start = here + 1
        here += 1
