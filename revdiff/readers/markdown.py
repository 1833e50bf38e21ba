"""Tables in Markdown, in the form with a line of dashes below the header and bars between the cells."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from msgspec import Struct

from revdiff.design import Origin
from revdiff.errors import DataFault
from revdiff.quantities.designator import DesignatorFault, expand
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import clean, squeeze
from revdiff.readers.columns import CONTACTS, PARTS, PINS, TableKind, match_header
from revdiff.readers.faults import Faults
from revdiff.readers.grid import MAX_COLUMNS, MAX_ROWS, Grid, Rows
from revdiff.readers.names import connector_named
from revdiff.readers.spec import TableSpec

_ALIKE = 0.75  # of the best score, from which another table may be meant as well
_LONGEST_LINE = 20_000  # characters
MAX_TEXT = 8 * 1024 * 1024  # characters
_FENCE = pattern(r"\s{0,3}(```|~~~)")
_BAR = pattern(r"(?<!\\)\|")
_LINK = pattern(r"!?\[([^\[\]]{0,200}+)\]\([^()\[\]]{0,300}+\)")
_BREAK = pattern(r"<br ?/?>", re.IGNORECASE)
_EMPHASIS = pattern(r"(\*\*|\*|`)(?=\S)(.{1,200}?)(?<=\S)\1")
_ESCAPED = pattern(r"\\([!-/:-@\[-`{-~])")


class _Found(Struct, frozen=True):
    heading: str
    rows: Rows


def looks_like_markdown(text: str) -> bool:
    """Whether the first lines hold the line of dashes that makes a Markdown table."""
    return "--" in text and any(map(_is_dashes, text[:50_000].splitlines()))


def _is_dashes(line: str) -> bool:
    """Whether this is the line between header and rows: dashes, bars, and colons for the alignment."""
    if "--" not in line or "|" not in line or set(line) - set("|:- \t"):
        return False
    return all(cell.strip().strip(":").strip("-") == "" != cell.strip() for cell in line.strip().strip("|").split("|"))


def markdown_grid(
    text: str, file: str, how: str, spec: TableSpec, kind: TableKind, score: Callable[[Rows], int], faults: Faults
) -> Grid:
    """The table below the heading that is named, or the one that scores best.

    Several tables are read as one where they are of one list: parts lists of different parts; contact tables without a
    column for the connector, under headings that each name another one; pin maps likewise, by their devices.
    Raises DataFault where there is no table, or none below that heading.
    """
    tables = _tables(text, file)
    if spec.heading:
        wanted = squeeze(spec.heading)
        tables = [table for table in tables if squeeze(table.heading) == wanted]
    if not tables:
        expected = f" below the heading {spec.heading!r}" if spec.heading else ""
        raise DataFault(f"{file}: found no Markdown table{expected}, expected one with a header and a line of dashes.")
    if kind is CONTACTS:
        # A pin map has contacts in all but name: it is none beside the table of a connector.
        tables = [table for table in tables if not _is_pin_map(table)] or tables
    scores = [score(table.rows[:1]) for table in tables]
    best = [table for table, points in zip(tables, scores, strict=True) if points > max(scores) * _ALIKE]
    chosen = tables[scores.index(max(scores))]
    how = f"{how}, Markdown"
    parts = [table for table in tables if _names(table, kind, "designator")] if kind is PARTS else []
    if len(parts) > 1 and _of_one_list(parts):
        _tell_several(parts, "the parts of each are others", file, faults)
        return Grid(file, _joined(parts, kind, ""), how)
    by_heading = "connector" if kind is CONTACTS and not spec.connector else "device" if kind is PINS else ""
    if len(best) > 1 and by_heading and _named_by_headings(best, kind, by_heading):
        _tell_several(best, f"the {by_heading} of each is the heading above it", file, faults)
        return Grid(file, _joined(best, kind, by_heading.capitalize()), how)
    own = ("connector", "contact") if kind is CONTACTS else ("device", "pin") if kind is PINS else ()
    owned = [table for table in tables if own and all(_names(table, kind, name) for name in own)]
    if len(owned) > 1 and chosen in owned:  # each row says what it is of: none is passed over in silence
        if _apart(owned, kind, own):
            _tell_several(owned, "each names others", file, faults)
            return Grid(file, _joined(owned, kind, ""), how)
        best = [table for table in tables if table in best or table in owned]
    if len(best) > 1:
        tell = faults.fault if len(owned) > 1 else faults.notice
        tell(
            "several-tables",
            f"{len(best)} tables could be meant; the one in line {chosen.rows[0][0]} was read",
            Origin(file, chosen.rows[0][0]),
            found=", ".join(table.heading or "(no heading)" for table in best),
            remedy='To choose, name the heading above it in the manifest: heading = "...".',
        )
    return Grid(file, chosen.rows, how, title=chosen.heading)


def _apart(tables: list[_Found], kind: TableKind, own: Sequence[str]) -> bool:
    """Whether no two tables have a row of the same thing, by the columns that name it."""
    seen: set[tuple[str, ...]] = set()
    for table in tables:
        fields = [match_header(cell, kind)[0] for cell in table.rows[0][1]]
        at = [fields.index(name) for name in own]
        named = {tuple(squeeze(cells[one]) if one < len(cells) else "" for one in at) for _, cells in table.rows[1:]}
        if named & seen:
            return False
        seen |= named
    return True


def _tell_several(tables: list[_Found], why: str, file: str, faults: Faults) -> None:
    faults.notice(
        "tables-joined",
        f"{len(tables)} tables were read as one; {why}",
        Origin(file, tables[0].rows[0][0]),
        found=", ".join(table.heading for table in tables),
        remedy='To read one of them only, name it in the manifest: heading = "...".',
    )


def _is_pin_map(table: _Found) -> bool:
    return any(match_header(cell, PINS)[0] in ("device", "port") for cell in table.rows[0][1])


def _names(table: _Found, kind: TableKind, field: str) -> bool:
    return any(match_header(cell, kind)[0] == field for cell in table.rows[0][1])


def _of_one_list(tables: list[_Found]) -> bool:
    """Whether no two tables name the same part, as the lists of two boards on one page do."""
    seen: set[str] = set()
    for table in tables:
        at = next(at for at, cell in enumerate(table.rows[0][1]) if match_header(cell, PARTS)[0] == "designator")
        named: set[str] = set()
        for _, cells in table.rows[1:]:
            named.update(_refs(cells[at]) if at < len(cells) else ())
        if named & seen:
            return False
        seen |= named
    return True


def _refs(text: str) -> tuple[str, ...]:
    try:
        return expand(text)
    except DesignatorFault:
        return (text.upper(),) if text else ()


def _named_by_headings(tables: list[_Found], kind: TableKind, column: str) -> bool:
    """Whether the headings say what a column would: each another designator; of connectors, each another name."""
    if any(_names(table, kind, column) for table in tables):
        return False
    names = [connector_named(table.heading) for table in tables]
    if len(set(names)) < len(names) or not all(names):
        return False
    return kind is CONTACTS or all(name[-1:].isdigit() and " " not in name for name in names)


def _joined(tables: list[_Found], kind: TableKind, column: str) -> Rows:
    """The rows of all tables under one header, with a column for what the headings name where one is asked for."""

    def key(cell: str) -> str:
        return match_header(cell, kind)[0] or squeeze(cell)

    header: dict[str, str] = {}
    for table in tables:
        for cell in table.rows[0][1]:
            header.setdefault(key(cell), cell)
    rows: list[tuple[int, list[str]]] = [
        (tables[0].rows[0][0], [column, *header.values()] if column else [*header.values()])
    ]
    for table in tables:
        own = [key(cell) for cell in table.rows[0][1]]
        order = [own.index(name) if name in own else -1 for name in header]
        name = [connector_named(table.heading)] if column else []
        for number, cells in table.rows[1:]:
            said = [cells[at] if 0 <= at < len(cells) else "" for at in order]
            rows.append((number, [*name, *said, *cells[len(own) :]]))
    return tuple(rows)


def _tables(text: str, file: str) -> list[_Found]:
    if len(text) > MAX_TEXT:
        raise DataFault(f"{file}: found a page of {len(text)} characters, expected {MAX_TEXT} at most. Split it.")
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    found: list[_Found] = []
    heading, fence = "", ""
    number = 0
    while number < len(lines):
        line = lines[number]
        mark = _FENCE.match(line)
        if mark is not None:
            fence = "" if fence == mark[1] else fence or mark[1]
        elif not fence and (title := _heading(line)) is not None:
            heading = _plain(title)
        elif not fence and number and "|" in lines[number - 1] and _is_dashes(line):
            rows: list[tuple[int, list[str]]] = [(number, _cells(lines[number - 1], file, number))]
            while number + 1 < len(lines) and "|" in lines[number + 1]:
                number += 1
                cells = _cells(lines[number], file, number + 1)
                if any(cells):
                    rows.append((number + 1, cells))
                if len(rows) > MAX_ROWS:
                    raise DataFault(f"{file}:{number + 1}: found more than {MAX_ROWS} rows, expected fewer.")
            found.append(_Found(heading, tuple(rows)))
        number += 1
    return found


def _heading(line: str) -> str | None:
    """The text of a heading; None for any other line."""
    body = line.lstrip()
    text = body.lstrip("#")
    level = len(body) - len(text)
    if len(line) - len(body) > 3 or not 1 <= level <= 6 or not text[:1].isspace() or len(line) > _LONGEST_LINE:
        return None
    return text.strip().rstrip("#").rstrip()


def _cells(line: str, file: str, number: int) -> list[str]:
    if len(line) > _LONGEST_LINE:
        raise DataFault(f"{file}:{number}: found a line of {len(line)} characters, expected {_LONGEST_LINE} at most.")
    body = line.strip().removeprefix("|")
    if body.endswith("|") and not body.endswith("\\|"):
        body = body[:-1]
    cells = [_plain(cell) for cell in _BAR.split(body)]
    if len(cells) > MAX_COLUMNS:
        raise DataFault(f"{file}:{number}: found {len(cells)} cells in one row, expected {MAX_COLUMNS} at most.")
    return cells


def _plain(text: str) -> str:
    """The text as it is read on the page: no emphasis, no code marks, the words of a link."""
    text = _LINK.sub(r"\1", _BREAK.sub("\n", text))
    for _ in range(2):
        text = _EMPHASIS.sub(r"\2", text)
    return clean(_ESCAPED.sub(r"\1", text)) if "\n" not in text else _ESCAPED.sub(r"\1", text).strip()
