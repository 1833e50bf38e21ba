"""Open a revision by what the user wrote. Git is loaded only when a repository is really needed."""

from __future__ import annotations

import fnmatch
import functools
from pathlib import Path
from typing import TYPE_CHECKING

from revdiff.errors import DataFault, RevdiffError, UsageFault
from revdiff.sources.base import Identity, NotFound, Source
from revdiff.sources.folder import FolderRevision
from revdiff.sources.names import parse_request, reserved
from revdiff.sources.paths import inside, shown
from revdiff.sources.place import HERE, repository_root, top_of

if TYPE_CHECKING:
    from revdiff.sources.git_objects import Repository

_REPOSITORIES_KEPT = 8
FILE = "file:"


def open_revision(asked: str, *, repository: Path, design: str = "", folders: bool = True) -> Source:
    """Open one state of a design.

    `asked` is 'tag:NAME', 'branch:NAME', 'commit:HEX', 'folder:PATH', 'worktree', 'index', 'HEAD' or '@', a full
    reference name, or a bare tag, branch, commit id of at least 7 digits or folder, looked for in that order; all
    that name a commit may go on with '~N' and '^N'. With `folders=False` only 'folder:PATH' stands for a folder.
    `repository` is a folder in a git repository, or a bare one that the user named. `design` is the folder of the
    design within the repository, or within the folder that was asked for; '' is its root.

    Raises UsageFault where there is no such revision or repository, DataFault where the design isn't in it.
    """
    place = _place(design)
    if asked.startswith("folder:"):
        return _open_folder(asked, asked.removeprefix("folder:"), place)
    if asked.startswith(FILE):
        raise UsageFault(f"{shown(asked)} is one file; only 'compare' takes two of them, and a revision is needed here")
    if asked == "worktree":
        return _open_work_tree(asked, repository_at(repository), place)
    if asked == "index":
        from revdiff.sources.stored import StagedRevision

        identity = Identity(asked, "index", "index", "", "", "")
        return StagedRevision(repository_at(repository), identity, place)
    if not folders and _only_a_path(asked):
        raise UsageFault(f"{shown(asked)} is no revision; if the folder is meant, write {shown(f'folder:{asked}')}")
    if folders and (_only_a_path(asked) or (_names_folder(asked) and top_of(repository) is None)):
        return _open_folder(asked, asked, place)
    return _open_commit(asked, repository, place, folders=folders)


def _place(design: str) -> str:
    """The folder of the design, as `--design` names it."""
    try:
        return "" if design in ("", ".") else inside(design)
    except DataFault as error:  # it was typed, and stands in no file
        raise UsageFault(f"--design: {error}") from None


def means_folder(asked: str, repository: Path) -> bool:
    """Tell whether `open_revision` takes this for a folder: 'folder:PATH', or a folder and no revision's name."""
    if asked.startswith("folder:") or _only_a_path(asked):
        return True
    return _names_folder(asked) and not names_revision(asked, repository)


def loose_file(asked: str, repository: Path) -> Path | None:
    """Give the file that is meant by 'file:PATH', or by a name that is a file's and no revision's, else None."""
    if asked.startswith(FILE):
        return Path(asked.removeprefix(FILE))
    if not _is_file(asked) or (not _only_a_path(asked) and (reserved(asked) or names_revision(asked, repository))):
        return None
    return Path(asked)


def repository_at(path: Path) -> Repository:
    """Open the repository that a folder is in. Raises NotFound where there is none."""
    return _shared_repository(repository_root(path))


def tags(repository: Path, pattern: str = "*") -> tuple[str, ...]:
    """List the tags that match a shell-style pattern, sorted by name; '*' matches a '/' too."""
    return tuple(name for name in repository_at(repository).tag_names() if fnmatch.fnmatchcase(name, pattern))


def _open_commit(asked: str, repository: Path, design: str, *, folders: bool) -> Source:
    from revdiff.sources.resolve import resolve
    from revdiff.sources.stored import CommittedRevision

    try:
        request = parse_request(asked)
        opened = repository_at(repository)
        identity, tree = resolve(opened, asked, request)
    except NotFound:
        if folders and _names_folder(asked):
            return _open_folder(asked, asked, design)
        raise
    return CommittedRevision(opened, identity, tree, design)


def names_revision(asked: str, repository: Path) -> bool:
    """Tell whether a revision has this name, be it one that can't be opened; 'folder:PATH' is none."""
    from revdiff.sources.resolve import resolve

    if reserved(asked):
        return True
    if top_of(repository) is None and repository == HERE:
        return False  # nothing that git would have to be loaded for
    try:
        resolve(repository_at(repository), asked, parse_request(asked))
    except NotFound:
        return False
    except RevdiffError:
        return True
    return True


def _open_folder(asked: str, path: str, design: str) -> Source:
    if not _is_folder(path):
        raise UsageFault(f"there is no folder {shown(path)}")
    root = Path(path).resolve()
    return FolderRevision(root, Identity(asked, "folder", root.name or str(root), "", "", ""), design)


def _open_work_tree(asked: str, repository: Repository, design: str) -> Source:
    if repository.work_tree is None:
        raise UsageFault(
            f"the repository at {shown(str(repository.place))} is bare: it has no work tree; name a tag or a branch"
        )
    return FolderRevision(repository.work_tree, Identity(asked, "work tree", "work tree", "", "", ""), design)


def _is_folder(path: str) -> bool:
    try:
        return bool(path) and Path(path).is_dir()
    except (OSError, ValueError):  # NUL, too long
        return False


def _is_file(path: str) -> bool:
    try:
        return bool(path) and Path(path).is_file()
    except (OSError, ValueError):
        return False


def _names_folder(text: str) -> bool:
    return _is_folder(text) and not reserved(text)


def _only_a_path(text: str) -> bool:
    """Tell what can only mean a folder, since git has no such names: './base', '/home/x', 'base/'."""
    return text.startswith((".", "/")) or text.endswith("/") or Path(text).is_absolute()


@functools.lru_cache(maxsize=_REPOSITORIES_KEPT)
def _shared_repository(path: Path) -> Repository:
    """One object, and its two processes, for all revisions of a repository."""
    try:
        from revdiff.sources.git_objects import Repository
    except ImportError as error:
        raise UsageFault(
            "git can't be started, so that no revision of a repository can be read; install it, "
            "or compare two folders: folder:PATH"
        ) from error
    return Repository(path)
