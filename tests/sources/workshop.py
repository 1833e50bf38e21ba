"""Real git repositories for the tests, the same on every machine."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

_ENVIRONMENT = {
    "GIT_AUTHOR_NAME": "A. Author",
    "GIT_AUTHOR_EMAIL": "author@example.org",
    "GIT_AUTHOR_DATE": "2024-03-01T10:00:00+0100",
    "GIT_COMMITTER_NAME": "C. Committer",
    "GIT_COMMITTER_EMAIL": "committer@example.org",
    "GIT_COMMITTER_DATE": "2024-03-02T12:30:00-0500",
    "GIT_CONFIG_GLOBAL": os.devnull,
    "GIT_CONFIG_NOSYSTEM": "1",
}


class Workshop:
    """A repository under construction: write files, commit, tag, run git."""

    def __init__(self, root: Path, *options: str) -> None:
        self.root = root
        self.environment = dict(_ENVIRONMENT)
        root.mkdir(parents=True, exist_ok=True)
        self.git("init", "--quiet", "--initial-branch=main", *options)

    def git(self, *words: str, stdin: bytes = b"") -> str:
        settings = ("-c", "commit.gpgsign=false", "-c", "core.autocrlf=false")
        done = subprocess.run(
            ["git", *settings, *words],
            cwd=self.root,
            input=stdin,
            capture_output=True,
            env={**os.environ, **self.environment},
            check=False,
        )
        assert done.returncode == 0, done.stderr.decode()
        return done.stdout.decode().strip()

    def write(self, path: str, data: bytes) -> Path:
        file = self.root / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(data)
        return file

    def commit(self, files: dict[str, bytes], message: str = "change") -> str:
        for path, data in files.items():
            self.write(path, data)
        self.git("add", "--all", "--force")
        self.git("commit", "--quiet", "--allow-empty", "--message", message)
        return self.git("rev-parse", "HEAD")

    def tag(self, name: str, id: str = "HEAD") -> None:
        """Make a lightweight tag of any name and of any object, those that git itself would refuse too."""
        self.write(f".git/refs/tags/{name}", f"{self.git('rev-parse', id)}\n".encode())

    def object(self, type: str, data: bytes) -> str:
        """Store an object as it stands, however wrong."""
        return self.git("hash-object", "-t", type, "-w", "--stdin", "--literally", stdin=data)

    def commit_of(self, tree: str) -> str:
        return self.git("commit-tree", tree, "-m", "made")

    def stage(self, mode: str, id: str, path: str) -> None:
        self.git("update-index", "--add", "--cacheinfo", f"{mode},{id},{path}")

    def loose(self, id: str) -> Path:
        return self.root / ".git" / "objects" / id[:2] / id[2:]
