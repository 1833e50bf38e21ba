"""The one module that talks to git: references, commits, trees, files and the index, and nothing else.

A repository is a stranger's data, its settings too. What is used here was seen to start only git's own
object reader; status, comparing, archiving and history by line start programs that a repository names, so
none of them is used. No text from outside becomes a word of a command line.
"""

from __future__ import annotations

import os
import weakref
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import NoReturn, TypeVar

import git
from git.exc import BadObject, GitError
from git.index import IndexFile
from git.objects import Object, TagObject

from revdiff.errors import DataFault, RevdiffError, UsageFault
from revdiff.sources import content
from revdiff.sources.objects import Commit, Entry, commit_of, tree_of
from revdiff.sources.paths import shown

# Reach every process started for the repository: replaced objects are not what was published; nothing is
# fetched, asked for or locked. The system's settings stay, since they may hold the list of trusted owners.
_ENVIRONMENT = {
    "GIT_NO_REPLACE_OBJECTS": "1",
    "GIT_NO_LAZY_FETCH": "1",
    "GIT_ALLOW_PROTOCOL": "none",
    "GIT_TERMINAL_PROMPT": "0",
    "GIT_OPTIONAL_LOCKS": "0",
}
_TREES_KEPT = 4096
_TAG_DEPTH = 20
_SIGNATURES = ("-----BEGIN PGP ", "-----BEGIN SSH SIGNATURE", "-----BEGIN SIGNED MESSAGE")

_Sized = TypeVar("_Sized", bound=Object)


class MissingFault(DataFault):
    """An object that another one names isn't in this clone."""


class Repository:
    """A git repository open for reading; `path` is where it begins, as `revdiff.sources.place` found it.

    Ids are 40 hexadecimal digits. The methods raise DataFault for what can't be read, MissingFault where
    it isn't there, and UsageFault where git refuses the repository as a whole.
    """

    def __init__(self, path: Path) -> None:
        try:
            # Without expand_vars=False a folder called '$HOME' would be another folder.
            repo = git.Repo(path, search_parent_directories=False, expand_vars=False)
        except (GitError, OSError, ValueError) as error:
            raise UsageFault(f"the repository at {shown(str(path))} can't be opened; 'git status' tells why") from error
        _check_environment(repo)
        if Path(repo.common_dir, "reftable").is_dir():
            raise UsageFault(
                f"the repository at {shown(str(path))} keeps its references in a reftable, which can't be "
                "read here; a clone made with 'git clone --ref-format=files' can be"
            )
        if not _same_folder(repo.git.working_dir, repo.working_dir):
            # The library would start git where '$NAME' in the path leads.
            repo.close()
            raise UsageFault(f"{shown(str(path))} holds the name of an environment variable; rename the folder")
        repo.git.update_environment(**_ENVIRONMENT)
        self._repo = repo
        self._trees: dict[str, Mapping[str, Entry]] = {}
        weakref.finalize(self, repo.close)

    @property
    def place(self) -> Path:
        """The work tree's folder, or the repository's own folder where there is none."""
        return Path(self._repo.working_dir)

    @property
    def work_tree(self) -> Path | None:
        """The folder the repository is checked out in, or None for a bare one."""
        top = self._repo.working_tree_dir
        return None if top is None else Path(top)

    @property
    def shallow(self) -> bool:
        """Whether the clone was made without the older history."""
        return Path(self._repo.common_dir, "shallow").exists()

    def tag_names(self) -> tuple[str, ...]:
        """List the tags, sorted by name."""
        with self._reading("the list of tags"):
            names = [tag.name for tag in git.TagReference.iter_items(self._repo, "refs/tags/")]
        return tuple(sorted(name for name in names if not name.endswith(".lock")))

    def reference(self, full_name: str) -> str | None:
        """Give the id that a full reference name stands for, such as 'refs/tags/rev-b' or 'HEAD', if any."""
        with self._reading(f"the reference {shown(full_name)}"):
            try:
                return git.SymbolicReference.dereference_recursive(self._repo, full_name)
            except UnicodeDecodeError as error:
                raise DataFault(
                    "the repository holds a reference whose name isn't UTF-8, so that none can be looked up; "
                    "'git show-ref' lists them all, and 'git tag -d' or 'git branch -m' deals with it"
                ) from error
            except ValueError as error:
                if "Failed to parse" in str(error):
                    raise DataFault(
                        f"the reference {shown(full_name)} is damaged, or the repository uses SHA-256 ids: "
                        "only ids of 40 digits can be read"
                    ) from error
                return None

    def complete(self, digits: str) -> str | None:
        """Give the full id of the one object whose id starts with these 7 to 40 lower-case digits, if any."""
        with self._reading(f"commit {digits}"):
            try:
                found: str = self._repo.odb.partial_to_complete_sha_hex(digits).hex()
            except BadObject as error:
                reason = str(error.__cause__)
                if "ambiguous" in reason:
                    raise UsageFault(f"more than one id starts with {digits}; write more of it") from error
                if "missing" in reason:
                    return None
                raise
        if not found.startswith(digits):
            raise UsageFault(f"a reference called {digits} hides the commit; write the commit's full id")
        return found

    def peel(self, id: str) -> tuple[str, str, str]:
        """Follow annotated tags to what they name: its type, its id, and the outermost tag's message."""
        message: str | None = None
        with self._reading(f"object {id}") as repo:
            found: Object = Object.new_from_sha(repo, bytes.fromhex(id))
            for _ in range(_TAG_DEPTH):
                if not isinstance(found, TagObject):
                    return str(found.type), found.hexsha, message or ""
                self._sized(found)
                if message is None:
                    message = _unsigned(found.message)
                found = Object.new_from_sha(repo, found.object.binsha)
        raise DataFault(f"object {id} is a chain of more than {_TAG_DEPTH} tags")

    def commit(self, id: str) -> Commit:
        """Read one commit."""
        with self._reading(f"commit {id}"):
            return commit_of(id, self._stored(id, "commit"))

    def tree(self, id: str) -> Mapping[str, Entry]:
        """Read one folder of a commit: names to what they hold, files and folders alike."""
        known = self._trees.get(id)
        if known is not None:
            return known
        with self._reading(f"folder {id}"):
            entries = tree_of(self._stored(id, "tree"))
        if len(self._trees) >= _TREES_KEPT:
            self._trees.clear()
        self._trees[id] = entries
        return entries

    def size(self, id: str) -> int:
        """Give a file's size in bytes without reading it."""
        with self._reading(f"file {id}") as repo:
            return git.Blob(repo, bytes.fromhex(id)).size

    def data(self, id: str) -> bytes:
        """Read a file that is no larger than `content.FILE_LIMIT`."""
        with self._reading(f"file {id}"):
            # Read to its end and let go: a stream left half-read would give its rest to the next object.
            data: bytes = self._sized(git.Blob(self._repo, bytes.fromhex(id))).data_stream.read()
            if content.blob_id(data) != id:
                raise ValueError("the bytes don't match their id")
            return data

    def staged(self) -> Mapping[str, Entry | None]:
        """Read the index: paths to what is staged there, None where a merge left a conflict."""
        with self._reading("the index"):
            index = IndexFile(self._repo, _index_file(Path(self._repo.git_dir)))
            return {
                _as_utf8(path): None if stage else Entry(entry.mode, entry.hexsha)
                for (path, stage), entry in index.entries.items()
                # `git add --intent-to-add` announces a file; its content isn't staged yet.
                if not entry.intent_to_add
            }

    def _sized(self, found: _Sized) -> _Sized:
        """Pass an object on if it is of the type it is taken for and no larger than the limit."""
        content.check_size(f"object {found.hexsha}", found.size, "the repository")
        return found

    def _stored(self, id: str, kind: str) -> bytes:
        """Give the bytes of an object of a kind, read to their end and no larger than the limit."""
        found = self._sized(Object.new_from_sha(self._repo, bytes.fromhex(id)))
        if found.type != kind:
            raise ValueError(f"a {found.type} stands in the place of a {kind}")
        data: bytes = found.data_stream.read()
        return data

    @contextmanager
    def _reading(self, what: str) -> Iterator[git.Repo]:
        """Turn whatever reading damaged or hostile objects raises into one fault; start afresh after it."""
        try:
            yield self._repo
        except RevdiffError:
            raise
        except Exception as error:
            self._repo.close()
            self._explain(what, error)

    def _explain(self, what: str, error: Exception) -> NoReturn:
        if str(error).endswith("missing'"):
            raise MissingFault(
                f"{what} isn't in this clone, which is partial, shallow or damaged; "
                "fetch it, or use a full clone: nothing is fetched here"
            ) from error
        refusal = self._refusal()
        if refusal:
            raise UsageFault(
                f"git refuses the repository at {shown(str(self.place))}: {shown(refusal)}. That guard isn't "
                "overridden here; use a clone of your own, or settle it with git itself"
            ) from error
        raise DataFault(f"{what} can't be read from the repository: {shown(str(error))}") from error

    def _refusal(self) -> str:
        """Ask git whether it works with the repository at all; give the reason if it doesn't."""
        try:
            status, _, complaint = self._repo.git.rev_parse(
                "--git-dir", with_extended_output=True, with_exceptions=False
            )
        except (GitError, OSError):
            return "git can't be started"
        return complaint.partition("\n")[0] if status else ""


def _same_folder(one: str | os.PathLike[str] | None, other: str | os.PathLike[str]) -> bool:
    try:
        return one is not None and Path(one).samefile(other)
    except OSError:
        return False


def _check_environment(repo: git.Repo) -> None:
    """Raise UsageFault where the environment would have another repository read than the one that was found."""
    git_dir = Path(repo.git_dir)
    common = git_dir / "commondir"
    shared = git_dir / common.read_text("utf-8", "surrogateescape").strip() if common.is_file() else git_dir
    for name, place in {
        "GIT_DIR": git_dir,
        "GIT_COMMON_DIR": shared,
        "GIT_WORK_TREE": repo.working_tree_dir or git_dir,
        "GIT_OBJECT_DIRECTORY": shared / "objects",
    }.items():
        named = os.environ.get(name)
        # What a push brings lies in a folder of its own below the objects until it is let in.
        if named and not (_same_folder(named, place) or (name == "GIT_OBJECT_DIRECTORY" and _within(named, place))):
            repo.close()
            raise UsageFault(
                f"the environment variable {name} leads away from the repository at {shown(str(git_dir))}; unset it"
            )


def _within(one: str, other: str | os.PathLike[str]) -> bool:
    return Path(one).resolve().is_relative_to(Path(other).resolve())


def _unsigned(message: str) -> str:
    """Cut a tag's signature, which git keeps at the end of the message."""
    lines = message.splitlines()
    starts = [number for number, line in enumerate(lines) if line.startswith(_SIGNATURES)]
    return "\n".join(lines[: starts[-1]] if starts else lines).strip()


def _index_file(git_dir: Path) -> Path | None:
    """Find the index that a running commit prepares, which git names to its hooks, else None."""
    named = os.environ.get("GIT_INDEX_FILE")
    if not named:
        return None
    path = Path(named).resolve()
    return path if path.is_relative_to(git_dir.resolve()) else None


def _as_utf8(path: str | os.PathLike[str]) -> str:
    """Read a name that the library decoded by the locale as UTF-8."""
    return os.fsencode(path).decode("utf-8", "surrogateescape")
