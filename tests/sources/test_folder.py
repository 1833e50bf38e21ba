from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from revdiff.errors import DataFault, UsageFault
from revdiff.sources import Blob, Identity, Revision, content, open_revision
from revdiff.sources.folder import FolderRevision
from tests.sources.workshop import Workshop


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    place = tmp_path / "boards rev B"
    (place / "base").mkdir(parents=True)
    (place / "base" / "parts.csv").write_bytes(b"R1,4k7\r\n")
    (place / "revdiff.toml").write_bytes(b"[design]\n")
    return place


def opened(folder: Path, design: str = "") -> Revision:
    return open_revision(f"folder:{folder}", repository=folder, design=design)


def found(revision: Revision, path: str) -> Blob:
    blob = revision.find(path)
    assert blob is not None
    return blob


def test_a_folder_is_named_after_itself_and_has_no_commit(folder: Path) -> None:
    asked = f"folder:{folder}"
    assert open_revision(asked, repository=folder).identity == Identity(asked, "folder", "boards rev B", "", "", "")


def test_files_are_found_and_read_byte_for_byte(folder: Path) -> None:
    revision = opened(folder)
    blob = found(revision, "./base/parts.csv")
    # Digest: printf 'R1,4k7\r\n' | git hash-object --stdin
    assert blob == Blob("base/parts.csv", "8603777509832a988c02bd8e00552001fec4ba40", 8)
    assert revision.read(blob) == b"R1,4k7\r\n"


@pytest.mark.parametrize("path", ["nothing.csv", "base/nothing.csv", "no/such/folder", "revdiff.toml/parts.csv"])
def test_what_is_not_there_is_none(folder: Path, path: str) -> None:
    assert opened(folder).find(path) is None


def test_a_folder_is_not_a_file(folder: Path) -> None:
    with pytest.raises(DataFault, match="'base' in folder 'boards rev B' is a folder"):
        opened(folder).find("base")


@pytest.mark.parametrize("path", ["../secret", "/etc/passwd", "base/../../secret", ".git/config"])
def test_no_path_leads_outside(folder: Path, path: str) -> None:
    (folder.parent / "secret").write_bytes(b"secret")
    with pytest.raises(DataFault, match="isn't a path inside the design"):
        opened(folder).find(path)
    with pytest.raises(DataFault, match="isn't a path inside the design"):
        opened(folder).read(Blob(path, "0" * 40, 6))


def test_the_paths_are_the_regular_files_sorted(folder: Path) -> None:
    (folder / "base" / "ünï.csv").write_bytes(b"")
    (folder / "a.csv").write_bytes(b"")
    (folder / ".gitattributes").write_bytes(b"")
    (folder / "link.csv").symlink_to(folder / "a.csv")
    (folder / "linked").symlink_to(folder / "base")
    assert opened(folder).paths() == (
        ".gitattributes",
        "a.csv",
        "base/parts.csv",
        "base/ünï.csv",
        "revdiff.toml",
    )


def test_the_paths_leave_out_folders_that_start_with_a_dot(folder: Path) -> None:
    for name in (".git", ".venv", "base/.cache"):
        (folder / name).mkdir()
        (folder / name / "x").write_bytes(b"")
    assert opened(folder).paths() == ("base/parts.csv", "revdiff.toml")


def test_a_name_that_is_not_utf8_is_listed_readably(folder: Path) -> None:
    Path(os.fsdecode(bytes(folder) + b"/caf\xe9.csv")).write_bytes(b"")
    assert "caf\\xe9.csv" in opened(folder).paths()


def test_too_many_files_are_refused(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(content, "ENTRY_LIMIT", 3)
    assert len(opened(folder).paths()) == 2
    monkeypatch.setattr(content, "ENTRY_LIMIT", 2)
    with pytest.raises(DataFault, match="more than 2 files and folders"):
        opened(folder).paths()


def test_a_link_to_a_file_is_refused(folder: Path) -> None:
    (folder / "link.csv").symlink_to(folder / "base" / "parts.csv")
    with pytest.raises(DataFault, match=r"'link\.csv' in folder 'boards rev B' is a symbolic link"):
        opened(folder).find("link.csv")


def test_a_file_below_a_linked_folder_is_refused(folder: Path) -> None:
    (folder / "linked").symlink_to(folder / "base")
    with pytest.raises(DataFault, match="'linked' in folder 'boards rev B' is a symbolic link"):
        opened(folder).find("linked/parts.csv")


def test_the_folder_the_user_names_may_itself_be_a_link(folder: Path) -> None:
    (folder.parent / "current").symlink_to(folder)
    assert found(opened(folder.parent / "current"), "base/parts.csv").size == 8


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes on this system")
def test_a_pipe_is_refused_at_once(folder: Path) -> None:
    os.mkfifo(folder / "parts.csv")
    with pytest.raises(DataFault, match="is a pipe, a device or the like"):
        opened(folder).find("parts.csv")
    assert "parts.csv" not in opened(folder).paths()


def test_a_file_at_the_limit_is_read_and_one_byte_more_is_refused(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    revision = opened(folder)
    monkeypatch.setattr(content, "FILE_LIMIT", 8)
    assert revision.read(found(revision, "base/parts.csv")) == b"R1,4k7\r\n"
    monkeypatch.setattr(content, "FILE_LIMIT", 7)
    with pytest.raises(DataFault, match=r"'base/parts\.csv' .* is 8 bytes; the limit for one file is 7 bytes"):
        revision.find("base/parts.csv")


def test_the_limit_is_32_mebibytes(folder: Path) -> None:
    with (folder / "big.csv").open("wb") as file:
        file.truncate(32 * 1024 * 1024 + 1)
    with pytest.raises(DataFault, match=r"33,554,433 bytes; the limit for one file is 33,554,432 bytes"):
        opened(folder).find("big.csv")


def test_a_file_that_changed_since_it_was_found_is_refused(folder: Path) -> None:
    revision = opened(folder)
    blob = found(revision, "base/parts.csv")
    (folder / "base" / "parts.csv").write_bytes(b"R1,4k8\r\n")
    with pytest.raises(DataFault, match="was changed while it was read"):
        revision.read(blob)


def test_a_file_removed_since_it_was_found_is_refused(folder: Path) -> None:
    revision = opened(folder)
    blob = found(revision, "base/parts.csv")
    (folder / "base" / "parts.csv").unlink()
    with pytest.raises(DataFault, match="was removed while it was read"):
        revision.read(blob)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes on this system")
@pytest.mark.parametrize("swapped_for", ["a pipe", "a link", "another file"])
def test_a_file_swapped_between_looking_and_opening_is_not_read(
    folder: Path, monkeypatch: pytest.MonkeyPatch, swapped_for: str
) -> None:
    file = folder / "base" / "parts.csv"
    look = FolderRevision._status

    def look_then_swap(self: FolderRevision, full: str) -> os.stat_result | None:
        status = look(self, full)
        file.rename(folder / "aside")
        if swapped_for == "a pipe":
            os.mkfifo(file)
        elif swapped_for == "a link":
            file.symlink_to(folder / "aside")
        else:
            file.write_bytes(b"other")
        return status

    monkeypatch.setattr(FolderRevision, "_status", look_then_swap)
    with pytest.raises(DataFault, match=r"'base/parts\.csv' .* (was replaced|can't be read)"):
        opened(folder).find("base/parts.csv")


def test_a_pointer_to_a_large_file_is_not_the_file(folder: Path) -> None:
    # The layout is that of the published pointer specification, version 1.
    pointer = b"version https://git-lfs.example/spec/v1\noid sha256:" + b"0" * 64 + b"\nsize 12345\n"
    (folder / "parts.csv").write_bytes(pointer)
    revision = opened(folder)
    with pytest.raises(DataFault, match="pointer to a file in large-file storage"):
        revision.read(found(revision, "parts.csv"))


def test_the_design_may_lie_in_a_folder_of_the_folder(folder: Path) -> None:
    revision = opened(folder, "base")
    assert revision.paths() == ("parts.csv",)
    assert found(revision, "parts.csv").path == "parts.csv"
    assert revision.find("revdiff.toml") is None


@pytest.mark.parametrize("design", ["valves", "revdiff.toml"])
def test_a_design_that_is_not_in_the_folder_is_told(folder: Path, design: str) -> None:
    with pytest.raises(DataFault, match=f"there is no folder '{design}' in folder 'boards rev B'"):
        opened(folder, design)


def test_the_designs_folder_is_not_reached_through_a_link(folder: Path) -> None:
    (folder / "linked").symlink_to(folder / "base")
    with pytest.raises(DataFault, match="is a symbolic link"):
        opened(folder, "linked")


def test_the_design_does_not_lie_outside(folder: Path) -> None:
    with pytest.raises(UsageFault, match=r"^--design: .* isn't a path inside the design"):
        opened(folder / "base", "..")


@pytest.mark.parametrize("name", ["nowhere", "boards rev B/revdiff.toml", ""])
def test_a_folder_that_is_none_is_told(folder: Path, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    monkeypatch.chdir(folder.parent)
    with pytest.raises(UsageFault, match="there is no folder"):
        open_revision(f"folder:{name}", repository=folder)


@pytest.mark.parametrize("asked", ["../no-such", "./no-such", "/no-such", "no-such/"])
def test_what_can_only_be_a_folder_is_told_to_be_missing(workshop: Workshop, asked: str) -> None:
    with pytest.raises(UsageFault, match=f"there is no folder '{asked}'"):
        open_revision(asked, repository=workshop.root)


def test_a_bare_folder_name_is_opened_where_there_is_no_repository(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folder.parent)
    assert open_revision("boards rev B", repository=Path()).identity.kind == "folder"


def test_a_bare_folder_name_is_opened_where_the_repository_has_no_such_revision(
    workshop: Workshop, folder: Path
) -> None:
    assert open_revision(str(folder), repository=workshop.root).identity.kind == "folder"


def test_a_tag_wins_over_a_folder_of_its_name(workshop: Workshop, monkeypatch: pytest.MonkeyPatch) -> None:
    workshop.commit({"rev-b/parts.csv": b""})
    workshop.tag("rev-b")
    monkeypatch.chdir(workshop.root)
    assert open_revision("rev-b", repository=Path()).identity.kind == "tag"
    assert open_revision("./rev-b", repository=Path()).identity.kind == "folder"


@pytest.mark.parametrize("asked", ["a..b", "a^", "a:b"])
def test_a_folder_whose_name_no_tag_could_have_is_opened(
    workshop: Workshop, monkeypatch: pytest.MonkeyPatch, asked: str
) -> None:
    (workshop.root / asked).mkdir()
    monkeypatch.chdir(workshop.root)
    assert open_revision(asked, repository=Path()).identity.name == asked


def test_comparing_folders_never_loads_git(folder: Path) -> None:
    program = (
        "import sys, pathlib, revdiff.sources as sources\n"
        "revision = sources.open_revision('folder:.', repository=pathlib.Path('.'))\n"
        "assert revision.read(revision.find('base/parts.csv'))\n"
        "assert not {'git', 'gitdb'} & set(sys.modules)\n"
    )
    root = str(Path(__file__).parents[2])
    subprocess.run([sys.executable, "-c", program], cwd=folder, env={**os.environ, "PYTHONPATH": root}, check=True)
