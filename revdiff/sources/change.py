"""A contributor's change: what it started from, what it is now, what its commits say, which files it touches."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from revdiff.errors import DataFault, UsageFault
from revdiff.quantities.revision_label import revision_key
from revdiff.sources.base import Identity, Source
from revdiff.sources.names import parse_range
from revdiff.sources.open import open_revision, repository_at
from revdiff.sources.paths import shown
from revdiff.sources.place import check_no_submodule

if TYPE_CHECKING:
    from revdiff.sources.git_objects import Repository

_UNCOMMITTED = ("work tree", "index")
_REMOTES = ("upstream", "origin")
_DEFAULT_BRANCHES = ("main", "master", "trunk")


class Message(Struct, frozen=True):
    """What the author of one commit wrote: its full id, and a stranger's text of at most 65,536 characters."""

    commit: str
    text: str


class ChangedPath(Struct, frozen=True):
    """A file, link or submodule that differs between two revisions; its path is relative to the design."""

    path: str
    how: Literal["added", "removed", "changed"]


class Submission(Struct, frozen=True):
    """A change opened for judging.

    `target` is the base as it was named, `base` the commit at which the change parted from it, open for reading;
    where either of the two is a folder, `base` is the target itself. `messages` are those of the commits that only
    the change has, newest first; what isn't committed has none. `unchanged` tells that the change is a commit that
    the target holds already, so that there is nothing to judge: a wrong base was named, or it is merged.
    """

    target: Identity
    base: Source
    change: Source
    messages: tuple[Message, ...]
    unchanged: bool

    def changed_paths(self) -> tuple[ChangedPath, ...]:
        """List what differs between `base` and `change`."""
        return changed_paths(self.base, self.change)


def open_submission(base: str = "", change: str = "", *, repository: Path, design: str = "") -> Submission:
    """Open a change and what it started from.

    `base` and `change` are named as for `open_revision`, but a bare name never means a folder; `base` may be
    'BASE...CHANGE' instead. Without a base, `default_base` gives it; without a change, it is the work tree.

    Raises UsageFault where either can't be found, they have no common history, or it was cut off.
    """
    span = parse_range(base) if not base.startswith("folder:") else None
    if span is not None:
        if change:
            raise UsageFault(f"{shown(base)} names the change already; {shown(change)} is one too many")
        base, change = span
    check_no_submodule(repository)
    change = change or "worktree"
    opened = open_revision(change, repository=repository, design=design, folders=False)
    base = base or default_base(repository, change)
    target = open_revision(base, repository=repository, folders=False)
    head = _commit_of(opened, repository)
    if head is None or target.identity.kind == "folder":
        base_itself = open_revision(base, repository=repository, design=design, folders=False)
        return Submission(target.identity, base_itself, opened, (), unchanged=False)
    if not target.identity.commit:
        raise UsageFault(f"{shown(base)} isn't committed, so that it can't be the base of a change; name a commit")
    from revdiff.sources.history import parting

    found = parting(repository_at(repository), target.identity.commit, head)
    if not found.ancestors:
        raise UsageFault(f"{shown(base)} and {shown(change)} have no history in common, so that there is no base")
    if len(found.ancestors) > 1:
        # Whichever was taken, something that came in by the other could be undone unseen.
        listed = ", ".join(commit.id[:10] for commit in found.ancestors)
        raise UsageFault(
            f"{shown(base)} and {shown(change)} were merged crosswise and parted at several commits ({listed}); "
            f"merge {shown(base)} into the change, then there is one"
        )
    ancestor = found.ancestors[0].id
    name = base if ancestor == target.identity.commit else ancestor
    return Submission(
        target.identity,
        open_revision(name, repository=repository, design=design, folders=False),
        opened,
        tuple(Message(commit.id, commit.message) for commit in found.commits),
        unchanged=ancestor == opened.identity.commit,
    )


def default_base(repository: Path, change: str = "worktree") -> str:
    """Name what a change is meant for: the default branch of the repository it goes to, else the newest release.

    The first is looked for in the remote repositories 'upstream' and 'origin': the branch that is checked out there,
    else main, master, trunk. The second is the newest tag among those that lead back from the change first.
    Raises UsageFault where there is neither.
    """
    opened = repository_at(repository)
    for remote in _REMOTES:
        for branch in ("HEAD", *_DEFAULT_BRANCHES):
            name = f"refs/remotes/{remote}/{branch}"
            if opened.reference(name):
                return name
    tag = _newest_release(opened, repository, open_revision(change, repository=repository, folders=False))
    if tag is None:
        raise UsageFault(
            f"the repository at {shown(str(opened.place))} knows no branch of another repository that the change could "
            "be meant for, and no tag before it; name the base"
        )
    return f"tag:{tag}"


def tag_before(repository: Path, asked: str) -> str:
    """Name the tag before a revision, as 'tag:NAME': the newest of those that lead back from it first.

    Of a tag, those that are named like it (base/..., hw-...) come before others. Raises UsageFault where there is none.
    """
    opened = repository_at(repository)
    revision = open_revision(asked, repository=repository, folders=False)
    like = _family(revision.identity.name) if revision.identity.kind == "tag" else None
    tag = None if like is None else _newest_release(opened, repository, revision, like)
    tag = tag or _newest_release(opened, repository, revision) or _older(opened, revision, like)
    if tag is None:
        raise UsageFault(
            f"there is no tag before {shown(asked)} in the repository at {shown(str(opened.place))}; name both "
            "revisions"
        )
    return f"tag:{tag}"


def _older(opened: Repository, revision: Source, family: str | None) -> str | None:
    """The newest tag with an older date, for tags that no line of commits holds together."""
    if not revision.identity.commit:
        return None
    start = opened.commit(revision.identity.commit)
    found = []
    for name in opened.tag_names():
        id = opened.reference(f"refs/tags/{name}")
        kind, commit, _ = opened.peel(id) if id else ("", "", "")
        if kind == "commit" and (when := opened.commit(commit).when) < start.when:
            found.append((_family(name) == family, when, revision_key(name), name))
    return max(found)[-1] if found else None


def _family(tag: str) -> str:
    """What the tags of one thing begin with: 'base/rev' of 'base/rev-c', 'hw' of 'hw-v1.2', nothing of 'v1.2'."""
    return tag[: max(map(tag.rfind, "/-_"), default=-1)] if any(mark in tag for mark in "/-_") else ""


def _newest_release(opened: Repository, repository: Path, revision: Source, family: str | None = None) -> str | None:
    from revdiff.sources.history import nearest

    start = _commit_of(revision, repository)
    if start is None:
        return None
    tagged: dict[str, list[str]] = {}
    for name in opened.tag_names():
        if family is not None and _family(name) != family:
            continue
        id = opened.reference(f"refs/tags/{name}")
        kind, commit, _ = opened.peel(id) if id else ("", "", "")
        # A change that is a release itself is held against the release before it.
        if kind == "commit" and commit != revision.identity.commit:
            tagged.setdefault(commit, []).append(name)
    # Those who release set these dates; of several releases in parallel the latest is the newest.
    found = sorted(nearest(opened, start, tagged), key=lambda commit: (commit.when, commit.id))
    return max(tagged[found[-1].id], key=revision_key) if found else None


def changed_paths(base: Source, change: Source) -> tuple[ChangedPath, ...]:
    """List the paths at which two revisions differ, sorted; folders whose name starts with a dot are left out.

    Where one of the two lies on disk, a checkout may have written other line ends, and they don't count.
    Raises DataFault beyond `revdiff.sources.content.ENTRY_LIMIT` files and folders.
    """
    old, new = base.digests(), change.digests()
    on_disk = any(revision.identity.kind in ("work tree", "folder") for revision in (base, change))
    found: list[ChangedPath] = []
    for path in sorted(old.keys() | new.keys()):
        if path not in old:
            found.append(ChangedPath(path, "added"))
        elif path not in new:
            found.append(ChangedPath(path, "removed"))
        elif old[path] != new[path] and not (on_disk and _same_lines(base, change, path)):
            found.append(ChangedPath(path, "changed"))
    return tuple(found)


def _same_lines(base: Source, change: Source, path: str) -> bool:
    try:
        one, other = (
            revision.read(blob).replace(b"\r\n", b"\n") if (blob := revision.find(path)) else None
            for revision in (base, change)
        )
    except DataFault:  # too large, or a link on one side: it was seen to differ
        return False
    return one is not None and one == other


def _commit_of(revision: Source, repository: Path) -> str | None:
    """Give the commit that a revision is, or that its uncommitted work started from; None for a folder."""
    if revision.identity.kind in _UNCOMMITTED:
        return open_revision("HEAD", repository=repository).identity.commit
    return revision.identity.commit or None
