"""How a revision of a repository is written: a name, then steps back through its parents."""

from __future__ import annotations

import re

from msgspec import Struct

from revdiff.errors import UsageFault
from revdiff.quantities.pattern import pattern
from revdiff.sources.base import NotFound
from revdiff.sources.paths import shown

SCHEMES = ("tag", "branch", "commit")
FETCHED = ("FETCH_HEAD", "MERGE_HEAD", "ORIG_HEAD")
"""What git itself last fetched, is merging, or left; git documentation, "gitrevisions"."""

_REMOTES = ("origin", "upstream")
_FORM = pattern(r"(?P<name>[^~^]+)(?P<steps>(?:[~^][0-9]{0,5})*)")
_STEP = pattern(r"([~^])([0-9]*)")
_HEX = pattern(r"[0-9a-fA-F]{7,40}")
_STEPS_LIMIT = 10_000

# Forms that git would take, and that don't stand for the same revision for every reader, or for one at all.
_REFUSED = (
    ("..", "names a range; name one revision at a time (check takes BASE...CHANGE)"),
    ("@{", "looks into the log of this machine's own clone, which nobody else has; name a tag or a commit"),
    ("^{", "searches by type or message; name a tag, a branch or a commit"),
    (":/", "searches commit messages; name a tag, a branch or a commit"),
    (":", "names a file within a revision; name the revision alone"),
)


class Step(Struct, frozen=True):
    """One move to a parent, numbered from 1."""

    parent: int


class Request(Struct, frozen=True):
    """A name to look up, as `scheme` ('tag', 'branch', 'commit', or '' for any), and steps from there."""

    scheme: str
    name: str
    steps: tuple[Step, ...]


def parse_request(asked: str) -> Request:
    """Take apart 'tag:NAME', 'branch:NAME', 'commit:HEX' or a bare name, each with '~N', '^N' after it.

    The name is kept as written: it is looked up, never interpreted.
    Raises NotFound for a form that names no revision, UsageFault for one that goes back too far.
    """
    scheme, separator, rest = asked.partition(":")
    if not separator or scheme not in SCHEMES:
        scheme, rest = "", asked
    for mark, reason in _REFUSED:
        if mark in rest:
            raise NotFound(f"{shown(asked)} {reason}")
    form = _FORM.fullmatch(rest)
    if form is None:
        raise NotFound(
            f"{shown(asked)} isn't a revision: a name is expected, then nothing but ~N (N commits back, up "
            f"to {_STEPS_LIMIT:,}) or ^N (parent number N)"
        )
    return Request(scheme, form["name"], _steps(asked, form["steps"]))


def reserved(asked: str) -> bool:
    """Tell whether a text is written as only a revision is, so that no file or folder of that name is ever meant.

    'worktree', 'index', 'HEAD', '@', what git fetched, a full commit id, a full name or a branch of another
    repository; the same with steps, a range or another of git's forms behind.
    """
    if asked.partition(":")[0] in SCHEMES or any(mark in asked for mark in ("...", "@{", "^{", ":/")):
        return True
    name = re.split(r"[~^]", asked, maxsplit=1)[0]
    return (
        name in ("worktree", "index", "HEAD", "@", *FETCHED)
        or (len(name) == 40 and is_commit_id(name))
        or name in _REMOTES
        or name.startswith(("refs/", "heads/", "tags/", "remotes/", *(f"{remote}/" for remote in _REMOTES)))
    )


def parse_range(asked: str) -> tuple[str, str] | None:
    """Take apart 'BASE...CHANGE', an empty side being HEAD as in git; None for what is no range.

    Raises NotFound for a range of another form.
    """
    base, mark, change = asked.partition("...")
    if not mark:
        return None
    if ".." in base or change.startswith(".") or ".." in change or not (base or change):
        raise NotFound(f"{shown(asked)} isn't a range: write BASE...CHANGE")
    return base or "HEAD", change or "HEAD"


def _steps(asked: str, text: str) -> tuple[Step, ...]:
    steps: list[Step] = []
    for sign, digits in _STEP.findall(text):
        number = int(digits) if digits else 1
        if sign == "~":
            steps += [Step(1)] * number
        elif number:
            steps.append(Step(number))
        if len(steps) > _STEPS_LIMIT:
            raise UsageFault(f"{shown(asked)} goes back more than {_STEPS_LIMIT:,} commits; name the commit")
    return tuple(steps)


def is_commit_id(name: str) -> bool:
    """Tell whether a name could be a full or abbreviated commit id."""
    return _HEX.fullmatch(name) is not None
