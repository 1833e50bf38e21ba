"""What a change alters of what is read and of what judges: told first, since all the rest rests on it.

A change is judged as the manifest of its base says, so nothing listed here hides anything from the check at hand. It
will from the next one on, once the change is merged.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields
from typing import Any, Final

from msgspec import Struct

from revdiff.design import Origin
from revdiff.judge.finding import Severity
from revdiff.readers.entries import MANIFEST, BoardEntry, FirmwareEntry, JointEntry, Manifest
from revdiff.readers.sections import DESIGN_KEYS
from revdiff.readers.sections_board import BOARD_KEYS
from revdiff.readers.spec import TableSpec, plain_spec
from revdiff.readers.trusted import joint_ends

# code -> (severity, what it is). Less read than before is a break: what isn't read can't be judged.
CODES: Final[Mapping[str, tuple[Severity, str]]] = {
    "board-dropped": ("break", "a board is no longer in the manifest"),
    "table-dropped": ("break", "a table is no longer in the manifest"),
    "joint-dropped": ("break", "a joint is no longer in the manifest"),
    "contract-dropped": ("break", "a firmware contract is no longer in the manifest"),
    "column-lost": ("break", "a column that things are judged by says nothing any more"),
    "statement-lost": ("break", "what things are judged by is no longer stated, or not in a way that can be read"),
    "table-unsure": ("break", "several tables of a file could be meant now, and one was taken"),
    "column-unsure": ("caution", "several columns could be one field now, and one was taken"),
    "unreadable-by-base": ("break", "the base's manifest can't read or judge what the change brings"),
    "unfit-section": ("caution", "a section of the base doesn't fit what the change brings"),
    "readings-differ": ("caution", "what the base's manifest reads of the change isn't what its own reads"),
    "table-path": ("caution", "a table is read from another file"),
    "table-columns": ("caution", "columns of a table are read as other fields"),
    "table-last-row": ("caution", "a table ends at another row"),
    "table-form": ("caution", "a table is read in another form"),
    "table-encoding": ("caution", "a table is read in another encoding"),
    "table-reading": ("caution", "a table is read in another way"),
    "joint-pairing": ("caution", "the contacts of a joint pair in another way"),
    "contract-changed": ("caution", "a firmware contract says something else"),
    "stacking-changed": ("caution", "limits of stacking, or the rules that may fire, changed"),
    "limits-changed": ("caution", "a section that things are judged by changed"),
    "waivers-changed": ("caution", "waivers changed; those of the change don't count here"),
    "shipped-changed": ("caution", "what is said of boards that reached users changed"),
    "unread-table": ("caution", "a file that could be a table or a netlist changed, and no manifest reads it"),
    "unread-file": ("info", "another file changed, and no manifest reads it"),
    "board-added": ("info", "a board is new in the manifest"),
    "table-added": ("info", "a table is new in the manifest"),
    "joint-added": ("info", "a joint is new in the manifest"),
    "contract-added": ("info", "a firmware contract is new in the manifest"),
}
_SPEC_CODES: Final[Mapping[str, str]] = {
    "file": "table-path",
    "instead": "table-path",
    "columns": "table-columns",
    "last_row": "table-last-row",
    "form": "table-form",
    "encoding": "table-encoding",
}


class SettingChange(Struct, frozen=True, kw_only=True):
    """One change of what is read or of what judges. ``subject``: the place in the manifest, as ``boards.base.pins``."""

    code: str
    subject: str
    before: str = ""
    after: str = ""
    origin_before: Origin | None = None
    origin_after: Origin | None = None

    @property
    def severity(self) -> Severity:
        """As the code says."""
        return CODES[self.code][0]

    @property
    def meaning(self) -> str:
        """What a change of this kind is, in words."""
        return CODES[self.code][1]

    @property
    def id(self) -> str:
        """The same in every run."""
        return f"{self.code}/{self.subject}"


def setting_changes(base: Manifest, change: Manifest) -> Iterator[SettingChange]:
    """Every difference between two manifests in what is read and in what judges, in the order of the manifest."""
    yield from _sections(base.extra, change.extra, DESIGN_KEYS, "", Origin(MANIFEST, 1), Origin(MANIFEST, 1))
    for name in dict.fromkeys((*base.boards, *change.boards)):
        yield from _board(name, base.boards.get(name), change.boards.get(name))
    yield from _table("joints", base.joints_table, change.joints_table, base.joints_place, change.joints_place)
    yield from _joints(base, change)
    for key in dict.fromkeys((*base.firmware, *change.firmware)):
        yield from _contract(key, base.firmware.get(key), change.firmware.get(key))


def _board(name: str, base: BoardEntry | None, change: BoardEntry | None) -> Iterator[SettingChange]:
    where = f"boards.{name}"
    if base is None or change is None:
        yield _came_or_went("board", where, base, change)
        return
    for table in dict.fromkeys((*base.tables, *change.tables)):
        ours, theirs = base.tables.get(table), change.tables.get(table)
        places = base.places.get(table, base.origin), change.places.get(table, change.origin)
        yield from _table(f"{where}.{table}", ours, theirs, *places)
    yield from _netlist(where, base, change)
    yield from _sections(base.extra, change.extra, BOARD_KEYS, f"{where}.", base.origin, change.origin)


def _came_or_went(what: str, where: str, base: Any, change: Any) -> SettingChange:
    """Either is None; both have an ``origin``."""
    if base is None:
        return SettingChange(code=f"{what}-added", subject=where, origin_after=change.origin)
    return SettingChange(code=f"{what}-dropped", subject=where, origin_before=base.origin)


def _table(
    where: str, base: TableSpec | None, change: TableSpec | None, before: Origin, after: Origin
) -> Iterator[SettingChange]:
    if base is None or change is None:
        if change is not None:
            yield SettingChange(code="table-added", subject=where, after=change.file, origin_after=after)
        if base is not None:
            yield SettingChange(code="table-dropped", subject=where, before=base.file, origin_before=before)
        return
    for field in fields(TableSpec):
        one, two = getattr(base, field.name), getattr(change, field.name)
        if one != two:
            yield SettingChange(
                code=_SPEC_CODES.get(field.name, "table-reading"),
                subject=where if field.name == "file" else f"{where}.{field.name}",
                before=_of_spec(field.name, one),
                after=_of_spec(field.name, two),
                origin_before=before,
                origin_after=after,
            )


def _of_spec(name: str, value: Any) -> str:
    if name == "instead":
        return ", ".join(item.file for item in value)
    return _said(dict(value) if name == "columns" else value)


def _netlist(where: str, base: BoardEntry, change: BoardEntry) -> Iterator[SettingChange]:
    ours, theirs = base.extra.get("netlist"), change.extra.get("netlist")
    specs = [plain_spec(item) for item in (ours, theirs)]
    yield from _table(f"{where}.netlist", specs[0], specs[1], base.origin, change.origin)
    if specs[0] is not None and specs[0] == specs[1] and ours != theirs:
        yield SettingChange(
            code="table-reading",
            subject=f"{where}.netlist",
            before=_said(ours),
            after=_said(theirs),
            origin_before=base.origin,
            origin_after=change.origin,
        )


def _joints(base: Manifest, change: Manifest) -> Iterator[SettingChange]:
    ours = {joint_ends(item): item for item in base.joints}
    theirs = {joint_ends(item): item for item in change.joints}
    for ends in dict.fromkeys((*ours, *theirs)):
        one, two = ours.get(ends), theirs.get(ends)
        shown = two or one
        assert shown is not None
        where = f"joints {shown.board_a}.{shown.connector_a}–{shown.board_b}.{shown.connector_b}"
        if one is None or two is None:
            yield _came_or_went("joint", where, one, two)
        elif (was := _pairing(one, two)) != (now := _pairing(two, two)):
            yield SettingChange(
                code="joint-pairing",
                subject=where,
                before=was,
                after=now,
                origin_before=one.origin,
                origin_after=two.origin,
            )


def _pairing(joint: JointEntry, seen_from: JointEntry) -> str:
    """How the contacts pair, from the end that the other entry names first: a list of pairs has a direction."""
    if isinstance(joint.contacts, str):
        return joint.contacts
    turned = (joint.board_a, joint.connector_a) != (seen_from.board_a, seen_from.connector_a)
    return _said(dict(sorted((there, here) if turned else (here, there) for here, there in joint.contacts)))


def _contract(key: str, base: FirmwareEntry | None, change: FirmwareEntry | None) -> Iterator[SettingChange]:
    where = f"firmware.{key}"
    if base is None or change is None:
        yield _came_or_went("contract", where, base, change)
        return
    yield from _table(f"{where}.needs", base.needs, change.needs, base.needs_place, change.needs_place)
    for name in ("name", "version", "board", "device", "clock", "recognises", "constants", "addresses", "extra"):
        one, two = getattr(base, name), getattr(change, name)
        if one != two:
            yield from _values("contract-changed", where, one, two, name, base.origin, change.origin)


def _sections(
    base: Mapping[str, Any],
    change: Mapping[str, Any],
    names: tuple[str, ...],
    where: str,
    before: Origin,
    after: Origin,
) -> Iterator[SettingChange]:
    codes = {"stacking": "stacking-changed", "waivers": "waivers-changed", "shipped": "shipped-changed"}
    for name in names:
        one, two = base.get(name), change.get(name)
        if one != two:
            yield from _values(codes.get(name, "limits-changed"), where.rstrip("."), one, two, name, before, after)


def _values(
    code: str, where: str, before: Any, after: Any, name: str, origin_before: Origin, origin_after: Origin
) -> Iterator[SettingChange]:
    """The single values of two sections that differ, each by its own path."""
    path = ".".join(item for item in (where, "" if name == "extra" else name) if item)
    one, two = (item if isinstance(item, dict) else {} if item is None else None for item in (before, after))
    if one is not None and two is not None and (one or two):
        for key in dict.fromkeys((*one, *two)):
            if one.get(key) != two.get(key):
                yield from _values(code, path, one.get(key), two.get(key), key, origin_before, origin_after)
        return
    yield SettingChange(
        code=code,
        subject=path,
        before=_said(before),
        after=_said(after),
        origin_before=origin_before if before is not None else None,
        origin_after=origin_after if after is not None else None,
    )


def _said(value: Any) -> str:
    """A value of the manifest on one line; empty where there is none."""
    if value is None or value == "" or (value == 0 and value is not False):
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {_said(item)}" for key, item in value.items()) + " }" if value else ""
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(_said, value)) + "]"
    return str(value)
