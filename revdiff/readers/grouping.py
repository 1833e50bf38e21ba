"""Which board a table is of, by its folder, else by what its file's name says besides the kind of table."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import PurePosixPath

from revdiff.quantities.pattern import pattern
from revdiff.readers.survey import Sighting

_WORDS = pattern(
    r"(?i)(?:^|[-_. ])(bom|parts?|parts?[-_ ]?list|pins?|pin[-_ ]?map|pinout|connectors?|contacts?|components?|"
    r"stückliste|needs?|gpio|list|table|netlist)(?=$|[-_. ])"
)
# Folders that say what sort of files they hold, not of which board (common practice, no source).
_SORTS = frozenset(
    {"assembly", "assets", "board", "boards", "csv", "data", "design", "designs", "doc", "docs", "documentation"}
    | {"electronics", "export", "exports", "fab", "fabrication", "files", "firmware", "fw", "hardware", "hw", "include"}
    | {
        "lib",
        "manufacturing",
        "output",
        "outputs",
        "pcb",
        "pcbs",
        "production",
        "project",
        "release",
        "releases",
    }
    | {"schematic", "schematics", "source", "sources", "src", "tables"}
)
_RELEASE = pattern(
    r"(?i)(?:^|[-_. ])(?:(?:v|r|rev|ver|version|revision)[-_. ]?[0-9]{1,3}(?:[._][0-9]{1,3}){0,2}"
    r"|(?:rev|ver|version|revision)[-_. ]?[a-z])(?=$|[-_. ])"
)


def board_keys(tables: Sequence[Sighting], name: str) -> Mapping[str, str]:
    """The key of the board of each table, by path. ``name``: of the design, for a table that says of none."""
    folders = {item.path: _folder(item) for item in tables}
    said = {item.path: strip(folders[item.path]) or _stem(item) for item in tables}
    for folder in set(folders.values()) - {""}:
        for path in _clashing([item for item in tables if folders[item.path] == folder]):
            said[path] = strip(PurePosixPath(path).stem)
    boards = {key for path, text in said.items() if (key := board_key(text, ""))}
    if len(boards) < 2:
        return {item.path: board_key(name) for item in tables}
    return {path: board_key(text or name) for path, text in said.items()}


def board_key(text: str, default: str = "board") -> str:
    """A name as a key of the manifest."""
    return re.sub(r"[^a-z0-9_-]+", "-", text.casefold()).strip("-") or default


def folder_of(path: str) -> str:
    """The innermost folder whose name is no word for a kind of table or a sort of file."""
    for part in reversed(PurePosixPath(path).parent.parts):
        if part.casefold() not in _SORTS and strip(part):
            return part
    return ""


def strip(text: str) -> str:
    """A name without the words for a kind of table and for a release."""
    return re.sub(r"[-_. ]+", "-", _RELEASE.sub("-", _WORDS.sub("-", text))).strip("-")


def _folder(item: Sighting) -> str:
    return folder_of(item.path)


def _stem(item: Sighting) -> str:
    """What the file's name says besides the kind of table: ``base`` of ``base_bom.csv``."""
    said = strip(PurePosixPath(item.path).stem)
    kept = [word for word in said.split("-") if not item.connector or word.upper() != item.connector]
    return "" if said.casefold() in _SORTS else "-".join(kept)


def _clashing(items: Sequence[Sighting]) -> list[str]:
    """The paths of one folder, where it holds several tables of a kind that are named after boards."""
    kinds: dict[str, list[Sighting]] = {}
    for item in items:
        kinds.setdefault(item.kind, []).append(item)
    several = [found for kind, found in kinds.items() if len(found) > 1 and kind in ("parts", "netlist")]
    names = [{strip(PurePosixPath(item.path).stem).casefold() for item in found} for found in several]
    if not several or not all(len(found) == len(named - {""}) for found, named in zip(several, names, strict=True)):
        return []
    return [item.path for item in items if strip(PurePosixPath(item.path).stem).casefold() in set().union(*names)]
