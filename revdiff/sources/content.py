"""What is asked of a file before anyone interprets it: its size, its digest, whether it's all there."""

from __future__ import annotations

import hashlib
from typing import BinaryIO

from revdiff.errors import DataFault
from revdiff.sources.paths import shown

FILE_LIMIT = 32 * 1024 * 1024
"""Bytes. A parts list of 100,000 rows stays below; reading a gigabyte to refuse it is what this avoids."""

ENTRY_LIMIT = 100_000
"""Files and folders met in one revision: a few crafted folders inside each other can stand for billions."""

PATH_LIMIT = 4096
"""Characters of one path, as file systems allow at most (PATH_MAX); git itself nests folders without end."""

_PIECE = 1024 * 1024

# First words of the file that a large-file extension to git commits in place of the content, as its
# published pointer specification defines them.
_POINTER = b"version https://git-lfs"


def blob_id(data: bytes) -> str:
    """Name content as git does: SHA-1 over 'blob ', the decimal size, NUL, the bytes; 40 hexadecimal digits.

    Source: Git documentation, "Git Internals - Git Objects", Object Storage.
    """
    return hashlib.sha1(b"blob %d\0" % len(data) + data, usedforsecurity=False).hexdigest()


def stream_id(file: BinaryIO, size: int) -> str:
    """Name the content of a file of any size as `blob_id` does, without holding it."""
    digest = hashlib.sha1(b"blob %d\0" % size, usedforsecurity=False)
    while piece := file.read(_PIECE):
        digest.update(piece)
    return digest.hexdigest()


def check_size(path: str, size: int, where: str) -> None:
    """Raise DataFault for a file larger than FILE_LIMIT bytes."""
    if size > FILE_LIMIT:
        raise DataFault(f"{shown(path)} in {where} is {size:,} bytes; the limit for one file is {FILE_LIMIT:,} bytes")


def check_count(entries: int, where: str) -> None:
    """Raise DataFault when more than ENTRY_LIMIT files and folders were met."""
    if entries > ENTRY_LIMIT:
        raise DataFault(
            f"{where} holds more than {ENTRY_LIMIT:,} files and folders; "
            "name the design's own folder within it as the design's root"
        )


def check_path(path: str, where: str) -> None:
    """Raise DataFault for a path longer than PATH_LIMIT characters."""
    if len(path) > PATH_LIMIT:
        raise DataFault(f"{shown(path)} in {where} is a path of more than {PATH_LIMIT:,} characters")


def check_pointer(path: str, data: bytes, where: str) -> None:
    """Raise DataFault where a file only points at content kept elsewhere."""
    if data.startswith(_POINTER):
        raise DataFault(
            f"{shown(path)} in {where} holds a pointer to a file in large-file storage, not the file itself; "
            "commit the file itself, so that every copy of the repository can be read"
        )
