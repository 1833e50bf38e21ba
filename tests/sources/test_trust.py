"""A repository is a stranger's: nothing it names is run, and only one module talks to git."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path

import pytest

import revdiff
from revdiff.errors import DataFault
from revdiff.sources import open_revision, tags
from tests.sources.workshop import Workshop

_PACKAGE = Path(revdiff.__file__).parent
_GIT_MODULE = _PACKAGE / "sources" / "git_objects.py"


@pytest.fixture
def trap(workshop: Workshop, tmp_path: Path) -> Path:
    """Settings, attributes and hooks that each leave a marker when run; gives the marker's path."""
    marker = tmp_path / "marker"
    script = tmp_path / "trap.sh"
    script.write_text(f'#!/bin/sh\necho "$0 $*" >> "{marker}"\nexit 1\n')
    script.chmod(0o755)
    workshop.commit(
        {
            "base/parts.csv": b"R1,4k7\n",
            ".gitattributes": b"* filter=trap diff=trap merge=trap\n",
            ".gitmodules": b'[submodule "x"]\n\tpath = x\n\turl = ext::sh -c x\n\tupdate = !sh -c x\n',
        }
    )
    workshop.tag("rev-a")
    workshop.commit({"base/parts.csv": b"R1,4k8\n"})
    hooks = tmp_path / "hooks"
    hooks.mkdir()
    for hook in (
        "post-checkout",
        "post-index-change",
        "fsmonitor-watchman",
        "pre-commit",
        "reference-transaction",
    ):
        (hooks / hook).symlink_to(script)
    command = str(script)
    for key in (
        *("core.fsmonitor", "core.pager", "core.editor", "core.sshCommand", "core.gitProxy", "core.askPass"),
        *("filter.trap.clean", "filter.trap.smudge", "filter.trap.process", "diff.trap.command"),
        *("diff.trap.textconv", "diff.external", "merge.trap.driver", "credential.helper", "gpg.program"),
        *("uploadpack.packObjectsHook", "pager.cat-file", "pager.for-each-ref", "alias.rev-parse"),
    ):
        workshop.git("config", key, command)
    workshop.git("config", "core.hooksPath", str(hooks))
    assert not marker.exists()
    return marker


def test_the_trap_does_catch_an_ordinary_command(workshop: Workshop, trap: Path) -> None:
    subprocess.run(["git", "status"], cwd=workshop.root, capture_output=True, check=False)
    assert trap.exists()


@pytest.mark.parametrize("asked", ["rev-a", "branch:main", "HEAD", "HEAD~1", "index", "worktree"])
def test_reading_runs_nothing_that_the_repository_names(workshop: Workshop, trap: Path, asked: str) -> None:
    workshop.write("base/parts.csv", b"R1,4k9\n")
    revision = open_revision(asked, repository=workshop.root)
    for path in revision.paths():
        blob = revision.find(path)
        assert blob is not None
        assert revision.read(blob) is not None
    assert tags(workshop.root) == ("rev-a",)
    assert not trap.exists()


@pytest.fixture
def partial(workshop: Workshop, trap: Path) -> str:
    """A clone that lacks one file and would fetch it by running the trap; gives the file's id."""
    missing = workshop.git("rev-parse", "rev-a:base/parts.csv")
    workshop.loose(missing).unlink()
    for key, value in {
        "core.repositoryFormatVersion": "1",
        "extensions.partialClone": "origin",
        "remote.origin.url": "ssh://example.org/design",
        "remote.origin.promisor": "true",
        "remote.origin.partialCloneFilter": "blob:none",
    }.items():
        workshop.git("config", key, value)
    assert not trap.exists()
    return missing


def test_the_trap_does_catch_a_fetch(workshop: Workshop, trap: Path, partial: str) -> None:
    subprocess.run(["git", "cat-file", "-p", partial], cwd=workshop.root, capture_output=True, check=False)
    assert trap.exists()


@pytest.mark.usefixtures("partial")
def test_a_file_missing_from_a_partial_clone_is_not_fetched(workshop: Workshop, trap: Path) -> None:
    revision = open_revision("rev-a", repository=workshop.root)
    with pytest.raises(DataFault, match="isn't in this clone, which is partial, shallow or damaged"):
        revision.find("base/parts.csv")
    assert not trap.exists()


def test_nothing_in_the_repository_is_touched(workshop: Workshop, trap: Path) -> None:
    def state() -> dict[str, tuple[int, int]]:
        files = (Path(at, name) for at, _, names in os.walk(workshop.root) for name in names)
        return {str(file): (file.stat().st_mtime_ns, file.stat().st_size) for file in files}

    before = state()
    for asked in ("rev-a", "HEAD~1", "index", "worktree"):
        open_revision(asked, repository=workshop.root).paths()
    assert state() == before
    assert not trap.exists()


def test_two_revisions_are_read_by_two_processes_of_git_that_end_with_the_program(
    workshop: Workshop, tmp_path: Path
) -> None:
    workshop.commit({"a.csv": b"a", "b/b.csv": b"b"})
    workshop.tag("rev-a")
    workshop.commit({"a.csv": b"c"})
    workshop.tag("rev-b")
    log = tmp_path / "log"
    program = (
        "import sys, pathlib, revdiff.sources as sources\n"
        "place = pathlib.Path(sys.argv[1])\n"
        "for asked in ('rev-a', 'rev-b'):\n"
        "    revision = sources.open_revision(asked, repository=place)\n"
        "    for path in revision.paths():\n"
        "        revision.read(revision.find(path))\n"
    )
    done = subprocess.run(
        [sys.executable, "-X", "dev", "-W", "error", "-c", program, str(workshop.root)],
        env={**os.environ, "PYTHONPATH": str(_PACKAGE.parent), "GIT_TRACE": str(log)},
        capture_output=True,
        check=True,
    )
    assert done.stderr == b""
    started = [line.partition("built-in: ")[2].strip() for line in log.read_text().splitlines()]
    assert sorted(line for line in started if line and line != "git version") == [
        "git cat-file --batch",
        "git cat-file --batch-check",
    ]


def _imports(tree: ast.AST) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            names.add(node.module.partition(".")[0])
    return names


def test_one_module_alone_imports_git() -> None:
    importing = [
        module for module in _PACKAGE.rglob("*.py") if _imports(ast.parse(module.read_text("utf-8"))) & {"git", "gitdb"}
    ]
    assert importing == [_GIT_MODULE]


def test_no_source_starts_a_program_itself() -> None:
    for module in (_PACKAGE / "sources").glob("*.py"):
        tree = ast.parse(module.read_text("utf-8"))
        assert not _imports(tree) & {"subprocess", "multiprocessing", "pty", "shlex"}
        used = {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)}
        assert not used & {"system", "popen", "execv", "execvp", "spawnl", "startfile"}


# Each was seen to run a program that the repository names, to search, or to take text as an option.
_BANNED = {
    *(
        "is_dirty",
        "untracked_files",
        "diff",
        "archive",
        "blame",
        "blame_incremental",
        "iter_commits",
        "stats",
    ),
    *("rev_parse_all", "execute", "ls_remote", "fetch", "pull", "push", "clone", "checkout", "submodules"),
    *(
        "submodule",
        "active_branch",
        "merge_base",
        "count",
        "name_rev",
        "ignored",
        "is_ancestor",
        "config_writer",
    ),
}


def test_the_git_module_uses_none_of_the_calls_that_run_programs() -> None:
    tree = ast.parse(_GIT_MODULE.read_text("utf-8"))
    used = {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)}
    assert not used & _BANNED


def test_the_git_module_runs_one_command_whose_words_are_fixed() -> None:
    tree = ast.parse(_GIT_MODULE.read_text("utf-8"))
    commands = {
        node.attr: node
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Attribute) and node.value.attr == "git"
    }
    assert set(commands) == {"update_environment", "rev_parse", "working_dir"}
    calls = [node for node in ast.walk(tree) if isinstance(node, ast.Call) and node.func is commands["rev_parse"]]
    assert [[ast.literal_eval(word) for word in call.args] for call in calls] == [["--git-dir"]]
