"""I2C buses over a whole stack, by NXP UM10204: pull-ups, capacitance, rails, addresses."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal

from msgspec import Struct

from revdiff.design.sections import Bus
from revdiff.electrical.i2c import (
    ADDRESS_SOURCE,
    FAST_PLUS,
    SOURCE,
    STANDARD,
    Mode,
    idle_voltage,
    mode_for,
    parallel,
    pull_maximum,
    pull_minimum,
    reserved,
)
from revdiff.judge.arrangement import Member
from revdiff.judge.fact import Ask, Fact, unknown
from revdiff.judge.facts import Facts, NodeFacts
from revdiff.judge.rule import FINE, Danger, Item, Margin, Rule, holds
from revdiff.judge.side import show
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import fold

_LINE = pattern(r"^(.*?)[_ ]?(scl|sda)[_ ]?(.*)$")
_ADDRESS = pattern(r"(?:0x([0-9a-f]{1,2})|([0-9a-f]{1,2})h|([0-9]{1,3}))")
_LOW_SINK = Decimal("0.002")  # UM10204: IOL at VOL = 0.2 VDD, for 2 V and below


class Device(Struct, frozen=True):
    """Who answers at an address: a device of a member. ``where``: as people name it."""

    member: Member
    where: str
    address: int


class BusFacts(Struct, frozen=True):
    """One bus: its lines, what is stated of it, and who is on it."""

    name: str
    lines: tuple[NodeFacts, ...]
    stated: Bus | None
    members: tuple[Member, ...]

    @property
    def mode(self) -> Fact[Mode]:
        """Of the stated speed."""
        speed = self.stated.speed if self.stated is not None else None
        found = mode_for(speed) if speed is not None else None
        return Fact(found, source=SOURCE) if found is not None else unknown("buses.NAME with its speed")

    @property
    def capacitance(self) -> Fact[Decimal]:
        """Of all boards, and what the design adds."""
        own = self.stated.capacitance if self.stated is not None else None
        parts = [item.board.sections.buses.get(fold(self.name)) for item in self.members]
        known = [item.capacitance for item in parts if item is not None and item.capacitance is not None]
        if (not known and own is None) or (len(known) < len(parts) and own is None):
            return unknown("buses.NAME with its capacitance")
        total = sum(known, own or Decimal(0))
        return Fact(total) if total else unknown("buses.NAME with its capacitance")

    @property
    def devices(self) -> tuple[Device, ...]:
        """One for each (member, device, address), however many tables tell it."""
        found: dict[tuple[str, int], Device] = {}
        for member, where, text in self._answering():
            address = _read(text)
            told = any(one.member.name == member.name and one.address == address for one in found.values())
            if address is not None and not (where == member.name and told):
                found.setdefault((where, address), Device(member, where, address))
        return tuple(found.values())

    @property
    def unread(self) -> tuple[tuple[Member, str, str], ...]:
        """(member, where, text) of what is stated as an address and is none of 7 bits."""
        return tuple(item for item in self._answering() if _read(item[2]) is None)

    def _answering(self) -> Iterator[tuple[Member, str, str]]:
        """(member, device or member, text) of every address: of pins first, then of the sections."""
        for node in self.lines:
            for side in node.sides:
                for pin in side.side.pins:
                    texts = [text for text in re.split(r"[;,\s]+", pin.address.raw) if text]
                    if len(texts) == 1 and not _is_controller(side.member, pin.device):  # else it lists its targets
                        yield side.member, f"{side.member.name}.{pin.device}", texts[0]
        for member in self.members:
            extra = member.board.sections.buses.get(fold(self.name))
            listed: set[int | None] = set()
            for text in extra.addresses if extra is not None else ():
                yield member, f"{member.name}, named again," if _read(text) in listed else member.name, text
                listed.add(_read(text))


def _is_controller(member: Member, device: str) -> bool:
    return any(item.board == member.board.name and item.device == device for item in member.design.contracts.values())


def _read(text: str) -> int | None:
    found = _ADDRESS.fullmatch(text.strip().lower())
    address = -1 if found is None else int(found[3]) if found[3] else int(found[1] or found[2], 16)
    return address if 0 <= address <= 0x7F else None


def buses(facts: Facts) -> tuple[BusFacts, ...]:
    """As the manifests group their lines, else by the names of SCL and SDA lines."""
    if buses not in facts.kept:
        facts.kept[buses] = tuple(_buses(facts))
    found: tuple[BusFacts, ...] = facts.kept[buses]
    return found


def _buses(facts: Facts) -> Iterator[BusFacts]:
    stated = {fold(bus.name): bus for item in facts.arrangement.members for bus in item.design.sections.buses}
    groups: dict[str, list[NodeFacts]] = {}
    for node in facts.nodes:
        words = {word for side in node.sides for word in side.side.words}
        bus = next((item for item in stated.values() if words & set(item.signals)), None)
        line = next((found for word in sorted(words) if (found := _LINE.match(word))), None)
        functions = " ".join(item.function.word for side in node.sides for item in side.records)
        if node.judged and (line is not None or "i2c" in functions):
            name = bus.name if bus is not None else f"{line[1]}{line[3]}".upper() if line is not None else "I2C"
            groups.setdefault(name or "I2C", []).append(node)
    for name, lines in sorted(groups.items()):
        members = {item.name: item for node in lines for item in node.members}
        yield BusFacts(name, tuple(lines), stated.get(fold(name)), tuple(members.values()))


def _lines(facts: Facts) -> Iterator[Item]:
    for bus in buses(facts):
        for node in bus.lines:
            records = tuple((side.member, record) for side in node.sides for record in side.records)
            key = tuple(sorted(side.side.key for side in node.sides))
            yield Item(node.subject, key, node.members, records, (bus, node))


def _whole(facts: Facts) -> Iterator[Item]:
    for bus in buses(facts):
        records = tuple((side.member, record) for node in bus.lines for side in node.sides for record in side.records)
        yield Item(bus.name, (fold(bus.name),), bus.members, records, bus)


def _addressed(facts: Facts) -> Iterator[Item]:
    for bus in buses(facts):
        for address in sorted({item.address for item in bus.devices}):
            there = [item for item in bus.devices if item.address == address]
            members = {item.member.name: item.member for item in there}
            records = tuple(
                (side.member, record)
                for node in bus.lines
                for side in node.sides
                if side.member.name in members
                for record in side.records
            )
            subject = f"{bus.name} 0x{address:02X}"
            yield Item(subject, (fold(bus.name), address), tuple(members.values()), records, (bus, address, there))
        for member, where, text in bus.unread:
            yield Item(f"{bus.name} {text} of {where}", (fold(bus.name), where, text), (member,), (), (bus, None, ()))


def _ups(ask: Ask, node: NodeFacts) -> tuple[Decimal, Decimal, str] | None:
    """(all pull-ups in parallel, their highest rail, the resistors for people)."""
    pulls = [item for item in node.pulls if item.way == "up"]
    if not pulls:
        return None  # stack-open-drain-pull tells it
    values = [item.ohms for item in pulls if item.ohms is not None]
    volts = [item.volts for item in pulls if item.volts is not None]
    if len(values) < len(pulls) or not volts:
        ask(unknown("Pull with a value (up 4k7), and Level"))
    return parallel(values), max(volts), " ‖ ".join(show(item, "Ω") for item in values)


def _strong(ask: Ask, item: Item) -> Margin | None:
    bus, node = item.what
    found = _ups(ask, node)
    if found is None:
        return None
    total, volts, listed = found
    sink = FAST_PLUS.sink if bus.mode.value is FAST_PLUS else STANDARD.sink
    sink = _LOW_SINK if volts <= 2 and sink == STANDARD.sink else sink
    least = pull_minimum(volts, sink)
    speed, load = bus.mode.value, bus.capacitance.value
    most = pull_maximum(speed.rise, load) if speed is not None and load is not None else None
    need = f"(VDD − VOL) / IOL = {show(least, 'Ω')} at {show(volts, 'V')}, {show(sink, 'A')}"
    figures = f"{listed} = {show(total, 'Ω')}; {need}"
    if total < least or most is None:
        message = f"the pull-ups of {node.name} are too strong together: a device may not get the line low"
        return Margin(node.settled(ask, total - least), message, figures, f"at least {show(least, 'Ω')}")
    mode = ask(bus.mode)
    message = f"the pull-ups of {node.name} are too weak for {mode.name} mode at {show(bus.capacitance.value, 'F')}"
    figures = f"{listed} = {show(total, 'Ω')}; tr / (0.8473 · Cb) = {show(most, 'Ω')}; margin {show(most - total, 'Ω')}"
    left = node.settled(ask, min(total - least, most - total))
    return Margin(left, message, figures, f"{show(least, 'Ω')} to {show(most, 'Ω')}")


def _lowered(_ask: Ask, item: Item) -> Margin | None:
    _, node = item.what
    drives = {side.drive.value for side in node.sides}
    downs = [one for one in node.pulls if one.way == "down"]
    if not downs or any(one.way == "up" for one in node.pulls) or "push-pull" in drives:
        return FINE
    if "open drain" in drives and len(node.sides) > 1:
        return FINE  # stack-open-drain-pull tells it
    listed = " and ".join(one.part or one.where for one in downs)
    message = f"{node.name} is a line of a bus, and {listed} pulls it to ground: nothing makes it high"
    danger: Danger = "doubt" if node.node.open or node.silent else "break"
    return holds(False, message, f"0 pull-ups, {len(downs)} to ground", "at least 1 pull-up", danger)


def _capacity(ask: Ask, item: Item) -> Margin | None:
    bus: BusFacts = item.what
    mode, total = ask(bus.mode), ask(bus.capacitance)
    message = f"{bus.name} has {show(total, 'F')}; {mode.name} mode allows {show(mode.capacitance, 'F')}"
    left = mode.capacitance - total
    return Margin(
        left, message, f"Cb = {show(total, 'F')}; margin {show(left, 'F')}", f"at most {show(mode.capacitance, 'F')}"
    )


def _rails(ask: Ask, item: Item) -> Margin | None:
    _, node = item.what
    pulls = [one for one in node.pulls if one.way == "up"]
    if not pulls:
        return None
    volts = [one.volts for one in pulls if one.volts is not None]
    if len(volts) < len(pulls):
        ask(unknown("the column Level, or the rail of the pull (up 4k7 to +3V3)"))
    known = [(one.ohms, one.volts) for one in pulls if one.ohms is not None and one.volts is not None]
    idle = f"Σ(V/R) / Σ(1/R) = {show(idle_voltage(known), 'V')} idle" if len(known) == len(pulls) else ""
    message = f"{node.name} is pulled to {show(min(volts), 'V')} and to {show(max(volts), 'V')}"
    return Margin(node.settled(ask, min(volts) - max(volts)), message, idle, f"one rail: {show(min(volts), 'V')}")


def _unique(ask: Ask, item: Item) -> Margin | None:
    bus, address, there = item.what
    if address is None:
        ask(unknown("a 7-bit address, 0x08 to 0x77, without the direction bit"))
    names = " and ".join(one.where for one in there)
    message = f"{names} both answer at 0x{address:02X} of {bus.name}"
    return Margin(
        Decimal(1 - len(there)), message, f"{len(there)} devices at 0x{address:02X}", "1 device for each address"
    )


def _free(_ask: Ask, item: Item) -> Margin | None:
    bus, address, there = item.what
    if address is None:
        return None
    what = reserved(address)
    message = f"{there[0].where} answers at 0x{address:02X} of {bus.name}, which is reserved: {what}"
    return holds(not what, message, f"0x{address:02X}", "0x08 to 0x77")


RULES = (
    Rule(
        name="stack-bus-address",
        title="Two devices of a bus have one address",
        audience="stacking",
        step="major",
        over=_addressed,
        margin=_unique,
        danger="break",
        needs=("Address", "boards.NAME.buses"),
        why="Both answer at once, and neither is understood.",
        how="All devices of the bus over the whole stack, each once; a controller's list of its targets is none.",
        remedy="Change the address of one, by strap or ordering code, or use another bus.",
        witness="Two expanders at 0x20, one on each board.",
    ),
    Rule(
        name="stack-bus-capacitance",
        title="A bus has more capacitance than its mode allows",
        audience="stacking",
        step="minor",
        over=_whole,
        margin=_capacity,
        danger="break",
        needs=("buses.NAME", "boards.NAME.buses"),
        why="Above it no pull-up serves: one that is strong enough for the edges is too strong for the outputs.",
        how="The capacitance of all boards and of the design, against the table of the speed classes.",
        remedy="Slow the bus down, divide it with a buffer, or stack fewer boards.",
        witness="Three boards of 150 pF on a bus at 400 kHz.",
        source=SOURCE,
    ),
    Rule(
        name="stack-bus-pull",
        title="The pull-ups of a bus are too strong or too weak together",
        audience="stacking",
        step="major",
        over=_lines,
        margin=_strong,
        danger="break",
        needs=("Pull", "Level", "buses.NAME"),
        why="Too strong, and a device can't get the line low; too weak, and edges are too slow for the speed.",
        how="1/R = Σ 1/Ri of all fitted pull-ups; at least (VDD − VOL) / IOL, at most tr / (0.8473 · Cb).",
        remedy="Fit pull-ups on one board only, or choose values for the whole stack.",
        witness="Three boards with 2.2 kΩ each: 733 Ω, below 967 Ω at 3.3 V.",
        source=SOURCE,
    ),
    Rule(
        name="stack-bus-held-low",
        title="A resistor pulls a line of a bus to ground, and none pulls it up",
        audience="stacking",
        step="major",
        over=_lines,
        margin=_lowered,
        danger="break",
        needs=("Pull, boards.NAME.pulls or boards.NAME.netlist",),
        why="The devices of a bus only pull its lines low; without a pull-up both are low for ever.",
        how="All fitted resistors of the line; where a board that isn't there might pull it up, nobody can tell.",
        remedy="Wire the resistor to the supply.",
        witness="The pull-up of SDA was wired to ground in the schematic.",
        source=SOURCE,
    ),
    Rule(
        name="stack-bus-rails",
        title="A bus is pulled up to different rails",
        audience="stacking",
        step="major",
        over=_lines,
        margin=_rails,
        danger="caution",
        needs=("Pull", "Level"),
        why="The higher rail feeds the lower one through the resistors, and through inputs while one of them is off.",
        how="The rails of all fitted pull-ups of a line.",
        remedy="Pull up to one rail; put a level translator between two.",
        witness="4.7 kΩ to 5 V and to 3.3 V: 4.15 V on 3.3 V inputs.",
        source=SOURCE,
    ),
    Rule(
        name="stack-bus-reserved-address",
        title="A device has a reserved address",
        audience="stacking",
        step="minor",
        over=_addressed,
        margin=_free,
        danger="caution",
        needs=("Address",),
        why="Reserved addresses mean something to other devices: a general call, ten-bit addressing.",
        how="Seven-bit addresses against the list of reserved ones.",
        remedy="Use an address from 0x08 to 0x77.",
        witness="A sensor at 0x78 meets a device with ten-bit addressing.",
        source=ADDRESS_SOURCE,
    ),
)
