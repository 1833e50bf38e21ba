"""What netlists cost: the same boards read and compared with them and without, in processor time of one process.

``python -m tests.benchmark.nets --parts 1750``: both revisions have some 3.6 terminals for each part, and differ in
five events. The least of several runs counts, in seconds; what counts is the difference to the run without netlists.
Garbage is collected as rarely as the program has it.
"""

from __future__ import annotations

import argparse
import gc
import time
from collections.abc import Mapping
from random import Random

from revdiff.cli.main import RARELY
from revdiff.compare.comparison import compare_designs
from revdiff.readers.ipc356_record import read_record
from revdiff.readers.loader import Loader
from tests.campaign.nets import MUTATIONS, Pair, write
from tests.support import MemoryRevision

Files = Mapping[str, str | bytes]


def without(files: Files) -> Files:
    """The files without the netlist."""
    manifest = str(files["revdiff.toml"]).replace('netlist = "main.ipc"\n', "")
    return {name: data for name, data in files.items() if name != "main.ipc"} | {"revdiff.toml": manifest}


def run(old: Files, new: Files) -> tuple[float, float, int]:
    """Seconds of reading both, seconds of comparing, and the terminals of the newer one."""
    read_record.cache_clear()  # each run is of a new process
    started = time.process_time()
    loader = Loader()
    one, two = (loader.load(MemoryRevision(files, name)) for name, files in (("old", old), ("new", new)))
    read = time.process_time()
    compare_designs(one, two)
    return read - started, time.process_time() - read, len(two.boards["main"].nodes)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--parts", type=int, default=1750)
    parser.add_argument("--runs", type=int, default=7)
    given = parser.parse_args()
    gc.set_threshold(*RARELY)
    pair = Pair(Random(3), given.parts)
    for name in ("rewired", "opened", "exchanged", "split", "renamed"):
        MUTATIONS[name](pair)
    rng = Random(5)
    old, new = write(pair.old, "aliases", rng), write(pair.new, "aliases", rng)
    took, terminals = [], 0
    for title, both in (("with netlists", (old, new)), ("without", (without(old), without(new)))):
        runs = [run(*both) for _ in range(given.runs)]
        read, compared = (min(item[index] for item in runs) for index in (0, 1))
        took.append(read + compared)
        terminals = max(terminals, runs[0][2])
        print(f"{title:14} {runs[0][2]:6} terminals  read {read:.3f} s  compared {compared:.3f} s")
    print(f"more than without, for 6,000 terminals: {(took[0] - took[1]) * 6000 / terminals:.3f} s")


if __name__ == "__main__":
    main()
