"""Whole-process time of ``revdiff compare`` and ``--help`` against floors measured in the same run.

    python -m tests.benchmark.floor [--sizes 200 1000 5000 20000] [--runs 5] [--limit 120]

The floor of ``compare``: start Python, read the same files of both revisions out of git through GitPython,
parse them with ``csv``, make a dict of the parts with ranges expanded, compare, print a count. The floor of
``--help``: ``python -c pass``. The designs have rows of tens to hundreds of equal parts. "Changed": one part in a
hundred changed and two blocks of up to 200 renumbered; "with overlap": onto numbers that were in use. Prints medians
and ratios, by the clock and of processor time, which other work on the machine touches less; asserts nothing, since
machines differ. A process that needs more than ``--limit`` seconds is ended and
counts as that.
"""

from __future__ import annotations

import argparse
import compileall
import contextlib
import math
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from random import Random

import revdiff
from tests.benchmark.designs import Tables, annotated_anew, make_tables, one_percent, two_blocks

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
    for path in ("parts.csv", "pins.csv", "contacts.csv"):
        text = (tree / path).data_stream.read().decode()
        for row in csv.DictReader(io.StringIO(text)):
            if path == "parts.csv":
                for ref in expand(row["Designator"]):
                    parts[ref] = row
            else:
                parts[tuple(row.values())[:2]] = row
    return parts
old, new = read("old"), read("new")
print(sum(1 for key in {*old, *new} if old.get(key) != new.get(key)))
repo.close()
"""
# Peak memory of one process in KiB: of a child of a small process, as wait() counts what was there before exec, too.
PEAK = """
import resource, subprocess, sys
subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, check=True)
print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
"""

UNCHANGED, CHANGED, OVERLAP, ANEW = "unchanged", "changed", "changed, with overlap", "annotated anew"
# Times the floor that each pair may take; None where another line of the report has the aim.
AIMS: Mapping[tuple[str, int], float] = {
    (UNCHANGED, 5_000): 2.0,
    (UNCHANGED, 20_000): 2.0,
    (CHANGED, 5_000): 2.5,
    (CHANGED, 20_000): 3.0,
    (OVERLAP, 5_000): 2.5,
    (OVERLAP, 20_000): 3.0,
}
_SEED = 1
_SMALLEST = 20


def second(tables: Tables, pair: str) -> Tables:
    """The second revision of a pair."""
    if pair == UNCHANGED:
        return tables
    if pair == ANEW:
        return annotated_anew(tables, _SEED)
    changed, _ = one_percent(tables, _SEED)
    return two_blocks(changed, overlap=pair == OVERLAP)


def make_repository(folder: Path, old: Tables, new: Tables) -> None:
    """A repository with tags ``old`` and ``new``; the rows of the tables are in another order in each."""
    environment = {**os.environ, "GIT_CONFIG_GLOBAL": os.devnull}
    for role in ("AUTHOR", "COMMITTER"):
        environment |= {f"GIT_{role}_NAME": "bench", f"GIT_{role}_EMAIL": "bench@example.org"}

    def git(*arguments: str) -> None:
        subprocess.run(["git", *arguments], cwd=folder, check=True, env=environment, capture_output=True)

    folder.mkdir(parents=True)
    git("init", "--quiet")
    for tag, tables in (("old", old), ("new", new)):
        for name, data in tables.files(Random(tag)).items():
            (folder / name).write_bytes(data)
        git("add", "--all")
        git("commit", "--quiet", "--message", tag)
        git("tag", tag)
    git("gc", "--quiet")


@dataclass(frozen=True)
class Spent:
    """Median milliseconds of a whole process, by the clock and of processor time."""

    clock: float
    processor: float


class Clock:
    """Runs commands as whole processes."""

    def __init__(self, runs: int, limit: float) -> None:
        self._runs = runs
        self._limit = limit

    def medians(self, commands: Mapping[str, list[str]]) -> dict[str, Spent]:
        """What each command takes; they take turns, so that drift touches all alike. The first turn is not counted.

        Raises CalledProcessError where one fails.
        """
        runs: dict[str, list[Spent]] = {name: [] for name in commands}
        for turn in range(self._runs + 1):
            for name, command in commands.items():
                if any(item.clock >= self._limit * 1000 for item in runs[name]):
                    continue
                spent = self._once(command)
                if turn or spent.clock >= self._limit * 1000:
                    runs[name].append(spent)
        return {
            name: Spent(*(statistics.median(getattr(item, key) for item in found) for key in ("clock", "processor")))
            for name, found in runs.items()
        }

    def _once(self, command: list[str]) -> Spent:
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        start = time.perf_counter()
        with contextlib.suppress(subprocess.TimeoutExpired):
            subprocess.run(command, check=True, capture_output=True, timeout=self._limit)
        clock = time.perf_counter() - start
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        processor = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        return Spent(clock * 1000, processor * 1000)

    def peak(self, command: list[str]) -> float:
        """Peak memory in MiB; not a number where the command takes too long."""
        try:
            told = subprocess.run(
                [sys.executable, "-c", PEAK, *command], check=True, capture_output=True, text=True, timeout=self._limit
            )
        except subprocess.TimeoutExpired:
            return math.nan
        return int(told.stdout) / 1024


def exponent(times: Mapping[int, float], least: float) -> float:
    """The slope of log time over log parts, by least squares, of what a process takes beyond the smallest design's."""
    points = [(math.log(size), math.log(spent - least)) for size, spent in times.items() if spent > least]
    if len(points) < 2:
        return math.nan
    return statistics.linear_regression(*zip(*points, strict=True)).slope


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--sizes", type=int, nargs="+", default=[200, 1_000, 5_000, 20_000])
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--limit", type=float, default=120, help="seconds after which a process is ended")
    wanted = parser.parse_args()
    script = str(Path(sys.executable).with_name("revdiff"))
    # An installed package has its byte code, whatever this environment says about writing it.
    compileall.compile_dir(str(Path(revdiff.__file__).parent), quiet=2)
    clock = Clock(wanted.runs, wanted.limit)
    helps = clock.medians({"pass": [sys.executable, "-c", "pass"], "help": [script, "--help"]})
    print(f"Medians of {wanted.runs} runs, milliseconds; ratios within the run, by the clock and of processor time.\n")
    print(f"--help / python -c pass: {_ratio(helps['help'], helps['pass'])} (aim 4)\n")
    print(f"{'pair':24}{'parts':>8}{'floor':>9}{'revdiff':>10}{'ratio':>8}{'proc.':>8}{'aim':>6}{'peak MiB':>10}")
    spent: dict[str, dict[int, Spent]] = {}
    with tempfile.TemporaryDirectory() as scratch:
        floor = Path(scratch) / "floor.py"
        floor.write_text(FLOOR)
        for size in (_SMALLEST, *wanted.sizes):
            old = make_tables(size, _SEED)
            for pair in (UNCHANGED, CHANGED, OVERLAP, ANEW):
                folder = Path(scratch) / f"{pair}-{size}"
                make_repository(folder, old, second(old, pair))
                compare = [script, "compare", "old", "new", "--repo", str(folder)]
                found = clock.medians({"floor": [sys.executable, str(floor), str(folder)], "revdiff": compare})
                spent.setdefault(pair, {})[size] = found["revdiff"]
                if size != _SMALLEST:
                    print(_line(pair, size, found["floor"], found["revdiff"], clock.peak(compare)), flush=True)
    print()
    for pair, times in spent.items():
        growth = exponent({size: times[size].processor for size in wanted.sizes}, times[_SMALLEST].processor)
        print(f"{pair}: processor time beyond that of {_SMALLEST} parts grows as parts to the {growth:.2f} (aim 1.15)")
    for size in wanted.sizes:
        print(
            f"{size:,} parts, annotated anew / unchanged: {_ratio(spent[ANEW][size], spent[UNCHANGED][size])} (aim 2)"
        )


def _ratio(one: Spent, two: Spent) -> str:
    return f"{one.clock / two.clock:.2f} by the clock, {one.processor / two.processor:.2f} of processor time"


def _line(pair: str, size: int, floor: Spent, ours: Spent, peak: float) -> str:
    ratios = f"{ours.clock / floor.clock:8.2f}{ours.processor / floor.processor:8.2f}"
    return f"{pair:24}{size:8,}{floor.clock:9.0f}{ours.clock:10.0f}{ratios}{AIMS.get((pair, size), ''):>6}{peak:10.0f}"


if __name__ == "__main__":
    main()
