"""A change's files, read as the manifest of its base says: nobody's change decides how it is read or judged.

Two readings, since neither alone is safe. *By the base's paths*: the files that the base's manifest names, so that a
table which is pointed elsewhere is still read. *By the change's paths*: the files that the change names, under the
base's columns, limits and sections, so that what it newly publishes isn't judged by what it says of itself.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from typing import Any

from msgspec.structs import replace

from revdiff.readers.entries import BoardEntry, FirmwareEntry, JointEntry, Manifest
from revdiff.readers.sections import DESIGN_KEYS
from revdiff.readers.sections_board import BOARD_KEYS
from revdiff.readers.spec import TableSpec, one_of, plain_spec

_SOURCES = ("header", "devicetree")

There = Callable[[str], bool]
_Paths = Callable[[TableSpec | None, TableSpec | None], TableSpec | None]


def by_paths_of_base(base: Manifest, change: Manifest, there: There) -> Manifest:
    """All that the base's manifest names, at the change's path only where the base's is gone; and what is new.

    ``there``: whether the change has a file of this path, or any that fits this pattern.
    """

    def chosen(ours: TableSpec | None, theirs: TableSpec | None) -> TableSpec | None:
        if ours is None:
            return theirs
        if any(there(item.file) for item in ours.choices):
            return ours
        return _as_base_reads(ours, theirs) if theirs is not None else None

    boards = {**base.boards, **{name: item for name, item in change.boards.items() if name not in base.boards}}
    merged = {name: _board(base.boards.get(name), change.boards.get(name), chosen) for name in boards}
    kept = {name: item for name, item in merged.items() if item.tables or "netlist" in item.extra}
    return _manifest(base, change, kept, chosen, keep=True)


def by_paths_of_change(base: Manifest, change: Manifest) -> Manifest:
    """All that the change's manifest names, read and judged as the base's manifest says where it knows the thing."""

    def chosen(ours: TableSpec | None, theirs: TableSpec | None) -> TableSpec | None:
        return theirs if ours is None or theirs is None else _as_base_reads(ours, theirs)

    boards = {name: _board(base.boards.get(name), item, chosen) for name, item in change.boards.items()}
    return _manifest(base, change, boards, chosen, keep=False)


def trusting(manifest: Manifest, change: Manifest, files: frozenset[str]) -> Manifest:
    """``manifest`` with the change's own word on how these files are read, for those that the base's can't read."""

    def spec(given: TableSpec | None, theirs: TableSpec | None) -> TableSpec | None:
        own = theirs is not None and any(item.file in files for item in theirs.choices)
        return theirs if given is not None and own else given

    boards = {}
    for name, board in manifest.boards.items():
        other = change.boards.get(name)
        tables = {key: spec(item, other.tables.get(key) if other else None) for key, item in board.tables.items()}
        boards[name] = replace(board, tables={key: item for key, item in tables.items() if item is not None})
    firmware = {
        key: replace(item, needs=spec(item.needs, change.firmware[key].needs if key in change.firmware else None))
        for key, item in manifest.firmware.items()
    }
    table = spec(manifest.joints_table, change.joints_table)
    return replace(manifest, boards=boards, firmware=firmware, joints_table=table)


def _as_base_reads(ours: TableSpec, theirs: TableSpec) -> TableSpec:
    """The change's files, each read as the base says: of that file where it names it, else of the table."""
    known = {item.file: item for item in reversed(ours.choices)}
    return one_of(
        [dataclasses.replace(known.get(item.file, ours), file=item.file, instead=()) for item in theirs.choices]
    )


def with_sections(theirs: Mapping[str, Any], ours: Mapping[str, Any], names: tuple[str, ...]) -> dict[str, Any]:
    """``theirs`` with the sections of these names as in ``ours``, where that has none: with none."""
    kept = {key: value for key, value in theirs.items() if key not in names}
    return {**kept, **{key: value for key, value in ours.items() if key in names}}


def _board(base: BoardEntry | None, change: BoardEntry | None, chosen: _Paths) -> BoardEntry:
    if base is None or change is None:
        entry = change or base
        assert entry is not None
        tables = {key: chosen(spec, None) if change is None else spec for key, spec in entry.tables.items()}
        return replace(entry, tables={key: spec for key, spec in tables.items() if spec is not None})
    names = dict.fromkeys((*base.tables, *change.tables))
    specs = {name: chosen(base.tables.get(name), change.tables.get(name)) for name in names}
    extra = with_sections(change.extra, base.extra, BOARD_KEYS)
    netlist = _netlist(base.extra.get("netlist"), change.extra.get("netlist"), chosen)
    extra = {key: value for key, value in extra.items() if key != "netlist"}
    return replace(
        change,
        tables={name: spec for name, spec in specs.items() if spec is not None},
        places={**base.places, **change.places},
        extra=extra if netlist is None else {**extra, "netlist": netlist},
    )


def _netlist(ours: Any, theirs: Any, chosen: _Paths) -> Any:
    """The netlist's entry by the same choice: its file as a path to choose, its other keys with the base."""
    spec = chosen(plain_spec(ours), plain_spec(theirs))
    if spec is None or not spec.file:
        return theirs if ours is None else None
    keys = ours if isinstance(ours, dict) else theirs if ours is None and isinstance(theirs, dict) else {}
    return {**keys, "file": [item.file for item in spec.choices]}


def _manifest(
    base: Manifest, change: Manifest, boards: dict[str, BoardEntry], chosen: _Paths, *, keep: bool
) -> Manifest:
    joints, table = _joints(base, change, chosen, keep=keep)
    names = dict.fromkeys((*(base.firmware if keep else ()), *change.firmware))
    firmware = {
        name: _firmware(base.firmware.get(name), change.firmware.get(name), chosen, keep=keep) for name in names
    }
    return replace(
        change,
        boards=boards,
        joints=tuple(item for item in joints if item.board_a in boards and item.board_b in boards),
        joints_table=table,
        firmware={name: item for name, item in firmware.items() if item.board in boards},
        extra=with_sections(change.extra, base.extra, DESIGN_KEYS),
    )


def _joints(
    base: Manifest, change: Manifest, chosen: _Paths, *, keep: bool
) -> tuple[tuple[JointEntry, ...], TableSpec | None]:
    table = chosen(base.joints_table, change.joints_table)
    ours = {joint_ends(item): item for item in base.joints}
    theirs = {joint_ends(item): item for item in change.joints}
    order = dict.fromkeys((*(ours if keep else ()), *theirs))
    return tuple(ours.get(ends) or theirs[ends] for ends in order), table


def joint_ends(joint: JointEntry) -> frozenset[tuple[str, str]]:
    """The two ends of a joint, whichever is named first."""
    return frozenset(((joint.board_a, joint.connector_a), (joint.board_b, joint.connector_b)))


def _firmware(base: FirmwareEntry | None, change: FirmwareEntry | None, chosen: _Paths, *, keep: bool) -> FirmwareEntry:
    """What a release relies on is its own word; which controller it is for, and how its sources are read, is the base's
    where all that the base names is to be kept."""
    entry = change or base
    assert entry is not None
    if base is None:
        return entry
    if keep:
        sources = {key: value for key, value in base.extra.items() if key in _SOURCES}
        entry = replace(entry, board=base.board, device=base.device, extra={**entry.extra, **sources})
    return replace(entry, needs=chosen(base.needs, change.needs if change is not None else None))
