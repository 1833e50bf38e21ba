"""The same design with less said, or said otherwise."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator

from tests.judge.designs.notation import Files

# What makes a row a row; without them there is no table.
_KEYS = frozenset({"Signal", "Contact", "Connector", "Pin", "Device", "Designator"})
# What names things: without them the manifest means other things, or nothing.
_MANIFEST_KEYS = frozenset({"name", "version", "board", "device", "a", "b", "contacts"})
Row = list[str]


def _tables(found: Files) -> dict[str, list[Row]]:
    return {
        path: list(csv.reader(io.StringIO(text)))
        for path, text in found.items()
        if path.endswith(".csv") and "," in text.partition("\n")[0]
    }


def _text(rows: list[Row]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue()


def without_columns(found: Files) -> Iterator[tuple[str, str, Files]]:
    """(column, where, files): each column left out of one table, then of all that have it."""
    tables = _tables(found)
    names = dict.fromkeys(name for rows in tables.values() for name in rows[0] if name and name not in _KEYS)
    for name in names:
        lacking = {}
        for path, rows in tables.items():
            if name in rows[0]:
                at = rows[0].index(name)
                lacking[path] = _text([row[:at] + row[at + 1 :] for row in rows])
        for path, text in lacking.items():
            yield name, path, {**found, path: text}
        if len(lacking) > 1:
            yield name, "all tables", {**found, **lacking}


def without_lines(found: Files) -> Iterator[tuple[str, str, Files]]:
    """(section, key, files): each line of the manifest left out that names a table or states something."""
    lines = found["revdiff.toml"].split("\n")
    section = ""
    for index, line in enumerate(lines):
        key, equals, _ = line.partition(" = ")
        if line.startswith("["):
            section = line.strip("[]").partition(".")[0]
        elif equals and key not in _MANIFEST_KEYS:
            yield section, key, {**found, "revdiff.toml": "\n".join(lines[:index] + lines[index + 1 :])}


def with_headers(found: Files, spelled: Callable[[str], str]) -> Files:
    """The headers in another spelling."""
    tables = _tables(found)
    return {**found, **{path: _text([[spelled(name) for name in rows[0]], *rows[1:]]) for path, rows in tables.items()}}


def rows_turned(found: Files) -> Files:
    """The rows of every table in the other order."""
    tables = _tables(found)
    return {**found, **{path: _text([rows[0], *rows[:0:-1]]) for path, rows in tables.items()}}


def joints_turned(found: Files) -> Files:
    """Every joint named from its other end."""
    manifest = found["revdiff.toml"]
    lines = manifest.split("\n")
    for index, line in enumerate(lines):
        if line == "[[joints]]":
            one, two = lines[index + 1], lines[index + 2]
            lines[index + 1], lines[index + 2] = two.replace("b =", "a =", 1), one.replace("a =", "b =", 1)
    return {**found, "revdiff.toml": "\n".join(lines)}
