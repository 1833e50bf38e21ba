"""What happens to joints, firmware contracts, boards and the manifest's own fields."""

from __future__ import annotations

import copy

from tests.campaign.designs import make_design
from tests.campaign.sheets import Row, row
from tests.campaign.trial import Trial

# joints


def _joint_name(joint: Row) -> str:
    return "–".join(sorted((joint["a"], joint["b"])))


def joint_added(trial: Trial) -> bool:
    boards = [name for name in trial.new.boards if name in trial.old.boards]
    one, two = trial.rng.sample(boards, 2)
    ends = []
    for name in (one, two):
        good = [
            item
            for item in trial.new.boards[name].connectors
            if trial.free(("connector", item["uid"]), ("name", item["uid"]))
            and not any(f"{name}.{item['connector']}" in (joint["a"], joint["b"]) for joint in trial.new.joints)
        ]
        if not good:
            return False
        chosen = trial.rng.choice(good)
        ends.append(f"{name}.{chosen['connector']}")
        trial.take(("name", chosen["uid"]), ("connector", chosen["uid"]))
    joint = row(a=ends[0], b=ends[1], contacts="same")
    trial.new.joints.append(joint)
    trial.take(("joint", joint["uid"]))
    trial.tell("joint.added", "", "", [("", _joint_name(joint))])
    return True


def _old_joint(trial: Trial) -> Row | None:
    known = {item["uid"] for item in trial.old.joints}
    good = [item for item in trial.new.joints if item["uid"] in known and trial.free(("joint", item["uid"]))]
    for item in list(good):
        for side in ("a", "b"):
            name, _, connector = item[side].partition(".")
            if not trial.free(("name", trial.new.boards[name].connector(connector)["uid"])) and item in good:
                good.remove(item)
    if not good:
        return None
    chosen = trial.rng.choice(good)
    trial.take(("joint", chosen["uid"]))
    for side in ("a", "b"):
        name, _, connector = chosen[side].partition(".")
        trial.take(("name", trial.new.boards[name].connector(connector)["uid"]))
    return chosen


def joint_removed(trial: Trial) -> bool:
    joint = _old_joint(trial)
    if joint is None:
        return False
    trial.new.joints.remove(joint)
    trial.tell("joint.removed", "", "", [(_joint_name(joint), "")])
    return True


def joint_changed(trial: Trial) -> bool:
    joint = _old_joint(trial)
    if joint is None:
        return False
    joint["contacts"] = trial.rng.choice([way for way in ("same", "mirrored", "1=2,2=1") if way != joint["contacts"]])
    trial.breaks = True
    trial.tell("joint.changed", "", "", [(_joint_name(joint), _joint_name(joint))], ["contacts"])
    return True


# contracts


def contract_changed(trial: Trial) -> bool:
    keys = [key for key in trial.new.firmware if key in trial.old.firmware and trial.free(("contract", key))]
    if not keys:
        return False
    firmware = trial.new.firmware[trial.rng.choice(keys)]
    trial.take(("contract", firmware.key))
    fields = []
    if trial.rng.random() < 0.6:
        firmware.cells["version"] = "1.1.0"
        fields.append("version")
    way = trial.rng.choice(("clock", "constant", "address", "need"))
    if way == "clock":
        firmware.cells["clock"] = "48MHz"
        fields.append("clock")
    elif way == "constant":
        firmware.constants["ratio"] = "0.1304"
        fields.append("constants.ratio")
    elif way == "address":
        firmware.addresses["sensor"] = "0x44"
        fields.append("addresses.sensor")
    else:
        need = trial.rng.choice(firmware.needs)
        trial.take(("signal", need["signal"]))
        need["pin"] = str(int(need["pin"]) + 100)
        fields.append(f"needs.{need['signal'].casefold()}.pin")
    trial.tell("contract.changed", firmware.cells["board"], "", [(firmware.key, firmware.key)], fields)
    return True


def contract_added(trial: Trial) -> bool:
    if not trial.new.firmware:
        return False
    pattern = trial.new.firmware[trial.rng.choice(sorted(trial.new.firmware))]
    key = f"extra{trial.rng.randrange(1000)}"
    if key in trial.new.firmware or not trial.free(("contract", pattern.key)):
        return False
    new = copy.deepcopy(pattern)
    new.key = key
    new.cells["name"] = f"program-{key}"
    trial.take(("contract", key))
    trial.new.firmware[key] = new
    trial.tell("contract.added", new.cells["board"], "", [("", key)])
    return True


def contract_removed(trial: Trial) -> bool:
    keys = [key for key in trial.new.firmware if key in trial.old.firmware and trial.free(("contract", key))]
    if not keys:
        return False
    key = trial.rng.choice(keys)
    trial.take(("contract", key))
    firmware = trial.new.firmware.pop(key)
    trial.tell("contract.removed", firmware.cells["board"], "", [(key, "")])
    return True


# boards and the manifest


def board_added(trial: Trial) -> bool:
    names = [name for name in ("probe", "display", "charger") if name not in trial.new.boards]
    if not names or not trial.free(("boards",)):
        return False
    trial.take(("boards",))
    donor = make_design(trial.rng.randrange(1 << 30))
    board = next(iter(donor.boards.values()))
    board.name = trial.rng.choice(names)
    trial.new.boards[board.name] = board
    trial.tell("board.added", board.name, "", [("", board.name)])
    return True


def board_removed(trial: Trial) -> bool:
    """The last board goes, and with it its joint and its contracts."""
    name = list(trial.old.boards)[-1]
    if trial.events or len(trial.new.boards) < 3 or not trial.free(("boards",)):
        return False
    trial.take(("boards",))
    del trial.new.boards[name]
    trial.tell("board.removed", name, "", [(name, "")])
    for joint in list(trial.new.joints):
        if f"{name}." in (joint["a"][: len(name) + 1], joint["b"][: len(name) + 1]):
            trial.new.joints.remove(joint)
            trial.tell("joint.removed", "", "", [(_joint_name(joint), "")])
    for key, firmware in list(trial.new.firmware.items()):
        if firmware.cells["board"] == name:
            del trial.new.firmware[key]
            trial.tell("contract.removed", name, "", [(key, "")])
    return True


def manifest(trial: Trial) -> bool:
    """A field of the design or of a board in the manifest changes, comes or goes."""
    if trial.rng.random() < 0.5:
        board = trial.board()
        name = trial.rng.choice(("title", "revision", "outline", "colour"))
        if not trial.free(("manifest", board.name, name)):
            return False
        trial.take(("manifest", board.name, name))
        if name == "title":
            board.title += " II"
        elif name == "revision":
            board.revision = "B"
        else:
            board.extra[name] = "changed"
        trial.tell("design.field", board.name, "", [(f"{board.name}.{name}",) * 2])
        return True
    name = trial.rng.choice(("title", "licence", "status", "handbook"))
    if not trial.free(("manifest", "", name)):
        return False
    trial.take(("manifest", "", name))
    if name == "title":
        trial.new.title += " II"
    elif name == "status":
        del trial.new.extra["status"]
    else:
        trial.new.extra[name] = "another"
    trial.tell("design.field", "", "", [(f"design.{name}",) * 2])
    return True
