"""One file instead of a design: on disk, or of a revision as ``REV:PATH``. A revision comes first, as everywhere."""

from __future__ import annotations

from pathlib import Path

from msgspec import Struct

from revdiff.errors import UsageFault
from revdiff.sources.base import Source
from revdiff.sources.names import SCHEMES
from revdiff.sources.open import loose_file, means_folder, names_revision, open_revision
from revdiff.sources.paths import inside, shown
from revdiff.sources.place import top_of


class OneFile(Struct, frozen=True):
    """A file and the revision or folder that it is of. ``path`` is its place there, ``name`` what people call it."""

    revision: Source
    path: str
    asked: str
    name: str


def open_files(old: str, new: str, repository: Path) -> tuple[OneFile, OneFile] | None:
    """Open two files, where either of the two names is that of a file; None where both name revisions.

    A file's name beside a revision's stands for the file of the same path in that revision. Raises UsageFault where
    one is a file and the other nothing that could hold it.
    """
    found = [file_of(name, repository) for name in (old, new)]
    one, two = found
    if one is None and two is None:
        return None
    if one is not None and two is not None:
        return one, two
    file, other = (one, new) if one is not None else (two, old)
    assert file is not None
    there = _same_in(file, other, repository)
    return (file, there) if one is not None else (there, file)


def file_of(asked: str, repository: Path) -> OneFile | None:
    """Open the file that 'REV:PATH', 'file:PATH' or a bare path names; None where it names none."""
    named = split_file(asked)
    if named is not None and names_revision(named[0], repository):
        revision = open_revision(named[0], repository=repository)
        return OneFile(revision, _below_top(named[1], repository), asked, f"{revision.identity.name}:{named[1]}")
    path = loose_file(asked, repository)
    return None if path is None else _on_disk(path, asked)


def _on_disk(path: Path, asked: str) -> OneFile:
    return OneFile(open_revision(f"folder:{path.parent}", repository=path.parent), path.name, asked, path.name)


def _same_in(file: OneFile, other: str, repository: Path) -> OneFile:
    """The file of the same path in the revision that stands beside it."""
    if means_folder(other, repository) or not names_revision(other, repository):
        raise UsageFault(
            f"{shown(file.asked)} is a file and no revision, and there is no file {shown(other)} to compare it with; "
            f"if there is, write {shown(f'file:{other}')}"
        )
    revision = open_revision(other, repository=repository)
    if split_file(file.asked) is not None and file.revision.identity.kind != "folder":
        path = file.path
    else:
        place, top = Path(file.asked.removeprefix("file:")).resolve(), top_of(repository)
        if top is None or not place.is_relative_to(top):
            raise UsageFault(
                f"{shown(file.asked)} lies outside the repository of {shown(other)}; name its file as "
                f"{shown(f'{other}:PATH')}"
            )
        path = place.relative_to(top).as_posix()
    return OneFile(revision, path, f"{other}:{path}", f"{revision.identity.name}:{path}")


def split_file(asked: str) -> tuple[str, str] | None:
    """Take apart 'REV:PATH', also 'tag:NAME:PATH'; None for what is no such text. No revision's name holds a colon."""
    first, colon, rest = asked.partition(":")
    if first in SCHEMES:
        name, colon, path = rest.partition(":")
        first = f"{first}:{name}" if name else ""
    else:
        path = rest
    if not (colon and first and path) or first in ("folder", "file"):
        return None
    return first, path


def _below_top(path: str, repository: Path) -> str:
    """A path as git takes it: from the repository's root, or with './' from the current folder."""
    top = top_of(repository)
    here = Path.cwd()
    if path.startswith("./") and top is not None and here.is_relative_to(top):
        return inside((here.relative_to(top) / path).as_posix())
    return inside(path)
