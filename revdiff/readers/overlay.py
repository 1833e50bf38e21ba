"""A revision with a manifest that it doesn't hold itself."""

from __future__ import annotations

from msgspec import Struct

from revdiff.readers.entries import MANIFEST
from revdiff.sources import Blob, Identity, Revision
from revdiff.sources.content import blob_id


class Overlay(Struct, frozen=True):
    """The files of a revision, or only some of them, and a manifest that was made for them or lent to them."""

    revision: Revision
    identity: Identity
    manifest: bytes
    files: tuple[str, ...] | None = None

    def find(self, path: str) -> Blob | None:
        """The file, or the manifest in the place of the revision's own."""
        if path == MANIFEST:
            return Blob(MANIFEST, blob_id(self.manifest), len(self.manifest))
        return self.revision.find(path)

    def read(self, blob: Blob) -> bytes:
        """The bytes of either."""
        return self.manifest if blob.path == MANIFEST else self.revision.read(blob)

    def elsewhere(self) -> tuple[str, ...]:
        """Links and submodules; nothing where only some files are meant: a link among these is refused when read."""
        return self.revision.elsewhere() if self.files is None else ()

    def paths(self) -> tuple[str, ...]:
        """The manifest and the files, and nothing beside them."""
        files = self.revision.paths() if self.files is None else self.files
        return (MANIFEST, *(path for path in files if path != MANIFEST))
