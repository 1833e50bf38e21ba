"""Revisions kept in a git repository: a commit's files, and the files staged in the index."""

from __future__ import annotations

import stat
from abc import ABC, abstractmethod
from collections.abc import Mapping
from typing import TYPE_CHECKING

from revdiff.errors import DataFault
from revdiff.sources import content
from revdiff.sources.base import Blob, Identity, no_design, spoken
from revdiff.sources.objects import SUBMODULE, Entry, digest
from revdiff.sources.paths import below, hidden, inside, join, printable, shown

if TYPE_CHECKING:
    from revdiff.sources.git_objects import Repository


class _StoredRevision(ABC):
    """Finding and reading, whatever lists the entries. `design` is the design's folder, '' for the root."""

    def __init__(self, repository: Repository, identity: Identity, design: str) -> None:
        self._repository = repository
        self._identity = identity
        self._design = design
        self._where = spoken(identity)

    @property
    def identity(self) -> Identity:
        return self._identity

    def find(self, path: str) -> Blob | None:
        path = inside(path)
        entry = self._entry(join(self._design, path))
        if entry is None:
            return None
        if stat.S_ISDIR(entry.mode):
            raise DataFault(f"{shown(path)} in {self._where} is a folder; a file is expected")
        size = self._repository.size(entry.id)
        content.check_size(path, size, self._where)
        return Blob(path, entry.id, size)

    def read(self, blob: Blob) -> bytes:
        content.check_size(blob.path, blob.size, self._where)
        data = self._repository.data(blob.digest)
        content.check_pointer(blob.path, data, self._where)
        return data

    def paths(self) -> tuple[str, ...]:
        return tuple(sorted(printable(path) for path, entry in self._listed().items() if stat.S_ISREG(entry.mode)))

    def elsewhere(self) -> tuple[str, ...]:
        return tuple(sorted(printable(path) for path, entry in self._listed().items() if not stat.S_ISREG(entry.mode)))

    def digests(self) -> Mapping[str, str]:
        return {printable(path): digest(entry.mode, entry.id) for path, entry in self._listed().items()}

    @abstractmethod
    def _listed(self) -> Mapping[str, Entry]:
        """Give every file, link and submodule below the design's folder."""

    @abstractmethod
    def _entry(self, path: str) -> Entry | None:
        """Give the file or folder at a path of the repository; raise DataFault for links and submodules."""

    def _refuse_elsewhere(self, path: str, mode: int) -> None:
        if stat.S_ISLNK(mode):
            raise DataFault(f"{shown(path)} in {self._where} is a symbolic link; links aren't followed")
        if stat.S_IFMT(mode) == SUBMODULE:
            raise DataFault(f"{shown(path)} in {self._where} is a submodule; what it holds is in another repository")


class CommittedRevision(_StoredRevision):
    """The files of one commit. Raises DataFault if the design's folder isn't in it."""

    def __init__(self, repository: Repository, identity: Identity, tree: str, design: str) -> None:
        super().__init__(repository, identity, design)
        self._root = tree
        folder = self._entry(design) if design else None
        if design and (folder is None or not stat.S_ISDIR(folder.mode)):
            raise no_design(design, self._where)
        self._tree = tree if folder is None else folder.id

    def _listed(self) -> Mapping[str, Entry]:
        found: dict[str, Entry] = {}
        folders = [("", self._tree)]
        met = 0
        while folders:
            folder, tree = folders.pop()
            entries = self._repository.tree(tree)
            met += len(entries)
            content.check_count(met, self._where)
            for name, entry in entries.items():
                path = join(folder, name)
                content.check_path(path, self._where)
                if not stat.S_ISDIR(entry.mode):
                    found[path] = entry
                elif not name.startswith("."):
                    folders.append((path, entry.id))
        return found

    def _entry(self, path: str) -> Entry | None:
        tree, passed = self._root, ""
        parts = path.split("/")
        for depth, part in enumerate(parts, start=1):
            entry = self._repository.tree(tree).get(part)
            if entry is None:
                return None
            passed = join(passed, part)
            self._refuse_elsewhere(passed, entry.mode)
            if depth == len(parts):
                return entry
            if not stat.S_ISDIR(entry.mode):
                return None
            tree = entry.id
        return None


class StagedRevision(_StoredRevision):
    """The files staged for the next commit. Raises DataFault if none lies in the design's folder."""

    def __init__(self, repository: Repository, identity: Identity, design: str) -> None:
        super().__init__(repository, identity, design)
        self._entries: Mapping[str, Entry | None] = repository.staged()
        content.check_count(len(self._entries), self._where)
        if design and not self._is_folder(design):
            raise no_design(design, self._where)

    def _listed(self) -> Mapping[str, Entry]:
        found: dict[str, Entry] = {}
        for full, entry in self._entries.items():
            path = below(self._design, full)
            if path is None or hidden(path):
                continue
            if entry is None:
                raise self._conflict(full)
            found[path] = entry
        return found

    def _entry(self, path: str) -> Entry | None:
        parts = path.split("/")
        for passed in ("/".join(parts[:depth]) for depth in range(1, len(parts) + 1)):
            if passed not in self._entries:
                continue
            entry = self._entries[passed]
            if entry is None:
                raise self._conflict(passed)
            self._refuse_elsewhere(passed, entry.mode)
            return entry if passed == path else None
        return Entry(stat.S_IFDIR, "") if self._is_folder(path) else None

    def _is_folder(self, path: str) -> bool:
        return any(below(path, full) is not None for full in self._entries)

    def _conflict(self, path: str) -> DataFault:
        return DataFault(f"{shown(path)} in {self._where} is in conflict; finish the merge first")
