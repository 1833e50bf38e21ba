"""A revision that remembers which of its files were asked for."""

from __future__ import annotations

from revdiff.sources.base import Blob, Identity, Revision


class Recording:
    """Passes everything on; ``found`` holds the paths of all files that were looked up and are there."""

    def __init__(self, revision: Revision) -> None:
        self._revision = revision
        self.found: set[str] = set()

    @property
    def identity(self) -> Identity:
        """Which state this is."""
        return self._revision.identity

    def find(self, path: str) -> Blob | None:
        """The file at a path, or None. Raises as the revision does."""
        blob = self._revision.find(path)
        if blob is not None:
            self.found.add(path)
        return blob

    def read(self, blob: Blob) -> bytes:
        """The bytes of a file. Raises as the revision does."""
        return self._revision.read(blob)

    def elsewhere(self) -> tuple[str, ...]:
        """Links and submodules. Raises as the revision does."""
        return self._revision.elsewhere()

    def paths(self) -> tuple[str, ...]:
        """The regular files. Raises as the revision does."""
        return self._revision.paths()
