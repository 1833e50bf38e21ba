"""What happens to the contacts of connectors.

A joint's contacts change on both sides, or on one: then it no longer mates.
"""

from __future__ import annotations

from random import Random

from tests.campaign import stock
from tests.campaign.mutate_pins import POWER, fresh_signal
from tests.campaign.sheets import BoardSheets, Row
from tests.campaign.trial import Trial

_PLACE = ("uid", "connector", "contact")


class Side:
    """One connector of one board, and how its contacts are numbered as seen from the first side."""

    def __init__(self, board: BoardSheets, connector: Row, *, mirrored: bool) -> None:
        self.board = board
        self.connector = connector
        self.mirrored = mirrored

    @property
    def rows(self) -> list[Row]:
        """The contacts in the order of their numbers; of a mirrored side, in the order of its mate's numbers."""
        found = sorted(self.board.contacts_of(self.connector["connector"]), key=lambda item: int(item["contact"]))
        return found[::-1] if self.mirrored else found


def content(item: Row) -> Row:
    return {key: value for key, value in item.items() if key not in _PLACE}


def sides_of(trial: Trial, board: BoardSheets, connector: Row, *, both: bool) -> list[Side]:
    """The connector, and with ``both`` the one it mates with."""
    sides = [Side(board, connector, mirrored=False)]
    end = f"{board.name}.{connector['connector']}"
    for joint in trial.new.joints:
        if both and end in (joint["a"], joint["b"]) and joint["contacts"] in ("same", "mirrored"):
            name, _, mate = (joint["b"] if joint["a"] == end else joint["a"]).partition(".")
            other = trial.new.boards[name]
            if name in trial.old.boards and other.name != board.name:
                sides.append(Side(other, other.connector(mate), mirrored=joint["contacts"] == "mirrored"))
    return sides


def pick(trial: Trial, least: int, *, whole: bool = False) -> list[Side] | None:
    """A connector with at least so many contacts; its mate with it, or not.

    ``whole``: what happens concerns the connector as a whole, so that nothing else may.
    """
    board = trial.board()
    known = {item["uid"] for item in trial.old.boards[board.name].connectors}
    good = [
        item for item in board.connectors if item["uid"] in known and len(board.contacts_of(item["connector"])) >= least
    ]
    if not good:
        return None
    sides = sides_of(trial, board, trial.rng.choice(good), both=trial.rng.random() < 0.6)
    for side in sides:
        uid = side.connector["uid"]
        if not trial.free(("connector", uid), *([("on", uid)] if whole else [])):
            return None
    if len({len(side.rows) for side in sides}) > 1:
        return None
    for side in sides:
        trial.take(("on", side.connector["uid"]))
        if whole:
            trial.take(("connector", side.connector["uid"]))
    trial.breaks = len(sides) == 1 and sides[0].connector["role"] == "joint"
    return sides


def _free_places(trial: Trial, sides: list[Side], *, used: bool) -> list[int]:
    """Places, by index, that carry a signal found once on the connector, or that are unused; on every side alike."""
    found = []
    for index in range(len(sides[0].rows)):
        rows = [side.rows[index] for side in sides]
        signals = {item["signal"] for item in rows}
        if len(signals) > 1 or not all(trial.free(("contact", item["uid"])) for item in rows):
            continue
        signal = signals.pop()
        if not used and not signal:
            found.append(index)
        once = all(sum(1 for item in side.rows if item["signal"] == signal) == 1 for side in sides)
        if used and once and signal and signal not in POWER and trial.free(("signal", signal)):
            found.append(index)
    return found


def take(trial: Trial, sides: list[Side], indexes: list[int]) -> None:
    for side in sides:
        for index in indexes:
            item = side.rows[index]
            trial.take(("contact", item["uid"]))
            if item["signal"] and item["signal"] not in POWER:
                trial.take(("signal", item["signal"]))


def _turn(trial: Trial, sides: list[Side], indexes: list[int], kind: str) -> None:
    """What is at each place goes to the next one, and from the last to the first."""
    take(trial, sides, indexes)
    for side in sides:
        rows = [side.rows[index] for index in indexes]
        contents = [content(item) for item in rows]
        targets = rows[1:] + rows[:1]
        for cells, target in zip(contents, targets, strict=True):
            target.update(cells)
        ends = [(item["uid"], target["uid"]) for item, target in zip(rows, targets, strict=True)]
        trial.tell(kind, side.board.name, "contacts", ends[:1] if kind == "contact.moved" else ends)


def moved(trial: Trial) -> bool:
    sides = pick(trial, 3)
    if sides is None:
        return False
    used, unused = _free_places(trial, sides, used=True), _free_places(trial, sides, used=False)
    if not used or not unused:
        return False
    _turn(trial, sides, [trial.rng.choice(used), trial.rng.choice(unused)], "contact.moved")
    return True


def moved_across(trial: Trial) -> bool:
    """A signal goes to an unused contact of another connector of the board."""
    sides = pick(trial, 2)
    if sides is None:
        return False
    side = sides[0]
    used = _free_places(trial, [side], used=True)
    targets = [
        item
        for item in side.board.contacts
        if item["connector"] != side.connector["connector"]
        and not item["signal"]
        and trial.free(("contact", item["uid"]))
    ]
    targets = [
        item
        for item in targets
        if trial.free(
            ("connector", next(it["uid"] for it in side.board.connectors if it["connector"] == item["connector"]))
        )
    ]
    if not used or not targets:
        return False
    item, target = side.rows[trial.rng.choice(used)], trial.rng.choice(targets)
    if any(it["signal"] == item["signal"] for it in side.board.contacts_of(target["connector"])):
        return False
    trial.take(("contact", item["uid"]), ("contact", target["uid"]), ("signal", item["signal"]))
    other = next(it for it in side.board.connectors if it["connector"] == target["connector"])
    trial.take(("on", other["uid"]))
    trial.breaks = side.connector["role"] == "joint"
    target.update(content(item))
    item.update(dict.fromkeys(content(item), ""))
    trial.tell("contact.moved", side.board.name, "contacts", [(item["uid"], target["uid"])])
    return True


def swapped(trial: Trial) -> bool:
    sides = pick(trial, 2)
    used = _free_places(trial, sides, used=True) if sides else []
    if sides is None or len(used) < 2:
        return False
    _turn(trial, sides, trial.rng.sample(used, 2), "contact.swapped")
    return True


def swapped_with_power(trial: Trial) -> bool:
    """A signal trades places with a ground or supply contact, of which there are several."""
    sides = pick(trial, 4)
    used = _free_places(trial, sides, used=True) if sides else []
    if sides is None or not used:
        return False
    power = [
        index
        for index in range(len(sides[0].rows))
        if all(
            side.rows[index]["signal"] in POWER and trial.free(("contact", side.rows[index]["uid"])) for side in sides
        )
    ]
    if not power:
        return False
    _turn(trial, sides, [trial.rng.choice(used), trial.rng.choice(power)], "contact.swapped")
    return True


def rotated(trial: Trial) -> bool:
    sides = pick(trial, 3)
    used = _free_places(trial, sides, used=True) if sides else []
    count = trial.rng.randrange(3, 6)
    if sides is None or len(used) < count:
        return False
    _turn(trial, sides, trial.rng.sample(used, count), "contact.swapped")
    return True


def reassigned(trial: Trial) -> bool:
    """A contact carries another signal, carries one at last, or carries none any more."""
    sides = pick(trial, 2)
    if sides is None:
        return False
    used, unused = _free_places(trial, sides, used=True), _free_places(trial, sides, used=False)
    way = trial.rng.choice(("other", "other", "first", "none"))
    places = unused if way == "first" else used
    # Where the signal stands nowhere else on the board, another name could be a rename just as well.
    if way == "other":
        places = [index for index in used if _elsewhere(sides, index)]
    if not places:
        return False
    index = trial.rng.choice(places)
    take(trial, sides, [index])
    name = "" if way == "none" else fresh_signal(trial)
    trial.breaks = trial.breaks and way != "first"  # the other board has nothing there either
    for side in sides:
        item = side.rows[index]
        item.update({**dict.fromkeys(content(item), ""), **(facts(side, name) if name else {})})
        trial.tell("contact.signal", side.board.name, "contacts", [(item["uid"], item["uid"])])
    return True


def facts(side: Side, signal: str) -> Row:
    if signal == "GND":
        values = {"direction": "ground", "current": "1A", "function": "supply"}
    else:
        facts = stock.signal_facts(signal, Random(signal))
        values = {"direction": facts["direction"], "level": "3.3V", "current": "0.02A", "function": facts["function"]}
    return {"signal": signal, **{key: text for key, text in values.items() if key in side.rows[0]}}


def _elsewhere(sides: list[Side], index: int) -> bool:
    return all(
        sum(1 for it in (*side.board.contacts, *side.board.pins) if it["signal"] == side.rows[index]["signal"]) > 1
        for side in sides
    )


def _alter(trial: Trial, column: str, kind: str, texts: tuple[str, ...]) -> bool:
    """A detail of one contact, or of all contacts of one supply, changes."""
    sides = pick(trial, 2)
    if sides is None:
        return False
    side = sides[0]
    trial.breaks = False
    rows = [
        item
        for item in side.rows
        if item["signal"] and column in item and trial.free(("contact", item["uid"]), ("signal", item["signal"]))
    ]
    if not rows:
        return False
    chosen = trial.rng.choice(rows)
    text = trial.rng.choice([text for text in texts if text != chosen[column]])
    together = [chosen]
    if chosen["signal"] in POWER:
        together = [item for item in rows if item["signal"] == chosen["signal"] and item[column] == chosen[column]]
    for item in together:
        trial.take(("contact", item["uid"]))
        if item["signal"] not in POWER:
            trial.take(("signal", item["signal"]))
        item[column] = text
    trial.tell(kind, side.board.name, "contacts", [(item["uid"], item["uid"]) for item in together], [column])
    return True


def direction(trial: Trial) -> bool:
    return _alter(trial, "direction", "contact.direction", ("bidirectional", "open drain", "passive"))


def level(trial: Trial) -> bool:
    return _alter(trial, "level", "contact.level", ("1.8V", "9V", "24V"))


def current(trial: Trial) -> bool:
    return _alter(trial, "current", "contact.current", ("0.5A", "2A", "4A"))


def detail(trial: Trial) -> bool:
    column = trial.rng.choice(("note", "function"))
    return _alter(trial, column, "contact.field", (f"see page {trial.rng.randrange(2, 40)}",))
