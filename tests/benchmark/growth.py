"""How time and memory grow with the design, and what general-purpose libraries make of the same files.

    python -m tests.benchmark.growth [--sizes 200 1000 5000 20000] [--repeat 3] [--peers PYTHON]

``--peers``: a Python that has deepdiff, csv-diff, dictdiffer, jsondiff and pandas; without it they are left out. Every
figure is a whole fresh process that reads both revisions from plain files and compares them. The libraries get the
most favourable input there is: records already expanded and keyed by designator. Scored is what is stated: the right
part and the right column is a true change; an entry that carries no true change is false.
"""

from __future__ import annotations

import argparse
import csv
import json
import math
import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

from tests.benchmark.designs import Change, Tables, annotated_anew, make_tables, one_percent

Entry = tuple[str, str]  # designator, column
Keyed = dict[str, dict[str, str]]

SCENARIOS = ("unchanged", "1 % changed", "annotated anew", "1 % changed, annotated anew")
_SEED = 1


# the tools, each in a process of its own


def _keyed(folder: Path) -> Keyed:
    with (folder / "parts.csv").open(newline="") as file:
        return {
            ref: {name: text for name, text in row.items() if name not in ("Designator", "Quantity")}
            for row in csv.DictReader(file)
            for ref in row["Designator"].split(", ")
        }


def _revdiff(old: Path, new: Path) -> list[Entry]:
    from revdiff.compare.comparison import compare_designs
    from revdiff.readers.loader import Loader
    from revdiff.sources.open import open_revision

    loader = Loader()
    designs = [loader.load(open_revision(f"folder:{path}", repository=path)) for path in (old, new)]
    columns = {"value": "Value", "cost": "Cost", "part_number": "Part number", "package": "Package"}
    return [
        (ref, columns.get(item.name, item.name))
        for change in compare_designs(*designs).changes
        for _, ref in (change.pairs if change.kind != "part.renumbered" else ())
        for item in change.fields or ()
    ]


def _rows_of(entries: Iterable[Entry], old: Keyed, new: Keyed) -> list[Entry]:
    """Entries of whole records that came or went: one each."""
    return [*entries, *((ref, "") for ref in old.keys() ^ new.keys())]


def _deepdiff(old: Path, new: Path) -> list[Entry]:
    from deepdiff.diff import DeepDiff

    one, two = _keyed(old), _keyed(new)
    found = DeepDiff(one, two, view="tree")
    paths = [item.path(output_format="list") for item in found.get("values_changed", ())]
    return _rows_of(((path[0], path[1]) for path in paths), one, two)


def _csv_diff(old: Path, new: Path) -> list[Entry]:
    from csv_diff import compare  # type: ignore[import-not-found]

    one, two = _keyed(old), _keyed(new)
    found = compare(one, two)
    return _rows_of(((item["key"], name) for item in found["changed"] for name in item["changes"]), one, two)


def _dictdiffer(old: Path, new: Path) -> list[Entry]:
    import dictdiffer  # type: ignore[import-not-found]

    one, two = _keyed(old), _keyed(new)
    changed = [item[1] for item in dictdiffer.diff(one, two, dot_notation=False) if item[0] == "change"]
    return _rows_of(((path[0], path[1]) for path in changed), one, two)


def _jsondiff(old: Path, new: Path) -> list[Entry]:
    import jsondiff  # type: ignore[import-not-found]

    one, two = _keyed(old), _keyed(new)
    found: dict[Any, Any] = jsondiff.diff(one, two)
    changed = [(ref, name) for ref, names in found.items() if ref in one and ref in two for name in names]
    return _rows_of(changed, one, two)


def _pandas(old: Path, new: Path) -> list[Entry]:
    import pandas  # type: ignore[import-untyped]

    one, two = _keyed(old), _keyed(new)
    shared = sorted(one.keys() & two.keys())
    frames = [pandas.DataFrame.from_dict(item, orient="index").loc[shared] for item in (one, two)]
    found = frames[0].compare(frames[1])
    changed = [
        (ref, name)
        for name in dict.fromkeys(found.columns.get_level_values(0))
        for ref in found.index[found[name]["self"].notna() | found[name]["other"].notna()]
    ]
    return _rows_of(changed, one, two)


TOOLS: dict[str, Callable[[Path, Path], list[Entry]]] = {
    "revdiff": _revdiff,
    "deepdiff, keyed": _deepdiff,
    "csv-diff, keyed": _csv_diff,
    "dictdiffer, keyed": _dictdiffer,
    "jsondiff, keyed": _jsondiff,
    "pandas, compare": _pandas,
}


# measuring


@dataclass(frozen=True)
class Figure:
    """One tool on one pair: median seconds of the whole process and of the work inside, peak MiB, what it told."""

    tool: str
    size: int
    scenario: str
    seconds: float
    inside: float
    peak: float
    true: int
    truths: int
    false: int


def _pair(size: int, scenario: str) -> tuple[Tables, Tables, tuple[Change, ...]]:
    old = make_tables(size, _SEED)
    new, changes = one_percent(old, _SEED) if "1 %" in scenario else (old, ())
    if "annotated anew" not in scenario:
        return old, new, changes
    renamed = annotated_anew(new, _SEED)
    names = {row[0]: other[0] for row, other in zip(new.parts, renamed.parts, strict=True)}
    return old, renamed, tuple(Change(names[item.ref], item.column, item.text) for item in changes)


def _write(folder: Path, tables: Tables, seed: int) -> None:
    folder.mkdir()
    for name, data in tables.files(Random(seed)).items():
        (folder / name).write_bytes(data)


def measure(tool: str, python: str, size: int, scenario: str, repeat: int) -> Figure:
    """Runs one tool on one pair. Raises CalledProcessError where it fails."""
    old, new, changes = _pair(size, scenario)
    with tempfile.TemporaryDirectory() as folder:
        paths = [Path(folder, "old"), Path(folder, "new")]
        for index, (path, tables) in enumerate(zip(paths, (old, new), strict=True)):
            _write(path, tables, index)
        runs = [
            _run([python, "-m", "tests.benchmark.growth", "--child", tool, *map(str, paths)]) for _ in range(repeat)
        ]
    entries = {(ref, name) for ref, name in runs[0][3]}
    truths = {(item.ref, item.column) for item in changes}
    return Figure(
        tool,
        size,
        scenario,
        statistics.median(item[0] for item in runs),
        statistics.median(item[1] for item in runs),
        max(item[2] for item in runs),
        len(truths & entries),
        len(truths),
        len(entries - truths),
    )


def _run(command: list[str]) -> tuple[float, float, float, list[Entry]]:
    start = time.perf_counter()
    text = subprocess.run(command, stdout=subprocess.PIPE, text=True, check=True).stdout
    seconds = time.perf_counter() - start
    told = json.loads(text)
    return seconds, told["inside"], told["peak"], [tuple(item) for item in told["entries"]]


def _child(tool: str, old: Path, new: Path) -> None:
    """The work itself, in its own process; what it imports is not counted as work inside."""
    with tempfile.TemporaryDirectory() as folder:
        tiny = make_tables(20, _SEED)
        for name in ("old", "new"):
            _write(Path(folder, name), tiny, _SEED)
        TOOLS[tool](Path(folder, "old"), Path(folder, "new"))
    start = time.perf_counter()
    entries = TOOLS[tool](old, new)
    inside = time.perf_counter() - start
    print(json.dumps({"inside": inside, "peak": _peak(), "entries": entries}))


def _peak() -> float:
    """Peak memory of this process in MiB. The kernel's own count; what wait() tells includes the parent's."""
    found = re.search(r"VmHWM:\s*(\d+) kB", Path("/proc/self/status").read_text())
    return int(found[1]) / 1024 if found else math.nan


def exponent(figures: Iterable[Figure]) -> float:
    """The slope of log seconds over log parts, by least squares; of the work inside, since starting up doesn't grow."""
    points = [(math.log(item.size), math.log(item.inside)) for item in figures]
    if len(points) < 2:
        return math.nan
    return statistics.linear_regression(*zip(*points, strict=True)).slope


def report(figures: list[Figure], sizes: list[int]) -> str:
    """The tables: time, memory and growth by scenario, and what was told."""
    lines = []
    for scenario in SCENARIOS:
        lines += ["", scenario, "  tool                seconds at " + ", ".join(map(str, sizes))]
        for tool in TOOLS:
            own = [item for item in figures if (item.tool, item.scenario) == (tool, scenario)]
            if not own:
                continue
            times = "  ".join(f"{item.seconds:7.3f}" for item in own)
            last = own[-1]
            told = "  ".join(f"{item.true}/{item.truths}+{item.false}" for item in own)
            growth = f"exponent {exponent(own):.2f}  peak {last.peak:.0f} MiB"
            lines.append(f"  {tool:18}  {times}  {growth}  true/all + false: {told}")
    ours = {(item.size, item.scenario): item for item in figures if item.tool == "revdiff"}
    lines.append("")
    for size in sizes:
        still, anew = ours[size, "unchanged"], ours[size, "annotated anew"]
        lines.append(
            f"{size} parts annotated anew against unchanged: {anew.seconds / still.seconds:.2f} times the "
            f"whole process, {anew.inside / still.inside:.2f} times the work inside"
        )
    return "\n".join(lines)


def main() -> None:
    parser = argparse.ArgumentParser(description="Measure how time and memory grow with the design.")
    parser.add_argument("--sizes", type=int, nargs="+", default=[200, 1_000, 5_000, 20_000])
    parser.add_argument("--repeat", type=int, default=3)
    parser.add_argument("--peers", default="", help="a Python with the general-purpose libraries")
    parser.add_argument("--child", nargs=3, metavar=("TOOL", "OLD", "NEW"), help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.child:
        tool, old, new = given.child
        _child(tool, Path(old), Path(new))
        return
    peers = [name for name in TOOLS if name != "revdiff"] if given.peers else []
    tools = {"revdiff": sys.executable, **dict.fromkeys(peers, given.peers)}
    figures = [
        measure(tool, python, size, scenario, given.repeat)
        for scenario in SCENARIOS
        for tool, python in tools.items()
        for size in given.sizes
    ]
    print(report(figures, given.sizes))


if __name__ == "__main__":
    main()
