"""Every revision of every board against every revision of its partners, each distinct pair judged once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterator, Mapping, Sequence
from itertools import combinations, islice

from msgspec import Struct
from msgspec.structs import replace

from revdiff.judge import Arrangement, Belonging, Member, Shared, Verdict, judge_stack
from revdiff.judge.digest import digest
from revdiff.judge.waivers import WaiverUse

MOST_STACKS = 200  # whole stacks judged; beyond that the pairs have to do
_LISTED = 3


def listed(revisions: Sequence[str]) -> str:
    """``rev-a, rev-b``, or ``rev-a … rev-k (11)``."""
    if len(revisions) <= _LISTED:
        return ", ".join(revisions)
    return f"{revisions[0]} … {revisions[-1]} ({len(revisions)})"


class Variant(Struct, frozen=True):
    """Revisions of a board that its partners can't tell apart; the newest stands for all."""

    board: str
    revisions: tuple[str, ...]
    member: Member

    @property
    def name(self) -> str:
        """All of them."""
        return listed(self.revisions)

    @property
    def label(self) -> str:
        """``base@rev-a/rev-b``: the same for no two variants."""
        return self.member.party.label


class Grid(Struct, frozen=True):
    """Two boards that mate: the verdict of each variant of ``rows`` with each of ``columns``, row by row."""

    rows: tuple[Variant, ...]
    columns: tuple[Variant, ...]
    cells: tuple[tuple[Verdict, ...], ...]

    @property
    def boards(self) -> tuple[str, str]:
        """The two boards."""
        return self.rows[0].board, self.columns[0].board


class WholeStack(Struct, frozen=True):
    """One variant of each board, and the verdict of all together."""

    variants: tuple[Variant, ...]
    verdict: Verdict


class Matrix(Struct, frozen=True):
    """All grids, and the whole stacks of which no pair is known not to fit.

    ``unjudged``: how many whole stacks were left out because there are too many. ``left_out``: (revision, why).
    ``subject``: the one revision that was held against the shipped ones, ``held``; empty: all revisions are judged.
    """

    title: str
    order: Mapping[str, tuple[str, ...]]
    grids: tuple[Grid, ...]
    stacks: tuple[WholeStack, ...]
    unjudged: int = 0
    left_out: tuple[tuple[str, str], ...] = ()
    subject: str = ""
    held: tuple[str, ...] = ()
    waivers: tuple[WaiverUse, ...] = ()

    @property
    def verdicts(self) -> tuple[Verdict, ...]:
        """Of all pairs and whole stacks; with a subject, of those that it is in."""
        pairs = (
            ((row, column), cell)
            for grid in self.grids
            for row, cells in zip(grid.rows, grid.cells, strict=True)
            for column, cell in zip(grid.columns, cells, strict=True)
        )
        judged = (*pairs, *((item.variants, item.verdict) for item in self.stacks))
        return tuple(
            verdict
            for variants, verdict in judged
            if not self.subject or any(self.subject in variant.revisions for variant in variants)
        )


def variants(members: Sequence[Member]) -> tuple[Variant, ...]:
    """The revisions of one board, those of equal facts put together, in the order they come in."""
    groups: dict[Hashable, list[Member]] = {}
    for item in members:
        groups.setdefault(digest(item.design, item.board.name), []).append(item)
    found = []
    for group in groups.values():
        variant = Variant(group[-1].board.name, tuple(item.revision for item in group), group[-1])
        found.append(replace(variant, member=replace(group[-1], revision=variant.name.replace(", ", "/"))))
    return tuple(found)


def build_matrix(
    boards: Mapping[str, Sequence[Member]],
    *,
    title: str = "",
    taught: Belonging = frozenset(),
    left_out: Sequence[tuple[str, str]] = (),
) -> Matrix:
    """Judges all pairs, and the whole stacks that their pairs allow. ``boards``: the revisions of each, in order."""
    grouped = {name: variants(members) for name, members in boards.items() if members}
    shared: Shared = {}
    grids = []
    for one, two in combinations(grouped, 2):
        if any(_joined(a.member, b.member) for a in grouped[one] for b in grouped[two]):
            cells = tuple(
                tuple(judge_stack((row.member, column.member), taught, shared) for column in grouped[two])
                for row in grouped[one]
            )
            grids.append(Grid(grouped[one], grouped[two], cells))
    stacks, unjudged = _whole(grids, grouped, taught, shared)
    order = {name: tuple(item.revision for item in members) for name, members in boards.items()}
    return Matrix(title, order, tuple(grids), stacks, unjudged, tuple(left_out))


def _joined(a: Member, b: Member) -> bool:
    pair = Arrangement.of((a, b))
    return bool(pair.matings or pair.open_joints)


def _whole(
    grids: Sequence[Grid], grouped: Mapping[str, tuple[Variant, ...]], taught: Belonging, shared: Shared
) -> tuple[tuple[WholeStack, ...], int]:
    joined = [name for name in grouped if any(name in grid.boards for grid in grids)]
    if len(joined) < 3:
        return (), 0
    bad = frozenset(
        frozenset((row.label, column.label))
        for grid in grids
        for row, cells in zip(grid.rows, grid.cells, strict=True)
        for column, cell in zip(grid.columns, cells, strict=True)
        if cell.answer == "does not fit"
    )
    choices = [grouped[name] for name in joined]
    found = [
        WholeStack(chosen, judge_stack([item.member for item in chosen], taught, shared))
        for chosen in islice(allowed(choices, bad), MOST_STACKS)
    ]
    return tuple(found), count(choices, bad) - len(found)


def allowed(
    choices: Sequence[Sequence[Variant]], bad: frozenset[frozenset[str]], chosen: tuple[Variant, ...] = ()
) -> Iterator[tuple[Variant, ...]]:
    """One variant of each board, no two of which are bad together; left as soon as a board has no choice."""
    if not choices:
        yield chosen
        return
    for item in choices[0]:
        left = [[one for one in later if frozenset((item.label, one.label)) not in bad] for later in choices[1:]]
        if all(left):
            yield from allowed(left, bad, (*chosen, item))


def count(choices: Sequence[Sequence[Variant]], bad: frozenset[frozenset[str]]) -> int:
    """How many ``allowed`` gives, without making them: choices that forbid the same of the rest are counted as one."""
    ways = Counter({frozenset[str](): 1})
    for index, here in enumerate(choices):
        later = frozenset(item.label for rest in choices[index + 1 :] for item in rest)
        after: Counter[frozenset[str]] = Counter()
        for forbidden, number in ways.items():
            for item in here:
                if item.label not in forbidden:
                    more = {one for one in later if frozenset((item.label, one)) in bad}
                    after[(forbidden & later) | more] += number
        ways = after
    return ways.total()
