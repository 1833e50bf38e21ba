"""Files of commits and of the index, read from real repositories."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import git
import pytest

from revdiff.errors import DataFault, UsageFault
from revdiff.sources import Blob, Identity, Revision, content, open_revision
from revdiff.sources import open as open_module
from tests.sources.workshop import Workshop

_FILES = {
    "revdiff.toml": b"[design]\n",
    "base/parts.csv": b"R1,4k7\r\n",
    "base/deep/er/pins.csv": b"1,PA0\n",
    "base/leer.csv": b"",
    "valves/ünï.csv": b"\xff\xfe\0x",
}


@pytest.fixture
def design(workshop: Workshop) -> Workshop:
    workshop.commit(_FILES)
    workshop.tag("rev-a")
    return workshop


def opened(workshop: Workshop, asked: str = "rev-a", design: str = "") -> Revision:
    return open_revision(asked, repository=workshop.root, design=design)


def found(revision: Revision, path: str) -> Blob:
    blob = revision.find(path)
    assert blob is not None
    return blob


_KINDS = pytest.mark.parametrize("asked", ["rev-a", "index", "worktree"])


@_KINDS
def test_every_file_is_found_and_read_byte_for_byte(design: Workshop, asked: str) -> None:
    revision = opened(design, asked)
    assert revision.paths() == tuple(sorted(_FILES))
    for path, data in _FILES.items():
        blob = found(revision, path)
        assert blob == Blob(path, design.git("hash-object", "--stdin", stdin=data), len(data))
        assert revision.read(blob) == data


def test_the_same_bytes_have_the_same_digest_wherever_they_lie(design: Workshop) -> None:
    committed, staged, on_disk, folder = (
        opened(design, asked) for asked in ("rev-a", "index", "worktree", f"folder:{design.root}")
    )
    for path in _FILES:
        assert found(committed, path) == found(staged, path) == found(on_disk, path) == found(folder, path)


@_KINDS
@pytest.mark.parametrize("path", ["nothing.csv", "base/nothing.csv", "no/such", "revdiff.toml/x", "base/parts"])
def test_what_is_not_there_is_none(design: Workshop, asked: str, path: str) -> None:
    assert opened(design, asked).find(path) is None


@_KINDS
@pytest.mark.parametrize("path", ["base", "base/deep/"])
def test_a_folder_is_not_a_file(design: Workshop, asked: str, path: str) -> None:
    with pytest.raises(DataFault, match="is a folder; a file is expected"):
        opened(design, asked).find(path)


@_KINDS
@pytest.mark.parametrize("path", ["../x", "/etc/passwd", "base/../../x", "base\\parts.csv", ".git/config"])
def test_no_path_leads_outside(design: Workshop, asked: str, path: str) -> None:
    with pytest.raises(DataFault, match="isn't a path inside the design"):
        opened(design, asked).find(path)


@_KINDS
def test_the_design_may_lie_in_a_folder_of_the_repository(design: Workshop, asked: str) -> None:
    revision = opened(design, asked, "./base/")
    assert revision.paths() == ("deep/er/pins.csv", "leer.csv", "parts.csv")
    assert revision.read(found(revision, "parts.csv")) == _FILES["base/parts.csv"]
    assert revision.find("revdiff.toml") is None


@_KINDS
@pytest.mark.parametrize("folder", ["nowhere", "base/parts.csv", "bas"])
def test_a_revision_without_the_designs_folder_is_told(design: Workshop, asked: str, folder: str) -> None:
    with pytest.raises(DataFault, match=f"there is no folder '{folder}' in "):
        opened(design, asked, folder)


def test_the_repository_is_found_from_a_folder_within_it(design: Workshop) -> None:
    revision = open_revision("rev-a", repository=design.root / "base" / "deep")
    assert "revdiff.toml" in revision.paths()


def test_a_bare_repository_has_revisions_and_no_work_tree(design: Workshop, tmp_path: Path) -> None:
    design.git("clone", "--quiet", "--bare", ".", str(tmp_path / "bare.git"))
    revision = open_revision("rev-a", repository=tmp_path / "bare.git")
    assert revision.read(found(revision, "base/parts.csv")) == _FILES["base/parts.csv"]
    with pytest.raises(UsageFault, match="is bare: it has no work tree"):
        open_revision("worktree", repository=tmp_path / "bare.git")


def test_a_second_work_tree_of_a_repository(design: Workshop, tmp_path: Path) -> None:
    second = tmp_path / "second"
    design.git("worktree", "add", "--quiet", "-b", "other", str(second))
    (second / "revdiff.toml").write_bytes(b"changed")
    on_disk = open_revision("worktree", repository=second)
    assert on_disk.read(found(on_disk, "revdiff.toml")) == b"changed"
    for asked in ("rev-a", "branch:other", "HEAD", "index"):
        revision = open_revision(asked, repository=second)
        assert revision.read(found(revision, "revdiff.toml")) == _FILES["revdiff.toml"]


def test_a_folder_named_like_an_environment_variable_is_taken_as_it_is_or_refused(
    design: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    odd = tmp_path / "$ELSEWHERE"
    design.root.rename(odd)
    assert open_revision("rev-a", repository=odd).find("revdiff.toml") is not None
    open_module._shared_repository.cache_clear()
    monkeypatch.setenv("ELSEWHERE", "elsewhere")
    assert open_revision(f"folder:{odd}", repository=odd).find("revdiff.toml") is not None
    with pytest.raises(UsageFault, match="holds the name of an environment variable"):
        open_revision("rev-a", repository=odd)


@pytest.mark.parametrize("asked", ["rev-a", "worktree", "index", "HEAD"])
def test_without_a_repository_comparing_folders_is_proposed(tmp_path: Path, asked: str) -> None:
    with pytest.raises(UsageFault, match=r"there is no git repository at .* compare two folders: folder:PATH"):
        open_revision(asked, repository=tmp_path)


def test_a_repository_that_is_no_folder_is_told(tmp_path: Path) -> None:
    with pytest.raises(UsageFault, match=r"there is no folder .*/nowhere'"):
        open_revision("rev-a", repository=tmp_path / "nowhere")


def test_a_repository_of_somebody_else_is_refused_with_gits_reason(
    design: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GIT_TEST_ASSUME_DIFFERENT_OWNER", "1")  # git's own means for testing this guard
    with pytest.raises(UsageFault, match=r"git refuses the repository at .*detected dubious ownership"):
        opened(design)


def test_a_repository_with_long_ids_is_told(tmp_path: Path) -> None:
    long = Workshop(tmp_path / "long", "--object-format=sha256")
    long.commit({"parts.csv": b""})
    with pytest.raises(DataFault, match="only ids of 40 digits can be read"):
        open_revision("main", repository=long.root)


def test_a_repository_with_references_in_a_table_is_told(design: Workshop) -> None:
    (design.root / ".git" / "reftable").mkdir()
    with pytest.raises(UsageFault, match="keeps its references in a reftable"):
        opened(design)


def test_a_machine_without_git_is_told(design: Workshop) -> None:
    program = (
        "import sys, pathlib, revdiff.sources as sources, revdiff.errors as errors\n"
        "try:\n"
        "    sources.open_revision('rev-a', repository=pathlib.Path(sys.argv[1]))\n"
        "except errors.UsageFault as fault:\n"
        "    print(fault)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, str(design.root)],
        env={"PATH": os.devnull, "PYTHONPATH": str(Path(__file__).parents[2])},
        capture_output=True,
        check=True,
    )
    assert b"git can't be started" in done.stdout


def test_a_commit_without_any_file_is_an_empty_design(workshop: Workshop) -> None:
    workshop.commit({})
    assert opened(workshop, "HEAD").paths() == ()


# --- what a tree can hold besides files ---------------------------------------------------------------------


@pytest.mark.parametrize("asked", ["HEAD", "index"])
def test_a_link_is_refused_as_a_file_and_as_a_folder(design: Workshop, asked: str) -> None:
    target = design.git("hash-object", "-w", "--stdin", stdin=b"base")
    design.stage("120000", target, "linked")
    design.git("commit", "--quiet", "-m", "link")
    revision = opened(design, asked)
    for path in ("linked", "linked/parts.csv"):
        with pytest.raises(DataFault, match=r"'linked' in .* is a symbolic link; links aren't followed"):
            revision.find(path)
    assert "linked" not in revision.paths()


@pytest.mark.parametrize("asked", ["HEAD", "index"])
def test_a_submodule_is_refused_as_a_file_and_as_a_folder(design: Workshop, asked: str) -> None:
    design.stage("160000", design.git("rev-parse", "HEAD"), "sub")
    design.write(".gitmodules", b'[submodule "sub"]\n\tpath = sub\n\turl = ext::sh -c false\n')
    design.git("add", ".gitmodules")
    design.git("commit", "--quiet", "-m", "submodule")
    revision = opened(design, asked)
    for path in ("sub", "sub/parts.csv"):
        with pytest.raises(DataFault, match=r"'sub' in .* is a submodule"):
            revision.find(path)
    assert "sub" not in revision.paths()


@pytest.mark.parametrize("asked", ["HEAD", "index"])
def test_the_designs_folder_may_not_be_a_link(design: Workshop, asked: str) -> None:
    design.stage("120000", design.git("hash-object", "-w", "--stdin", stdin=b"base"), "linked")
    design.git("commit", "--quiet", "-m", "link")
    with pytest.raises(DataFault):
        opened(design, asked, "linked")


@_KINDS
def test_a_pointer_to_a_large_file_is_not_the_file(workshop: Workshop, asked: str) -> None:
    pointer = b"version https://git-lfs.example/spec/v1\noid sha256:" + b"0" * 64 + b"\nsize 12345\n"
    workshop.commit({"parts.csv": pointer})
    workshop.tag("rev-a")
    revision = opened(workshop, asked)
    with pytest.raises(DataFault, match=r"'parts\.csv' in .* pointer to a file in large-file storage"):
        revision.read(found(revision, "parts.csv"))


@_KINDS
def test_files_in_folders_that_start_with_a_dot_are_not_listed(workshop: Workshop, asked: str) -> None:
    workshop.commit({".github/ci.yml": b"x", "base/.cache/y": b"y", ".gitattributes": b"", "a.csv": b""})
    workshop.tag("rev-a")
    revision = opened(workshop, asked)
    assert revision.paths() == (".gitattributes", "a.csv")
    assert revision.read(found(revision, ".github/ci.yml")) == b"x"


def test_a_name_that_is_not_utf8_is_listed_readably(workshop: Workshop) -> None:
    blob = workshop.git("hash-object", "-w", "--stdin", stdin=b"x")
    tree = workshop.git("mktree", "-z", stdin=f"100644 blob {blob}\tcaf".encode() + b"\xe9.csv\0")
    workshop.tag("rev-a", workshop.commit_of(tree))
    assert opened(workshop).paths() == ("caf\\xe9.csv",)


# --- limits -------------------------------------------------------------------------------------------------


@pytest.fixture
def streamed(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """The sizes of all objects whose content was asked of git."""
    sizes: list[int] = []
    original = git.db.GitCmdObjectDB.stream

    def spy(self: git.db.GitCmdObjectDB, binsha: bytes) -> object:
        stream = original(self, binsha)
        sizes.append(stream.size)
        return stream

    monkeypatch.setattr(git.db.GitCmdObjectDB, "stream", spy)
    return sizes


@pytest.mark.parametrize("asked", ["rev-a", "index"])
def test_a_file_over_the_limit_is_refused_unread(workshop: Workshop, streamed: list[int], asked: str) -> None:
    size = content.FILE_LIMIT + 1
    workshop.commit({"big.csv": b"\0" * size, "small.csv": b"small"})
    workshop.tag("rev-a")
    revision = opened(workshop, asked)
    with pytest.raises(DataFault, match=r"'big\.csv' in .* is 33,554,433 bytes; .* is 33,554,432 bytes"):
        revision.find("big.csv")
    lied = Blob("big.csv", workshop.git("rev-parse", "HEAD:big.csv"), 1)
    with pytest.raises(DataFault, match="33,554,433 bytes"):
        revision.read(lied)
    assert revision.read(found(revision, "small.csv")) == b"small"
    assert size not in streamed
    assert 5 in streamed


def test_a_file_at_the_limit_is_read(design: Workshop, monkeypatch: pytest.MonkeyPatch) -> None:
    revision = opened(design)
    blob = found(revision, "base/parts.csv")
    monkeypatch.setattr(content, "FILE_LIMIT", blob.size)
    assert revision.read(blob) == _FILES["base/parts.csv"]
    monkeypatch.setattr(content, "FILE_LIMIT", blob.size - 1)
    with pytest.raises(DataFault, match="the limit for one file is 7 bytes"):
        revision.read(blob)


@pytest.mark.parametrize("what", ["tag", "commit", "folder"])
def test_what_leads_to_the_files_has_the_same_limit(
    workshop: Workshop, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    large = "x" * 5_000
    id = workshop.commit({(f"{'x' * 200}{i}" if what == "folder" else f"{i}"): b"" for i in range(25)})
    if what == "commit":
        id = workshop.commit_of(workshop.git("rev-parse", "HEAD^{tree}"))
        id = workshop.object("commit", workshop.git("cat-file", "commit", id).encode() + b"\n" + large.encode())
    if what == "tag":
        id = workshop.object("tag", f"object {id}\ntype commit\ntag t\n\n{large}\n".encode())
    workshop.tag("rev-a", id)
    monkeypatch.setattr(content, "FILE_LIMIT", 4_000)
    with pytest.raises(DataFault, match="the limit for one file is 4,000 bytes"):
        opened(workshop).paths()


@_KINDS
def test_too_many_files_are_refused(design: Workshop, monkeypatch: pytest.MonkeyPatch, asked: str) -> None:
    monkeypatch.setattr(content, "ENTRY_LIMIT", 4)
    with pytest.raises(DataFault, match="more than 4 files and folders"):
        opened(design, asked).paths()


def test_a_few_folders_that_stand_for_ten_thousand_million_are_refused(workshop: Workshop) -> None:
    tree = workshop.git("mktree", stdin=b"")
    for _ in range(10):
        lines = "".join(f"040000 tree {tree}\t{i}\n" for i in range(10))
        tree = workshop.git("mktree", stdin=lines.encode())
    workshop.tag("rev-a", workshop.commit_of(tree))
    with pytest.raises(DataFault, match="more than 100,000 files and folders"):
        opened(workshop).paths()


def test_folders_nested_beyond_any_file_system_are_refused(design: Workshop, monkeypatch: pytest.MonkeyPatch) -> None:
    longest = max(len(path) for path in _FILES)
    monkeypatch.setattr(content, "PATH_LIMIT", longest)
    assert opened(design).paths() == tuple(sorted(_FILES))
    monkeypatch.setattr(content, "PATH_LIMIT", longest - 1)
    with pytest.raises(DataFault, match=f"is a path of more than {longest - 1} characters"):
        opened(design).paths()


# --- damage -------------------------------------------------------------------------------------------------


def test_after_a_damaged_file_the_next_one_is_read_right(design: Workshop) -> None:
    id = design.git("rev-parse", "HEAD:base/parts.csv")
    design.loose(id).chmod(0o644)
    design.loose(id).write_bytes(design.loose(id).read_bytes()[:15])
    revision = opened(design)
    with pytest.raises(DataFault, match="can't be read from the repository"):
        revision.read(Blob("base/parts.csv", id, 8))
    assert revision.read(found(revision, "base/deep/er/pins.csv")) == _FILES["base/deep/er/pins.csv"]


def test_a_missing_file_is_told_apart_from_one_that_never_was(design: Workshop) -> None:
    design.loose(design.git("rev-parse", "HEAD:base/parts.csv")).unlink()
    revision = opened(design)
    with pytest.raises(DataFault, match="isn't in this clone"):
        revision.find("base/parts.csv")
    assert revision.find("base/other.csv") is None


@pytest.mark.parametrize(
    "tree",
    [
        b"100644 a\0" + b"\1" * 19,
        b"100644 a\0" + b"\1" * 20 + b"100644 a\0" + b"\2" * 20,
        b"100644 ../a\0" + b"\1" * 20,
        b"100644 .git\0" + b"\1" * 20,
        b"garbage",
    ],
)
def test_a_damaged_folder_ends_in_one_clear_message(workshop: Workshop, tree: bytes) -> None:
    commit = f"tree {workshop.object('tree', tree)}\nauthor A <a> 1 +0000\ncommitter A <a> 1 +0000\n\nx\n"
    workshop.tag("rev-a", workshop.object("commit", commit.encode()))
    with pytest.raises(DataFault, match="can't be read from the repository"):
        opened(workshop).paths()


@pytest.mark.parametrize("text", ["", "garbage\n", "tree {blob}\nauthor A <a> 1 +0000\ncommitter A <a> 1 +0000\n\n"])
def test_a_damaged_commit_ends_in_one_clear_message(workshop: Workshop, text: str) -> None:
    blob = workshop.git("hash-object", "-w", "--stdin", stdin=b"x")
    workshop.tag("rev-a", workshop.object("commit", text.format(blob=blob).encode()))
    with pytest.raises(DataFault, match="can't be read from the repository"):
        opened(workshop).paths()


@pytest.mark.parametrize("text", ["", "garbage\n", "object 1\ntype commit\n", "object {id}\ntype nothing\ntag t\n\n"])
def test_a_damaged_tag_ends_in_one_clear_message(workshop: Workshop, text: str) -> None:
    id = workshop.commit({})
    workshop.tag("rev-a", workshop.object("tag", text.format(id=id).encode()))
    with pytest.raises(DataFault, match="can't be read from the repository"):
        opened(workshop)


# --- the index ----------------------------------------------------------------------------------------------


def test_the_index_holds_what_is_staged_not_what_is_committed_or_on_disk(design: Workshop) -> None:
    design.write("base/parts.csv", b"staged")
    design.git("add", "base/parts.csv")
    design.write("base/parts.csv", b"on disk")
    texts = {}
    for asked in ("HEAD", "index", "worktree"):
        revision = opened(design, asked)
        texts[asked] = revision.read(found(revision, "base/parts.csv"))
    assert texts == {"HEAD": b"R1,4k7\r\n", "index": b"staged", "worktree": b"on disk"}


@pytest.mark.parametrize(("asked", "kind"), [("index", "index"), ("worktree", "work tree")])
def test_the_index_and_the_work_tree_have_no_commit(design: Workshop, asked: str, kind: str) -> None:
    assert opened(design, asked).identity == Identity(asked, kind, kind, "", "", "")


def test_an_untracked_file_is_in_the_work_tree_alone(design: Workshop) -> None:
    design.write("new.csv", b"")
    assert "new.csv" in opened(design, "worktree").paths()
    assert "new.csv" not in opened(design, "index").paths()


def test_a_file_only_announced_is_not_staged(design: Workshop) -> None:
    design.write("new.csv", b"x")
    design.git("add", "--intent-to-add", "new.csv")
    assert opened(design, "index").find("new.csv") is None


def test_a_merge_in_conflict_is_refused_where_it_concerns_the_design(design: Workshop) -> None:
    id = design.git("rev-parse", "HEAD:base/parts.csv")
    lines = "".join(f"100644 {id} {stage}\tbase/parts.csv\n" for stage in (1, 2, 3))
    design.git("update-index", "--force-remove", "base/parts.csv")
    design.git("update-index", "--index-info", stdin=lines.encode())
    revision = opened(design, "index")
    with pytest.raises(DataFault, match=r"'base/parts\.csv' in the index is in conflict"):
        revision.find("base/parts.csv")
    with pytest.raises(DataFault, match="is in conflict; finish the merge first"):
        revision.paths()
    assert opened(design, "index", "valves").paths() == ("ünï.csv",)


def test_one_side_of_a_conflict_alone_is_a_conflict(design: Workshop) -> None:
    id = design.git("rev-parse", "HEAD:base/parts.csv")
    design.git("update-index", "--force-remove", "base/parts.csv")
    design.git("update-index", "--index-info", stdin=f"100644 {id} 2\tbase/parts.csv\n".encode())
    with pytest.raises(DataFault, match="is in conflict"):
        opened(design, "index").find("base/parts.csv")


@pytest.mark.parametrize("form", ["--split-index", "--index-version=4"])
def test_an_index_in_a_form_that_is_not_read_is_told(design: Workshop, form: str) -> None:
    design.git("update-index", *form.split("="))
    with pytest.raises(DataFault, match="the index can't be read from the repository"):
        opened(design, "index")


def test_a_running_commit_names_the_index_it_prepares(design: Workshop, monkeypatch: pytest.MonkeyPatch) -> None:
    prepared = design.root / ".git" / "next-index.lock"
    prepared.write_bytes((design.root / ".git" / "index").read_bytes())
    design.git("rm", "--quiet", "--cached", "base/parts.csv")
    assert opened(design, "index").find("base/parts.csv") is None
    monkeypatch.setenv("GIT_INDEX_FILE", str(prepared))
    assert opened(design, "index").find("base/parts.csv") is not None


def test_the_index_of_another_repository_is_not_taken(
    design: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = Workshop(tmp_path / "other")
    other.commit({"other.csv": b""})
    monkeypatch.setenv("GIT_INDEX_FILE", str(other.root / ".git" / "index"))
    assert opened(design, "index").find("other.csv") is None


def test_a_repository_without_an_index_has_nothing_staged(workshop: Workshop) -> None:
    assert opened(workshop, "index").paths() == ()


# --- the work tree ------------------------------------------------------------------------------------------


def test_the_work_tree_is_read_as_it_lies_there_whatever_git_would_convert(design: Workshop) -> None:
    design.write(".gitattributes", b"*.csv text eol=lf ident working-tree-encoding=UTF-16\n")
    design.write("base/parts.csv", b"$Id$\r\n")
    revision = opened(design, "worktree")
    assert revision.read(found(revision, "base/parts.csv")) == b"$Id$\r\n"


def test_a_committed_file_is_read_as_stored_whatever_git_would_convert(workshop: Workshop) -> None:
    attributes = b"*.csv export-ignore export-subst ident eol=crlf\n"
    workshop.commit({"parts.csv": b"$Id$ $Format:%H$\n", ".gitattributes": attributes})
    workshop.tag("rev-a")
    revision = opened(workshop)
    assert revision.read(found(revision, "parts.csv")) == b"$Id$ $Format:%H$\n"


def test_the_work_tree_follows_no_link(design: Workshop) -> None:
    (design.root / "linked").symlink_to("/etc")
    with pytest.raises(DataFault, match="'linked' in the work tree is a symbolic link"):
        opened(design, "worktree").find("linked/hostname")
    with pytest.raises(DataFault, match="'linked' in the work tree is a symbolic link"):
        opened(design, "worktree", "linked")


def test_gits_own_folder_is_not_part_of_the_work_tree(design: Workshop) -> None:
    assert not [path for path in opened(design, "worktree").paths() if path.startswith(".git/")]
    assert os.path.lexists(design.root / ".git" / "config")
