"""Pin map and list of needs: rows to records."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from revdiff.design import Need, Origin, Pin, Reading
from revdiff.quantities.text import clean, fold
from revdiff.readers.columns import NEEDS, PINS
from revdiff.readers.faults import Faults, counted
from revdiff.readers.pads import settle
from revdiff.readers.rows import RowReader
from revdiff.readers.spec import TableSpec
from revdiff.readers.table import Table
from revdiff.readers.terminals import Keys, tell_nothing, tell_twice

_DEVICE = "U1"  # of a pin map that names none
_OTHER_NAMES = "Other names"  # the extra column for them


class PinMap(dict[tuple[str, str], Pin]):
    """The pins of a map. ``numbers``: what could be a pin of it and was not taken for one, by name."""

    numbers: Mapping[str, Pin] = MappingProxyType({})


def read_pins(table: Table, spec: TableSpec, faults: Faults) -> PinMap:
    """The pins of a pin map by (device, number); a map without pin numbers is keyed by port name.

    In a list of names, as firmware keeps it, or a table keyed by its signals, one pin may have several; the first
    counts as its signal and the others are kept beside it. Two outputs or functions on one pin are told.
    """
    rows = RowReader(table, spec, PINS, faults)
    by = "pin" if "pin" in table.columns else "port"
    keys = Keys(table, rows, faults, "device", by, spec.device.strip().upper() or _DEVICE)
    by_signal = table.names or 0 < table.places.get("signal", 0) < table.places.get(by, 0)
    seen: dict[tuple[str, str], list[Pin]] = {}
    others: dict[tuple[str, str], list[Pin]] = {}
    for line, row in table.rows:
        key = keys.of(line, row)
        if key is None:
            continue
        origin = table.origin(line, by)
        pin = Pin(
            device=key[0], number=key[1], extra=rows.extra(row), doubled=(), origin=origin, **rows.readings(line, row)
        )
        if key in seen and by_signal and pin.signal:
            others.setdefault(key, []).append(pin)
        else:
            seen.setdefault(key, []).append(pin)
    settled = [pin for rows in seen.values() for pin in (settle(rows, faults) if len(rows) > 1 else rows)]
    pins = PinMap({(pin.device, pin.number): pin for pin in settled})
    for key, named in others.items():
        doubled = _tell_uses((pins[key], *named), faults)
        pins[key] = replace(_with_names(pins[key], named), doubled=doubled)
    if others:
        named = next(iter(others.values()))
        faults.notice(
            "several-names",
            f"several names for {counted(len(others), 'pin')}; the first is the signal, the others are kept beside it",
            named[0].origin,
            found=f"{named[0].name}: {pins[named[0].device, named[0].number].signal.raw}, {named[0].signal.raw}",
        )
    if "device" not in table.columns and pins and not spec.device:
        faults.notice(
            "assumed-device",
            f"the pin map names no device; {_DEVICE} was taken",
            Origin(table.file, table.header_line),
            remedy='Add a column "Device", or name it in the manifest: pins = { file = "...", device = "U1" }.',
        )
    tell_nothing(faults, table, pins, "pins")
    device = spec.device.strip().upper() or _DEVICE
    pins.numbers = {
        name: Pin(device=device, number=number, signal=Reading(name, fold(name)), origin=Origin(table.file, line))
        for name, number, line in table.numbers
    }
    return pins


def _tell_uses(named: Sequence[Pin], faults: Faults) -> tuple[str, ...]:
    """The names of a pin that use it otherwise: each as an output, or with a function of its own. Tells them."""
    different = list({item.signal.word: item for item in named}.values())
    outputs = [item for item in different if item.direction.word in ("out", "open drain", "analog out")]
    functions = {item.function.word: item for item in different if item.function}
    doubled: dict[str, None] = {}
    for what, items in (("outputs", outputs), ("functions", list(functions.values()))):
        if len(items) > 1:
            doubled |= dict.fromkeys(item.signal.raw for item in items)
            faults.notice(
                "two-uses-of-a-pin",
                f"{items[0].name} has {len(items)} {what}: {', '.join(item.signal.raw for item in items)}",
                items[1].origin,
                found=items[1].signal.raw,
                remedy="If they are names of one thing, keep the direction and the function with one of them.",
            )
    return tuple(doubled)


def _with_names(pin: Pin, others: list[Pin]) -> Pin:
    names = sorted({item.signal.word: item.signal.raw for item in others if item.signal != pin.signal}.items())
    if not names:
        return pin
    reading = Reading("; ".join(raw for _, raw in names), tuple(word for word, _ in names))
    return replace(pin, extra=tuple(sorted((*pin.extra, (_OTHER_NAMES, reading)), key=lambda item: fold(item[0]))))


def read_needs(table: Table, spec: TableSpec, faults: Faults) -> dict[str, Need]:
    """The needs of a firmware contract by folded signal name."""
    rows = RowReader(table, spec, NEEDS, faults)
    found: dict[str, Need] = {}
    for line, row in table.rows:
        readings = rows.readings(line, row)
        origin = table.origin(line, "signal")
        signal = readings.get("signal")
        few = sum(1 for cell in row if cell.strip()) <= 1
        if signal is None or not signal or (few and " " in signal.raw):
            text = clean(" ".join(filter(None, map(str.strip, row))))
            faults.notice("row-left-out", "this row names no signal and was left out", origin, found=text)
            continue
        need = Need(extra=rows.extra(row), origin=origin, **readings)
        if signal.word in found:
            tell_twice(faults, signal.raw, found[signal.word], need)
            continue
        found[signal.word] = need
    tell_nothing(faults, table, found, "signals")
    return found
