"""Controllers that were replaced by another part: one event, with what became of their signals."""

from __future__ import annotations

import dataclasses
from collections.abc import Collection, Iterator, Mapping

from msgspec.structs import replace

from revdiff.compare.change import Change, FieldChange
from revdiff.compare.fields import changed_extra, changed_fields
from revdiff.compare.signals import Renames
from revdiff.design import EMPTY, Board, Pin, Reading
from revdiff.design.model import readings_of
from revdiff.quantities.designator import natural_key

_LEAST = 3  # pins of one number in both, from which their port names say that it is another chip
_SHOWN = 8  # signals that are named
_LISTED = Reading("yes", True)


def replaced_controllers(old: Board, new: Board, devices: Mapping[str, str]) -> dict[str, str]:
    """The controllers, old name to new name, that the parts list says are another part and whose pins are others.

    Another part number alone may be another memory size or grade: the pins have to be others besides.
    """
    names = {pin.device: devices.get(pin.device, pin.device) for pin in old.pins.values()}
    there = {pin.device for pin in new.pins.values()}
    return {name: other for name, other in names.items() if other in there and _replaced(old, new, name, other)}


def _replaced(old: Board, new: Board, name: str, other: str) -> bool:
    one, two = old.parts.get(name), new.parts.get(other)
    if one is None or two is None:
        return False
    said = [(getattr(one.data, field), getattr(two.data, field)) for field in ("part_number", "value")]
    if not next((before != after for before, after in said if before and after), False):
        return False
    before, after = _pins(old, name), _pins(new, other)
    ports = [(pin.port, after[number].port) for number, pin in before.items() if number in after]
    known = [first != second for first, second in ports if first and second]
    packages = one.data.package and two.data.package and one.data.package != two.data.package
    return (len(known) >= _LEAST and 2 * sum(known) > len(known)) or (bool(packages) and len(before) != len(after))


def without(board: Board, devices: Collection[str]) -> Board:
    """The board without the pins of these controllers."""
    if not devices:
        return board
    return dataclasses.replace(board, pins={key: pin for key, pin in board.pins.items() if pin.device not in devices})


def replacements(old: Board, new: Board, replaced: Mapping[str, str], renames: Renames) -> Iterator[Change]:
    """One change for each replaced controller. Its fields hold every pin, so that it can be applied."""
    for name, other in sorted(replaced.items(), key=lambda item: natural_key(item[0])):
        before, after = _pins(old, name), _pins(new, other)
        pairs = _pairs(old.name, before, after, renames)
        kept = [one for one, two in pairs if one and two and before[one].number == after[two].number]
        moved = [one for one, two in pairs if one and two and one not in kept]
        lost = [before[one].signal.raw for one, two in pairs if not two]
        come = [after[two].signal.raw for one, two in pairs if not one]
        counts = [f"{len(kept)} on the same pin", f"{len(moved)} moved"]
        counts += [f"{len(items)} {what} ({_some(items)})" for items, what in ((lost, "lost"), (come, "new")) if items]
        first, second = next(iter(before.values())), next(iter(after.values()))
        yield Change(
            kind="pin.controller",
            boards=(old.name,),
            subject=other,
            before=f"{_title(old, name)}, {len(before)} pins",
            after=f"{_title(new, other)}, {len(after)} pins",
            fields=tuple(_fields(other, before, after)),
            pairs=tuple((f"{name}.{one}" if one else "", f"{other}.{two}" if two else "") for one, two in pairs),
            pattern="signals: " + ", ".join(counts),
            origin_before=first.origin,
            origin_after=second.origin,
        )


def _pins(board: Board, device: str) -> dict[str, Pin]:
    return {pin.number: pin for pin in board.pins.values() if pin.device == device}


def _pairs(board: str, before: Mapping[str, Pin], after: Mapping[str, Pin], renames: Renames) -> list[tuple[str, str]]:
    """The numbers that carry each signal before and after; one is empty where a signal is lost or new."""
    open_: dict[str, list[str]] = {}
    for number, pin in after.items():
        if pin.signal:
            open_.setdefault(pin.signal.word, []).append(number)
    found = []
    for number, pin in before.items():
        if pin.signal:
            places = open_.get(renames.of(board, pin.signal.word), [])
            target = number if number in places else places[0] if places else ""
            if target:
                places.remove(target)
            found.append((number, target))
    return found + [("", number) for places in open_.values() for number in places]


def _fields(device: str, before: Mapping[str, Pin], after: Mapping[str, Pin]) -> Iterator[FieldChange]:
    for number, pin in before.items():
        if number not in after:
            yield FieldChange(f"{device}.{number}.listed", _LISTED, EMPTY)
        else:
            own, other = readings_of(pin), readings_of(after[number])
            different, unclear = changed_fields(own, other)
            for item in (*different, *unclear, *changed_extra(pin.extra, after[number].extra)):
                yield replace(item, name=f"{device}.{number}.{item.name}")
    for number, pin in after.items():
        if number not in before:
            yield FieldChange(f"{device}.{number}.listed", EMPTY, _LISTED)
            for name, reading in (*readings_of(pin).items(), *pin.extra):
                if reading.meaning is not None or reading.raw:
                    yield FieldChange(f"{device}.{number}.{name}", EMPTY, reading)


def _title(board: Board, device: str) -> str:
    data = board.parts[device].data
    return data.part_number.raw or data.value.raw


def _some(names: list[str]) -> str:
    more = f" and {len(names) - _SHOWN} more" if len(names) > _SHOWN else ""
    return ", ".join(names[:_SHOWN]) + more
