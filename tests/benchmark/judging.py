"""How the time of judging grows: with distinct facts, not with tags, pairs of tags or whole stacks.

    python -m tests.benchmark.judging [--tags 100] [--runs 3]

Designs are made and read before the clock starts; what is told is the least processor time of some runs, and its ratio
to another of the same run. Asserts nothing.
"""

from __future__ import annotations

import argparse
import gc
import time
from collections.abc import Callable, Mapping
from functools import partial

from revdiff.compare.comparison import compare_designs
from revdiff.design import Design
from revdiff.judge import Member, judge_change, judge_stack, member
from revdiff.judge.firmware_matrix import firmware_matrix
from revdiff.judge.matrix import build_matrix
from tests.judge.support import c, design
from tests.stack.support import THREE
from tests.support import SMALL, edit, load


def seconds(prepared: Callable[[], Callable[[], object]], runs: int) -> float:
    """The least processor time of some runs, each on designs of its own: nothing is known from the run before."""
    found = []
    for _ in range(runs):
        work = prepared()
        gc.collect()
        start = time.process_time()
        work()
        found.append(time.process_time() - start)
    return min(found)


def faced(tags: int, faces: int) -> list[tuple[str, Design]]:
    """Three boards at so many tags: each tag another build, the face of all boards one of so many."""
    found = []
    for number in range(tags):
        face = number * faces // tags
        files = {name: text.replace("GND,ground,,,", f"GND,ground,,0.{100 + face} A,") for name, text in THREE.items()}
        files["revdiff.toml"] = files["revdiff.toml"].replace('name = "three"', f'name = "three"\nbuild = "{number}"')
        found.append((f"r{number}", load(files)))
    return found


def released(tags: int, faces: int) -> list[tuple[str, Design]]:
    """A board with firmware at so many tags, its pin map one of so many."""
    found = []
    for number in range(tags):
        pull = f"up {number * faces // tags + 1}k"
        files = edit(SMALL, ("base/pins.csv", "UART1_RX,in,,up,", f"UART1_RX,in,,{pull},"))
        found.append((f"r{number}", load(files)))
    return found


def matrix(tags: int, faces: int) -> Callable[[], object]:
    """All pairs and whole stacks."""
    designs = faced(tags, faces)
    names = dict.fromkeys(name for _, one in designs for name in one.boards)
    boards = {name: [member(one, name, tag) for tag, one in designs] for name in names}
    return lambda: build_matrix(boards)


def firmware(tags: int, faces: int) -> Callable[[], object]:
    """Every release on every revision of its board."""
    return partial(firmware_matrix, released(tags, faces))


def star(boards: int, variants: int) -> Callable[[], object]:
    """So many boards on one connector of the first, each in so many variants that all fit."""
    listed = []
    for number in range(variants):
        rows = (c("GND", "ground"), c("DATA", "bidirectional", "3.3 V", pull=f"up {number + 50}k"), c("+5V", "", "5 V"))
        listed.append(design({f"b{index}": rows for index in range(boards)}))
    members: Mapping[str, list[Member]] = {
        f"b{index}": [member(one, f"b{index}", f"r{number}") for number, one in enumerate(listed)]
        for index in range(boards)
    }
    return lambda: build_matrix(members)


def revisions() -> tuple[Design, Design]:
    """The small design, before and after its supply rose."""
    return load(SMALL), load(edit(SMALL, ("base/contacts.csv", "+5V,supply,5 V", "+5V,supply,12 V")))


def changing() -> Callable[[], object]:
    comparison = compare_designs(*revisions())
    return lambda: judge_change(comparison, "a", "b").findings


def stacking() -> Callable[[], object]:
    old, _ = revisions()
    return lambda: judge_stack([member(old, name, "a") for name in old.boards])


def comparing() -> Callable[[], object]:
    return partial(compare_designs, *revisions())


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--tags", type=int, default=100)
    parser.add_argument("--runs", type=int, default=3)
    wanted = parser.parse_args()
    tags, runs = wanted.tags, wanted.runs
    few = tags // 5
    for title, work in (("matrix of three boards", matrix), ("matrix of firmware", firmware)):
        print(f"{title}: processor time, and as a ratio to that of {few} tags with as many faces")
        for faces in (1, 5, 20):
            one, other = (seconds(partial(work, number, faces), runs) for number in (few, tags))
            print(f"  {tags:4} tags, {faces:3} faces: {other * 1000:8.1f} ms, × {other / one:.2f}")
    pair = seconds(partial(star, 2, 6), runs)
    for boards in (3, 5, 8):
        spent = seconds(partial(star, boards, 6), 1)
        stacks = f"{boards} boards of 6 variants, {6**boards} stacks"
        print(f"{stacks}: {spent * 1000:8.1f} ms, × {spent / pair:.1f} of 2 boards")
    change, stack, compared = (seconds(work, runs) for work in (changing, stacking, comparing))
    print(
        f"a change of the small design: × {change / stack:.1f} of one stack, × {change / compared:.1f} of comparing it"
    )


if __name__ == "__main__":
    main()
