"""What happens to the pins of a controller."""

from __future__ import annotations

from tests.campaign import stock
from tests.campaign.sheets import BoardSheets, Row, row
from tests.campaign.trial import Trial

# What belongs to a pin by its place on the chip; everything else goes with the signal.
_OF_THE_PLACE = ("uid", "device", "pin", "port", "analog", "interrupt")
_FRESH = ("AUX", "MIX", "HORN", "SERVO", "TANK", "GATE")
POWER = ("GND", "+3V3", "+5V", "VBAT")


def content(item: Row) -> Row:
    return {key: value for key, value in item.items() if key not in _OF_THE_PLACE}


def fill(item: Row, content: Row) -> None:
    item.update(content)
    for column, text in (("analog", f"ADC_IN{item['pin']}"), ("interrupt", f"EXTI{int(item['pin']) % 16}")):
        if column in item:
            wanted = content.get("direction") == ("analog in" if column == "analog" else "in")
            item[column] = text if content.get("signal") and wanted else ""


def _clear(item: Row) -> None:
    fill(item, dict.fromkeys(content(item), ""))


def single(trial: Trial, board: BoardSheets) -> list[Row]:
    """Pins with a signal that stands on one pin of the board, neither of them touched yet."""
    counts: dict[str, int] = {}
    for item in board.pins:
        counts[item["signal"]] = counts.get(item["signal"], 0) + 1
    return [
        item
        for item in board.pins
        if item["signal"]
        and item["signal"] not in POWER
        and counts[item["signal"]] == 1
        and trial.free(("pin", item["uid"]), ("signal", item["signal"]))
    ]


def relied_on(trial: Trial, board: BoardSheets, *items: Row, field: str = "") -> None:
    """Notes whether a released firmware relies on any of these pins as they are: then it no longer runs.

    ``field``: on what it relies; a firmware that states nothing of it does not mind.
    """
    signals = {item["signal"] for item in items}
    devices = {item["device"] for item in items}
    trial.breaks = any(
        need["signal"] in signals and firmware.cells["device"] in devices
        for firmware in trial.old.firmware.values()
        if firmware.cells["board"] == board.name
        for need in firmware.needs
        if not field or need.get(field)
    )


def unused(trial: Trial, board: BoardSheets, device: str) -> Row | None:
    """An unused pin of a device: a listed one, or one the table did not list so far."""
    rows = [item for item in board.pins if item["device"] == device]
    unused = [item for item in rows if not item["signal"] and trial.free(("pin", item["uid"]))]
    if unused:
        return trial.rng.choice(unused)
    if any(not item["signal"] for item in rows):
        return None
    number = max(int(item["pin"]) for item in rows) + trial.rng.choice((1, 2, 3))
    new = row(device=device, pin=str(number), **dict.fromkeys(list(rows[0])[3:], ""))
    if "port" in new:
        new["port"] = f"PX{number}"
    board.pins.append(new)
    return new


def _lists_unused(trial: Trial, board: BoardSheets, device: str) -> bool:
    rows = [item for item in trial.old.boards[board.name].pins if item["device"] == device]
    return any(not item["signal"] for item in rows)


def leave(trial: Trial, board: BoardSheets, item: Row) -> None:
    """The pin is unused from now on: an empty row, or none, as this table has it."""
    listed = _lists_unused(trial, board, item["device"])
    _clear(item)
    if not listed:
        board.pins.remove(item)


def moved(trial: Trial) -> bool:
    board = trial.board()
    pins = single(trial, board)
    if not pins:
        return False
    item = trial.rng.choice(pins)
    target = unused(trial, board, item["device"])
    if target is None:
        return False
    trial.take(("pin", item["uid"]), ("pin", target["uid"]), ("signal", item["signal"]))
    relied_on(trial, board, item)
    fill(target, content(item))
    leave(trial, board, item)
    trial.tell("pin.moved", board.name, "pins", [(item["uid"], target["uid"])])
    return True


def _rotate(trial: Trial, count: int) -> bool:
    board = trial.board()
    pins = single(trial, board)
    device = trial.rng.choice(pins)["device"] if pins else ""
    pins = [item for item in pins if item["device"] == device]
    if len(pins) < count:
        return False
    chosen = trial.rng.sample(pins, count)
    relied_on(trial, board, *chosen)
    contents = [content(item) for item in chosen]
    for item in chosen:
        trial.take(("pin", item["uid"]), ("signal", item["signal"]))
    targets = chosen[1:] + chosen[:1]
    for cells, target in zip(contents, targets, strict=True):
        fill(target, cells)
    ends = [(item["uid"], target["uid"]) for item, target in zip(chosen, targets, strict=True)]
    trial.tell("pin.swapped", board.name, "pins", ends)
    return True


def swapped(trial: Trial) -> bool:
    return _rotate(trial, 2)


def rotated(trial: Trial) -> bool:
    return _rotate(trial, trial.rng.randrange(3, 6))


def fresh_signal(trial: Trial) -> str:
    """A signal name that neither revision knows."""
    rng = trial.rng
    boards = [board for sheets in (trial.old, trial.new) for board in sheets.boards.values()]
    known = {item["signal"] for board in boards for item in (*board.pins, *board.contacts)}
    known |= {need["signal"] for firmware in trial.new.firmware.values() for need in firmware.needs}
    while True:
        what, suffix = rng.choice(_FRESH), rng.choice(("_EN", "_IN", "", "_PWM", "_nFAULT"))
        name = f"{what}{rng.randrange(1, 99)}{suffix}"
        if name not in known:
            trial.take(("signal", name))
            return name


def _facts(trial: Trial, item: Row, name: str) -> Row:
    facts = stock.signal_facts(name, trial.rng) | {"level": "3.3V", "signal": name, "note": ""}
    return {key: facts.get(key, "") for key in content(item)}


def added(trial: Trial) -> bool:
    board = trial.board()
    if not board.pins:
        return False
    target = unused(trial, board, trial.rng.choice(board.pins)["device"])
    if target is None:
        return False
    trial.take(("pin", target["uid"]))
    fill(target, _facts(trial, target, fresh_signal(trial)))
    trial.tell("pin.added", board.name, "pins", [("", target["uid"])])
    return True


def removed(trial: Trial) -> bool:
    board = trial.board()
    pins = single(trial, board)
    if not pins:
        return False
    item = trial.rng.choice(pins)
    trial.take(("pin", item["uid"]), ("signal", item["signal"]))
    relied_on(trial, board, item)
    leave(trial, board, item)
    trial.tell("pin.removed", board.name, "pins", [(item["uid"], "")])
    return True


def reassigned(trial: Trial) -> bool:
    """A pin is given to another signal; the old one is gone from the controller."""
    board = trial.board()
    pins = [item for item in single(trial, board) if "direction" in item]
    if not pins:
        return False
    item = trial.rng.choice(pins)
    name = fresh_signal(trial)
    facts = _facts(trial, item, name)
    if facts["direction"] == item["direction"]:
        facts["direction"] = "in" if item["direction"] == "out" else "out"
    if "function" in facts and facts["function"] == item["function"]:
        facts["function"] = "TIM8_CH2"
    trial.take(("pin", item["uid"]), ("signal", item["signal"]))
    relied_on(trial, board, item)
    fill(item, facts)
    trial.tell("pin.signal", board.name, "pins", [(item["uid"], item["uid"])])
    return True


def _alter(trial: Trial, column: str, kind: str, texts: tuple[str, ...]) -> bool:
    board = trial.board()
    pins = [
        item
        for item in board.pins
        if column in item
        and item["signal"] not in ("", *POWER)
        and trial.free(("pin", item["uid"]), ("pin", item["uid"], column), ("signal", item["signal"]))
    ]
    if not pins:
        return False
    item = trial.rng.choice(pins)
    trial.take(("pin", item["uid"]), ("signal", item["signal"]))
    # Another pull or level is a caution: the firmware may set its own, or bear it.
    if kind in ("pin.function", "pin.direction", "pin.active", "pin.analog"):
        relied_on(trial, board, item, field=column)
    item[column] = trial.rng.choice([text for text in texts if text != item[column]])
    trial.tell(kind, board.name, "pins", [(item["uid"], item["uid"])], [column])
    return True


def function(trial: Trial) -> bool:
    return _alter(trial, "function", "pin.function", ("TIM1_CH4", "SPI3_NSS", "LPUART_RX"))


def direction(trial: Trial) -> bool:
    return _alter(trial, "direction", "pin.direction", ("in", "out", "open drain", "bidirectional"))


def active(trial: Trial) -> bool:
    return _alter(trial, "active", "pin.active", ("high", "low"))


def pull(trial: Trial) -> bool:
    return _alter(trial, "pull", "pin.pull", ("up 4.7k", "down 47k", "none"))


def level(trial: Trial) -> bool:
    return _alter(trial, "level", "pin.level", ("1.8V", "5V"))


def analog(trial: Trial) -> bool:
    return _alter(trial, "analog", "pin.analog", (f"ADC2_IN{trial.rng.randrange(20, 40)}",))


def detail(trial: Trial) -> bool:
    return _alter(trial, trial.rng.choice(("note", "interrupt")), "pin.field", (f"EXTI{trial.rng.randrange(20, 40)}",))
