"""A manifest lent to a revision from before there was one: what of it holds there, and which file is which table.

What it says of its own revision alone (printed revision, versions, what was shipped, what was renumbered) isn't lent,
nor what forgives: waivers and the limits of stacking count only where the user named the manifest.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping, Sequence
from difflib import SequenceMatcher
from pathlib import PurePosixPath

from msgspec import Struct
from msgspec.structs import replace

from revdiff.budget import Budget
from revdiff.design import Design, Diagnostic, Origin
from revdiff.readers.entries import BOARD_TABLES, MANIFEST, BoardEntry, FirmwareEntry, Manifest
from revdiff.readers.spec import TableSpec, files_named
from revdiff.readers.survey import Seen, survey
from revdiff.readers.tables import is_there
from revdiff.sources import Revision

_OWN = ("shipped", "renumbered")
_FORGIVING = ("waivers", "stacking", "packing_suffixes")
_ALIKE = 0.6  # of two paths that may be one file renamed
_CLEARLY = 0.05  # by how much the best of several has to be nearer


class Loan(Struct, frozen=True):
    """The manifest as it holds for a revision, and what is to be told about that."""

    manifest: Manifest
    told: tuple[Diagnostic, ...]


def lend(manifest: Manifest, lender: str, revision: Revision, budget: Budget, seen: Seen, *, trusted: bool) -> Loan:
    """What of ``manifest`` holds for a revision. ``lender``: whose it is; ``trusted``: the user named it.

    ``seen``: what files of other revisions are, as a survey keeps it.
    """
    return _Lending(manifest, lender, revision, budget, seen, trusted).loan()


def plainly(manifest: Manifest, files: frozenset[str]) -> Manifest:
    """``manifest`` without its word on how these files are read, for where that fits another revision of them."""

    def plain(spec: TableSpec) -> TableSpec:
        if spec.file not in files:
            return spec
        return TableSpec(spec.file, package_code=spec.package_code, decimal=spec.decimal, value_code=spec.value_code)

    boards = {
        name: replace(board, tables={key: plain(spec) for key, spec in board.tables.items()})
        for name, board in manifest.boards.items()
    }
    return replace(manifest, boards=boards)


def as_lent(design: Design, loan: Loan, lender: str) -> Design:
    """The design that was read by a lent manifest: what of that doesn't fit isn't this revision's fault."""
    eased = (
        replace(item, severity="notice") if item.severity == "fault" and item.origin.file == MANIFEST else item
        for item in design.diagnostics
    )
    return dataclasses.replace(design, lent_by=lender, diagnostics=(*loan.told, *eased))


class _Lending:
    def __init__(
        self, manifest: Manifest, lender: str, revision: Revision, budget: Budget, seen: Seen, trusted: bool
    ) -> None:
        self._seen = seen
        self._manifest = manifest
        self._lender = lender
        self._revision = revision
        self._budget = budget
        self._trusted = trusted
        self._told: list[Diagnostic] = []

    def loan(self) -> Loan:
        self._tell(
            "lent-manifest",
            f"{self._revision.identity.name} was read by {self._lender}",
            Origin(MANIFEST, 1),
            "Name another one with --manifest FILE or REVISION:FILE.",
        )
        renamed = self._renamed()
        boards = {name: self._board(board, renamed) for name, board in self._manifest.boards.items()}
        kept = {name: board for name, board in boards.items() if board.tables or "netlist" in board.extra}
        for name, board in self._manifest.boards.items():
            if name not in kept:
                self._tell("not-there-yet", f"no table of the board {name} is there; it counts as new", board.origin)
        manifest = replace(
            self._manifest,
            boards=kept,
            joints=tuple(item for item in self._manifest.joints if item.board_a in kept and item.board_b in kept),
            joints_table=self._there(self._manifest.joints_table, self._manifest.joints_place),
            firmware={
                key: replace(item, version="")
                for key, item in self._manifest.firmware.items()
                if item.board in kept and self._has_sources(item)
            },
            extra={key: value for key, value in self._manifest.extra.items() if self._trusted or key not in _FORGIVING},
        )
        return Loan(manifest, tuple(replace(item, revision=self._revision.identity.name) for item in self._told))

    def _board(self, board: BoardEntry, renamed: Mapping[tuple[str, str], str]) -> BoardEntry:
        tables: dict[str, TableSpec] = {}
        for kind, spec in board.tables.items():
            file = renamed.get((board.name, kind))
            found = dataclasses.replace(spec, file=file, instead=()) if file else self._there(spec, board.places[kind])
            if found is not None:
                tables[kind] = found
        extra = {key: value for key, value in board.extra.items() if key not in _OWN}
        netlist = files_named(extra.get("netlist", []))
        if netlist and not any(is_there(self._revision, file) for file in netlist):
            self._tell("not-there-yet", f"{netlist[0]} isn't there", board.origin)
            del extra["netlist"]
        return replace(board, revision="", tables=tables, extra=extra)

    def _there(self, spec: TableSpec | None, place: Origin) -> TableSpec | None:
        if spec is None or any(is_there(self._revision, item.file) for item in spec.choices):
            return spec
        self._tell("not-there-yet", f"{spec.file} isn't there, and nothing that clearly takes its place", place)
        return None

    def _has_sources(self, firmware: FirmwareEntry) -> bool:
        """Whether what the firmware relies on is there; else what it relied on then isn't known."""
        sources = [files_named(firmware.extra.get(key, [])) for key in ("header", "devicetree")]
        sources.append(tuple(item.file for item in firmware.needs.choices) if firmware.needs is not None else ())
        missing = [files for files in sources if files and not any(is_there(self._revision, file) for file in files)]
        if missing:
            message = f"the firmware {firmware.key} is left out: {missing[0][0]} isn't there"
            self._tell("not-there-yet", message, firmware.origin)
        return not missing

    def _renamed(self) -> dict[tuple[str, str], str]:
        """By board and kind, the file that takes the place of one that isn't there, where that can be told."""
        missing = [
            (board.name, kind, spec.file, board.places[kind])
            for board in self._manifest.boards.values()
            for kind, spec in board.tables.items()
            if not spec.is_glob and not any(is_there(self._revision, item.file) for item in spec.choices)
        ]
        if not missing:
            return {}
        specs = [spec for board in self._manifest.boards.values() for spec in board.tables.values()]
        used = {item.file for spec in specs for item in spec.choices}
        seen = [item for item in survey(self._revision, self._budget, self._seen).found if item.path not in used]
        found: dict[tuple[str, str], str] = {}
        for kind in BOARD_TABLES:
            wanted = [item for item in missing if item[1] == kind]
            files = [item.path for item in seen if item.kind == kind]
            for index, path in _paired([item[2] for item in wanted], files):
                board, _, named, place = wanted[index]
                found[board, kind] = path
                self._tell(
                    "taken-instead",
                    f"{path} was taken for {named}, which isn't there",
                    place,
                    f'{kind} = ["{path}", "{named}"] in [boards.{board}] says that they are one table.',
                )
        return found

    def _tell(self, code: str, message: str, origin: Origin, remedy: str = "") -> None:
        self._told.append(Diagnostic(code=code, severity="notice", message=message, origin=origin, remedy=remedy))


def _paired(wanted: Sequence[str], files: Sequence[str]) -> Iterator[tuple[int, str]]:
    """Which file is which table: the only one of its kind, else those whose paths are clearly the nearest."""
    if len(wanted) == len(files) == 1:
        yield 0, files[0]
        return
    scores = sorted(
        ((_likeness(name, file), index, file) for index, name in enumerate(wanted) for file in files), reverse=True
    )
    taken: set[int | str] = set()
    for score, index, file in scores:
        if score < _ALIKE or {index, file} & taken:
            continue
        left = [item for item in scores if not {item[1], item[2]} & taken]
        rivals = [other for other, one, two in left if (one == index) != (two == file)]
        taken |= {index, file}
        if not rivals or score >= max(rivals) + _CLEARLY:
            yield index, file


def _likeness(one: str, two: str) -> float:
    """How alike two paths are: half by folder, half by name; at most 1."""
    a, b = PurePosixPath(one.casefold()), PurePosixPath(two.casefold())
    return (
        SequenceMatcher(None, str(a.parent), str(b.parent), autojunk=False).ratio()
        + SequenceMatcher(None, a.name, b.name, autojunk=False).ratio()
    ) / 2
