"""What happens to the parts of a board from one revision to the next."""

from __future__ import annotations

import re

from tests.campaign import stock
from tests.campaign.sheets import BoardSheets, Row, row
from tests.campaign.trial import Trial

_PASSIVE = ("R", "C", "L")
# What can have happened to a part; one that is removed must not have met any of it.
_ALL = ("identity", "fitted", "lifecycle", "cost", "detail", "kept")


def prefix_of(item: Row) -> str:
    return re.sub(r"\d", "", item["designator"])


def number_of(item: Row) -> int:
    return int(re.sub(r"\D", "", item["designator"]))


def data_of(item: Row) -> Row:
    return {key: value for key, value in item.items() if key not in ("uid", "designator")}


def _own_parts(board: BoardSheets) -> list[Row]:
    """Parts that are told by the parts list alone: no connectors, no controllers with a pin map."""
    others = {item["device"] for item in board.pins} | {item["connector"] for item in board.connectors}
    return [item for item in board.parts if item["designator"] not in others]


def _some(trial: Trial, what: str, prefixes: tuple[str, ...] = ()) -> tuple[BoardSheets, list[Row]] | None:
    """One part, or all parts of one row of the parts list, that nothing of this sort has happened to yet."""
    board = trial.board()
    candidates = [
        item
        for item in _own_parts(board)
        if (not prefixes or prefix_of(item) in prefixes)
        and trial.free(("part", item["uid"], what), ("part", item["uid"], "gone"))
        and any(old["uid"] == item["uid"] for old in trial.old.boards[board.name].parts)
    ]
    if not candidates:
        return None
    chosen = trial.rng.choice(candidates)
    alike = [item for item in candidates if data_of(item) == data_of(chosen) and prefix_of(item) == prefix_of(chosen)]
    together = alike if trial.rng.random() < 0.5 else [chosen]
    for item in together:
        trial.take(("part", item["uid"], what))
    return board, together


def _set(trial: Trial, board: BoardSheets, together: list[Row], kind: str, cells: Row) -> bool:
    fields = [name for name, text in cells.items() if together[0].get(name) != text]
    for item in together:
        item.update(cells)
        trial.take(("part", item["uid"], "changed"))
    trial.tell(kind, board.name, "parts", [(item["uid"], item["uid"]) for item in together], fields)
    return True


def _with_number(trial: Trial, item: Row, cells: Row) -> Row:
    """Another value or package comes with another part number, where the table says one."""
    if item.get("part_number"):
        cells["part_number"] = stock.part_number(prefix_of(item), {**item, **cells}, trial.rng)
    return cells


def value(trial: Trial) -> bool:
    found = _some(trial, "identity", (*_PASSIVE, "Y", "F"))
    if found is None:
        return False
    board, together = found
    item = together[0]
    prefix = prefix_of(item)
    for _ in range(20):
        data = stock.passive(prefix, trial.rng) if prefix in _PASSIVE else stock.other(prefix, trial.rng)
        if data["value"] != item["value"]:
            return _set(trial, board, together, "part.value", _with_number(trial, item, {"value": data["value"]}))
    return False


def package(trial: Trial) -> bool:
    found = _some(trial, "identity", ("R", "C"))
    if found is None:
        return False
    board, together = found
    size = trial.rng.choice([size for size in stock.SIZES if size != together[0]["package"]])
    return _set(trial, board, together, "part.package", _with_number(trial, together[0], {"package": size}))


def rating(trial: Trial) -> bool:
    found = _some(trial, "identity", ("R", "C", "L"))
    if found is None:
        return False
    board, together = found
    item = together[0]
    choices = {
        "tolerance": ("0.5%", "1%", "2%", "10%"),
        "voltage": ("6.3V", "35V", "63V", "100V"),
        "power": ("0.05W", "0.2W", "0.33W"),
        "current": ("0.3A", "3A"),
        "dielectric": ("X7S", "X8R"),
    }
    names = [name for name in choices if item.get(name)]
    if not names:
        return False
    name = trial.rng.choice(names)
    text = trial.rng.choice([text for text in choices[name] if text != item[name]])
    cells = {name: text}
    if trial.rng.random() < 0.5:
        cells = _with_number(trial, item, cells)
    return _set(trial, board, together, "part.rating", cells)


def fitted(trial: Trial) -> bool:
    found = _some(trial, "fitted")
    if found is None or "fitted" not in found[1][0]:
        return False
    board, together = found
    return _set(trial, board, together, "part.fitted", {"fitted": "no" if together[0]["fitted"] == "" else ""})


def substituted(trial: Trial) -> bool:
    found = _some(trial, "identity")
    if found is None or not found[1][0].get("part_number"):
        return False
    board, together = found
    cells = {"part_number": stock.part_number(prefix_of(together[0]), together[0], trial.rng)}
    if "manufacturer" in together[0] and trial.rng.random() < 0.6:
        cells["manufacturer"] = trial.rng.choice([name for name in stock.MAKERS if name != together[0]["manufacturer"]])
    return _set(trial, board, together, "part.substituted", cells)


def lifecycle(trial: Trial) -> bool:
    found = _some(trial, "lifecycle")
    if found is None or "lifecycle" not in found[1][0]:
        return False
    board, together = found
    state = trial.rng.choice(
        [item for item in ("active", "last order", "obsolete") if item != together[0]["lifecycle"]]
    )
    return _set(trial, board, together, "part.lifecycle", {"lifecycle": state})


def cost(trial: Trial) -> bool:
    found = _some(trial, "cost")
    if found is None or "cost" not in found[1][0]:
        return False
    board, together = found
    return _set(trial, board, together, "part.cost", {"cost": f"{trial.rng.randrange(1, 900) / 1000 + 2:g}"})


def detail(trial: Trial) -> bool:
    found = _some(trial, "detail")
    names = [name for name in ("alternates", "Remark", "Bin", "description") if found and name in found[1][0]]
    if found is None or not names:
        return False
    board, together = found
    name = trial.rng.choice(names)
    if name == "description" and not all(trial.free(("part", item["uid"], "identity")) for item in together):
        return False
    for item in together:
        trial.take(("part", item["uid"], "identity"))
    return _set(trial, board, together, "part.field", {name: f"reviewed {trial.rng.randrange(100)}"})


def added(trial: Trial) -> bool:
    """A new part, or one more of a row that is there, after the last of its class."""
    board = trial.board()
    prefixes = sorted({prefix_of(item) for item in _own_parts(board)})
    prefix = trial.rng.choice(prefixes)
    if not trial.free(("class", board.name, prefix)):
        return False
    pattern = trial.rng.choice([item for item in _own_parts(board) if prefix_of(item) == prefix])
    cells = data_of(pattern)
    if trial.rng.random() < 0.6:
        cells.update(stock.passive(prefix, trial.rng) if prefix in _PASSIVE else stock.other(prefix, trial.rng))
        cells = {name: text for name, text in cells.items() if name in pattern}
        if cells.get("part_number"):
            cells["part_number"] = stock.part_number(prefix, cells, trial.rng)
    number = trial.fresh_number(board.parts, "designator", prefix)
    new = row(designator=f"{prefix}{number}", **cells)
    board.parts.append(new)
    trial.take(("part", new["uid"], "gone"), ("numbers", board.name, prefix))
    trial.tell("part.added", board.name, "parts", [("", new["uid"])])
    return True


def removed(trial: Trial) -> bool:
    found = _some(trial, "changed")
    if found is None:
        return False
    board, together = found
    if not all(trial.free(*(("part", item["uid"], what) for what in _ALL)) for item in together):
        return False
    if len(together) > 5:
        together = together[:1]
    for item in together:
        board.parts.remove(item)
        trial.take(("part", item["uid"], "gone"))
    trial.tell("part.removed", board.name, "parts", [(item["uid"], "") for item in together])
    return True


def reused(trial: Trial) -> bool:
    """A designator that goes to an altogether different part."""
    found = _some(trial, "changed", ("U", "Q", "D"))
    if found is None:
        return False
    board, together = found
    item = together[0]
    if not trial.free(*(("part", item["uid"], what) for what in _ALL)):
        return False
    prefix = prefix_of(item)
    data = next(
        (
            data
            for data in (stock.other(prefix, trial.rng) for _ in range(30))
            if data["value"] != item["value"] and data["package"] != item["package"]
        ),
        None,
    )
    if data is None:
        return False
    cells = data_of(item) | data
    cells["part_number"] = stock.part_number(prefix, cells, trial.rng)
    cells["description"] = f"for the {trial.rng.choice(('heater', 'antenna', 'charger'))}"
    cells["manufacturer"] = trial.rng.choice([name for name in stock.MAKERS if name != item.get("manufacturer")])
    new = row(designator=item["designator"], **{name: text for name, text in cells.items() if name in item})
    board.parts[board.parts.index(item)] = new
    trial.take(("part", item["uid"], "gone"), ("part", new["uid"], "gone"))
    trial.tell("part.removed", board.name, "parts", [(item["uid"], "")])
    trial.tell("part.added", board.name, "parts", [("", new["uid"])])
    return True
