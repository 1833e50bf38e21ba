"""Makes a git repository with a believable history out of the demo design."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
import tomllib
from pathlib import Path
from typing import Any

from revdiff.errors import UsageFault

HISTORY = "history.toml"


def demo_files() -> Path:
    """The folder of the demo design: inside the installed package, or beside it in a checkout."""
    package = Path(__file__).resolve().parent
    for folder in (package / "example_revs", package.parent / "example_revs"):
        if (folder / HISTORY).is_file():
            return folder
    raise UsageFault("the demo design is missing from this installation. Install revdiff again.")


def make_demo(target: Path) -> tuple[str, ...]:
    """Builds the repository in ``target``, which must not hold anything yet, and names its tags.

    Authors and dates are those of ``history.toml``, so the commit ids are the same everywhere. Raises
    UsageFault where the folder is in use, can't be written, or git is missing.
    """
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise UsageFault(f"{target} is not empty. Name a folder that does not exist yet.")
    files = demo_files()
    history = tomllib.loads((files / HISTORY).read_text(encoding="utf-8"))
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        # Built beside its place and moved there at the end: nothing half-made is left behind.
        with tempfile.TemporaryDirectory(dir=target.parent, prefix=".revdiff-demo-") as scratch:
            built = Path(scratch) / "demo"
            built.mkdir()
            tags = _Builder(built, files, history).build()
            if target.exists():
                target.rmdir()
            built.rename(target)
    except OSError as error:
        raise UsageFault(f"{target} can't be written: {error.strerror}. Name another folder.") from None
    return tags


class _Builder:
    def __init__(self, folder: Path, files: Path, history: dict[str, Any]) -> None:
        self._folder = folder
        self._files = files
        self._history = history

    def build(self) -> tuple[str, ...]:
        self._git("init", "--quiet", "--initial-branch=main")
        tags = []
        for revision in self._history["revisions"]:
            source = self._files / revision["folder"]
            for commit in revision.get("commits", ()):
                self._copy(source, commit["paths"])
                self._commit(commit)
            self._replace(source)
            self._commit(revision)
            self._tag(revision)
            tags.append(str(revision["tag"]))
        return tuple(tags)

    def _copy(self, source: Path, prefixes: list[str]) -> None:
        for path in sorted(item for item in source.rglob("*") if item.is_file()):
            name = path.relative_to(source).as_posix()
            if any(name == prefix or name.startswith(prefix) for prefix in prefixes):
                target = self._folder / name
                target.parent.mkdir(parents=True, exist_ok=True)
                shutil.copyfile(path, target)

    def _replace(self, source: Path) -> None:
        """Makes the work tree the same as ``source``."""
        for path in self._folder.iterdir():
            if path.name == ".git":
                continue
            if path.is_dir():
                shutil.rmtree(path)
            else:
                path.unlink()
        self._copy(source, [""])

    def _commit(self, entry: dict[str, Any]) -> None:
        self._git("add", "--all")
        self._git("commit", "--quiet", "--allow-empty", "--file=-", text=entry["message"], entry=entry)

    def _tag(self, entry: dict[str, Any]) -> None:
        if entry["annotated"]:
            self._git("tag", "--annotate", "--file=-", entry["tag"], text=entry["tag_message"], entry=entry)
        else:
            self._git("tag", entry["tag"], entry=entry)

    def _git(self, *arguments: str, text: str = "", entry: dict[str, Any] | None = None) -> None:
        """Runs git on the new repository, out of reach of the user's configuration and hooks."""
        environment = {name: value for name, value in os.environ.items() if not name.startswith("GIT_")}
        environment |= {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_NOSYSTEM": "1", "LC_ALL": "C"}
        if entry is not None:
            person = self._history["people"][entry["author"]]
            for role in ("AUTHOR", "COMMITTER"):
                environment[f"GIT_{role}_NAME"] = person["name"]
                environment[f"GIT_{role}_EMAIL"] = person["email"]
                environment[f"GIT_{role}_DATE"] = entry["date"]
        fixed = ("-c", "core.autocrlf=false", "-c", "core.hooksPath=" + os.devnull, "-c", "gc.auto=0")
        try:
            subprocess.run(
                ["git", *fixed, *arguments],
                cwd=self._folder,
                env=environment,
                input=text.encode(),
                check=True,
                capture_output=True,
            )
        except FileNotFoundError:
            raise UsageFault("git is not installed, and the demo is a git repository. Install git.") from None
        except subprocess.CalledProcessError as error:
            reason = error.stderr.decode(errors="replace").strip()
            raise UsageFault(f"git could not build the demo: {reason}") from None
