"""From a netlist: pin map, connector map, parts list."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType

from revdiff.design import EMPTY, Contact, Part, PartData, Pin, Reading
from revdiff.design.model import FITTED, Extra
from revdiff.quantities.designator import natural_key
from revdiff.quantities.quantity import read_quantity
from revdiff.quantities.size_code import Package, read_package
from revdiff.quantities.text import clean, fold, squeeze
from revdiff.quantities.tolerance import read_tolerance
from revdiff.quantities.value_cell import read_value_cell
from revdiff.readers.netlist import BomPart, Characteristic, Netlist, Terminal

UnitOf = Callable[[str], str]

# The names that items give their characteristics. Common practice, no source.
_FIELDS: Mapping[str, str] = MappingProxyType(
    dict.fromkeys(("value", "resistance", "capacitance", "inductance", "frequency"), "value")
    | dict.fromkeys(("tolerance",), "tolerance")
    | dict.fromkeys(("voltage", "voltagerating", "ratedvoltage"), "voltage")
    | dict.fromkeys(("power", "powerrating", "ratedpower"), "power")
    | dict.fromkeys(("current", "currentrating", "ratedcurrent"), "current")
    | dict.fromkeys(("dielectric",), "dielectric")
    | dict.fromkeys(("lifecycle", "lifecyclestate"), "lifecycle")
    | dict.fromkeys(("manufacturer", "maker"), "manufacturer")
    | dict.fromkeys(("partnumber", "manufacturerpartnumber", "mpn"), "part_number")
)
_UNITS: Mapping[str, str] = MappingProxyType({"voltage": "V", "power": "W", "current": "A"})


def derive_pins(netlist: Netlist, devices: Iterable[str], *, whole: bool = False) -> dict[tuple[str, str], Pin]:
    """The pins of the named devices by (device, pin number), with their signals.

    In the order of the devices, then of the pin numbers. A device that the netlist lacks has no pins here. ``whole``:
    the netlist has all of the board, so that a pin alone on its net is open.
    """
    signal = _signals(netlist, whole=whole)
    return {
        (item.ref, item.pin): Pin(device=item.ref, number=item.pin, signal=signal(item), origin=item.origin)
        for item in _terminals(netlist, devices)
    }


def derive_contacts(netlist: Netlist, connectors: Iterable[str], *, whole: bool = False) -> dict[str, list[Contact]]:
    """The contacts of the named connectors, in the order of their numbers, with their signals; ``whole`` as there."""
    signal = _signals(netlist, whole=whole)
    found: dict[str, list[Contact]] = {}
    for item in _terminals(netlist, connectors):
        contact = Contact(connector=item.ref, number=item.pin, signal=signal(item), origin=item.origin)
        found.setdefault(item.ref, []).append(contact)
    return found


def derive_parts(netlist: Netlist, unit_of: UnitOf = lambda _ref: "") -> dict[str, Part]:
    """The parts of a bill of materials by reference designator, empty where the file has none.

    ``unit_of`` gives the unit that the value of a part with this designator is in, for values without one.
    """
    return {item.ref: Part(item.ref, _data(item, unit_of(item.ref)), item.origin) for item in netlist.parts if item.ref}


def _terminals(netlist: Netlist, refs: Iterable[str]) -> list[Terminal]:
    wanted = {clean(ref).upper(): position for position, ref in enumerate(refs)}
    found = [item for item in netlist.terminals if item.pin and item.ref in wanted]
    return sorted(found, key=lambda item: (wanted[item.ref], natural_key(item.pin)))


def _signals(netlist: Netlist, *, whole: bool) -> Callable[[Terminal], Reading]:
    return lambda item: EMPTY if whole and item.net and len(netlist.nets[item.net]) == 1 else _text(item.net)


def _text(text: str) -> Reading:
    return Reading(text, fold(text)) if text else EMPTY


def _data(item: BomPart, unit: str) -> PartData:
    found: dict[str, Reading] = {}
    extra = {"category": _text(item.category), "design number": _text(item.item)}
    extra["internal part number"] = _text(item.internal)
    for characteristic in item.characteristics:
        name = _FIELDS.get(squeeze(characteristic.name), "")
        if name and name not in found:
            _read(found, name, characteristic, unit)
        elif not name and characteristic.name:
            extra.setdefault(characteristic.name, _text(_written(characteristic)))
    if item.approved:
        first, *others = item.approved
        found["manufacturer"], found["part_number"] = _text(first.maker), _text(first.number)
        found["alternates"] = _alternates([other.number for other in others], first.number)
    return PartData(
        **found,
        package=_package(item.package),
        description=_text(item.description),
        fitted=FITTED if item.fitted else Reading("not fitted", False),
        extra=_ordered(extra),
    )


def _read(found: dict[str, Reading], name: str, characteristic: Characteristic, unit: str) -> None:
    text = _written(characteristic)
    if name == "value":
        _read_value(found, characteristic, text, unit)
    elif name in _UNITS:
        found[name] = Reading(text, read_quantity(text, _UNITS[name]) or fold(text)) if text else EMPTY
    elif name == "tolerance":
        found[name] = _tolerance(text)
    else:
        found[name] = _text(text)


def _read_value(found: dict[str, Reading], characteristic: Characteristic, text: str, unit: str) -> None:
    cell = read_value_cell(text, unit)
    if cell.value is not None and cell.value.unit:
        found["value"] = Reading(text, cell.value)
    else:
        found["value"] = _text(text)
    low, high = characteristic.low, characteristic.high
    if low and high and "tolerance" not in found:
        # The published descriptions leave open whether these are in per cent: without a unit they stay text.
        found["tolerance"] = _tolerance(f"+{high.lstrip('+')}/-{low.lstrip('-')}")


def _tolerance(text: str) -> Reading:
    return Reading(text, read_tolerance(text) or fold(text)) if text else EMPTY


def _written(characteristic: Characteristic) -> str:
    """A characteristic as a person would write it: value and unit, or the range."""
    value = characteristic.value
    if not value and (characteristic.low or characteristic.high):
        value = f"{characteristic.low} to {characteristic.high}"
    return clean(f"{value} {characteristic.unit}") if value else ""


def _package(text: str) -> Reading:
    package = read_package(text)
    return (
        Reading(text, Package("" if package.sizes else squeeze(text) or package.text, package.sizes)) if text else EMPTY
    )


def _alternates(numbers: list[str], own: str) -> Reading:
    different = {fold(number): number for number in numbers if fold(number) != fold(own)}
    return Reading("; ".join(different.values()), tuple(sorted(different))) if different else EMPTY


def _ordered(extra: Mapping[str, Reading]) -> Extra:
    return tuple(
        sorted(((name, reading) for name, reading in extra.items() if reading), key=lambda pair: fold(pair[0]))
    )
