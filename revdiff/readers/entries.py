"""The records of the manifest."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from msgspec import Struct, field

from revdiff.design import Origin
from revdiff.readers.columns import CONNECTORS, CONTACTS, PARTS, PINS, TableKind
from revdiff.readers.spec import TableSpec

if TYPE_CHECKING:
    from revdiff.readers.manifest_values import Values

MANIFEST = "revdiff.toml"
BOARD_TABLES: Mapping[str, TableKind] = {
    "parts": PARTS,
    "pins": PINS,
    "connectors": CONNECTORS,
    "contacts": CONTACTS,
}


class BoardEntry(Struct, frozen=True, kw_only=True):
    """One ``[boards.NAME]`` section. ``places`` tells where each table is named."""

    name: str
    title: str
    revision: str
    tables: Mapping[str, TableSpec]
    places: Mapping[str, Origin]
    extra: Mapping[str, Any]
    origin: Origin


class JointEntry(Struct, frozen=True, kw_only=True):
    """One ``[[joints]]`` entry."""

    board_a: str
    connector_a: str
    board_b: str
    connector_b: str
    contacts: str | tuple[tuple[str, str], ...]
    extra: Mapping[str, Any]
    origin: Origin


class FirmwareEntry(Struct, frozen=True, kw_only=True):
    """One ``[firmware.KEY]`` section. ``needs_place`` tells where its list of needs is named."""

    key: str
    name: str
    version: str
    board: str
    device: str
    needs: TableSpec | None
    needs_place: Origin
    clock: str
    recognises: str
    constants: Mapping[str, str]
    addresses: Mapping[str, str]
    extra: Mapping[str, Any]
    origin: Origin


class Manifest(Struct, frozen=True, kw_only=True):
    """The manifest as read. ``joints_table`` is the file with the joints where they are kept in a table.

    ``values`` finds the line of a key, and tells faults in what is read later.
    """

    name: str
    title: str
    boards: Mapping[str, BoardEntry]
    values: Values
    joints: tuple[JointEntry, ...] = ()
    joints_table: TableSpec | None = None
    joints_place: Origin = field(default_factory=lambda: Origin(MANIFEST, 1))
    firmware: Mapping[str, FirmwareEntry] = {}
    extra: Mapping[str, Any] = {}
