"""From what the user wrote to one commit of a repository, as git would read it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from revdiff.errors import UsageFault
from revdiff.sources.base import Identity, NotFound
from revdiff.sources.names import Request, is_commit_id
from revdiff.sources.paths import shown

if TYPE_CHECKING:
    from revdiff.sources.git_objects import Commit, Repository

_SHORT = 10
_COMPARED = 2_000


@dataclass(frozen=True, slots=True)
class _Start:
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
    if not scheme and name == "HEAD":
        return _head(repository)
    # As in git: a full id is never taken for a name, so nobody can make a tag that stands in for a commit
    # somebody pinned; before an abbreviated id, names win.
    if is_commit_id(name) and (scheme == "commit" or (not scheme and len(name) == 40)):
        return _by_id(repository, name)
    tag = repository.reference(f"refs/tags/{name}") if scheme in ("", "tag") else None
    branch = repository.reference(f"refs/heads/{name}") if scheme in ("", "branch") else None
    if tag and branch:
        raise UsageFault(
            f"{shown(asked)} is a tag and a branch; write {shown(f'tag:{asked}')} or {shown(f'branch:{asked}')}"
        )
    if tag:
        return _Start("tag", name, tag)
    if branch is None and scheme in ("", "branch"):
        # A clone for checking often has the base branch only as another repository's: origin/main.
        branch = repository.reference(f"refs/remotes/{name}")
    if branch:
        return _Start("branch", name, branch)
    return _by_id(repository, name) if not scheme and is_commit_id(name) else None


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
