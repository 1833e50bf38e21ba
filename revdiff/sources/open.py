"""Open a revision by what the user wrote. Git is loaded only when a repository is really needed."""

from __future__ import annotations

import fnmatch
import functools
from pathlib import Path
from typing import TYPE_CHECKING

from revdiff.errors import UsageFault
from revdiff.sources.base import Identity, NotFound, Revision
from revdiff.sources.folder import FolderRevision
from revdiff.sources.names import parse_request
from revdiff.sources.paths import inside, shown

if TYPE_CHECKING:
    from revdiff.sources.git_objects import Repository

_REPOSITORIES_KEPT = 8


def open_revision(asked: str, *, repository: Path, design: str = "") -> Revision:
    """Open one state of a design.

    `asked` is 'tag:NAME', 'branch:NAME', 'commit:HEX', 'folder:PATH', 'worktree', 'index', 'HEAD', or a bare
    tag, branch, commit id of at least 7 digits or folder, looked for in that order; all that name a commit
    may go on with '~N' and '^N'. `repository` is a folder in or of a git repository. `design` is the folder
    of the design within the repository, or within the folder that was asked for; '' is its root.

    Raises UsageFault where there is no such revision or repository, DataFault where the design isn't in it.
    """
    place = "" if design in ("", ".") else inside(design)
    if asked.startswith("folder:"):
        return _open_folder(asked, asked.removeprefix("folder:"), place)
    if asked == "worktree":
        return _open_work_tree(asked, _repository(repository), place)
    if asked == "index":
        from revdiff.sources.stored import StagedRevision

        identity = Identity(asked, "index", "index", "", "", "")
        return StagedRevision(_repository(repository), identity, place)
    if _only_a_path(asked) or (_is_folder(asked) and not _near_repository(repository)):
        return _open_folder(asked, asked, place)
    return _open_commit(asked, repository, place)


def tags(repository: Path, pattern: str = "*") -> tuple[str, ...]:
    """List the tags that match a shell-style pattern, sorted by name; '*' matches a '/' too."""
    return tuple(name for name in _repository(repository).tag_names() if fnmatch.fnmatchcase(name, pattern))


def _open_commit(asked: str, repository: Path, design: str) -> Revision:
    from revdiff.sources.resolve import resolve
    from revdiff.sources.stored import CommittedRevision

    try:
        request = parse_request(asked)
        opened = _repository(repository)
        identity, tree = resolve(opened, asked, request)
    except NotFound:
        if _is_folder(asked):
            return _open_folder(asked, asked, design)
        raise
    return CommittedRevision(opened, identity, tree, design)


def _open_folder(asked: str, path: str, design: str) -> Revision:
    if not _is_folder(path):
        raise UsageFault(f"there is no folder {shown(path)}")
    root = Path(path).resolve()
    return FolderRevision(root, Identity(asked, "folder", root.name or str(root), "", "", ""), design)


def _open_work_tree(asked: str, repository: Repository, design: str) -> Revision:
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


def _only_a_path(text: str) -> bool:
    """Tell what can only mean a folder, since git has no such names: './base', '/home/x', 'base/'."""
    return text.startswith((".", "/")) or text.endswith("/") or Path(text).is_absolute()


def _near_repository(path: Path) -> bool:
    """Tell whether a repository may lie at a folder or above it, without loading git."""
    path = path.resolve()
    return any(
        (folder / ".git").exists() or ((folder / "HEAD").is_file() and (folder / "objects").is_dir())
        for folder in (path, *path.parents)
    )


def _repository(path: Path) -> Repository:
    if not path.is_dir():
        raise UsageFault(f"there is no folder {shown(str(path))}, and the repository was said to be there")
    return _shared_repository(path.resolve())


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
