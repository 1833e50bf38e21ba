"""What every source of a design answers, whatever it is made of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from msgspec import Struct

from revdiff.errors import DataFault, UsageFault
from revdiff.sources.paths import shown


class Blob(Struct, frozen=True):
    """One file of one revision, not yet read.

    `path` is '/'-separated and relative to the design's root. `digest` is git's own name for the content,
    40 hexadecimal digits, for a file on disk too: equal digests mean equal bytes, whatever the two sources
    are. `size` is in bytes.
    """

    path: str
    digest: str
    size: int


@dataclass(frozen=True, slots=True)
class Identity:
    """Which state of the design was opened.

    `asked` is what the user wrote. `kind` is one of 'tag', 'branch', 'commit', 'work tree', 'index',
    'folder'. `name` is for people. `commit` is the full commit id and `date` the committer's date in
    ISO 8601 with its offset; both are '' where there is no commit. `message` is the text of an annotated
    tag without its signature, else ''. All but `kind` and `commit` may hold whatever a stranger wrote.
    """

    asked: str
    kind: str
    name: str
    commit: str
    date: str
    message: str


class Revision(Protocol):
    """One state of the design, open for reading.

    Paths are relative to the design's root and go through `revdiff.sources.paths.inside`.
    """

    @property
    def identity(self) -> Identity:
        """Which state this is."""

    def find(self, path: str) -> Blob | None:
        """Give the file at a path, or None where there is nothing.

        Raises DataFault where the path leads outside, is a folder, a link or a submodule, or the file is
        larger than `revdiff.sources.content.FILE_LIMIT`.
        """

    def read(self, blob: Blob) -> bytes:
        """Give the bytes of a file that `find` of this revision returned.

        Raises DataFault where they can't be had, no longer match the digest, or only stand in for content
        kept elsewhere.
        """

    def paths(self) -> tuple[str, ...]:
        """List the regular files, sorted; those in folders whose name starts with a dot are left out.

        A byte of a name that isn't UTF-8 shows as `\\xNN`; such a file can be listed, not opened.
        Raises DataFault beyond `revdiff.sources.content.ENTRY_LIMIT` files and folders.
        """

    def elsewhere(self) -> tuple[str, ...]:
        """List what `paths` passes over since its content lies elsewhere: links and submodules, sorted.

        `find` raises the DataFault that says which of the two it is.
        """


class Source(Revision, Protocol):
    """A revision as it is stored, whose contents can be told apart without reading them into memory."""

    def digests(self) -> Mapping[str, str]:
        """Map all of `paths` and `elsewhere` to words that are equal where the contents are, in any source."""


def spoken(identity: Identity) -> str:
    """Name a revision inside a message: 'the index', 'tag rev-b'."""
    if identity.kind in ("work tree", "index"):
        return f"the {identity.kind}"
    return f"{identity.kind} {shown(identity.name)}"


class NotFound(UsageFault):
    """There is no such revision, or no repository to look for it in."""


def no_design(design: str, where: str) -> DataFault:
    """Make the fault for a revision without the design's folder."""
    return DataFault(f"there is no folder {shown(design)} in {where}, and the design was said to be there")
