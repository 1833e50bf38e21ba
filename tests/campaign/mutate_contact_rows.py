"""Contacts numbered in another way, added, inserted and removed."""

from __future__ import annotations

from tests.campaign.mutate_contacts import Side, content, facts, pick, take
from tests.campaign.mutate_pins import fresh_signal
from tests.campaign.sheets import row
from tests.campaign.trial import Trial


def _numbered(trial: Trial, kind: str) -> bool:
    """The whole connector is numbered in another way; what each contact carries stays."""
    sides = pick(trial, 8)
    if sides is None or not all(trial.free(("pattern", side.connector["uid"])) for side in sides):
        return False
    size = len(sides[0].rows)
    if kind == "odd and even" and size % 2:
        return False
    for side in sides:
        trial.take(("pattern", side.connector["uid"]))
        rows = side.board.contacts_of(side.connector["connector"])
        before = {item["uid"]: item["contact"] for item in rows}
        for item in rows:
            number = int(item["contact"])
            if kind == "other end":
                number = size + 1 - number
            else:
                number += 1 if number % 2 else -1
            item["contact"] = str(number)
        moved = [(item["uid"], item["uid"]) for item in rows if before[item["uid"]] != item["contact"]]
        trial.tell("contact.moved", side.board.name, "contacts", moved)
    return True


def other_end(trial: Trial) -> bool:
    return _numbered(trial, "other end")


def odd_even(trial: Trial) -> bool:
    return _numbered(trial, "odd and even")


def pair_inserted(trial: Trial) -> bool:
    """Two contacts are added at the front, or further back; what is behind them moves up by two."""
    sides = pick(trial, 8)
    if sides is None or any(side.mirrored for side in sides):
        return False
    if not all(trial.free(("pattern", it.connector["uid"]), ("count", it.connector["uid"])) for it in sides):
        return False
    size = len(sides[0].rows)
    start = 1 if trial.rng.random() < 0.6 else trial.rng.randrange(1, size - 5, 2)
    signals = [fresh_signal(trial), trial.rng.choice(("GND", fresh_signal(trial)))]
    for side in sides:
        trial.take(("pattern", side.connector["uid"]), ("count", side.connector["uid"]))
        behind = [item for item in side.rows if int(item["contact"]) >= start]
        for item in behind:
            item["contact"] = str(int(item["contact"]) + 2)
        trial.tell("contact.moved", side.board.name, "contacts", [(item["uid"], item["uid"]) for item in behind])
        _append(trial, side, [(start + index, signal) for index, signal in enumerate(signals)])
    return True


def _append(trial: Trial, side: Side, contacts: list[tuple[int, str]]) -> None:
    for number, signal in contacts:
        new = row(
            connector=side.connector["connector"],
            contact=str(number),
            **{**dict.fromkeys(content(side.rows[0]), ""), **facts(side, signal)},
        )
        side.board.contacts.append(new)
        trial.take(("contact", new["uid"]))
        trial.tell("contact.added", side.board.name, "contacts", [("", new["uid"])])
    if side.connector["count"]:
        side.connector["count"] = str(len(side.rows))
        trial.tell("connector.count", side.board.name, "connectors", [(side.connector["uid"],) * 2], ["count"])


def added(trial: Trial) -> bool:
    """One or two contacts more at the end."""
    sides = pick(trial, 2)
    if sides is None or any(side.mirrored for side in sides):
        return False
    if not all(trial.free(("count", it.connector["uid"]), ("pattern", it.connector["uid"])) for it in sides):
        return False
    signals = [fresh_signal(trial) for _ in range(trial.rng.choice((1, 2)))]
    size = len(sides[0].rows)
    for side in sides:
        trial.take(("count", side.connector["uid"]), ("pattern", side.connector["uid"]))
        _append(trial, side, [(size + 1 + index, signal) for index, signal in enumerate(signals)])
    return True


def removed(trial: Trial) -> bool:
    """The last contact goes."""
    sides = pick(trial, 4)
    if sides is None or any(side.mirrored for side in sides):
        return False
    if not all(trial.free(("count", it.connector["uid"]), ("pattern", it.connector["uid"])) for it in sides):
        return False
    last = [side.rows[-1] for side in sides]
    if not all(trial.free(("contact", item["uid"]), ("signal", item["signal"])) for item in last):
        return False
    take(trial, sides, [len(sides[0].rows) - 1])
    for side, item in zip(sides, last, strict=True):
        trial.take(("count", side.connector["uid"]), ("pattern", side.connector["uid"]))
        side.board.contacts.remove(item)
        side.connector["count"] = str(len(side.rows))
        trial.tell("contact.removed", side.board.name, "contacts", [(item["uid"], "")])
        trial.tell("connector.count", side.board.name, "connectors", [(side.connector["uid"],) * 2], ["count"])
    return True
