"""The campaign of netlists: ``python -m tests.campaign.run_nets --pairs 240 --parts 80 --seed 13``."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from random import Random

from revdiff.compare.comparison import compare_designs
from tests.campaign.nets import HABITS, MUTATIONS, Pair, Truth, make_pair, write
from tests.support import load


@dataclass(frozen=True)
class Told:
    """An entry as names: its kind, and the terminals, parts or nets that it names."""

    kind: str
    touched: frozenset[str]
    text: str


@dataclass
class Result:
    """Events done, found by one entry each, entries told, entries that tell nothing that was done."""

    pairs: int = 0
    events: int = 0
    found: int = 0
    told: int = 0
    false: int = 0
    notes: list[str] = field(default_factory=list)

    @property
    def recall(self) -> float:
        return self.found / self.events if self.events else 1.0

    @property
    def precision(self) -> float:
        return 1 - self.false / self.told if self.told else 1.0


def told_of(pair: Pair, seed: str) -> list[Told]:
    """Both boards written in the habits of two programs, read, and compared."""
    rng = Random(f"{seed}/files")
    old, new = (load(write(board, rng.choice(HABITS), rng)) for board in (pair.old, pair.new))
    return [
        Told(
            item.kind,
            # Of a name that a program cut, nobody can know the rest.
            frozenset(name[:14] for names in item.pairs for name in names if name),
            f"{item.kind} {item.subject}: {item.before} -> {item.after}",
        )
        for item in compare_designs(old, new).changes
    ]


def score(told: Sequence[Told], truth: Iterable[Truth], result: Result, title: str) -> None:
    """An event is found where one entry of its kind names what it touched, and nothing that no such event touched."""
    open_events = list(truth)
    result.pairs += 1
    result.events += len(open_events)
    result.told += len(told)
    for entry in told:
        mine = [item for item in open_events if entry.kind in item.kinds and item.touched <= entry.touched]
        if mine and frozenset().union(*(item.touched for item in mine)) == entry.touched:
            result.found += len(mine)
            open_events = [item for item in open_events if item not in mine]
        else:
            result.false += 1
            result.notes.append(f"{title}: told: {entry.text} {sorted(entry.touched)}")
    result.notes += [f"{title}: not told: {item.what} {sorted(item.touched)}" for item in open_events]


def run(pairs: int, parts: int, seed: int) -> dict[str, Result]:
    """A sixth neutral, a third with one event of each sort, half mixed with 2 to 12."""
    results: dict[str, Result] = {}
    names = list(MUTATIONS)
    for index in range(pairs):
        key, sort = f"{seed}/{parts}/{index}", index % 6
        if sort == 0:
            lines, pair = ("neutral",), make_pair(key, parts, count=0)
        elif sort < 3:
            name = names[(index // 6 * 2 + sort - 1) % len(names)]
            lines, pair = ("single", f"  {name}"), make_pair(key, parts, name)  # type: ignore[assignment]
        else:
            lines, pair = ("mixed",), make_pair(key, parts, count=2 + index // 6 % 11)
        told = told_of(pair, key)
        for line in lines:
            score(told, pair.truth, results.setdefault(line, Result()), key)
    return results


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--pairs", type=int, default=240)
    parser.add_argument("--parts", type=int, default=80)
    parser.add_argument("--seed", type=int, default=13)
    given = parser.parse_args()
    results = run(given.pairs, given.parts, given.seed)
    for name, item in sorted(results.items(), key=lambda pair: (pair[0].startswith(" "), pair[0])):
        figures = (
            f"{item.pairs:5} pairs {item.events:6} events {item.found:6} found {item.told:6} told {item.false:4} false"
        )
        print(f"{name:16}{figures}  recall {100 * item.recall:7.2f} %  precision {100 * item.precision:7.2f} %")
    for name in ("neutral", "single", "mixed"):
        print("\n".join(results[name].notes if name in results else ()))


if __name__ == "__main__":
    main()
