"""Minimum-cost assignment, exact and deterministic.

Our own solver, since importing a numerical library costs more than solving: the blocks that reach it are
small (identical records are paired before). Method: shortest augmenting paths with potentials, the
Hungarian method of Kuhn (1955) and Munkres (1957) in its O(n³) form. The tests compare it with brute force.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from typing import TypeVar

Left = TypeVar("Left", bound=Hashable)
Right = TypeVar("Right", bound=Hashable)

# A block beyond this takes minutes in the worst case; see best_pairs.
MAX_BLOCK = 1_500


def solve(costs: Sequence[Sequence[int]]) -> list[int]:
    """For each row the column it is assigned, so that the sum of costs is least.

    ``costs`` has at least as many columns as rows; all are finite whole numbers. Ties go to the lower column.
    """
    rows = len(costs)
    columns = len(costs[0]) if rows else 0
    infinity = 1 << 62
    row_potential = [0] * (rows + 1)
    column_potential = [0] * (columns + 1)
    row_of = [0] * (columns + 1)
    for row in range(1, rows + 1):
        row_of[0] = row
        least = [infinity] * (columns + 1)
        came_from = [0] * (columns + 1)
        done = [False] * (columns + 1)
        column = 0
        while row_of[column]:
            done[column] = True
            current = row_of[column]
            cost_row = costs[current - 1]
            potential = row_potential[current]
            delta, nearest = infinity, 0
            for other in range(1, columns + 1):
                if done[other]:
                    continue
                reduced = cost_row[other - 1] - potential - column_potential[other]
                if reduced < least[other]:
                    least[other] = reduced
                    came_from[other] = column
                if least[other] < delta:
                    delta, nearest = least[other], other
            for other in range(columns + 1):
                if done[other]:
                    row_potential[row_of[other]] += delta
                    column_potential[other] -= delta
                else:
                    least[other] -= delta
            column = nearest
        while column:
            previous = came_from[column]
            row_of[column] = row_of[previous]
            column = previous
    assigned = [0] * rows
    for column in range(1, columns + 1):
        if row_of[column]:
            assigned[row_of[column] - 1] = column - 1
    return assigned


def best_pairs(
    left: Sequence[Left],
    right: Sequence[Right],
    gain: Callable[[Left, Right], int],
    candidates: Callable[[Left], Iterable[Right]] | None = None,
) -> list[tuple[Left, Right]]:
    """The pairing with the greatest sum of gains; a pair with no gain is not made.

    ``candidates`` may name the only partners that can gain with an item. The items fall into independent
    blocks, each solved exactly. A block of more than ``MAX_BLOCK`` items on a side is paired by falling gain
    instead. Ties go to the earlier items, so the order of ``left`` and ``right`` has to be meaningful.
    """
    gains: dict[tuple[int, int], int] = {}
    place = {item: index for index, item in enumerate(right)}
    for row, item in enumerate(left):
        for other in right if candidates is None else candidates(item):
            value = gain(item, other)
            if value > 0:
                gains[row, place[other]] = value
    pairs: list[tuple[int, int]] = []
    for rows, columns in _blocks(gains):
        if max(len(rows), len(columns)) > MAX_BLOCK:
            pairs += _by_falling_gain(rows, columns, gains)
        else:
            pairs += _exact(rows, columns, gains)
    return [(left[row], right[column]) for row, column in sorted(pairs)]


def _exact(rows: list[int], columns: list[int], gains: dict[tuple[int, int], int]) -> list[tuple[int, int]]:
    top = max(gains.get((row, column), 0) for row in rows for column in columns)
    unmatched = [top] * len(rows)
    costs = [[top - gains.get((row, column), 0) for column in columns] + unmatched for row in rows]
    found = []
    for row, column in zip(rows, solve(costs), strict=True):
        if column < len(columns) and gains.get((row, columns[column]), 0) > 0:
            found.append((row, columns[column]))
    return found


def _by_falling_gain(rows: list[int], columns: list[int], gains: dict[tuple[int, int], int]) -> list[tuple[int, int]]:
    free_rows, free_columns = set(rows), set(columns)
    found = []
    for (row, column), _ in sorted(gains.items(), key=lambda item: (-item[1], item[0])):
        if row in free_rows and column in free_columns:
            free_rows.discard(row)
            free_columns.discard(column)
            found.append((row, column))
    return found


def _blocks(gains: dict[tuple[int, int], int]) -> list[tuple[list[int], list[int]]]:
    """Connected groups of rows and columns."""
    rows_of: dict[int, list[int]] = {}
    columns_of: dict[int, list[int]] = {}
    for row, column in gains:
        columns_of.setdefault(row, []).append(column)
        rows_of.setdefault(column, []).append(row)
    seen: set[int] = set()
    blocks = []
    for start in sorted(columns_of):
        if start in seen:
            continue
        seen.add(start)
        rows, columns, queue = [start], set(), [start]
        while queue:
            for column in columns_of[queue.pop()]:
                if column in columns:
                    continue
                columns.add(column)
                for row in rows_of[column]:
                    if row not in seen:
                        seen.add(row)
                        rows.append(row)
                        queue.append(row)
        blocks.append((sorted(rows), sorted(columns)))
    return blocks
