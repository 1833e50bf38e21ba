"""``python -m tests.campaign --pairs 5000 --seed 1``."""

from __future__ import annotations

import argparse
from pathlib import Path

from tests.campaign.run import jobs, run, table


def main() -> None:
    parser = argparse.ArgumentParser(description="Measure the comparison on seeded pairs with known truth.")
    parser.add_argument("--pairs", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="", help="one mutation only, by name")
    parser.add_argument("--notes", type=Path, help="write what went wrong to this file")
    given = parser.parse_args()
    work = list(jobs(given.pairs, given.seed))
    if given.only:
        work = [("single", f"{given.seed}/{index}", given.only, 1) for index in range(given.pairs)]
    lines = run(work)
    print(table(lines))
    if given.notes:
        given.notes.write_text(
            "\n".join(note for line in lines.values() if not line.name.startswith(" ") for note in line.notes)
        )


if __name__ == "__main__":
    main()
