"""A design in a folder on disk: any folder, or a repository's work tree."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator, Mapping
from pathlib import Path

from revdiff.errors import DataFault, UsageFault
from revdiff.sources import content, objects
from revdiff.sources.base import Blob, Identity, no_design, spoken
from revdiff.sources.paths import inside, join, printable, shown

# Not blocking, so that a pipe put in the place of a file after it was looked at can't make us wait.
_OPENING = os.O_RDONLY | sum(
    getattr(os, flag, 0) for flag in ("O_NOFOLLOW", "O_NONBLOCK", "O_CLOEXEC", "O_BINARY", "O_NOCTTY")
)
_JUNCTION = 0xA0000003  # IO_REPARSE_TAG_MOUNT_POINT, in Windows' own headers


class FolderRevision:
    """Files as they lie on disk, byte for byte.

    `root` is where the user pointed and may be reached through links; below it none is followed. `design`
    is the design's folder below `root`, '' for `root` itself.
    Raises UsageFault if `root` isn't a folder, DataFault if the design's folder isn't in it.
    """

    def __init__(self, root: Path, identity: Identity, design: str) -> None:
        self._root = root
        self._identity = identity
        self._design = design
        self._where = spoken(identity)
        if not root.is_dir():
            raise UsageFault(f"there is no folder {shown(str(root))}")
        if design:
            status = self._status(design)
            if status is None or not stat.S_ISDIR(status.st_mode):
                raise no_design(design, self._where)

    @property
    def identity(self) -> Identity:
        return self._identity

    def find(self, path: str) -> Blob | None:
        path = inside(path)
        data = self._bytes(path)
        return None if data is None else Blob(path, content.blob_id(data), len(data))

    def read(self, blob: Blob) -> bytes:
        data = self._bytes(inside(blob.path))
        if data is None:
            raise DataFault(f"{shown(blob.path)} in {self._where} was removed while it was read")
        if content.blob_id(data) != blob.digest:
            raise DataFault(f"{shown(blob.path)} in {self._where} was changed while it was read; try again")
        content.check_pointer(blob.path, data, self._where)
        return data

    def paths(self) -> tuple[str, ...]:
        return tuple(sorted(printable(path) for path, status in self._listed() if stat.S_ISREG(status.st_mode)))

    def elsewhere(self) -> tuple[str, ...]:
        return tuple(
            sorted(
                printable(path)
                for path, status in self._listed()
                if _leads_elsewhere(status) or stat.S_ISDIR(status.st_mode)
            )
        )

    def digests(self) -> Mapping[str, str]:
        found: dict[str, str] = {}
        for path, status in self._listed():
            place = self._place(join(self._design, path))
            try:
                if stat.S_ISREG(status.st_mode):
                    with os.fdopen(os.open(place, _OPENING), "rb") as file:
                        found[printable(path)] = content.stream_id(file, status.st_size)
                elif stat.S_ISLNK(status.st_mode):
                    found[printable(path)] = objects.digest(
                        stat.S_IFLNK, content.blob_id(os.fsencode(place.readlink()))
                    )
                elif stat.S_ISDIR(status.st_mode):
                    # Which commit of it is checked out isn't asked: it can't be told from what is committed.
                    found[printable(path)] = objects.digest(objects.SUBMODULE, "")
            except OSError as error:
                raise self._unreadable(path, error) from error
        return found

    def _listed(self) -> Iterator[tuple[str, os.stat_result]]:
        """Give all that isn't an ordinary folder: links rather than where they lead, folders of other repositories."""
        folders = [""]
        met = 0
        while folders:
            folder = folders.pop()
            try:
                with os.scandir(self._place(join(self._design, folder) if folder else self._design)) as entries:
                    for entry in entries:
                        met += 1
                        content.check_count(met, self._where)
                        path = join(folder, _utf8(entry.name))
                        status = entry.stat(follow_symlinks=False)
                        if not _is_folder(status) or self._is_repository(join(self._design, path), status):
                            yield path, status
                        elif not entry.name.startswith("."):
                            folders.append(path)
            except OSError as error:
                raise self._unreadable(folder, error) from error

    def _is_repository(self, full: str, status: os.stat_result) -> bool:
        """Tell whether a folder of a work tree isn't in its repository; a folder of clones is just a folder."""
        if self._identity.kind != "work tree" or not _is_folder(status):
            return False
        return os.path.lexists(self._place(full) / ".git")

    def _place(self, full: str) -> Path:
        return self._root / _native(full)

    def _bytes(self, path: str) -> bytes | None:
        full = join(self._design, path)
        seen = self._status(full)
        if seen is None:
            return None
        if _is_folder(seen):
            raise DataFault(f"{shown(path)} in {self._where} is a folder; a file is expected")
        if not stat.S_ISREG(seen.st_mode):
            raise DataFault(f"{shown(path)} in {self._where} is a pipe, a device or the like; a file is expected")
        content.check_size(path, seen.st_size, self._where)
        try:
            with os.fdopen(os.open(self._place(full), _OPENING), "rb") as file:
                if not os.path.samestat(seen, os.fstat(file.fileno())):
                    raise DataFault(f"{shown(path)} in {self._where} was replaced while it was read; try again")
                data = file.read(content.FILE_LIMIT + 1)
        except OSError as error:
            raise self._unreadable(path, error) from error
        content.check_size(path, len(data), self._where)
        return data

    def _status(self, full: str) -> os.stat_result | None:
        """Look at a path below the root, one folder at a time; raise DataFault at the first link."""
        place, passed = self._root, ""
        status: os.stat_result | None = None
        for part in full.split("/"):
            if status is not None and not _is_folder(status):
                return None
            place, passed = place / _native(part), join(passed, part)
            try:
                status = place.lstat()
            except (FileNotFoundError, NotADirectoryError):
                return None
            except (OSError, ValueError) as error:
                raise self._unreadable(passed, error) from error
            if _leads_elsewhere(status):
                raise DataFault(f"{shown(passed)} in {self._where} is a symbolic link; links aren't followed")
            if self._is_repository(passed, status):
                raise DataFault(
                    f"{shown(passed)} in {self._where} is a submodule or a repository of its own; what it holds is no "
                    "part of this one"
                )
        return status

    def _unreadable(self, path: str, error: Exception) -> DataFault:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        return DataFault(f"{shown(path or '.')} in {self._where} can't be read: {reason}")


def _is_folder(status: os.stat_result) -> bool:
    return stat.S_ISDIR(status.st_mode) and not _is_junction(status)


def _leads_elsewhere(status: os.stat_result) -> bool:
    return stat.S_ISLNK(status.st_mode) or _is_junction(status)


def _utf8(name: str) -> str:
    """Read a name on disk as UTF-8 whatever the locale, as the names in a repository are read."""
    return os.fsencode(name).decode("utf-8", "surrogateescape")


def _native(name: str) -> str:
    return os.fsdecode(name.encode("utf-8", "surrogateescape"))


def _is_junction(status: os.stat_result) -> bool:
    """Windows' link between folders, which calls itself a folder."""
    return getattr(status, "st_reparse_tag", 0) == _JUNCTION
