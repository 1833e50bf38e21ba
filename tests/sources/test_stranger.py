"""What somebody may commit who wants another state of the design to be read than the one that was asked for."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from revdiff.errors import DataFault, UsageFault
from revdiff.sources import changed_paths, open_revision, open_submission
from revdiff.sources.open import loose_file, means_folder
from tests.conftest import Run
from tests.sources.workshop import Workshop
from tests.support import SMALL

pytestmark = pytest.mark.slow

_BROKEN = SMALL["base/contacts.csv"].replace("supply,5 V", "supply,12 V")


@pytest.fixture
def trunk(workshop: Workshop) -> str:
    """A published design on trunk, and a change of it on fix, checked out, that breaks."""
    files = {path: text.encode() for path, text in SMALL.items()}
    workshop.git("checkout", "--quiet", "-b", "trunk")
    id = workshop.commit(files, "published")
    workshop.git("update-ref", "refs/remotes/origin/trunk", id)
    workshop.git("checkout", "--quiet", "-b", "fix")
    workshop.commit({"base/contacts.csv": _BROKEN.encode()}, "harmless")
    return id


def _names(id: str) -> list[str]:
    return ["trunk", "origin/trunk", "HEAD~1", "@~1", "refs/heads/trunk", id, id[:10], "branch:trunk"]


def _planted(workshop: Workshop, name: str, *, folder: bool) -> None:
    """Put a table, or a whole design, where a name of a revision would be found on disk."""
    for each in (name, "worktree", "HEAD", "fix"):
        if folder:
            for path, text in SMALL.items():
                workshop.write(f"{each}/{path}", text.encode())
        else:
            workshop.write(each, SMALL["base/parts.csv"].encode())


_ASKED = [
    *(("check", which, "fix") for which in range(8)),
    *(("compare", which, "fix") for which in range(8)),
    *((command, 0, change) for command in ("check", "compare") for change in ("worktree", "HEAD")),
    ("pins", 0, "worktree"),
    ("notes", 0, "worktree"),
]


@pytest.mark.parametrize("folder", [False, True], ids=["file", "folder"])
@pytest.mark.parametrize(("command", "which", "change"), _ASKED)
def test_a_file_or_folder_named_like_a_revision_is_not_read_in_its_place(
    run: Run, workshop: Workshop, trunk: str, command: str, which: int, change: str, folder: bool
) -> None:
    name = _names(trunk)[which]
    before = run(command, name, change, cwd=workshop.root)
    assert before.returncode in (0, 1)
    assert "12 V" in before.stdout or command == "pins"
    _planted(workshop, name, folder=folder)
    after = run(command, name, change, cwd=workshop.root)
    assert (after.returncode, after.stdout) == (before.returncode, before.stdout) or (
        # Files that came in are a part of the change, and may be told as such.
        command == "check" and change == "worktree" and "12 V" in after.stdout and after.returncode == before.returncode
    )


@pytest.mark.parametrize(
    "name",
    ["worktree", "index", "HEAD", "@", "HEAD~1", "FETCH_HEAD", "0" * 40, "origin/x", "refs/heads/x", "a...b", "@{1}"],
)
def test_a_reserved_name_never_means_what_lies_on_disk(
    workshop: Workshop, trunk: str, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    assert trunk
    monkeypatch.chdir(workshop.root.parent)  # where there is no repository at all
    place = Path(name)
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_bytes(b"Designator,Value\nR1,1k\n")
    assert loose_file(name, Path()) is None
    assert loose_file(f"./{name}", Path()) == Path(name)
    assert loose_file(f"file:{name}", Path()) == Path(name)
    place.unlink()
    place.mkdir()
    assert not means_folder(name, Path())
    with pytest.raises(UsageFault):
        open_revision(name, repository=Path())
    assert open_revision(f"folder:{name}", repository=Path()).identity.kind == "folder"


def test_a_loose_file_counts_where_no_revision_has_its_name(
    workshop: Workshop, trunk: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert trunk
    monkeypatch.chdir(workshop.root)
    for name in ("new.csv", "trunk"):
        workshop.write(name, b"Designator,Value\nR1,1k\n")
    assert loose_file("new.csv", Path()) == Path("new.csv")
    assert loose_file("trunk", Path()) is None
    assert loose_file("file:trunk", Path()) == Path("trunk")
    workshop.git("branch", "new.csv")
    assert loose_file("new.csv", Path()) is None


def test_a_change_is_never_a_folder_unless_it_is_said(
    workshop: Workshop, trunk: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert trunk
    monkeypatch.chdir(workshop.root)
    for base, change in (("base", "top"), ("trunk", "top"), ("trunk", "./top"), ("base", "worktree")):
        with pytest.raises(UsageFault):
            open_submission(base, change, repository=Path())
    assert open_submission("trunk", "folder:top", repository=Path()).change.identity.kind == "folder"


def _bare_in(workshop: Workshop, folder: str) -> None:
    """Commit files that make a folder look like a bare repository in which trunk is the change itself."""
    id = workshop.git("rev-parse", "fix")
    workshop.commit(
        {
            f"{folder}/HEAD": b"ref: refs/heads/trunk\n",
            f"{folder}/refs/heads/trunk": f"{id}\n".encode(),
            f"{folder}/refs/tags/rev-a": f"{id}\n".encode(),
            f"{folder}/objects/pack/.keep": b"",
            f"{folder}/objects/info/alternates": b"../../.git/objects\n",
        }
    )


@pytest.fixture
def nested(workshop: Workshop) -> str:
    """A design in hw, published on trunk, and on fix broken, with a repository of the contributor's in hw."""
    workshop.git("checkout", "--quiet", "-b", "trunk")
    id = workshop.commit({f"hw/{path}": text.encode() for path, text in SMALL.items()}, "published")
    workshop.tag("rev-a")
    workshop.git("checkout", "--quiet", "-b", "fix")
    workshop.commit({"hw/base/contacts.csv": _BROKEN.encode()}, "harmless")
    return id


@pytest.mark.parametrize("base", ["trunk", "rev-a"])
def test_a_repository_committed_into_the_designs_folder_decides_nothing(
    run: Run, workshop: Workshop, nested: str, base: str
) -> None:
    _bare_in(workshop, "hw")
    # Git itself is taken in: it would have the contributor say what trunk is.
    taken_in = workshop.git("-C", "hw", "-c", "safe.bareRepository=all", "rev-parse", base)
    assert taken_in != nested
    for command in ("check", "compare"):
        done = run(command, base, "fix", cwd=workshop.root / "hw")
        assert "12 V" in done.stdout, done.stderr


def test_it_decides_nothing_where_the_user_names_the_folder_either(run: Run, workshop: Workshop, nested: str) -> None:
    assert nested
    _bare_in(workshop, "hw")
    done = run("check", "trunk", "fix", "--repo", "hw", cwd=workshop.root)
    assert done.returncode == 2
    assert "lies in the work tree of the one at" in done.stderr


def test_a_bare_repository_must_be_named(workshop: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    id = workshop.commit({"parts.csv": b"a"})
    around = Workshop(tmp_path / "other")
    around.git("clone", "--quiet", "--bare", workshop.root.as_uri(), str(tmp_path / "bare"))
    monkeypatch.chdir(tmp_path / "bare")
    with pytest.raises(UsageFault, match=r"may be a bare repository.*name it by its full path with --repo"):
        open_revision("main", repository=Path())
    assert open_revision("main", repository=tmp_path / "bare").identity.commit == id
    monkeypatch.chdir(tmp_path / "bare" / "refs")
    with pytest.raises(UsageFault, match="there is no git repository at"):
        open_revision("main", repository=Path())


def _submodule(workshop: Workshop, tmp_path: Path) -> None:
    """Put a submodule with a trunk of its own in the place of hw."""
    other = Workshop(tmp_path / "other")
    other.git("checkout", "--quiet", "-b", "trunk")
    other.commit({path: text.encode() for path, text in SMALL.items()})
    workshop.git("rm", "-r", "--quiet", "hw")
    workshop.git("-c", "protocol.file.allow=always", "submodule", "--quiet", "add", str(other.root), "hw")
    workshop.git("commit", "--quiet", "-m", "submodule")


@pytest.mark.usefixtures("nested")
def test_a_submodule_in_the_place_of_the_design_does_not_say_what_the_base_is(
    workshop: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _submodule(workshop, tmp_path)
    monkeypatch.chdir(workshop.root / "hw")
    with pytest.raises(UsageFault, match="is a submodule of the repository at"):
        open_submission("trunk", "worktree", repository=Path())
    assert open_submission("trunk", "worktree", repository=workshop.root / "hw").unchanged is False


@pytest.mark.usefixtures("nested")
def test_a_submodule_is_no_part_of_the_work_tree_as_it_is_none_of_a_commit(workshop: Workshop, tmp_path: Path) -> None:
    _submodule(workshop, tmp_path)
    for asked in ("worktree", "index", "HEAD"):
        revision = open_revision(asked, repository=workshop.root)
        assert revision.elsewhere() == ("hw",)
        assert not [path for path in revision.paths() if path.startswith("hw/")]
        with pytest.raises(DataFault, match=r"'hw' in .* is a submodule"):
            revision.find("hw/revdiff.toml")
    base, change = (open_revision(asked, repository=workshop.root) for asked in ("trunk", "worktree"))
    assert ("hw", "added") in {(item.path, item.how) for item in changed_paths(base, change)}


def test_a_linked_work_tree_is_read_as_one(workshop: Workshop, nested: str, monkeypatch: pytest.MonkeyPatch) -> None:
    workshop.git("worktree", "add", "--quiet", "inside", "fix~1")
    monkeypatch.chdir(workshop.root / "inside")
    found = open_submission("trunk", "worktree", repository=Path(), design="hw")
    assert (found.base.identity.commit, found.changed_paths()) == (nested, ())


@pytest.mark.parametrize("name", ["GIT_DIR", "GIT_COMMON_DIR", "GIT_WORK_TREE", "GIT_OBJECT_DIRECTORY"])
def test_the_environment_does_not_choose_the_repository(run: Run, workshop: Workshop, trunk: str, name: str) -> None:
    assert trunk
    other = Workshop(workshop.root.parent / "other")
    other.commit({"x": b""})
    right = {"GIT_WORK_TREE": workshop.root, "GIT_OBJECT_DIRECTORY": workshop.root / ".git" / "objects"}
    wrong = {"GIT_WORK_TREE": other.root, "GIT_OBJECT_DIRECTORY": other.root / ".git" / "objects"}
    done = run("compare", "trunk", "fix", cwd=workshop.root, **{name: str(wrong.get(name, other.root / ".git"))})
    assert done.returncode == 2
    assert name in done.stderr
    done = run("compare", "trunk", "fix", cwd=workshop.root, **{name: str(right.get(name, workshop.root / ".git"))})
    assert "12 V" in done.stdout


def test_what_a_push_brings_is_read_before_it_is_let_in(workshop: Workshop, monkeypatch: pytest.MonkeyPatch) -> None:
    workshop.commit({"x": b""})
    waiting = workshop.root / ".git" / "objects" / "incoming"
    waiting.mkdir()
    monkeypatch.setenv("GIT_OBJECT_DIRECTORY", str(waiting))
    monkeypatch.setenv("GIT_ALTERNATE_OBJECT_DIRECTORIES", str(waiting.parent))
    assert open_revision("main", repository=workshop.root).paths() == ("x",)


_TELL = """
import sys
from pathlib import Path
from revdiff.sources import open_revision
for asked in sys.argv[2:]:
    revision = open_revision(asked, repository=Path(sys.argv[1]))
    data = revision.read(revision.find("b\\u00e4se/\\u00fcn\\u00ef.csv"))
    print(asked, ascii(revision.paths()), ascii(revision.elsewhere()), data, sorted(revision.digests()) != [])
"""


@pytest.mark.parametrize(
    ("utf8", "asked"),
    # The library for the index reads none with such a name by an ASCII locale, and says so.
    [("0", ("HEAD", "worktree")), ("1", ("HEAD", "index", "worktree"))],
)
def test_names_are_utf8_whatever_the_locale(workshop: Workshop, utf8: str, asked: tuple[str, ...]) -> None:
    workshop.commit({"bäse/ünï.csv": b"data"})
    done = subprocess.run(
        [sys.executable, "-c", _TELL, str(workshop.root), *asked],
        env={**os.environ, "LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": utf8},
        capture_output=True,
        text=True,
        check=False,
    )
    listed = ascii(("bäse/ünï.csv",))
    assert done.stdout.splitlines() == [f"{at} {listed} () b'data' True" for at in asked]


@pytest.mark.parametrize("asked", ["HEAD", "index", "worktree"])
def test_a_link_or_submodule_under_a_pattern_is_told(run: Run, workshop: Workshop, asked: str) -> None:
    manifest = SMALL["revdiff.toml"].replace('contacts = "base/contacts.csv"', 'contacts = "base/J*.csv"')
    files = {**SMALL, "revdiff.toml": manifest, "base/J1.csv": SMALL["base/contacts.csv"]}
    workshop.commit({path: text.encode() for path, text in files.items()})
    (workshop.root / "base" / "J9.csv").symlink_to("J1.csv")
    workshop.commit({})
    done = run("compare", "HEAD~1", asked, cwd=workshop.root)
    assert done.returncode == 3
    assert "'base/J9.csv'" in done.stderr
    assert "is a symbolic link" in done.stderr
    (workshop.root / "base" / "J9.csv").unlink()
    (workshop.root / "base").rename(workshop.root / "there")
    (workshop.root / "base").symlink_to("there")
    workshop.commit({})
    done = run("compare", "HEAD~2", asked, cwd=workshop.root)
    assert done.returncode == 3
    assert "'base'" in done.stderr
    assert "no files have" not in done.stderr


def test_a_folder_of_the_design_that_leads_out_of_the_repository_is_a_mistake_of_the_request(
    workshop: Workshop,
) -> None:
    workshop.commit({"a": b"x"})
    for design in ("../elsewhere", "/etc"):
        with pytest.raises(UsageFault, match="isn't a path inside the design"):
            open_revision("main", repository=workshop.root, design=design)
