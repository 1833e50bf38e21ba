"""Where a repository begins: at a `.git` entry, which no commit can bring along, and nowhere else unless named."""

from __future__ import annotations

from pathlib import Path

from revdiff.errors import UsageFault
from revdiff.sources.base import NotFound
from revdiff.sources.paths import shown

_GIT_FILE_LIMIT = 4096
HERE = Path()
"""What stands for the current folder where the user named none."""


def top_of(path: Path) -> Path | None:
    """Give the folder with the `.git` entry, at a folder or above it."""
    here = path.resolve()
    return next((folder for folder in (here, *here.parents) if _has_git(folder)), None)


def repository_root(path: Path) -> Path:
    """Give the folder where the repository begins that is meant by `path`, as the user named it or HERE.

    A folder that looks like a bare repository is one only if the user named it: its files could have been
    committed as files, HEAD and branches with them. Raises NotFound where there is none, UsageFault where a named
    one lies within another's work tree.
    """
    if not path.is_dir():
        raise UsageFault(f"there is no folder {shown(str(path))}, and the repository was said to be there")
    top = top_of(path)
    here = path.resolve()
    if _looks_bare(here) and not (top is not None and here.is_relative_to(top / ".git")):
        if path == HERE and top is None:
            raise NotFound(
                f"{shown(str(here))} may be a bare repository, or a folder made to look like one; if it is one, name "
                "it by its full path with --repo"
            )
        if path != HERE and top is not None:
            raise UsageFault(
                f"{shown(str(path))} looks like a bare repository, but lies in the work tree of the one at "
                f"{shown(str(top))}; name that one, or move the bare one out of it"
            )
        if path != HERE:
            return here
    if top is None:
        raise NotFound(
            f"there is no git repository at {shown(str(path))} or above it; name the folder of one, "
            "or compare two folders: folder:PATH"
        )
    return top


def check_no_submodule(path: Path) -> None:
    """Raise UsageFault where the folder is in a submodule of another repository, and wasn't named by the user.

    A change may put a submodule in the place of a folder, with branches and tags of its own choice.
    """
    top = top_of(path) if path == HERE else None
    if top is None or not is_submodule(top):
        return
    raise UsageFault(
        f"{shown(str(top))} is a submodule of the repository at {shown(str(top_of(top.parent)))}; name the one to "
        "check by its full path with --repo"
    )


def is_submodule(folder: Path) -> bool:
    """Tell whether a folder is the work tree of a submodule: its `.git` leads away, and not to a shared history."""
    entry = folder / ".git"
    if not entry.is_file() or top_of(folder.parent) is None:
        return False
    with entry.open("rb") as file:
        target = file.read(_GIT_FILE_LIMIT).removeprefix(b"gitdir:").strip().decode("utf-8", "surrogateescape")
    return not (folder / target / "commondir").is_file()


def _has_git(folder: Path) -> bool:
    entry = folder / ".git"
    return entry.is_file() or (entry / "HEAD").is_file() or (entry / "HEAD").is_symlink()


def _looks_bare(folder: Path) -> bool:
    return (folder / "HEAD").is_file() and (folder / "objects").is_dir() and (folder / "refs").is_dir()
