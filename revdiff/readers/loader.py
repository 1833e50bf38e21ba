"""A revision to a design: reads the manifest, then every table it names."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping
from typing import Any

from msgspec.structs import replace

from revdiff.budget import Budget
from revdiff.design import Board, Contract, Design, Diagnostic, Joint, Need, Origin, Pin, Reading
from revdiff.design.diagnostic import FaultyDesign
from revdiff.readers import cells
from revdiff.readers.columns import JOINTS, NEEDS
from revdiff.readers.connectors import join_contacts
from revdiff.readers.entries import BOARD_TABLES, MANIFEST, BoardEntry, FirmwareEntry, Manifest
from revdiff.readers.faults import Faults
from revdiff.readers.joints import check_joint, joint_of
from revdiff.readers.manifest import read_manifest
from revdiff.readers.pins import PinMap
from revdiff.readers.sections import DESIGN_KEYS, design_sections, split
from revdiff.readers.sections_board import BOARD_KEYS, board_sections
from revdiff.readers.tables import Cache, Tables
from revdiff.sources import Revision

_PLAIN = cells.CellContext()


class Loader:
    """Loads designs. One loader serves a whole run, so that equal contents are parsed once, out of one budget."""

    def __init__(self, budget: Budget | None = None) -> None:
        self.budget = Budget() if budget is None else budget
        self._cache: Cache = {}

    def load(self, revision: Revision, manifest: Manifest | None = None) -> Design:
        """The design at ``revision``, with what is to be told about its data in ``diagnostics``.

        ``manifest``: read the revision's files by this one instead of its own. Raises FaultyDesign, with every
        fault of every file, where a file is missing or can't be read at all; LimitFault where all that this loader
        has read is more than its budget allows.
        """
        return _Loading(self._cache, revision, self.budget).design(manifest)

    def manifest(self, revision: Revision) -> Manifest:
        """The revision's own manifest. Raises FaultyDesign."""
        return _Loading(self._cache, revision, self.budget).manifest()


class _Loading:
    def __init__(self, cache: Cache, revision: Revision, budget: Budget) -> None:
        self._revision = revision
        self._tables = Tables(cache, revision, budget)
        self._faults = Faults(budget)

    def manifest(self) -> Manifest:
        try:
            return self._manifest()
        except FaultyDesign as error:
            raise FaultyDesign(self._named(error.diagnostics)) from None

    def design(self, given: Manifest | None) -> Design:
        manifest = self.manifest() if given is None else replace(given, values=given.values.afresh())
        boards = {name: self._board(entry, manifest) for name, entry in manifest.boards.items()}
        contracts = {key: self._contract(entry, manifest) for key, entry in manifest.firmware.items()}
        joints = self._joints(manifest)
        if self._tables.sound:
            for joint in joints:
                check_joint(joint, boards, self._faults)
        ours, own = split(manifest.extra, DESIGN_KEYS)
        design = Design(
            name=manifest.name,
            title=manifest.title,
            boards=boards,
            joints=joints,
            contracts=contracts,
            extra=own,
            origin=Origin(MANIFEST, 1),
        )
        sections = design_sections(design, ours, manifest.values)
        diagnostics = self._named((*self._tables.found, *self._faults.found, *manifest.values.faults.found))
        if not self._tables.sound:
            raise FaultyDesign(diagnostics)
        return dataclasses.replace(design, sections=sections, diagnostics=diagnostics)

    def _named(self, diagnostics: Iterable[Diagnostic]) -> tuple[Diagnostic, ...]:
        name = self._revision.identity.name
        return tuple(replace(item, revision=name) for item in dict.fromkeys(diagnostics))

    def _manifest(self) -> Manifest:
        blob = self._revision.find(MANIFEST)
        if blob is None:
            self._faults.fault(
                "no-manifest",
                f"{self._revision.identity.name} has no {MANIFEST} at the root of the design",
                Origin(MANIFEST, 1),
                remedy="revdiff init writes one; if the design is in a subfolder, name it with --design.",
            )
            raise FaultyDesign(self._faults.found)
        self._faults.budget.spend("bytes", blob.size, MANIFEST)
        return read_manifest(self._revision.read(blob), Faults(self._faults.budget))

    def _board(self, entry: BoardEntry, manifest: Manifest) -> Board:
        found: dict[str, dict[Any, Any]] = {name: {} for name in BOARD_TABLES}
        numbers: dict[str, Pin] = {}
        for name, spec in entry.tables.items():
            for records in self._tables.records(spec, BOARD_TABLES[name], entry.places[name]):
                self._merge(found[name], records)
                numbers |= records.numbers if isinstance(records, PinMap) else {}
        ours, own = split(entry.extra, BOARD_KEYS)
        own.pop("netlist", None)
        board = Board(
            name=entry.name,
            title=entry.title,
            revision=entry.revision,
            parts=found["parts"],
            pins=found["pins"],
            connectors=join_contacts(found["connectors"], found["contacts"], self._faults),
            numbers=numbers,
            tables=frozenset(entry.tables),
            extra=own,
            origin=entry.origin,
        )
        given = entry.extra.get("netlist")
        if given is not None:
            board = self._with_netlist(board, given)
        return dataclasses.replace(board, sections=board_sections(board, ours, own, manifest.values))

    def _with_netlist(self, board: Board, given: object) -> Board:
        from revdiff.readers.netlists import netlist_spec, with_netlist

        spec = netlist_spec(given, f"boards.{board.name}.netlist", board.origin, self._faults)
        netlist = None if spec is None else self._tables.netlist(spec.files, board.origin)
        if spec is None or netlist is None:
            self._tables.sound = False
            return board
        return with_netlist(board, netlist, spec, self._faults)

    def _merge(self, into: dict[Any, Any], records: Mapping[Any, Any]) -> None:
        """Puts the records of one more file beside those of the others; nothing may be in two of them."""
        for key, record in records.items():
            if key not in into:
                into[key] = record
                continue
            name = ".".join(key) if isinstance(key, tuple) else str(key)
            first, second = (item[0] if isinstance(item, list) else item for item in (into[key], record))
            self._faults.fault(
                "named-twice",
                f"{name} is in two files; the first one, at {first.origin}, was taken",
                second.origin,
                found=name,
                expected="each one in one file",
                remedy="Remove it from one of the two.",
            )

    def _joints(self, manifest: Manifest) -> tuple[Joint, ...]:
        joints = [joint_of(entry) for entry in manifest.joints]
        if manifest.joints_table is not None:
            for records in self._tables.records(manifest.joints_table, JOINTS, manifest.joints_place):
                joints += records
        return tuple(joints)

    def _contract(self, entry: FirmwareEntry, manifest: Manifest) -> Contract:
        needs: dict[str, Need] = {}
        if entry.needs is not None:
            for records in self._tables.records(entry.needs, NEEDS, entry.needs_place):
                self._merge(needs, records)
        clock = cells.hertz_reading(entry.clock, _PLAIN)
        if clock and (clock.quantity is None or clock.quantity.unit != "Hz"):
            place = manifest.values.at("clock=", entry.origin)
            message = f"firmware.{entry.key}.clock can't be read"
            manifest.values.wrong("wrong-value", message, place, entry.clock, 'a frequency such as "16 MHz"')
        return Contract(
            key=entry.key,
            name=entry.name,
            version=entry.version,
            board=entry.board,
            device=entry.device,
            needs=needs,
            clock=clock,
            recognises=cells.text_reading(entry.recognises, _PLAIN),
            constants=_values(entry.constants),
            addresses=_values(entry.addresses),
            extra=entry.extra,
            origin=entry.origin,
        )


def _values(texts: Mapping[str, str]) -> dict[str, Reading]:
    return {name: cells.plain_reading(text, _PLAIN) for name, text in texts.items()}
