"""Git's stored commits and folders taken apart, byte by byte: no codec that a stranger names, no locale.

Source of the forms: Git documentation, "Git Internals - Git Objects"; for a commit's 'encoding' header,
"git-commit", Discussion.
"""

from __future__ import annotations

import stat
from datetime import UTC, datetime, timedelta, timezone

from msgspec import Struct

from revdiff.quantities.pattern import pattern

MESSAGE_LIMIT = 65_536
"""Characters kept of one commit's message: nobody explains a change at greater length."""

SUBMODULE = 0o160000
"""The mode of an entry that stands for a commit of another repository."""

_WHEN = pattern(rb"> (-?\d{1,20}) ([+-])(\d{2})(\d{2})$")
_LATIN_1 = (b"iso-8859-1", b"iso8859-1", b"latin-1", b"latin1")
_ID = pattern(rb"[0-9a-f]{40}")
_MODE = pattern(rb"[0-7]{5,6}")
_ID_LENGTH = 20


class Entry(Struct, frozen=True):
    """What a tree or the index holds under a name: the mode in git's sense and the object's id."""

    mode: int
    id: str


def digest(mode: int, id: str) -> str:
    """Say what lies at a path: the content's id, and of what sort it is unless a file."""
    return {stat.S_IFLNK: "link ", SUBMODULE: "submodule "}.get(stat.S_IFMT(mode), "") + id


class Commit(Struct, frozen=True):
    """A commit: ids of itself, its tree and its parents, and what its committer wrote.

    `date` is the committer's in ISO 8601 or ''; `message` is a stranger's text of at most MESSAGE_LIMIT characters.
    """

    id: str
    tree: str
    parents: tuple[str, ...]
    date: str
    message: str

    @property
    def when(self) -> datetime:
        """The date, for putting commits in order: what has none comes first."""
        return datetime.fromisoformat(self.date) if self.date else datetime.min.replace(tzinfo=UTC)


def commit_of(id: str, data: bytes) -> Commit:
    """Take a commit apart. Raises ValueError where it is none."""
    head, _, text = data.partition(b"\n\n")
    fields: dict[bytes, list[bytes]] = {}
    for line in head.split(b"\n"):
        name, _, rest = line.partition(b" ")
        if name:  # what starts with a blank goes on with the field before, such as a signature
            fields.setdefault(name, []).append(rest)
    trees, parents = fields.get(b"tree", []), fields.get(b"parent", [])
    if len(trees) != 1 or not all(_ID.fullmatch(found) for found in (*trees, *parents)):
        raise ValueError("not a commit: an id is missing or damaged")
    latin = fields.get(b"encoding", [b""])[0].strip().lower() in _LATIN_1
    # At most four bytes make a character, so that no more than that has to be looked at.
    message = text[: 4 * MESSAGE_LIMIT].decode("latin-1" if latin else "utf-8", "replace")[:MESSAGE_LIMIT].strip()
    return Commit(
        id,
        trees[0].decode("ascii"),
        tuple(parent.decode("ascii") for parent in parents),
        _date(fields.get(b"committer", [b""])[0]),
        message,
    )


def _date(person: bytes) -> str:
    found = _WHEN.search(person[-40:])
    if found is None:
        return ""
    seconds, sign, hours, minutes = found.groups()
    offset = timedelta(hours=int(hours), minutes=int(minutes))
    try:
        zone = timezone(-offset if sign == b"-" else offset)
        return datetime.fromtimestamp(int(seconds), zone).isoformat()
    except (ValueError, OverflowError, OSError):
        return ""  # A date beyond year 9999 can be committed; it tells nothing.


def tree_of(data: bytes) -> dict[str, Entry]:
    """Take a folder apart: names, decoded as UTF-8 whatever the locale, to what they hold. Raises ValueError."""
    entries: dict[str, Entry] = {}
    at = 0
    while at < len(data):
        blank = data.find(b" ", at)
        end = data.find(b"\0", blank + 1)
        mode, name, id = data[at:blank], data[blank + 1 : end], data[end + 1 : end + 1 + _ID_LENGTH]
        if blank < 0 or end < 0 or not _MODE.fullmatch(mode) or len(id) < _ID_LENGTH:
            raise ValueError("not a folder: an entry is damaged")
        if name.lower() in (b"", b".", b"..", b".git") or b"/" in name:
            raise ValueError("a folder holds a file without a name of its own")
        text = name.decode("utf-8", "surrogateescape")
        if text in entries:
            raise ValueError("two files of one name in one folder")
        entries[text] = Entry(int(mode, 8), id.hex())
        at = end + 1 + _ID_LENGTH
    return entries
