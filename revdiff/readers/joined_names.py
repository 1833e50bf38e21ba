"""Which terminal of a netlist each pin of a pin map is: the two may name controllers and pins in different ways."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from revdiff.design import Node, Part, Pin
from revdiff.quantities.designator import letters_of
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import fold, squeeze
from revdiff.readers.open_controllers import pins_of_package

Place = tuple[str, str]

# Class letters of connectors (IEEE 315-1975 clause 22.4; CN and CON are common practice, no source).
CONNECTORS = ("J", "P", "X", "CN", "CON")
_LEAST = 3  # signals that a pin map and a part must share to be of one controller
_WORDS = pattern(r"[a-z0-9]+")


def join_pins(pins: Mapping[Place, Pin], nodes: Mapping[Place, Node], parts: Mapping[str, Part]) -> dict[Place, Place]:
    """(device, number) of a pin map to (designator, pin) of the netlist, for the pins that can be joined.

    A device that the netlist doesn't have under its name is the one part that the list calls so (part number, value),
    or the part that alone has most of its signals. Pins go by number where at least half of them are found so; else by
    port: as the netlist's name of a pin, in the name of an open pin's net, by the open data of the part's package, or
    by the one pin that has the signal. What can't be joined is left out.
    """
    by_device: dict[str, list[Pin]] = {}
    for pin in pins.values():
        by_device.setdefault(pin.device, []).append(pin)
    drawn: dict[str, dict[str, Node]] = {}
    for (ref, number), node in nodes.items():
        drawn.setdefault(ref, {})[number] = node
    found: dict[Place, Place] = {}
    for device, own in by_device.items():
        ref = device if device in drawn else _called(device, parts, drawn) or _part_of(own, drawn, by_device)
        if ref:
            found.update(_pins_of(own, ref, drawn[ref], _names(parts.get(ref))))
    return found


def _names(part: Part | None) -> tuple[str, ...]:
    """What a parts list calls a part, as far as that can be a controller's part number."""
    return tuple(item.raw for item in (part.data.part_number, part.data.value) if item.raw) if part else ()


def _called(device: str, parts: Mapping[str, Part], drawn: Mapping[str, object]) -> str:
    """The one part of the netlist whose part number or value is the device's name; empty where none or several are."""
    name = fold(device)
    refs = [ref for ref, part in parts.items() if ref in drawn and name in map(fold, _names(part))]
    return refs[0] if len(refs) == 1 else ""


def _part_of(pins: Iterable[Pin], parts: Mapping[str, Mapping[str, Node]], taken: Iterable[str]) -> str:
    """The part whose nets are the signals of these pins; empty where none or several could be it."""
    signals = {pin.signal.word for pin in pins if pin.signal}
    scores = sorted(
        (
            (len(signals & {node.net.word for node in nodes.values()}), ref)
            for ref, nodes in parts.items()
            if ref not in taken and letters_of(ref) not in CONNECTORS
        ),
        reverse=True,
    )
    if not scores or scores[0][0] < max(_LEAST, len(signals) / 2):
        return ""
    clear = len(scores) == 1 or scores[0][0] >= 2 * scores[1][0]
    return scores[0][1] if clear else ""


def _pins_of(pins: list[Pin], ref: str, nodes: Mapping[str, Node], names: tuple[str, ...]) -> dict[Place, Place]:
    if 2 * sum(pin.number in nodes for pin in pins) >= len(pins):
        return {(pin.device, pin.number): (ref, pin.number) for pin in pins}
    named = {squeeze(number): number for number in nodes}
    for terminal, node in nodes.items():
        if squeeze(ref) in (words := _WORDS.findall(node.net.word)):
            for word in words:  # unconnected-(U1-PA5-Pad7): the names of open pins hold that of the port
                named.setdefault(word, terminal)
    if any(squeeze(pin.port.raw or pin.number) not in named for pin in pins):
        for port, terminal in _package(names, nodes).items():
            named.setdefault(squeeze(port), terminal)
    carrying: dict[str, list[str]] = {}
    for terminal, node in nodes.items():
        carrying.setdefault(node.net.word, []).append(terminal)
    claimed: dict[str, int] = {}
    for pin in pins:
        claimed[pin.signal.word] = claimed.get(pin.signal.word, 0) + 1
    found: dict[Place, Place] = {}
    for pin in pins:
        keys = [squeeze(text) for text in (pin.port.raw, pin.number) if text]
        number: str | None = next((named[key] for key in keys if key in named), None)
        if number is None and pin.signal and claimed[pin.signal.word] == 1:
            alone = carrying.get(pin.signal.word, [])
            number = alone[0] if len(alone) == 1 else None
        if number is not None:
            found[pin.device, pin.number] = (ref, number)
    return found


def _package(names: Iterable[str], nodes: Mapping[str, Node]) -> Mapping[str, str]:
    """Port to pin of the part's package, where that is the package that the netlist has: it knows all ports' pins."""
    for name in names:
        places = pins_of_package(name)
        if places and sum(number in nodes for number in places.values()) * 2 > len(nodes):
            return {port: number for port, number in places.items() if number in nodes}
    return {}
