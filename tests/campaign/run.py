"""The campaign: pairs of every sort, scored, and the table of results."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace

from revdiff.compare.apply import apply_changes
from revdiff.compare.comparison import Comparison, compare_designs
from revdiff.compare.headers import aligned
from revdiff.design import Design
from revdiff.readers.loader import Loader
from revdiff.rules import judge
from tests.campaign.mutations import MUTATIONS, make_trial
from tests.campaign.score import Score, score
from tests.campaign.trial import Trial
from tests.campaign.writing import Writer


@dataclass
class Line:
    """One line of the table."""

    name: str
    pairs: int = 0
    events: int = 0
    found: int = 0
    equivalent: int = 0
    missed: int = 0
    wrong: int = 0
    told: int = 0
    right: int = 0
    false: int = 0
    misclassed: int = 0
    reproduced: int = 0
    breaking: int = 0
    flagged: int = 0
    notes: list[str] = field(default_factory=list)

    def add(self, seed: str, result: Score, reproduced: bool) -> None:
        self.pairs += 1
        self.events += len(result.found) + len(result.missed) + len(result.wrong)
        self.found += len(result.found)
        self.equivalent += len(result.equivalent)
        self.missed += len(result.missed)
        self.wrong += len(result.wrong)
        self.told += result.told
        self.right += result.right
        self.false += result.false
        self.misclassed += result.misclassed
        self.reproduced += reproduced
        self.notes += [f"{seed}: {note}" for note in result.notes]
        if not reproduced:
            self.notes.append(f"{seed}: the changes do not give the second revision")

    @property
    def recall(self) -> float:
        return self.found / self.events if self.events else 1.0

    @property
    def precision(self) -> float:
        return self.right / self.told if self.told else 1.0


def read_pair(trial: Trial, seed: str) -> tuple[Design, Design]:
    """Both revisions as files in two people's habits, read back."""
    loader = Loader()
    old = loader.load(Writer(f"{seed}/old").revision(trial.old, "old"))
    new = loader.load(Writer(f"{seed}/new").revision(trial.new, "new"))
    return old, new


def run_pair(trial: Trial, seed: str) -> tuple[Score, bool, Comparison]:
    """One pair compared, scored, and its changes applied to the first revision."""
    old, new = read_pair(trial, seed)
    comparison = compare_designs(old, new)
    reproduced = reproduces(comparison)
    return score(comparison, trial.truth(), reproduced), reproduced, comparison


def reproduces(comparison: Comparison) -> bool:
    """An added board is put beside: its tables are no part of a change."""
    added = [item for item in comparison.changes if item.kind == "board.added"]
    result = apply_changes([item for item in comparison.changes if item not in added], comparison.old)
    boards = {**result.boards, **{item.subject: comparison.new.boards[item.subject] for item in added}}
    result = replace(result, boards=boards)
    wanted = aligned(result, comparison.new)
    same = all(dict(getattr(result, name)) == dict(getattr(wanted, name)) for name in ("boards", "contracts"))
    return same and not compare_designs(result, comparison.new).changes


def jobs(pairs: int, seed: int) -> Iterator[tuple[str, str, str, int]]:
    """(line, seed of the pair, mutation, number of mutations): a fifth neutral, two fifths single, two fifths mixed."""
    names = list(MUTATIONS)
    for index in range(pairs):
        sort = index % 5
        key = f"{seed}/{index}"
        if sort == 0:
            yield "neutral", key, "", 0
        elif sort in (1, 2):
            yield "single", key, names[(index // 5 * 2 + sort - 1) % len(names)], 1
        else:
            yield "mixed", key, "", 2 + index // 5 % 19


def run(work: Iterable[tuple[str, str, str, int]]) -> dict[str, Line]:
    """The lines of the table, by name; single mutations have a line each, too."""
    lines: dict[str, Line] = {}
    for name, key, mutation, count in work:
        trial = make_trial(key, mutation, count)
        result, reproduced, comparison = run_pair(trial, key)
        for line in (name, f"  {mutation}") if mutation else (name,):
            lines.setdefault(line, Line(line)).add(f"{key} {mutation or count}", result, reproduced)
        if mutation and any(item.breaks for item in trial.truth()):
            flagged = any(item.severity == "break" for item in judge(comparison, "old", "new").findings)
            for line in (name, f"  {mutation}"):
                lines[line].breaking += 1
                lines[line].flagged += flagged
    return lines


def table(lines: dict[str, Line]) -> str:
    """The table, and how undecidable truth was treated."""
    titles = ("", "pairs", "events", "found", "of them equivalent", "missed", "wrongly classed", "told", "false")
    rows = [[*titles, "recall", "precision", "applied", "breaks", "flagged"]]
    for line in sorted(lines.values(), key=lambda item: (item.name.startswith(" "), item.name)):
        cells = [line.pairs, line.events, line.found, line.equivalent, line.missed, line.wrong, line.told, line.false]
        shares = [f"{100 * line.recall:.2f} %", f"{100 * line.precision:.2f} %", f"{line.reproduced}"]
        shares += [str(line.breaking), str(line.flagged)] if line.breaking else ["", ""]
        rows.append([line.name, *map(str, cells), *shares])
    widths = [max(len(row[index]) for row in rows) for index in range(len(rows[0]))]
    text = [
        "  ".join(
            cell.ljust(width) if not index else cell.rjust(width)
            for index, (cell, width) in enumerate(zip(row, widths, strict=True))
        )
        for row in rows
    ]
    text += [
        "",
        "Equivalent: another account of identical records, accepted when it gives the second revision exactly, needs",
        "no more changes than the truth, and claims no difference that did not happen (tests/campaign/score.py).",
        "Applied: pairs whose changes, applied to the first revision, give the second one. Breaks and flagged: single",
        "mutations after which a pairing with an unchanged board or firmware no longer works, those that a rule calls",
        "a break.",
    ]
    return "\n".join(text)
