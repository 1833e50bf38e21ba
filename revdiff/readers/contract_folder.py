"""Firmware contracts that live in another repository or folder: its ``revdiff.toml`` with ``[firmware.NAME]`` alone."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from revdiff.budget import Budget
from revdiff.design import Contract
from revdiff.readers.entries import MANIFEST
from revdiff.readers.loader import Loader
from revdiff.readers.manifest_shape import parse_toml
from revdiff.sources import Blob, Identity, Revision

_STUB = ".revdiff-no-parts.csv"
_NO_PARTS = b"Designator,Value\nX1,none\n"


class _WithBoards(Struct, frozen=True):
    """A revision whose manifest lists the boards that its contracts are for, so that it reads as a design."""

    inner: Revision
    manifest: bytes

    @property
    def identity(self) -> Identity:
        return self.inner.identity

    def find(self, path: str) -> Blob | None:
        if path == _STUB:
            return Blob(path, "no-parts", len(_NO_PARTS))
        found = self.inner.find(path)
        if path != MANIFEST or found is None:
            return found
        return Blob(path, f"{found.digest}-with-boards", len(self.manifest))

    def read(self, blob: Blob) -> bytes:
        if blob.path == _STUB:
            return _NO_PARTS
        return self.manifest if blob.path == MANIFEST else self.inner.read(blob)

    def elsewhere(self) -> tuple[str, ...]:
        return self.inner.elsewhere()

    def paths(self) -> tuple[str, ...]:
        return self.inner.paths()


def contracts_in(revision: Revision, boards: Iterable[str], budget: Budget | None = None) -> dict[str, Contract]:
    """The contracts by key, for boards of these names. Raises FaultyDesign with what is wrong, each at its line.

    The manifest may be that of a whole design; its own boards are left aside.
    """
    blob = revision.find(MANIFEST)
    if blob is None:
        return dict(Loader(budget).load(revision).contracts)  # tells that there is no manifest
    data = revision.read(blob)
    if not _lists_boards(data):
        stubs = "".join(f'\n[boards."{name}"]\nparts = "{_STUB}"\n' for name in boards)
        data += stubs.encode()
    return dict(Loader(budget).load(_WithBoards(revision, data)).contracts)


def _lists_boards(data: bytes) -> bool:
    try:
        return "boards" in parse_toml(data)
    except ValueError:
        return True  # the reader of manifests tells what is wrong
