"""From what the user wrote to one commit of a repository, as git would read it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from revdiff.errors import UsageFault
from revdiff.sources.base import Identity, NotFound
from revdiff.sources.names import FETCHED, Request, is_commit_id
from revdiff.sources.paths import shown

if TYPE_CHECKING:
    from revdiff.sources.git_objects import Repository
    from revdiff.sources.objects import Commit

_SHORT = 10
_COMPARED = 2_000


class _Start(Struct, frozen=True):
    """Where a name leads: kind and name as in Identity, and the id of a commit or of an annotated tag."""

    kind: str
    name: str
    id: str


def resolve(repository: Repository, asked: str, request: Request) -> tuple[Identity, str]:
    """Find the commit that was asked for; give its identity and the id of its tree.

    Raises NotFound if there is no answer, UsageFault if there is more than one.
    """
    start = _start(repository, asked, request)
    if start is None:
        raise _not_found(repository, request)
    commit, message = _commit(repository, asked, start)
    if request.steps:
        commit = _walk(repository, asked, request, commit)
        start, message = _Start("commit", commit.id[:_SHORT], commit.id), ""
    return Identity(asked, start.kind, start.name, commit.id, commit.date, message), commit.tree


def _start(repository: Repository, asked: str, request: Request) -> _Start | None:
    scheme, name = request.scheme, request.name
    if not scheme and name in ("HEAD", "@"):
        return _head(repository)
    if not scheme and name in FETCHED:
        return _named(repository, "commit", "", name)
    if not scheme and name.startswith(("refs/", "heads/", "tags/", "remotes/")):
        return _by_full_name(repository, f"refs/{name.removeprefix('refs/')}") or _by_name(repository, asked, "", name)
    # As in git: a full id is never taken for a name, so nobody can make a tag that stands in for a commit
    # somebody pinned; before an abbreviated id, names win.
    if is_commit_id(name) and (scheme == "commit" or (not scheme and len(name) == 40)):
        return _by_id(repository, name)
    found = _by_name(repository, asked, scheme, name)
    return _by_id(repository, name) if found is None and not scheme and is_commit_id(name) else found


def _by_name(repository: Repository, asked: str, scheme: str, name: str) -> _Start | None:
    """Look among tags, branches and the branches of other repositories; each name may be one of them only."""
    tag = _named(repository, "tag", name, f"refs/tags/{name}") if scheme in ("", "tag") else None
    branch = theirs = None
    if scheme in ("", "branch"):
        branch = _named(repository, "branch", name, f"refs/heads/{name}")
        # A clone for checking often has the base branch only as another repository's: origin/main; origin alone
        # is what that repository has checked out. Whoever names a branch 'origin/main' must not stand in for it.
        theirs = _named(repository, "branch", name, f"refs/remotes/{name}") or _named(
            repository, "branch", f"{name}/HEAD", f"refs/remotes/{name}/HEAD"
        )
    if tag and (branch or theirs):
        raise UsageFault(
            f"{shown(asked)} is a tag and a branch; write {shown(f'tag:{asked}')} or {shown(f'branch:{asked}')}"
        )
    if branch and theirs:
        own, other = f"refs/heads/{asked}", f"refs/remotes/{asked}"
        raise UsageFault(
            f"{shown(asked)} is a branch of this clone and one of another repository; write {shown(own)} or "
            f"{shown(other)}"
        )
    return tag or branch or theirs


def _by_full_name(repository: Repository, full_name: str) -> _Start | None:
    for kind, folder in (("tag", "refs/tags/"), ("branch", "refs/heads/"), ("branch", "refs/remotes/")):
        if full_name.startswith(folder):
            return _named(repository, kind, full_name.removeprefix(folder), full_name)
    return _named(repository, "commit", "", full_name)


def _named(repository: Repository, kind: str, name: str, full_name: str) -> _Start | None:
    id = repository.reference(full_name)
    return None if id is None else _Start(kind, name or id[:_SHORT], id)


def _head(repository: Repository) -> _Start:
    id = repository.reference("HEAD")
    if id is None:
        raise UsageFault("the repository has no commit yet, so that HEAD stands for none")
    return _Start("commit", id[:_SHORT], id)


def _by_id(repository: Repository, digits: str) -> _Start | None:
    id = repository.complete(digits.lower())
    return None if id is None else _Start("commit", id[:_SHORT], id)


def _commit(repository: Repository, asked: str, start: _Start) -> tuple[Commit, str]:
    kind, id, message = repository.peel(start.id)
    if kind != "commit":
        what = {"tree": "a folder", "blob": "a file"}.get(kind, kind)
        raise UsageFault(f"{shown(asked)} names {what}, not a commit, so that it is no revision of the design")
    return repository.commit(id), message


def _walk(repository: Repository, asked: str, request: Request, commit: Commit) -> Commit:
    from revdiff.sources.git_objects import MissingFault

    for step in request.steps:
        if step.parent > len(commit.parents):
            have = len(commit.parents)
            raise UsageFault(
                f"{shown(asked)} leads nowhere: commit {commit.id[:_SHORT]} has "
                + (f"{have} parent{'s'[: have > 1]}, no number {step.parent}" if have else "no parent")
            )
        try:
            commit = repository.commit(commit.parents[step.parent - 1])
        except MissingFault as error:
            if not repository.shallow:
                raise
            raise UsageFault(
                f"{shown(asked)} lies before commit {commit.id[:_SHORT]}, where this clone's history was cut "
                "off; get the rest with 'git fetch --unshallow'"
            ) from error
    return commit


def _not_found(repository: Repository, request: Request) -> NotFound:
    sought = {"": "tag, branch or commit", "commit": "commit"}.get(request.scheme, request.scheme)
    message = f"no {sought} {shown(request.name)} in the repository at {shown(str(repository.place))}"
    if request.scheme == "commit" and not is_commit_id(request.name):
        message += "; a commit is written with 7 to 40 hexadecimal digits"
    names = repository.tag_names()
    if request.name in names:
        message += f"; there is a tag {shown(request.name)}"
    elif request.scheme == "tag" and repository.reference(f"refs/heads/{request.name}"):
        message += f"; there is a branch {shown(request.name)}"
    elif near := _near(request.name, names):
        which = "near it" if request.scheme in ("", "tag") else "tags near it"
        message += f"; {which}: {', '.join(shown(name) for name in near)}"
    if not names:
        return NotFound(f"{message}; it has no tags: 'git fetch --tags' gets those the clone left out")
    return NotFound(f"{message}; 'git tag --list' shows the tags, 'git branch --all' the branches")


def _near(name: str, names: tuple[str, ...]) -> list[str]:
    """Pick up to three tags spelled like a name, whatever the case."""
    import difflib

    folded: dict[str, str] = {}
    for candidate in names[-_COMPARED:]:
        folded.setdefault(candidate[:100].casefold(), candidate)
    return [folded[match] for match in difflib.get_close_matches(name[:100].casefold(), folded)]
