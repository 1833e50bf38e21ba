"""Ways in which many parts of a board with long rows get other designators."""

from __future__ import annotations

from itertools import pairwise

from tests.campaign.mutate_parts import data_of, number_of, prefix_of
from tests.campaign.rows import COMMON, Rows, identity
from tests.campaign.sheets import Row, row
from tests.campaign.trial import Trial

_LONGEST = 200
_LEAST_UNLIKE = 4  # neighbours of another kind, by which it is seen that numbers moved up


def _run(rows: Rows, least: int) -> tuple[str, list[Row]] | None:
    """A run of neighbours of one class that nothing touched."""
    prefix = rows.any_class(least + 2)
    if prefix is None:
        return None
    items = rows.classes[prefix]
    length = rows.rng.randrange(least, min(_LONGEST, len(items) * 2 // 3 + least) + 1)
    if length > len(items):
        return None
    start = rows.rng.randrange(0, len(items) - length + 1)
    run = items[start : start + length]
    if not rows.open_span(prefix, number_of(run[0]), number_of(run[-1])):
        return None
    return (prefix, run) if rows.movable(run) and rows.telling(run) else None


def _shift(rows: Rows, run: list[Row], offset: int) -> None:
    rows.renumber(run, [number_of(item) + offset for item in run])


def to_free_numbers(trial: Trial) -> bool:
    """A block of up to 200 onto numbers beyond the last one."""
    rows = Rows(trial)
    found = _run(rows, 5)
    if found is None:
        return False
    prefix, run = found
    first, last = number_of(run[0]), number_of(run[-1])
    beyond = rows.last(prefix)
    offset = beyond - first + rows.rng.choice((1, 1, 2, 11))
    if rows.rng.random() < 0.5:
        offset = (offset // 100 + 1) * 100
    rows.take_span(prefix, first, last)
    rows.take_span(prefix, first + offset, last + offset)
    _shift(rows, run, offset)
    return True


def onto_own_numbers(trial: Trial) -> bool:
    """A block moves up by less than its length, into a gap or beyond the end: partly onto its own numbers.

    Of one kind, and without a netlist, it would look as if a few of many went, and as many came.
    """
    rows = Rows(trial)
    prefix = rows.any_class(12)
    if prefix is None:
        return False
    items = rows.classes[prefix]
    ends = [index for index, (one, two) in enumerate(pairwise(items)) if number_of(two) - number_of(one) > 2]
    end = rows.rng.choice([*ends, *[len(items) - 1] * 2])
    room = number_of(items[end + 1]) - number_of(items[end]) - 1 if end + 1 < len(items) else _LONGEST
    length = rows.rng.randrange(8, _LONGEST + 1)
    run = items[max(0, end + 1 - length) : end + 1]
    if len(run) < 8 or room < 1:
        return False
    if not rows.board.wires and len({identity(item) for item in run}) == 1:
        return False
    offset = rows.rng.randrange(1, min(room, len(run) // 2) + 1)
    first, last = number_of(run[0]), number_of(run[-1]) + offset
    if not rows.open_span(prefix, first, last) or not rows.movable(run) or not rows.telling(run):
        return False
    rows.take_span(prefix, first, last)
    _shift(rows, run, offset)
    return True


def blocks_exchanged(trial: Trial) -> bool:
    """Two neighbouring blocks trade places: each lands on numbers that the other had.

    Where most numbers hold an equal part afterwards, and no netlist tells them apart, nobody could say so.
    """
    rows = Rows(trial)
    found = _run(rows, 10)
    if found is None:
        return False
    prefix, run = found
    numbers = [number_of(item) for item in run]
    cut = rows.rng.randrange(5, len(run) - 4)
    one, two = run[:cut], run[cut:]
    if numbers[-1] - numbers[0] != len(run) - 1 or not rows.telling(one) or not rows.telling(two):
        return False
    unlike = sum(identity(old) != identity(new) for old, new in zip(run, [*two, *one], strict=True))
    if not rows.board.wires and 2 * unlike < len(run):
        return False
    rows.take_span(prefix, numbers[0], numbers[-1])
    _shift(rows, one, len(two))
    _shift(rows, two, -len(one))
    return True


def onto_removed_numbers(trial: Trial) -> bool:
    """Parts go, and a block of the same length from elsewhere takes their numbers."""
    rows = Rows(trial)
    found = _run(rows, 8)
    if found is None:
        return False
    prefix, run = found
    items = rows.classes[prefix]
    starts = [index for index in range(len(items) - len(run)) if items[index] not in run][:: max(1, len(run) // 2)]
    rows.rng.shuffle(starts)
    for start in starts[:20]:
        gone = items[start : start + len(run)]
        first, last = number_of(gone[0]), number_of(gone[-1])
        offset = first - number_of(run[0])
        steps = {number_of(two) - number_of(one) for one, two in zip(run, gone, strict=True)}
        clear = {item["uid"] for item in gone}.isdisjoint(item["uid"] for item in run)
        unlike = sum(identity(one) != identity(two) for one, two in zip(run, gone, strict=True))
        if not clear or steps != {offset} or 3 * unlike < 2 * len(run):
            continue
        if not rows.open_span(prefix, first, last) or not all(rows.quiet(item) for item in gone):
            continue
        rows.take_span(prefix, number_of(run[0]), number_of(run[-1]))
        rows.take_span(prefix, first, last)
        rows.remove(gone)
        _shift(rows, run, offset)
        return True
    return False


def _tail(rows: Rows, least: int) -> tuple[str, list[Row], list[Row]] | None:
    """A class, its parts, and those from somewhere on to the next gap or the end, all untouched.

    Where nearly all of them are of one kind, and no netlist tells them apart, nobody could see that they moved up.
    """
    prefix = rows.any_class(least + 4)
    if prefix is None:
        return None
    items = rows.classes[prefix]
    start = rows.rng.randrange(0, len(items) - least)
    tail = [items[start]]
    for one, two in pairwise(items[start:]):
        # After a gap, people begin a new hundred: numbers close up within the sheet only.
        if number_of(two) - number_of(one) > 10:
            break
        tail.append(two)
    if len(tail) < least or not rows.open_span(prefix, number_of(tail[0]), number_of(tail[-1])):
        return None
    unlike = sum(identity(one) != identity(two) for one, two in pairwise(tail))
    if not rows.board.wires and unlike < _LEAST_UNLIKE:
        return None
    return (prefix, items, tail) if rows.movable(tail) else None


def closed_up(trial: Trial) -> bool:
    """One to six parts go, and the numbers after them are closed up, to the end of the sheet."""
    rows = Rows(trial)
    found = _tail(rows, 20)
    if found is None:
        return False
    prefix, _, tail = found
    count = rows.rng.randrange(1, min(6, len(tail) // 12) + 1)
    places = sorted(rows.rng.sample(range(len(tail) // 12), count))
    indexes = [0] + [place * 12 + rows.rng.randrange(4) for place in places if place]
    gone = [tail[index] for index in indexes]
    if not all(rows.quiet(item) for item in gone):
        return False
    rows.take_span(prefix, number_of(tail[0]), number_of(tail[-1]))
    pieces = [tail[one + 1 : two] for one, two in pairwise([*indexes, len(tail)])]
    rows.remove(gone)
    for step, piece in enumerate(pieces, 1):
        if piece:
            _shift(rows, piece, -step)
    return True


def opened(trial: Trial) -> bool:
    """One to five parts come in between, and the numbers after them move up.

    Each says what it is: a row without data that comes can't be told from a part that lost its data in place.
    """
    rows = Rows(trial)
    found = _tail(rows, 12)
    if found is None:
        return False
    prefix, items, tail = found
    count = rows.rng.randrange(1, 6)
    end = items.index(tail[-1])
    room = number_of(items[end + 1]) - number_of(tail[-1]) - 1 if end + 1 < len(items) else count
    first, last = number_of(tail[0]), number_of(tail[-1]) + count
    if room < count or not rows.telling(tail) or not rows.open_span(prefix, first, last):
        return False
    rows.take_span(prefix, first, last)
    patterns = rows.rng.choices([item for item in items if item["value"]], k=count)
    _shift(rows, tail, count)
    rows.add([row(designator=f"{prefix}{first + step}", **data_of(item)) for step, item in enumerate(patterns)])
    return True


def by_place(trial: Trial) -> bool:
    """A stretch of 20 to 200 neighbours, or a whole class, numbered anew by where the parts stand on the board."""
    rows = Rows(trial)
    prefix = rows.any_class(12)
    if prefix is None:
        return False
    items = rows.classes[prefix]
    if len(items) > 400 or rows.rng.random() < 0.5:
        length = min(len(items), rows.rng.randrange(20, _LONGEST + 1))
        start = rows.rng.randrange(0, len(items) - length + 1)
        items = items[start : start + length]
    numbers = [number_of(item) for item in items]
    kinds = {identity(item) for item in items}
    if len(kinds) < 4 or not rows.open_span(prefix, numbers[0], numbers[-1]):
        return False
    if not all(rows.quiet(item) for item in items):
        return False
    rows.take_span(prefix, numbers[0], numbers[-1])
    order = list(numbers)
    rows.rng.shuffle(order)
    rows.mark("shuffled", items)
    rows.renumber(items, order)
    return True


def exchanged(trial: Trial) -> bool:
    """Two parts of unlike value trade their designators."""
    rows = Rows(trial)
    prefix = rows.any_class(4)
    if prefix is None:
        return False
    one, two = rows.rng.sample(rows.classes[prefix], 2)
    numbers = [number_of(one), number_of(two)]
    if not (one["value"] and two["value"]) or one["value"] == two["value"] or not (rows.quiet(one) and rows.quiet(two)):
        return False
    if not all(rows.open_span(prefix, number, number) for number in numbers):
        return False
    for number in numbers:
        rows.take_span(prefix, number, number)
    rows.mark("alone", [one, two])
    rows.renumber([one, two], numbers[::-1], together=False)
    return True


def equal_exchanged(trial: Trial) -> bool:
    """Two equal parts trade their designators: where no netlist tells them apart, nothing happened."""
    rows = Rows(trial)
    groups = [(prefix, items) for (prefix, _), items in rows.alike.items() if len(items) >= 2]
    if not groups or rows.board.wires:
        return False
    prefix, items = rows.rng.choice(groups)
    one, two = rows.rng.sample(items, 2)
    numbers = (number_of(one), number_of(two))
    same = [name for name in rows.columns if one.get(name) == two.get(name)] == rows.columns
    if not same or not (rows.quiet(one) and rows.quiet(two)):
        return False
    if not all(rows.open_span(prefix, number, number) for number in numbers):
        return False
    for number in numbers:
        rows.take_span(prefix, number, number)
    one["designator"], two["designator"] = two["designator"], one["designator"]
    rows.mark("alone", [one, two])
    rows.mark("moved", [one, two])
    return True


def run_closed_up(trial: Trial) -> bool:
    """One of a run of equal parts goes and the run is closed up: the data can't say which one it was."""
    rows = Rows(trial)
    runs: list[list[Row]] = []
    for items in rows.classes.values():
        run = [items[0]]
        for one, two in pairwise(items):
            if data_of(one) == data_of(two) and number_of(two) == number_of(one) + 1:
                run.append(two)
            else:
                runs.append(run)
                run = [two]
        runs.append(run)
    runs = [run for run in runs if len(run) >= 4 and all(rows.quiet(item) for item in run)]
    runs = [run for run in runs if rows.open_span(prefix_of(run[0]), number_of(run[0]), number_of(run[-1]))]
    if not runs:
        return False
    run = rows.rng.choice(runs)
    index = rows.rng.randrange(len(run) - 1)
    rows.take_span(prefix_of(run[0]), number_of(run[0]), number_of(run[-1]))
    rows.remove([run[index]])
    rows.mark("alone", run)
    rest = run[index + 1 :]
    rows.renumber(rest, [number_of(item) - 1 for item in rest], together=False)
    return True


def stray(trial: Trial) -> bool:
    """One part gets a number of its own accord."""
    rows = Rows(trial)
    prefix = rows.any_class(3)
    if prefix is None:
        return False
    items = rows.classes[prefix]
    rare = [item for item in items if len(rows.same(item)) == 1]
    item = rows.rng.choice(rare if rare and rows.rng.random() < 0.5 else items)
    number = number_of(item)
    if not item["value"] or not rows.quiet(item) or not rows.open_span(prefix, number, number):
        return False
    common = len(rows.same(item)) > 1
    if 1 < len(rows.same(item)) < COMMON and not rows.board.wires:
        return False
    (target,) = rows.fresh(prefix, 1)
    rows.take_span(prefix, number, number)
    rows.take_span(prefix, target, target)
    item["designator"] = f"{prefix}{target}"
    rows.mark("moved", [item])
    rows.mark("alone", [item])
    trial.tell("part.renumbered", rows.board.name, "parts", [(item["uid"],) * 2], or_else=common)
    return True
