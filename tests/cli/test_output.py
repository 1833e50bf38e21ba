"""``--output``: a file whole or not at all, and through to what is no file."""

from __future__ import annotations

import json
import os
import signal
import stat
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from revdiff.cli.writing import write_file
from revdiff.errors import UsageFault
from tests.conftest import Run

pytestmark = pytest.mark.slow

COMPARE = ("compare", "rev-a", "rev-b", "--format", "json")


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


@pytest.mark.parametrize("before", [0o600, 0o640, 0o666, 0o755])
def test_a_file_that_is_there_keeps_its_mode(tmp_path: Path, before: int) -> None:
    target = tmp_path / "report"
    target.write_text("before")
    target.chmod(before)
    write_file("after", target)
    assert (target.read_text(), mode(target)) == ("after", before)


def test_a_new_file_has_the_mode_of_any_new_file(tmp_path: Path) -> None:
    (tmp_path / "any").write_text("")
    write_file("after", tmp_path / "report")
    assert mode(tmp_path / "report") == mode(tmp_path / "any")


def test_a_link_is_followed_and_stays(tmp_path: Path) -> None:
    (tmp_path / "deep").mkdir()
    (tmp_path / "deep/report").write_text("before")
    for name, leads in (("link", "deep/report"), ("new", "deep/other")):
        (tmp_path / name).symlink_to(leads)
        write_file("after", tmp_path / name)
        assert (tmp_path / name).is_symlink()
        assert (tmp_path / leads).read_text() == "after"
    assert sorted(item.name for item in (tmp_path / "deep").iterdir()) == ["other", "report"]


@pytest.mark.parametrize("name", ["folder", "loop", "none/report"])
def test_what_cannot_be_written_is_told(tmp_path: Path, name: str) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "loop").symlink_to("loop")
    with pytest.raises(UsageFault, match="can't be written"):
        write_file("after", tmp_path / name)
    assert sorted(item.name for item in tmp_path.iterdir()) == ["folder", "loop"]


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is protected from the superuser")
def test_a_file_that_is_protected_is_not_replaced(tmp_path: Path) -> None:
    target = tmp_path / "report"
    target.write_text("before")
    target.chmod(0o444)
    with pytest.raises(UsageFault, match="can't be written"):
        write_file("after", target)
    assert target.read_text() == "before"


def test_a_pipe_with_a_name_is_written_through_to(tmp_path: Path) -> None:
    pipe, got = tmp_path / "pipe", []
    os.mkfifo(pipe)
    reader = threading.Thread(target=lambda: got.append(pipe.read_text()))
    reader.start()
    write_file("through", pipe)
    reader.join()
    assert got == ["through"]
    assert stat.S_ISFIFO(pipe.stat().st_mode)


def test_a_device_is_written_through_to() -> None:
    write_file("nowhere", Path("/dev/null"))
    assert stat.S_ISCHR(Path("/dev/null").stat().st_mode)


@pytest.mark.parametrize("into", ["| cat", "> out; cat out", "> out; cat out; rm out"])
@pytest.mark.parametrize("command", ["compare rev-a rev-b --format json", "notes rev-a rev-b"])
def test_standard_output_by_its_path_takes_what_went_before_and_after(
    demo: Path, tmp_path: Path, into: str, command: str
) -> None:
    revdiff = f"{sys.executable} -m revdiff {command} --repo {demo} -o /dev/stdout"
    script = f"{{ echo before; {revdiff}; echo after; }} {into}"
    done = subprocess.run(["bash", "-c", script], capture_output=True, text=True, check=False, cwd=tmp_path)
    assert done.stderr == ""
    lines = done.stdout.splitlines()
    assert (lines[0], lines[-1]) == ("before", "after")
    assert len(lines) > 10


def test_the_same_is_written_to_a_file_and_through_a_link(run: Run, demo: Path, tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to("report")
    assert run(*COMPARE, "--repo", demo, "-o", tmp_path / "link").returncode == 0
    assert (tmp_path / "report").read_text() == run(*COMPARE, "--repo", demo).stdout
    assert json.loads((tmp_path / "link").read_text())


STOPPED = """
import os, signal, sys
from pathlib import Path
from revdiff.cli import writing
usual = signal.default_int_handler if "{signal}" == "SIGINT" else signal.SIG_DFL
signal.signal(signal.{signal}, usual)  # it is ignored where the tests were started so
signal.pthread_sigmask(signal.SIG_UNBLOCK, {{signal.{signal}}})
real = Path.{step}
def stop(self, *arguments):
    os.kill(os.getpid(), signal.{signal})
    return real(self, *arguments)
Path.{step} = stop
writing.write_file("after", Path(sys.argv[1]))
"""


@pytest.mark.parametrize("step", ["chmod", "replace"])
@pytest.mark.parametrize("name", ["SIGTERM", "SIGINT", "SIGHUP"])
def test_a_signal_while_writing_leaves_no_temporary_file(tmp_path: Path, step: str, name: str) -> None:
    target = tmp_path / "report"
    target.write_text("before")
    code = STOPPED.format(step=step, signal=name)
    done = subprocess.run([sys.executable, "-c", code, target], capture_output=True, check=False)
    assert done.returncode == -getattr(signal, name)
    assert [item.name for item in tmp_path.iterdir()] == ["report"]
    assert target.read_text() in ("before", "after")
