"""One loose table or netlist as a design of one board: the quickest way to try a comparison."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from pathlib import Path

from revdiff.errors import DataFault
from revdiff.readers.entries import MANIFEST
from revdiff.readers.netlist import looks_like
from revdiff.readers.survey import look_at
from revdiff.sources import Blob, Identity, Revision, open_revision
from revdiff.sources.content import blob_id


@dataclass(frozen=True, slots=True)
class LooseFile:
    """A revision that consists of one file and the manifest that would name it."""

    folder: Revision
    identity: Identity
    manifest: bytes

    def find(self, path: str) -> Blob | None:
        """The file, or the manifest that was made for it."""
        if path == MANIFEST:
            return Blob(MANIFEST, blob_id(self.manifest), len(self.manifest))
        return self.folder.find(path)

    def read(self, blob: Blob) -> bytes:
        """The bytes of either."""
        return self.manifest if blob.path == MANIFEST else self.folder.read(blob)

    def paths(self) -> tuple[str, ...]:
        """Both, and nothing beside them."""
        return (MANIFEST, self.identity.name)


def open_loose(path: Path) -> LooseFile:
    """Opens a file outside any design. Raises DataFault where it is no table or netlist that is known."""
    folder = open_revision(f"folder:{path.parent}", repository=path.parent)
    blob = folder.find(path.name)
    if blob is None:
        raise DataFault(f"{path}: there is no such file")
    kind = "netlist"
    if not looks_like(folder.read(blob)):
        sighting = look_at(folder, blob)
        if sighting is None:
            raise DataFault(
                f"{path}: found no header of a parts list, pin map, contact table or connector table, and no netlist. "
                "Name its columns in a revdiff.toml (README.md, data files)."
            )
        kind = sighting.kind
    text = json.dumps(path.name, ensure_ascii=False)
    board = f"[boards.board]\n{kind} = {text}\n"
    if kind == "needs":
        raise DataFault(f"{path}: found a list of signals without connectors or devices, which says too little alone")
    identity = replace(folder.identity, asked=str(path), kind="file", name=path.name)
    return LooseFile(folder, identity, f'[design]\nname = "loose"\n{board}'.encode())
