"""Whole-process time of ``revdiff compare`` and ``--help`` against floors measured in the same run.

    python -m tests.benchmark.floor [--parts 5000] [--runs 11]

The floor of ``compare``: start Python, read the same files of both revisions out of git through GitPython,
parse them with ``csv``, make a dict of the parts with ranges expanded, compare, print a count. The floor of
``--help``: ``python -c pass``. Prints medians and ratios; asserts nothing, since machines differ.
"""

from __future__ import annotations

import argparse
import compileall
import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import revdiff

FLOOR = """
import csv, io, re, sys
import git
repo = git.Repo(sys.argv[1])
RANGE = re.compile(r"([A-Z]+)(\\d+)-[A-Z]*(\\d+)")
def expand(text):
    for item in text.replace(",", " ").split():
        found = RANGE.fullmatch(item)
        if found:
            for number in range(int(found[2]), int(found[3]) + 1):
                yield f"{found[1]}{number}"
        else:
            yield item
def read(tag):
    tree = repo.tags[tag].commit.tree
    parts = {}
    for path in ("board/parts.csv", "board/pins.csv", "board/contacts.csv"):
        text = (tree / path).data_stream.read().decode()
        for row in csv.DictReader(io.StringIO(text)):
            if path.endswith("parts.csv"):
                for ref in expand(row["Designator"]):
                    parts[ref] = row
            else:
                parts[tuple(row.values())[:2]] = row
    return parts
old, new = read("old"), read("new")
print(sum(1 for key in {*old, *new} if old.get(key) != new.get(key)))
repo.close()
"""

MANIFEST = """\
[design]
name = "bench"
[boards.board]
parts = { file = "board/parts.csv", package_code = "inch" }
pins = "board/pins.csv"
contacts = "board/contacts.csv"
"""

_VALUES = ("10k", "4k7", "1k", "100", "22k", "47k", "2k2", "330", "1M", "0R")


def make_repository(folder: Path, parts: int, seed: int = 1) -> None:
    """A repository with tags ``old`` and ``new``: ``parts`` parts in grouped rows, one in a hundred changed."""
    draw = random.Random(seed)
    rows = []
    number = 1
    while number <= parts:
        size = min(draw.choice((1, 2, 4, 8, 12)), parts - number + 1)
        rows.append((number, size, draw.choice(_VALUES), draw.choice(("0402", "0603", "0805"))))
        number += size

    def table(changed: frozenset[int]) -> str:
        lines = ["Designator,Quantity,Value,Package,Manufacturer,Part number,Tolerance,Description"]
        for index, (first, size, value, package) in enumerate(rows):
            refs = f"R{first}" if size == 1 else f"R{first}-R{first + size - 1}"
            text = "82k" if index in changed else value
            lines.append(f"{refs},{size},{text},{package},Maker {index % 9},PN-{package}-{text},1%,resistor {index}")
        return "\n".join(lines) + "\n"

    pins = ["Device,Pin,Port,Signal,Function,Direction"]
    pins += [f"U{1 + i // 100},{1 + i % 100},P{i},NET{i},GPIO,out" for i in range(parts // 10)]
    contacts = ["Connector,Contact,Signal,Direction,Level"]
    contacts += [f"J{1 + i // 40},{1 + i % 40},NET{i},out,3.3 V" for i in range(parts // 20)]
    changed = frozenset(draw.sample(range(len(rows)), max(1, len(rows) // 100)))
    environment = {**os.environ, "GIT_CONFIG_GLOBAL": os.devnull}
    for role in ("AUTHOR", "COMMITTER"):
        environment |= {f"GIT_{role}_NAME": "bench", f"GIT_{role}_EMAIL": "bench@example.org"}

    def git(*arguments: str) -> None:
        subprocess.run(["git", *arguments], cwd=folder, check=True, env=environment, capture_output=True)

    (folder / "board").mkdir(parents=True)
    git("init", "--quiet")
    for tag, which in (("old", frozenset[int]()), ("new", changed)):
        (folder / "revdiff.toml").write_text(MANIFEST)
        (folder / "board/parts.csv").write_text(table(which))
        (folder / "board/pins.csv").write_text("\n".join(pins) + "\n")
        (folder / "board/contacts.csv").write_text("\n".join(contacts) + "\n")
        git("add", "--all")
        git("commit", "--quiet", "--message", tag)
        git("tag", tag)
    git("gc", "--quiet")


def alternate(commands: dict[str, list[str]], runs: int) -> dict[str, list[float]]:
    """Milliseconds of each run of each command, the commands taking turns so that drift touches all alike."""
    times: dict[str, list[float]] = {name: [] for name in commands}
    for turn in range(runs + 1):
        for name, command in commands.items():
            start = time.perf_counter()
            subprocess.run(command, check=True, capture_output=True)
            if turn:
                times[name].append((time.perf_counter() - start) * 1000)
    return times


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--parts", type=int, default=5_000)
    parser.add_argument("--runs", type=int, default=11)
    wanted = parser.parse_args()
    script = str(Path(sys.executable).with_name("revdiff"))
    # An installed package has its byte code, whatever this environment says about writing it.
    compileall.compile_dir(str(Path(revdiff.__file__).parent), quiet=2)
    with tempfile.TemporaryDirectory() as scratch:
        repository = Path(scratch) / "repository"
        make_repository(repository, wanted.parts)
        floor = Path(scratch) / "floor.py"
        floor.write_text(FLOOR)
        compare = [script, "compare", "old", "new", "--repo", str(repository)]
        times = alternate(
            {
                "python -c pass": [sys.executable, "-c", "pass"],
                "revdiff --help": [script, "--help"],
                "floor": [sys.executable, str(floor), str(repository)],
                "revdiff compare": compare,
                "revdiff compare --format json": [*compare, "--format", "json"],
            },
            wanted.runs,
        )
    medians = {name: statistics.median(items) for name, items in times.items()}
    print(f"{wanted.parts} parts, {wanted.runs} runs, milliseconds (least, median, most):")
    for name, items in times.items():
        print(f"  {name:<30} {min(items):7.0f} {medians[name]:7.0f} {max(items):7.0f}")
    print(f"--help / python -c pass: {medians['revdiff --help'] / medians['python -c pass']:.2f} (aim 4)")
    for name in ("revdiff compare", "revdiff compare --format json"):
        print(f"{name} / floor: {medians[name] / medians['floor']:.2f} (aim 2.5)")


if __name__ == "__main__":
    main()
