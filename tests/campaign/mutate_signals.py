"""What happens to the names of signals."""

from __future__ import annotations

from tests.campaign.mutate_pins import POWER, content, fill, fresh_signal, leave, relied_on, single, unused
from tests.campaign.sheets import BoardSheets, Row
from tests.campaign.trial import Trial


def _carriers(boards: list[BoardSheets], name: str) -> list[Row]:
    return [item for board in boards for item in (*board.pins, *board.contacts) if item["signal"] == name]


def _rename(trial: Trial, boards: list[BoardSheets], old: str, new: str) -> None:
    """The new name everywhere on these boards, and in the contracts of their firmware."""
    for item in _carriers(boards, old):
        item["signal"] = new
    names = {board.name for board in boards}
    for firmware in trial.new.firmware.values():
        if firmware.cells["board"] in names:
            for need in firmware.needs:
                if need["signal"] == old:
                    need["signal"] = new
    trial.tell("signal.renamed", ", ".join(board.name for board in boards), "", [(old.casefold(), new.casefold())])


def _renamable(trial: Trial) -> tuple[str, list[BoardSheets]] | None:
    shared = [board for board in trial.new.boards.values() if board.name in trial.old.boards]
    names = sorted({item["signal"] for board in shared for item in (*board.pins, *board.contacts)} - {"", *POWER})
    good = [name for name in names if trial.free(("signal", name))]
    if not good:
        return None
    name = trial.rng.choice(good)
    return name, [board for board in shared if _carriers([board], name)]


def _new_name(trial: Trial, old: str) -> str:
    """A variant of the name, or another one altogether."""
    if trial.rng.random() < 0.5:
        variant = trial.rng.choice((f"{old}_A", f"N_{old}", old.replace("_", "") + "0", f"{old[:3]}_{old[3:]}X"))
        known = {item["signal"] for board in trial.new.boards.values() for item in (*board.pins, *board.contacts)}
        if variant not in known:
            trial.take(("signal", variant))
            return variant
    return fresh_signal(trial)


def renamed(trial: Trial) -> bool:
    """A signal gets another name on every board."""
    found = _renamable(trial)
    if found is None:
        return False
    old, boards = found
    trial.take(("signal", old))
    _rename(trial, boards, old, _new_name(trial, old))
    return True


def renamed_on_one(trial: Trial) -> bool:
    """One board calls a signal something else; its neighbours keep the name."""
    found = _renamable(trial)
    if found is None or len(found[1]) < 2:
        return False
    old, boards = found
    trial.take(("signal", old))
    _rename(trial, [trial.rng.choice(boards)], old, _new_name(trial, old))
    return True


def renamed_and_moved(trial: Trial) -> bool:
    """A signal gets another name and goes to another pin in the same revision."""
    board = trial.board()
    pins = [item for item in single(trial, board) if any(it["signal"] == item["signal"] for it in board.contacts)]
    if not pins:
        return False
    item = trial.rng.choice(pins)
    target = unused(trial, board, item["device"])
    if target is None:
        return False
    old = item["signal"]
    relied_on(trial, board, item)
    trial.take(("pin", item["uid"]), ("pin", target["uid"]), ("signal", old))
    fill(target, content(item))
    leave(trial, board, item)
    trial.tell("pin.moved", board.name, "pins", [(item["uid"], target["uid"])])
    shared = [it for it in trial.new.boards.values() if it.name in trial.old.boards and _carriers([it], old)]
    _rename(trial, shared, old, _new_name(trial, old))
    return True
