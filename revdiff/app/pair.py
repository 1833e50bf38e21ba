"""The two revisions that a command is about, where the user named one of them."""

from __future__ import annotations

from pathlib import Path

from revdiff.sources import tag_before
from revdiff.sources.files import file_of


def since(old: str, new: str | None, repository: Path) -> tuple[str, str]:
    """OLD and NEW of a comparison: what came since a revision in the work tree, or in a file since the last tag."""
    if new is not None:
        return old, new
    if file_of(old, repository) is not None:
        return tag_before(repository, "worktree"), old
    return old, "worktree"


def until(old: str, new: str | None, repository: Path) -> tuple[str, str]:
    """OLD and NEW of a document about NEW: of one revision, what came since the tag before it."""
    return (old, new) if new is not None else (tag_before(repository, old), old)
