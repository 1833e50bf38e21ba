"""``python -m tests.campaign --pairs 500 --sizes 0,100,1000 --seed 1 --jobs 2``."""

from __future__ import annotations

import argparse
from pathlib import Path

from tests.campaign.mutations import BOARD_MUTATIONS
from tests.campaign.run import Job, jobs, large, run, table


def main() -> None:
    parser = argparse.ArgumentParser(description="Measure the comparison on seeded pairs with known truth.")
    parser.add_argument("--pairs", type=int, default=100, help="pairs of each size")
    parser.add_argument("--sizes", default="0,100,1000", help="parts of a board; 0: stacks of small boards")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1, help="processes")
    parser.add_argument("--only", default="", help="one mutation only, by name")
    parser.add_argument("--mixed", type=int, default=0, help="pairs with so many mutations each only")
    parser.add_argument("--large", action="store_true", help="the fixed run: 20 boards of 5,000 and 4 of 20,000 parts")
    parser.add_argument("--notes", type=Path, help="write what went wrong to this file")
    given = parser.parse_args()
    sizes = [int(size) for size in given.sizes.split(",")]
    work = [job for size in sizes for job in jobs(given.pairs, given.seed, size)]
    if given.large:
        work = list(large(given.seed))
    elif given.only or given.mixed:
        if given.only:
            sizes = [size for size in sizes if bool(size) == (given.only in BOARD_MUTATIONS)]
        sort = "single" if given.only else "mixed"
        work = [
            Job(sort, f"{given.seed}/{index}", size, given.only, given.mixed or 1)
            for size in sizes
            for index in range(given.pairs)
        ]
    lines = run(work, given.jobs)
    print(table(lines))
    if given.notes:
        given.notes.write_text(
            "\n".join(note for line in lines.values() if not line.name.startswith(" ") for note in line.notes) + "\n"
        )


if __name__ == "__main__":
    main()
