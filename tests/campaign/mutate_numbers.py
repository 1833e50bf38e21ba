"""Ways in which parts get other designators."""

from __future__ import annotations

from tests.campaign import stock
from tests.campaign.mutate_parts import _own_parts, data_of, number_of, prefix_of
from tests.campaign.sheets import BoardSheets, Row, row
from tests.campaign.trial import Trial

_COMMON = 3  # parts of one value, from which on one of them is no evidence


def _class(trial: Trial, least: int, distinct: int) -> tuple[BoardSheets, str, list[Row]] | None:
    """A class of one board, in the order of its numbers, that was not renumbered yet."""
    board = trial.board()
    classes: dict[str, list[Row]] = {}
    for item in _own_parts(board):
        classes.setdefault(prefix_of(item), []).append(item)
    good = [
        (prefix, sorted(items, key=number_of))
        for prefix, items in classes.items()
        if len(items) >= least
        and len({tuple(data_of(item).values()) for item in items}) >= distinct
        and trial.free(("class", board.name, prefix), ("numbers", board.name, prefix))
    ]
    if not good:
        return None
    prefix, items = trial.rng.choice(good)
    trial.take(("class", board.name, prefix))
    return board, prefix, items


def _renumber(trial: Trial, board: BoardSheets, prefix: str, numbers: list[tuple[Row, int]]) -> None:
    moved = [(item, number) for item, number in numbers if number_of(item) != number]
    for item, number in moved:
        item["designator"] = f"{prefix}{number}"
    trial.tell("part.renumbered", board.name, "parts", [(item["uid"], item["uid"]) for item, _ in moved])


def block_shift(trial: Trial) -> bool:
    """A run of neighbours, or the whole class, gets numbers beyond the last one."""
    found = _class(trial, 5, 3)
    if found is None:
        return False
    board, prefix, items = found
    whole = trial.rng.random() < 0.4
    start = 0 if whole else trial.rng.randrange(0, len(items) - 4)
    run = items if whole else items[start : trial.rng.randrange(start + 4, len(items)) + 1]
    if len({tuple(data_of(item).values()) for item in run}) < 3:
        return False
    last = max(number_of(item) for item in [*items, *_others(board, prefix)])
    offset = trial.rng.choice((last, 100, 200, last + 10))
    if offset <= number_of(run[-1]) - number_of(run[0]) or number_of(run[0]) + offset <= last:
        offset = last
    _renumber(trial, board, prefix, [(item, number_of(item) + offset) for item in run])
    return True


def _others(board: BoardSheets, prefix: str) -> list[Row]:
    return [item for item in board.parts if prefix_of(item) == prefix]


def another_order(trial: Trial) -> bool:
    """The class numbered anew, as after a new placement."""
    found = _class(trial, 6, 4)
    if found is None:
        return False
    board, prefix, items = found
    numbers = [number_of(item) for item in items]
    trial.rng.shuffle(numbers)
    _renumber(trial, board, prefix, list(zip(items, numbers, strict=True)))
    return True


def closed_up(trial: Trial) -> bool:
    """A part goes, and the numbers after it are closed up."""
    found = _class(trial, 6, 3)
    if found is None:
        return False
    board, prefix, items = found
    taken = {number_of(item) for item in _others(board, prefix)} - {number_of(item) for item in items}
    index = trial.rng.randrange(0, len(items) - 4)
    gone, rest = items[index], items[index + 1 :]
    if taken & set(range(number_of(gone), number_of(items[-1]))) or not trial.free(
        ("part", gone["uid"], "changed"), ("part", gone["uid"], "kept")
    ):
        return False
    if len({tuple(data_of(item).values()) for item in rest}) < 3:
        return False
    board.parts.remove(gone)
    trial.take(("part", gone["uid"], "gone"))
    trial.tell("part.removed", board.name, "parts", [(gone["uid"], "")])
    _renumber(trial, board, prefix, [(item, number_of(item) - 1) for item in rest])
    return True


def opened(trial: Trial) -> bool:
    """A part comes in the middle, and the numbers after it move up."""
    found = _class(trial, 6, 3)
    if found is None:
        return False
    board, prefix, items = found
    index = trial.rng.randrange(0, len(items) - 4)
    rest = items[index:]
    taken = {number_of(item) for item in _others(board, prefix)} - {number_of(item) for item in items}
    if taken or len({tuple(data_of(item).values()) for item in rest}) < 3:
        return False
    # Where the part before is gone, nobody could tell a removal and an addition from a change of value.
    before = [number_of(item) for item in trial.old.boards[board.name].parts if prefix_of(item) == prefix]
    earlier = max((number for number in before if number < number_of(rest[0])), default=0)
    if earlier and (index == 0 or number_of(items[index - 1]) != earlier):
        return False
    trial.take(*(("part", item["uid"], "kept") for item in items[max(0, index - 1) : index + 1]))
    cells = data_of(items[0])
    fresh = stock.passive(prefix, trial.rng) if prefix in ("R", "C", "L") else stock.other(prefix, trial.rng)
    cells.update({name: text for name, text in fresh.items() if name in cells})
    if cells.get("part_number"):
        cells["part_number"] = stock.part_number(prefix, cells, trial.rng)
    new = row(designator=rest[0]["designator"], **cells)
    _renumber(trial, board, prefix, [(item, number_of(item) + 1) for item in rest])
    board.parts.append(new)
    trial.take(("part", new["uid"], "gone"))
    trial.tell("part.added", board.name, "parts", [("", new["uid"])])
    return True


def exchanged(trial: Trial) -> bool:
    """Two parts trade their designators."""
    found = _class(trial, 3, 2)
    if found is None:
        return False
    board, prefix, items = found
    one = trial.rng.choice(items)
    others = [item for item in items if _unlike(one, item)]
    if not others:
        return False
    two = trial.rng.choice(others)
    trial.take(("part", one["uid"], "kept"), ("part", two["uid"], "kept"))
    _renumber(trial, board, prefix, [(one, number_of(two)), (two, number_of(one))])
    return True


def _unlike(one: Row, two: Row) -> bool:
    return one["value"] != two["value"]


def stray(trial: Trial) -> bool:
    """One part gets a number of its own accord."""
    found = _class(trial, 2, 1)
    if found is None:
        return False
    board, prefix, items = found
    number = trial.fresh_number(board.parts, "designator", prefix)
    old = {item["uid"] for item in trial.old.boards[board.name].parts}
    items = [item for item in items if item["uid"] in old]
    if not items:
        return False
    # Where many parts are like it, that one of them went and one more came is as good an account.
    items = [
        item for item in items if sum(data_of(other)["value"] == data_of(item)["value"] for other in items) < _COMMON
    ]
    if not items:
        return False
    item = trial.rng.choice(items)
    if not any(other is not item and data_of(other) == data_of(item) for other in items):
        # With other data, too, and nothing like it around, nobody could tell that it is the same part.
        if not trial.free(("part", item["uid"], "identity")):
            return False
        trial.take(("part", item["uid"], "identity"))
    trial.take(("part", item["uid"], "kept"))
    _renumber(trial, board, prefix, [(item, number)])
    return True


def controller(trial: Trial) -> bool:
    """A controller gets another designator, in the parts list, the pin map and the contracts."""
    board = trial.board()
    devices = sorted({item["device"] for item in board.pins})
    if not devices or not trial.free(
        ("controllers", board.name), ("class", board.name, "U"), ("numbers", board.name, "U")
    ):
        return False
    device = trial.rng.choice(devices)
    if sum(1 for item in board.pins if item["device"] == device and item["signal"]) < 6:
        return False
    trial.take(("controllers", board.name), ("class", board.name, "U"))
    name = f"U{trial.fresh_number(board.parts, 'designator', 'U')}"
    for item in board.pins:
        if item["device"] == device:
            item["device"] = name
    part = next(item for item in board.parts if item["designator"] == device)
    part["designator"] = name
    for firmware in trial.new.firmware.values():
        if firmware.cells["board"] == board.name and firmware.cells["device"] == device:
            firmware.cells["device"] = name
    trial.tell("part.renumbered", board.name, "parts", [(part["uid"], part["uid"])])
    return True
