"""The campaign: pairs of every sort, scored, and the table of results."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace

from revdiff.compare.apply import apply_changes
from revdiff.compare.comparison import Comparison, compare_designs
from revdiff.compare.headers import aligned
from revdiff.design import Design
from revdiff.judge import judge_change
from revdiff.readers.loader import Loader
from tests.campaign.accounts import Parts
from tests.campaign.mutations import BOARD_MUTATIONS, MUTATIONS, make_board_trial, make_trial
from tests.campaign.score import Score, score
from tests.campaign.told import told
from tests.campaign.trial import Trial
from tests.campaign.writing import Writer

# Mixed pairs on large boards in which nothing may be told falsely: (parts, pairs, changes in each).
LARGE = ((5_000, 20, 20), (20_000, 4, 20))


@dataclass(frozen=True)
class Job:
    """One pair to make: stacks of small boards, or a board of ``size`` parts; ``count`` mutations, or a named one."""

    sort: str
    seed: str
    size: int = 0
    mutation: str = ""
    count: int = 1

    @property
    def lines(self) -> tuple[str, ...]:
        """The lines of the table that it counts in."""
        where = f"{self.size:,} parts, " if self.size else "stacks, "
        return (where + self.sort, *((f"  {self.mutation}",) if self.mutation else ()))

    def trial(self) -> Trial:
        if self.size:
            return make_board_trial(self.seed, self.size, self.mutation, self.count)
        return make_trial(self.seed, self.mutation, self.count)


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
    facts: int = 0
    found_facts: int = 0
    told_facts: int = 0
    right_facts: int = 0
    from_home: int = 0
    reproduced: int = 0
    breaking: int = 0
    flagged: int = 0
    notes: list[str] = field(default_factory=list)

    def add(self, outcome: Outcome) -> None:
        result = outcome.score
        self.pairs += 1
        self.events += len(result.found) + len(result.missed) + len(result.wrong)
        for name in ("found", "equivalent", "missed", "wrong"):
            setattr(self, name, getattr(self, name) + len(getattr(result, name)))
        for name in ("told", "right", "false", "misclassed", *_FACTS):
            setattr(self, name, getattr(self, name) + getattr(result, name))
        self.reproduced += outcome.reproduced
        if outcome.flagged is not None:
            self.breaking += 1
            self.flagged += outcome.flagged
        title = f"{outcome.job.seed} {outcome.job.size or ''} {outcome.job.mutation or outcome.job.count}"
        self.notes += [f"{title}: {note}" for note in result.notes]
        if not outcome.reproduced:
            self.notes.append(f"{title}: the changes do not give the second revision")

    @property
    def recall(self) -> float:
        return self.found / self.events if self.events else 1.0

    @property
    def precision(self) -> float:
        return self.right / self.told if self.told else 1.0


@dataclass(frozen=True)
class Outcome:
    """One pair, scored. ``flagged``: of a pair after which a pairing no longer works, whether a rule says so."""

    job: Job
    score: Score
    reproduced: bool
    flagged: bool | None = None


_FACTS = ("facts", "found_facts", "told_facts", "right_facts", "from_home")


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
    return score([told(item) for item in comparison.changes], trial, reproduced), reproduced, comparison


def reproduces(comparison: Comparison) -> bool:
    """An added board is put beside: its tables are no part of a change."""
    added = [item for item in comparison.changes if item.kind == "board.added"]
    result = apply_changes([item for item in comparison.changes if item not in added], comparison.old)
    boards = {**result.boards, **{item.subject: comparison.new.boards[item.subject] for item in added}}
    result = replace(result, boards=boards)
    wanted = aligned(result, comparison.new)
    same = all(dict(getattr(result, name)) == dict(getattr(wanted, name)) for name in ("boards", "contracts"))
    return same and not compare_designs(result, comparison.new).changes


def run_job(job: Job) -> Outcome:
    """Makes, compares and scores one pair. A board's account is checked against its own tables, not by applying it."""
    trial = job.trial()
    if job.size:
        old, new = read_pair(trial, job.seed)
        entries = [told(item) for item in compare_designs(old, new).changes]
        (one,), (two,) = trial.old.boards.values(), trial.new.boards.values()
        reproduced = Parts.of(one, two, trial.tolerated).gives_new(entries, {})
        return Outcome(job, score(entries, trial, reproduced), reproduced)
    result, reproduced, comparison = run_pair(trial, job.seed)
    flagged = None
    if job.mutation and any(item.breaks for item in trial.truth()):
        flagged = any(item.severity == "break" for item in judge_change(comparison, "old", "new").findings)
    return Outcome(job, result, reproduced, flagged)


def jobs(pairs: int, seed: int, size: int = 0) -> Iterator[Job]:
    """A fifth neutral, two fifths single, two fifths mixed (2 to 20 changes); of stacks, or of boards of a size."""
    names = list(BOARD_MUTATIONS if size else MUTATIONS)
    for index in range(pairs):
        sort = index % 5
        key = f"{seed}/{index}"
        if sort == 0:
            yield Job("neutral", key, size, count=0)
        elif sort in (1, 2):
            yield Job("single", key, size, names[(index // 5 * 2 + sort - 1) % len(names)])
        else:
            # Twenty changes of a hundred parts leave nothing to know them by.
            yield Job("mixed", key, size, count=2 + index // 5 % (min(19, 1 + size // 40) if size else 19))


def large(seed: int) -> Iterator[Job]:
    """The fixed run on large boards."""
    for size, pairs, count in LARGE:
        for index in range(pairs):
            yield Job("mixed", f"{seed}/large/{index}", size, count=count)


def run(work: Iterable[Job], workers: int = 1) -> dict[str, Line]:
    """The lines of the table, by name; single mutations have a line each, too."""
    lines: dict[str, Line] = {}
    for outcome in _outcomes(work, workers):
        for name in outcome.job.lines:
            lines.setdefault(name, Line(name)).add(outcome)
    return lines


def _outcomes(work: Iterable[Job], workers: int) -> Iterator[Outcome]:
    if workers <= 1:
        yield from map(run_job, work)
        return
    with ProcessPoolExecutor(workers) as pool:
        yield from pool.map(run_job, work)


_COLUMNS: tuple[tuple[str, Callable[[Line], object]], ...] = (
    ("pairs", lambda line: line.pairs),
    ("events", lambda line: line.events),
    ("found", lambda line: line.found),
    ("equivalent", lambda line: line.equivalent),
    ("missed", lambda line: line.missed),
    ("wrong", lambda line: line.wrong),
    ("told", lambda line: line.told),
    ("false", lambda line: line.false),
    ("recall", lambda line: f"{100 * line.recall:.2f} %"),
    ("precision", lambda line: f"{100 * line.precision:.2f} %"),
    ("facts", lambda line: line.facts or ""),
    ("found", lambda line: line.found_facts if line.facts else ""),
    ("told", lambda line: line.told_facts if line.facts else ""),
    ("false", lambda line: line.told_facts - line.right_facts if line.told_facts else ""),
    ("from home", lambda line: line.from_home if line.told_facts else ""),
    ("applied", lambda line: line.reproduced),
    ("breaks", lambda line: line.breaking or ""),
    ("flagged", lambda line: line.flagged if line.breaking else ""),
)


def table(lines: dict[str, Line]) -> str:
    """The table, and how undecidable truth was treated."""
    rows = [["", *(title for title, _ in _COLUMNS)]]
    for line in sorted(lines.values(), key=_order):
        rows.append([line.name, *(str(cell(line)) for _, cell in _COLUMNS)])
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
        "Wrong: told, but in another way. Facts: what happened to single parts (R7 is R107 now; R8 went; the cost of",
        "R9 is another one), found, told and told falsely. From home: parts told as moved that did not move, with an",
        "equal one under their own number. Applied: pairs whose changes, applied to the first revision, give the",
        "second one. Breaks and flagged: single mutations after which a pairing with an unchanged board or firmware",
        "no longer works, those that a rule calls a break.",
    ]
    return "\n".join(text)


def _order(line: Line) -> tuple[bool, int, str]:
    size = line.name.partition(" parts")[0].replace(",", "")
    return line.name.startswith(" "), int(size) if size.isdigit() else 0, line.name
