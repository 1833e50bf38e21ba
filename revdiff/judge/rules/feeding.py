"""What feeds a part: its supply and ground pins, by the pin map or by the netlist, before and now."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import NamedTuple

from revdiff.compare.devices import renamed
from revdiff.judge.fact import Ask
from revdiff.judge.revisions import Revisions
from revdiff.judge.rule import ChangeRule, Danger, Item, Margin, Record, holds
from revdiff.judge.wired import is_ground_net, is_rail
from revdiff.quantities.designator import letters_of
from revdiff.quantities.rail import rail_volts
from revdiff.quantities.span import read_span
from revdiff.quantities.text import fold

_ELSEWHERE = frozenset({"", "R", "L", "FB", "TP"})  # pulls and filters are judged by what they do to a signal


class Feed(NamedTuple):
    """What a pin is on: the name of the net, and V where its name or the pin map says it; 0 V is ground."""

    net: str
    volts: Decimal | None


def _of_net(name: str) -> Feed:
    word = fold(name)
    return Feed(name or "nothing", Decimal(0) if is_ground_net(word) else rail_volts(word) if is_rail(word) else None)


def _fed(revisions: Revisions) -> Iterator[Item]:
    """Every supply or ground pin of the pin maps, and every terminal that left a supply in the netlist."""
    for name in revisions.old.boards.keys() & revisions.new.boards.keys():
        old, new = revisions.both(name)
        devices = revisions.comparison.devices.get(name, {})
        told = {*(pin.name for pin in new.board.pins.values()), *(one.name for one in new.board.contacts)}
        for pin in old.board.pins.values():
            now = new.board.pins.get((renamed(devices, pin.device), pin.number))
            if now is None or not pin.direction.word.startswith(("supply", "ground")):
                continue
            pair = tuple(_of_pin(one.signal.raw, one.level.raw, one.direction.word) for one in (pin, now))
            records: tuple[tuple[object, Record], ...] = ((old, pin), (new, now))
            changes = revisions.touching((name, one) for one in (pin.name, now.name))
            yield Item(now.name, (name, pin.name), (new,), records, pair, changes=changes)  # type: ignore[arg-type]
        for change in revisions.changes:
            if change.board != name or not change.kind.startswith("net."):
                continue
            for wire in change.wires:
                if (
                    wire.before
                    and wire.after not in told
                    and letters_of(wire.after.rpartition(".")[0]) not in _ELSEWHERE
                ):
                    both = (_of_net(wire.net_before), _of_net(wire.net_after))
                    yield Item(wire.after, (name, wire.after), (new,), (), both, changes=(change.id,))


def _of_pin(signal: str, level: str, direction: str) -> Feed:
    span = read_span(level, "V")
    stated = span.nominal if span is not None and span.nominal is not None else span.high if span is not None else None
    if direction == "ground":
        return Feed(signal, Decimal(0))
    named = rail_volts(signal)
    return Feed(signal or "nothing", named if named is not None else stated)


def _another(_ask: Ask, item: Item) -> Margin | None:
    before, now = item.what
    if before.volts is None or (now.volts is None and now.net != "nothing"):
        return None  # a name without a voltage may be the same supply
    same = now.volts is not None and abs(now.volts - before.volts) <= abs(before.volts) / 10
    message = f"{item.subject} of {item.members[0].name} was fed from {before.net}, and is on {now.net} now"
    figures = f"{before.net} → {now.net}"
    less = now.volts is None or (Decimal(0) < now.volts < before.volts)
    danger: Danger = "doubt" if letters_of(item.subject.partition(".")[0]) == "C" else "break" if less else "hazard"
    return holds(same, message, figures, danger=danger)


RULES = (
    ChangeRule(
        name="part-supply-changed",
        about=("signal", "moved", "swapped"),
        title="A supply or ground pin of a part is on another voltage, or on nothing",
        audience="stacking",
        step="major",
        over=_fed,
        margin=_another,
        danger="hazard",
        needs=("Direction and Signal of the pin map, or boards.NAME.netlist",),
        why="The part was made for what it got. More destroys it, and with it perhaps what it drives.",
        how="Supply and ground pins of the pin maps, and terminals of the netlist that left a net with a voltage in "
        "its name, before and now; a tenth of the voltage is no news. Nets whose names and levels say no voltage are "
        "left alone.",
        remedy="Put the pin back on its supply, or show that the part stands the new one.",
        witness="A regulator's output net was renamed in one corner of the schematic, and the sensor hangs on 24 V.",
    ),
)
