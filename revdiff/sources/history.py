"""The graph of commits: where two lines of work parted, and what came since.

Dates only decide what is looked at first: whoever commits writes them, so that no answer rests on one.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from msgspec import Struct

from revdiff.errors import UsageFault
from revdiff.sources.paths import shown

if TYPE_CHECKING:
    from revdiff.sources.git_objects import Repository
    from revdiff.sources.objects import Commit

COMMITS_LIMIT = 100_000
"""Commits looked at for one answer; the histories of whole operating systems part within fewer."""

_BASE, _CHANGE = 1, 2
_SHARED = _BASE | _CHANGE
_OLD = 4 | _SHARED


class Parting(Struct, frozen=True):
    """Where a change left its base: the best common ancestors, and the commits only the change has, newest first.

    There is one ancestor where the histories are simple, none where they have nothing in common, several where
    they were merged crosswise.
    """

    ancestors: tuple[Commit, ...]
    commits: tuple[Commit, ...]


def parting(repository: Repository, base: str, change: str) -> Parting:
    """Find where the commit `change` parted from the commit `base`; both are full ids.

    Raises UsageFault where the clone's history was cut off before that can be known, or is too long.
    """
    walk = _Walk(repository)
    marks: dict[str, int] = {}
    open_ends: set[str] = set()

    def mark(id: str, marks_of_child: int) -> None:
        before = marks.get(id, 0)
        if before | marks_of_child == before:
            return
        marks[id] = before | marks_of_child
        if marks[id] == _OLD:
            open_ends.discard(id)  # below a common ancestor nothing better can be found
        else:
            open_ends.add(id)
        walk.push(id, needed=marks[id] != _OLD)

    mark(base, _BASE)
    mark(change, _CHANGE)
    shared: dict[str, Commit] = {}
    while open_ends:
        commit = walk.pop()
        open_ends.discard(commit.id)
        handed_on = marks[commit.id]
        if handed_on == _SHARED:
            shared[commit.id] = commit
            handed_on = _OLD
        for parent in commit.parents:
            mark(parent, handed_on)
    best = [commit for id, commit in shared.items() if marks[id] == _SHARED]
    own = [commit for id, commit in walk.seen.items() if marks[id] == _CHANGE]
    return Parting(_independent(repository, best), tuple(sorted(own, key=lambda commit: commit.when, reverse=True)))


def nearest(repository: Repository, start: str, wanted: Mapping[str, object]) -> tuple[Commit, ...]:
    """Find the commits of `wanted` (by id) that are reached from `start` before any other of them."""
    walk = _Walk(repository)
    walk.push(start, needed=True)
    found = []
    for commit in walk:
        if commit.id in wanted:
            found.append(commit)
            continue
        for parent in commit.parents:
            walk.push(parent, needed=True)
    return tuple(found)


def _independent(repository: Repository, commits: list[Commit]) -> tuple[Commit, ...]:
    """Leave out what is an ancestor of another one; wrong dates make such."""
    kept = list(commits)
    for commit in commits if len(commits) > 1 else ():
        others = {other.id: other for other in kept if other is not commit}
        if not others:
            break
        walk = _Walk(repository)
        for parent in commit.parents:
            walk.push(parent, needed=False)
        for ancestor in walk:
            if ancestor.id in others:
                kept.remove(others.pop(ancestor.id))
            for parent in ancestor.parents:
                walk.push(parent, needed=False)
    return tuple(kept)


class _Walk:
    """Commits to look at, the latest by date first; each is read once."""

    def __init__(self, repository: Repository) -> None:
        self._repository = repository
        self._queue: list[tuple[float, str]] = []
        self._queued: set[str] = set()
        self._met: dict[str, Commit] = {}
        self.seen: dict[str, Commit] = {}

    def push(self, id: str, *, needed: bool) -> None:
        """Put a commit on the list, again if its marks changed. What is not needed may be missing."""
        from revdiff.sources.git_objects import MissingFault

        if id in self._queued:
            return
        commit = self._met.get(id)
        if commit is None:
            if len(self._met) >= COMMITS_LIMIT:
                raise UsageFault(f"the change and its base lie more than {COMMITS_LIMIT:,} commits apart")
            try:
                commit = self._repository.commit(id)
            except MissingFault as error:
                if not needed:
                    return
                if not self._repository.shallow:
                    raise
                raise UsageFault(
                    f"this clone's history was cut off at commit {shown(id[:10])}, before it is known what "
                    "the change started from; get the rest with 'git fetch --unshallow', or let the clone "
                    "for the check have the whole history"
                ) from error
            self._met[id] = commit
        self._queued.add(id)
        heapq.heappush(self._queue, (-commit.when.timestamp() if commit.date else 0.0, id))

    def pop(self) -> Commit:
        _, id = heapq.heappop(self._queue)
        self._queued.discard(id)
        return self.seen.setdefault(id, self._met[id])

    def __iter__(self) -> Iterator[Commit]:
        """Give each commit once."""
        while self._queue:
            again = self._queue[0][1] in self.seen
            commit = self.pop()
            if not again:
                yield commit
