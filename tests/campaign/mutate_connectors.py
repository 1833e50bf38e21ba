"""What happens to connectors as wholes."""

from __future__ import annotations

from tests.campaign.mutate_contacts import content
from tests.campaign.mutate_pins import POWER, fresh_signal
from tests.campaign.sheets import BoardSheets, Row, row
from tests.campaign.trial import Trial


def _outside(trial: Trial, least: int) -> tuple[BoardSheets, Row] | None:
    """A connector without a joint that nothing has happened to yet."""
    board = trial.board()
    jointed = {joint[side] for joint in trial.new.joints for side in ("a", "b")}
    good = [
        item
        for item in board.connectors
        if f"{board.name}.{item['connector']}" not in jointed
        and trial.free(("connector", item["uid"]), ("on", item["uid"]), ("detail", item["uid"]), ("name", item["uid"]))
        and len(board.contacts_of(item["connector"])) >= least
        and any(old["uid"] == item["uid"] for old in trial.old.boards[board.name].connectors)
    ]
    if not good:
        return None
    chosen = trial.rng.choice(good)
    uid = chosen["uid"]
    trial.take(("connector", uid), ("on", uid), ("detail", uid), ("name", uid))
    return board, chosen


def _part_of(board: BoardSheets, name: str) -> Row | None:
    return next((item for item in board.parts if item["designator"] == name), None)


def _fresh_name(trial: Trial, board: BoardSheets) -> str:
    rows = [*board.connectors, *trial.old.boards[board.name].connectors]
    return f"J{trial.fresh_number(rows, 'connector', 'J')}"


def _new_connector(trial: Trial, board: BoardSheets, name: str, signals: list[str], like: Row) -> Row:
    cells = {key: text for key, text in like.items() if key != "uid"}
    cells |= {"connector": name, "role": "outside", "count": str(len(signals)), "rows": "1"}
    cells |= {
        "x": f"{trial.rng.randrange(100, 200)} mm",
        "part_number": f"PW-Z{len(signals):02d}-{trial.rng.randrange(100)}",
    }
    new = row(**cells)
    board.connectors.append(new)
    trial.take(("connector", new["uid"]), ("on", new["uid"]), ("detail", new["uid"]))
    columns = content(board.contacts[0])
    for number, signal in enumerate(signals, 1):
        contact = row(connector=name, contact=str(number), **{**dict.fromkeys(columns, ""), "signal": signal})
        board.contacts.append(contact)
        trial.take(("contact", contact["uid"]))
    return new


def _list_part(trial: Trial, board: BoardSheets, connector: Row) -> None:
    """The new connector in the parts list, where that lists connectors."""
    pattern = next((item for item in board.parts if item["designator"].startswith("J")), None)
    if pattern is None:
        return
    cells = {key: text for key, text in pattern.items() if key not in ("uid", "designator")}
    cells["value"] = f"1x{connector['count']} {connector['gender']} {trial.rng.randrange(100)}"
    new = row(designator=connector["connector"], **cells)
    board.parts.append(new)
    trial.tell("part.added", board.name, "parts", [("", new["uid"])])


def _drop_part(trial: Trial, board: BoardSheets, name: str) -> None:
    part = _part_of(board, name)
    if part is not None:
        board.parts.remove(part)
        trial.tell("part.removed", board.name, "parts", [(part["uid"], "")])


def connector_added(trial: Trial) -> bool:
    board = trial.board()
    signals = [fresh_signal(trial) for _ in range(trial.rng.randrange(1, 6))] + ["GND"]
    new = _new_connector(trial, board, _fresh_name(trial, board), signals, trial.rng.choice(board.connectors))
    trial.tell("connector.added", board.name, "connectors", [("", new["uid"])])
    _list_part(trial, board, new)
    return True


def connector_removed(trial: Trial) -> bool:
    found = _outside(trial, 1)
    if found is None:
        return False
    board, chosen = found
    if not _releases(trial, board, chosen):
        return False
    board.connectors.remove(chosen)
    board.contacts = [item for item in board.contacts if item["connector"] != chosen["connector"]]
    trial.tell("connector.removed", board.name, "connectors", [(chosen["uid"], "")])
    _drop_part(trial, board, chosen["connector"])
    return True


def _releases(trial: Trial, board: BoardSheets, connector: Row) -> bool:
    """Takes the signals of a connector, so that no other event concerns them. False where one did already."""
    signals = {item["signal"] for item in board.contacts_of(connector["connector"])} - {"", *POWER}
    if not all(trial.free(("signal", name)) for name in signals):
        return False
    trial.take(*(("signal", name) for name in signals))
    return True


def _renumber(trial: Trial, board: BoardSheets, chosen: Row, name: str) -> None:
    old = chosen["connector"]
    for item in board.contacts_of(old):
        item["connector"] = name
    part = _part_of(board, old)
    if part is not None:
        part["designator"] = name
    for joint in trial.new.joints:
        for side in ("a", "b"):
            if joint[side] == f"{board.name}.{old}":
                joint[side] = f"{board.name}.{name}"
    chosen["connector"] = name
    trial.tell("connector.renumbered", board.name, "connectors", [(chosen["uid"], chosen["uid"])])


def connector_renumbered(trial: Trial) -> bool:
    board = trial.board()
    good = [
        item
        for item in board.connectors
        if trial.free(("connector", item["uid"]), ("name", item["uid"])) and _telling(board, item)
    ]
    good = [item for item in good if any(it["uid"] == item["uid"] for it in trial.old.boards[board.name].connectors)]
    if not good:
        return False
    chosen = trial.rng.choice(good)
    trial.take(("name", chosen["uid"]))
    _renumber(trial, board, chosen, _fresh_name(trial, board))
    return True


def _telling(board: BoardSheets, connector: Row) -> bool:
    return len({item["signal"] for item in board.contacts_of(connector["connector"])} - {"", *POWER}) >= 2


def connector_reused(trial: Trial) -> bool:
    """A connector gets another number, and a new one takes the old number."""
    found = _outside(trial, 3)
    if found is None or not _telling(*found):
        return False
    board, chosen = found
    old = chosen["connector"]
    _renumber(trial, board, chosen, _fresh_name(trial, board))
    signals = [fresh_signal(trial) for _ in range(trial.rng.randrange(2, 6))]
    new = _new_connector(trial, board, old, signals, chosen)
    trial.tell("connector.added", board.name, "connectors", [("", new["uid"])])
    _list_part(trial, board, new)
    return True


def connector_split(trial: Trial) -> bool:
    """One connector becomes two: both with new names, or one of them keeps the name."""
    found = _outside(trial, 6)
    if found is None or not _telling(*found) or not _releases(trial, *found):
        return False
    board, chosen = found
    old = chosen["connector"]
    rows = sorted(board.contacts_of(old), key=lambda item: int(item["contact"]))
    cut = trial.rng.randrange(2, len(rows) - 1)
    keeps = trial.rng.random() < 0.5
    names = [old if keeps else _fresh_name(trial, board)]
    first = _new_connector(trial, board, names[0], [], chosen)
    second = _new_connector(trial, board, _fresh_name(trial, board), [], chosen)
    board.connectors.remove(chosen)
    for connector, pieces in ((first, rows[:cut]), (second, rows[cut:])):
        for number, item in enumerate(pieces, 1):
            item.update({"connector": connector["connector"], "contact": str(number)})
        connector["count"] = str(len(pieces))
    trial.tell(
        "connector.split", board.name, "connectors", [(chosen["uid"], first["uid"]), (chosen["uid"], second["uid"])]
    )
    if not keeps:
        _drop_part(trial, board, old)
        _list_part(trial, board, first)
    _list_part(trial, board, second)
    return True


def connector_merged(trial: Trial) -> bool:
    """Two connectors become one, with the name of the first or with a new one."""
    found = _outside(trial, 2)
    if found is None or not _telling(*found) or not _releases(trial, *found):
        return False
    board, one = found
    for _ in range(10):
        again = _outside(trial, 2)
        if again is not None and again[0] is board and _telling(*again) and _releases(trial, *again):
            break
    else:
        return False
    two = again[1]
    keeps = trial.rng.random() < 0.5
    name = one["connector"] if keeps else _fresh_name(trial, board)
    rows = [
        item
        for connector in (one, two)
        for item in sorted(board.contacts_of(connector["connector"]), key=lambda item: int(item["contact"]))
    ]
    merged = _new_connector(trial, board, name, [], one)
    board.connectors = [item for item in board.connectors if item is not one and item is not two]
    for number, item in enumerate(rows, 1):
        item.update({"connector": name, "contact": str(number)})
    merged["count"] = str(len(rows))
    trial.tell("connector.merged", board.name, "connectors", [(one["uid"], merged["uid"]), (two["uid"], merged["uid"])])
    _drop_part(trial, board, two["connector"])
    if not keeps:
        _drop_part(trial, board, one["connector"])
        _list_part(trial, board, merged)
    return True


def _property(trial: Trial, kind: str, cells: Row, *, number: bool = False) -> bool:
    board = trial.board()
    good = [
        item
        for item in board.connectors
        if trial.free(("connector", item["uid"]), ("property", item["uid"], kind), ("property", item["uid"]))
        and all(item.get(name) != text for name, text in cells.items())
        and any(old["uid"] == item["uid"] for old in trial.old.boards[board.name].connectors)
    ]
    if not good:
        return False
    item = trial.rng.choice(good)
    # Another size, pitch or gender has another part number: two such events can't be told apart.
    if (number or "part_number" in cells) and not trial.free(("count", item["uid"])):
        return False
    if number or "part_number" in cells:
        trial.take(("count", item["uid"]))
    if number:
        cells = cells | {"part_number": f"PW-N{trial.rng.randrange(100, 999)}"}
        trial.take(("property", item["uid"]))
    trial.take(("property", item["uid"], kind), ("detail", item["uid"]))
    trial.take(("on", item["uid"]))
    # Where one joint alone connects two boards, its position breaks nothing: the other board goes with it.
    trial.breaks = item["role"] == "joint" and kind in ("connector.pitch", "connector.gender")
    item.update(cells)
    trial.tell(kind, board.name, "connectors", [(item["uid"], item["uid"])], list(cells))
    return True


def pitch(trial: Trial) -> bool:
    return _property(trial, "connector.pitch", {"pitch": "2 mm"}, number=True)


def gender(trial: Trial) -> bool:
    return _property(trial, "connector.gender", {"gender": trial.rng.choice(("male", "female"))}, number=True)


def position(trial: Trial) -> bool:
    cells = trial.rng.choice(({"x": "201 mm"}, {"y": "202 mm"}, {"rotation": "270"}, {"x": "203 mm", "y": "204 mm"}))
    return _property(trial, "connector.position", cells)


def role(trial: Trial) -> bool:
    return _property(trial, "connector.role", {"role": trial.rng.choice(("outside", "debug"))})


def connector_detail(trial: Trial) -> bool:
    name, text = trial.rng.choice(
        (("note", "sealed"), ("rating", "5A"), ("height", "15 mm"), ("part_number", "PW-ALT1"))
    )
    return _property(trial, "connector.field", {name: text})
