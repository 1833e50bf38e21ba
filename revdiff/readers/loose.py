"""One loose table or netlist as a design of one board: the quickest way to try a comparison."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from pathlib import Path

from revdiff.errors import DataFault
from revdiff.readers.entries import MANIFEST
from revdiff.readers.netlist import looks_like
from revdiff.readers.survey import Sighting, look_at
from revdiff.sources import Blob, Identity, Revision, open_revision
from revdiff.sources.content import blob_id


@dataclass(frozen=True, slots=True)
class Overlay:
    """A revision that consists of some files of a folder and a manifest that was made for them."""

    folder: Revision
    identity: Identity
    manifest: bytes
    files: tuple[str, ...]

    def find(self, path: str) -> Blob | None:
        """The file, or the manifest that was made for it."""
        if path == MANIFEST:
            return Blob(MANIFEST, blob_id(self.manifest), len(self.manifest))
        return self.folder.find(path)

    def read(self, blob: Blob) -> bytes:
        """The bytes of either."""
        return self.manifest if blob.path == MANIFEST else self.folder.read(blob)

    def elsewhere(self) -> tuple[str, ...]:
        """Nothing: a link that was named is refused when it is read."""
        return ()

    def paths(self) -> tuple[str, ...]:
        """Both, and nothing beside them."""
        return (MANIFEST, *(path for path in self.files if path != MANIFEST))


def open_loose(old: Path, new: Path) -> list[Revision]:
    """Opens two files outside any design. Raises DataFault where one is no table or netlist that is known.

    Contact tables without a column for the connector are of one and the same, which the first file names.
    """
    sighted = [_sighted(path) for path in (old, new)]
    connector = next((item.connector for _, item in sighted if item.connector), "")
    return [_overlay(path, *item, connector) for path, item in zip((old, new), sighted, strict=True)]


def _sighted(path: Path) -> tuple[Revision, Sighting]:
    folder = open_revision(f"folder:{path.parent}", repository=path.parent)
    blob = folder.find(path.name)
    if blob is None:
        raise DataFault(f"{path}: there is no such file")
    if looks_like(folder.read(blob)):
        return folder, Sighting(path.name, "netlist", {}, "")
    sighting = look_at(folder, blob) or look_at(folder, blob, lenient=True)
    if sighting is None:
        raise DataFault(
            f"{path}: found no header of a parts list, pin map, contact table or connector table, and no netlist. "
            "Name its columns in a revdiff.toml (README.md, data files)."
        )
    if sighting.kind != "needs":
        return folder, sighting
    if "pin" not in sighting.columns:
        raise DataFault(f"{path}: found a list of signals without connectors or devices, which says too little alone")
    return folder, replace(sighting, kind="pins")  # signals with pins are a pin map where no contract names them


def _overlay(path: Path, folder: Revision, sighting: Sighting, connector: str) -> Overlay:
    text = json.dumps(path.name, ensure_ascii=False)
    if sighting.connector:
        text = f"{{ file = {text}, connector = {json.dumps(connector, ensure_ascii=False)} }}"
    manifest = f'[design]\nname = "files"\n[boards.board]\n{sighting.kind} = {text}\n'
    identity = replace(folder.identity, asked=str(path), kind="file", name=path.name)
    return Overlay(folder, identity, manifest.encode(), (path.name,))
