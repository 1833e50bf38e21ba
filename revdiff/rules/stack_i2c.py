"""Rules of stacking: pull-ups, rails and addresses of I2C buses over the whole stack, by NXP UM10204."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from revdiff.design import Contact
from revdiff.electrical.i2c import (
    ADDRESS_SOURCE,
    FAST_PLUS,
    SOURCE,
    STANDARD,
    idle_voltage,
    parallel,
    pull_maximum,
    pull_minimum,
    reserved,
)
from revdiff.quantities.text import fold
from revdiff.rules.rule import Rule
from revdiff.rules.stack_bus import StackBus, i2c_buses
from revdiff.rules.stack_joints import Layer
from revdiff.rules.stack_model import Net, Stack
from revdiff.rules.stack_pulls import NetPull, pulls_on
from revdiff.rules.stack_scene import Made, Outcome, Unmade, amount, finding, signed, stack_rule

_ADDRESS = re.compile(r"0x([0-9a-f]{1,2})(?:h)?|([0-9]{1,3})")


def _pull(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    for bus in i2c_buses(stack):
        capacitance, why = _capacitance(bus)
        for net in bus.lines:
            pulls = pulls_on(net).ways("up")
            values = [item.ohms for item in pulls if item.ohms is not None]
            volts = max((item.volts for item in pulls if item.volts is not None), default=None)
            if not pulls:
                continue  # stack-open-drain-pull tells it
            if len(values) < len(pulls) or volts is None:
                lacking = ", ".join(item.where for item in pulls if item.ohms is None) or net.name
                needs = "Pull with a value (up 4k7), and Level"
                yield Unmade(f"pull-ups of {net.subject}", f"no value at {lacking}", needs)
                continue
            total = parallel(values)
            sink = FAST_PLUS.sink if bus.mode is FAST_PLUS else STANDARD.sink
            least = pull_minimum(volts, sink)
            yield Made(f"smallest pull-up of {net.subject}")
            listed = " ‖ ".join(amount(item, "Ω") for item in values)
            if total < least:
                yield _off(
                    rule,
                    stack,
                    net,
                    pulls,
                    f"the pull-ups of {net.name} are too strong together: a device may not get the line low",
                    f"{listed} = {amount(total, 'Ω')}; (VDD − VOL) / IOL = {amount(least, 'Ω')} at "
                    f"{amount(volts, 'V')}, {amount(sink, 'A')}; margin {amount(total - least, 'Ω')}",
                    f"at least {amount(least, 'Ω')}",
                )
            if bus.mode is None or capacitance is None:
                reason = "its speed isn't stated" if bus.mode is None else why
                yield Unmade(f"largest pull-up of {net.subject}", reason, "buses.NAME with speed and capacitance")
                continue
            most = pull_maximum(bus.mode.rise, capacitance)
            yield Made(f"largest pull-up of {net.subject}")
            if total > most:
                yield _off(
                    rule,
                    stack,
                    net,
                    pulls,
                    f"the pull-ups of {net.name} are too weak for {bus.mode.name} mode at {amount(capacitance, 'F')}",
                    f"{listed} = {amount(total, 'Ω')}; tr / (0.8473 · Cb) = {amount(most, 'Ω')} at "
                    f"{amount(bus.mode.rise, 's')}, {amount(capacitance, 'F')}; margin {amount(most - total, 'Ω')}",
                    f"at most {amount(most, 'Ω')}",
                )


def _capacitance(bus: StackBus) -> tuple[Decimal | None, str]:
    """The capacitance of all boards and of what the design adds, F; None, and why, where a board states none."""
    own = bus.stated.capacitance if bus.stated is not None else None
    parts = [(layer, layer.data.buses.get(fold(bus.name))) for layer in bus.layers]
    known = [item.capacitance for _, item in parts if item is not None and item.capacitance is not None]
    silent = [layer.board.name for layer, item in parts if item is None or item.capacitance is None]
    if silent and own is None:
        return None, f"the bus capacitance of {', '.join(silent)} isn't stated"
    total = sum(known, own or Decimal(0))
    return (total, "") if total else (None, "the bus capacitance is stated as 0")


def _off(
    rule: Rule, stack: Stack, net: Net, pulls: tuple[NetPull, ...], message: str, arithmetic: str, limit: str
) -> Outcome:
    pulling = {item.layer.label for item in pulls}
    stations = [item for item in net.stations if item.layer.label in pulling]
    stations = stations if len(stations) > 1 else list(net.stations)
    return finding(
        rule,
        stack,
        [item.layer for item in stations],
        [item.contacts[0] for item in stations],
        subject=net.subject,
        message=message,
        arithmetic=arithmetic,
        limit=limit,
    )


def _rails(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    for bus in i2c_buses(stack):
        for net in bus.lines:
            pulls = [item for item in pulls_on(net).ways("up") if item.volts is not None]
            volts = {item.volts for item in pulls}
            if not pulls:
                continue
            yield Made(f"rails that {net.subject} is pulled to")
            if len(volts) < 2:
                continue
            known = [(item.ohms, item.volts) for item in pulls if item.ohms is not None and item.volts is not None]
            idle = idle_voltage(known) if len(known) == len(pulls) else None
            stations = [item for item in net.stations if item.layer in [pull.layer for pull in pulls]]
            low, high = min(item for item in volts if item is not None), max(item for item in volts if item is not None)
            yield finding(
                rule,
                stack,
                [item.layer for item in stations],
                [item.contacts[0] for item in stations],
                subject=net.subject,
                message=f"{net.name} is pulled to {amount(low, 'V')} and to {amount(high, 'V')}",
                arithmetic=(f"Σ(V/R) / Σ(1/R) = {amount(idle, 'V')} idle; " if idle is not None else "")
                + f"margin {amount(low - (idle or high), 'V')}",
                limit=f"one rail: {amount(low, 'V')}",
            )


@dataclass(frozen=True, slots=True)
class _Device:
    layer: Layer
    name: str
    address: int
    text: str


def _devices(bus: StackBus) -> tuple[list[_Device], list[str]]:
    """The devices with an address on a bus, and the addresses that can't be read."""
    found: dict[tuple[str, str, int], _Device] = {}
    unread: list[str] = []
    for layer in bus.layers:
        texts = [
            (f"{layer.board.name}.{pin.device}", part.strip())
            for net in bus.lines
            for station in net.stations
            if station.layer is layer
            for pin in station.pins
            if pin.address
            for part in re.split(r"[;,]", pin.address.raw)
        ]
        extra = layer.data.buses.get(fold(bus.name))
        texts += [(layer.board.name, text) for text in (extra.addresses if extra is not None else ())]
        for name, text in texts:
            read = _ADDRESS.fullmatch(text.strip().lower())
            address = (int(read[1], 16) if read[1] else int(read[2])) if read is not None else -1
            if not 0 <= address <= 0x7F:
                unread.append(f"{name}: {text}")
                continue
            found[layer.label, name, address] = _Device(layer, name, address, text)
    return list(found.values()), list(dict.fromkeys(unread))


def _addresses(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    for bus in i2c_buses(stack):
        devices, unread = _devices(bus)
        if unread:
            yield Unmade(
                f"addresses of {bus.name}", f"{'; '.join(unread)} is no 7-bit address", "7-bit addresses (0x00 to 0x7F)"
            )
        if not devices:
            yield Unmade(f"addresses of {bus.name}", "no board states one", "the column Address, or boards.NAME.buses")
            continue
        yield Made(f"addresses of {bus.name}")
        by_address: dict[int, list[_Device]] = {}
        for device in devices:
            by_address.setdefault(device.address, []).append(device)
        for address, sharing in sorted(by_address.items()):
            if len(sharing) < 2:
                continue
            names = " and ".join(item.name for item in sharing)
            layers = list({item.layer.label: item.layer for item in sharing}.values())
            yield finding(
                rule,
                stack,
                layers,
                _contacts(bus, layers),
                subject=f"{_subject(bus, layers)} 0x{address:02X}",
                message=f"{names} have the address 0x{address:02X} on {bus.name}",
                arithmetic=f"{len(sharing)} devices at 0x{address:02X}; margin {signed(1 - len(sharing))}",
                limit="1 device for each address",
            )


def _reserved(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    for bus in i2c_buses(stack):
        for device in _devices(bus)[0]:
            yield Made(f"whether 0x{device.address:02X} on {bus.name} is reserved")
            purpose = reserved(device.address)
            if purpose:
                yield finding(
                    rule,
                    stack,
                    (device.layer,),
                    _contacts(bus, [device.layer]),
                    subject=f"{_subject(bus, [device.layer])} 0x{device.address:02X}",
                    message=f"{device.name} is at 0x{device.address:02X} on {bus.name}, reserved for {purpose}",
                    arithmetic=f"0x{device.address:02X} is outside 0x08 to 0x77; margin none",
                    limit="0x08 to 0x77",
                )


def _contacts(bus: StackBus, layers: list[Layer]) -> list[Contact]:
    stations = {item.layer.label: item for net in bus.lines for item in net.stations}
    return [stations[layer.label].contacts[0] for layer in layers]


def _subject(bus: StackBus, layers: list[Layer]) -> str:
    stations = {item.layer.label: item for net in reversed(bus.lines) for item in net.stations}
    return "–".join(stations[layer.label].name for layer in layers)


RULES = (
    stack_rule(
        _addresses,
        name="stack-bus-address",
        title="Two devices of an I2C bus have one address",
        severity="break",
        step="major",
        why="Both answer at once: reads are garbled, writes reach both.",
        how="The column Address of the pins on the bus and boards.NAME.buses, over all boards of the stack.",
        remedy="Strap one device to another address, or move one board to another bus.",
        witness="Two sensor boards with the same fixed-address part can't share a stack.",
        source="NXP UM10204, section 3.1.10",
    ),
    stack_rule(
        _pull,
        name="stack-bus-pull",
        title="The pull-ups of an I2C bus don't suit the whole stack",
        severity="break",
        step="major",
        why="All boards' pull-ups are in parallel. Too strong, and a device can't pull the line low; too weak, and the "
        "line rises too slowly for the clock.",
        how="1/R = Σ 1/Ri against (VDD − VOL) / IOL and tr / (0.8473 · Cb), speed and capacitance from the manifest.",
        remedy="Fit pull-ups on one board only, or weaker ones on each; slow the bus where it is too large.",
        witness="2k2 ‖ 2k2 ‖ 4k7 = 891 Ω, and 967 Ω are needed at 3.3 V.",
        source=SOURCE,
    ),
    stack_rule(
        _rails,
        name="stack-bus-rails",
        title="An I2C line is pulled to two rails",
        severity="break",
        step="major",
        why="The line idles between the rails: too high for the inputs of the lower one, which is fed backwards.",
        how="The levels of all boards that pull the line up; the idle voltage is Σ(V/R) / Σ(1/R).",
        remedy="Fit pull-ups to one rail only, or a level translator.",
        witness="4k7 to 5 V and 4k7 to 3.3 V idle at 4.15 V.",
        source=SOURCE,
    ),
    stack_rule(
        _reserved,
        name="stack-bus-reserved-address",
        title="A device has a reserved I2C address",
        severity="caution",
        step="minor",
        why="Reserved addresses start special transfers; a device there may answer to what isn't meant for it.",
        how="The 7-bit address against 0x08 to 0x77.",
        remedy="Use another address, or make sure that the reserved purpose never occurs on this bus.",
        witness="A part at 0x78 answers when a 10-bit address is sent.",
        source=ADDRESS_SOURCE,
    ),
)
