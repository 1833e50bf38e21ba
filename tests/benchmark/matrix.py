"""How the time of ``revdiff matrix`` grows: with distinct faces of boards, not with pairs of tags.

    python -m tests.benchmark.matrix [--tags 100]

Makes repositories of three boards and a number of tags. In one, all tags have one face (prices differ); in others the
face changes so many times. Prints milliseconds of the whole process, and of reading the tags alone; asserts nothing.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from tests.stack.support import THREE


def fast_import(tags: int, faces: int) -> Iterator[bytes]:
    """A stream of commits and tags: each tag another comment in the manifest, its face one of so many."""
    for number in range(tags):
        face = number * faces // tags
        files = {name: text.replace("GND,ground,,,", f"GND,ground,,0.{100 + face} A,") for name, text in THREE.items()}
        files["revdiff.toml"] = files["revdiff.toml"].replace('name = "three"', f'name = "three"\nbuild = "{number}"')
        yield b"commit refs/heads/main\ncommitter b <b@example.org> %d +0000\ndata 1\nx\n" % (1_700_000_000 + number)
        for name, text in files.items():
            data = text.encode()
            yield b"M 100644 inline %s\ndata %d\n%s\n" % (name.encode(), len(data), data)
        yield b"reset refs/tags/rev-%d\nfrom refs/heads/main\n\n" % number


def make(folder: Path, tags: int, faces: int) -> Path:
    folder.mkdir()
    environment = {**os.environ, "GIT_CONFIG_GLOBAL": os.devnull}
    subprocess.run(["git", "init", "--quiet"], cwd=folder, check=True, env=environment)
    subprocess.run(
        ["git", "fast-import", "--quiet"],
        cwd=folder,
        input=b"".join(fast_import(tags, faces)),
        check=True,
        env=environment,
    )
    return folder


def milliseconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return (time.perf_counter() - start) * 1000


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--tags", type=int, default=100)
    wanted = parser.parse_args()
    script = str(Path(sys.executable).with_name("revdiff"))
    with tempfile.TemporaryDirectory() as scratch:
        print(f"{wanted.tags} tags of three boards, {wanted.tags**2} pairs of tags for each pair of boards:")
        for tags, faces in ((wanted.tags // 10, 1), (wanted.tags, 1), (wanted.tags, 5), (wanted.tags, 20)):
            folder = make(Path(scratch) / f"{tags}-{faces}", tags, faces)

            def run(place: Path = folder) -> object:
                command = [script, "matrix", "--repo", str(place), "--format", "json"]
                return subprocess.run(command, check=True, capture_output=True)

            def read(place: Path = folder, count: int = tags) -> object:
                from revdiff.app.boards import Boards, Partners

                boards = Boards(Partners(place))
                return [boards.design(place, f"rev-{number}") for number in range(count)]

            whole, alone = milliseconds(run), milliseconds(read)
            print(f"  {tags:4} tags, {faces:3} faces of each board: {whole:7.0f} ms; reading alone {alone:6.0f} ms")


if __name__ == "__main__":
    main()
