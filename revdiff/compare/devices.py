"""Which controller is which, where one goes by another designator."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from revdiff.compare.assignment import best_pairs
from revdiff.compare.stated import stated_pairs
from revdiff.design import Board

_ALIKE = 0.5  # likeness from which two devices are taken for one
_STRANGE = 0.25  # likeness below which two devices of one name are looked at again


def device_names(old: Board, new: Board) -> dict[str, str]:
    """Controllers that go by another designator now, old name to new name: those with mostly the same pins.

    Looked at are devices that are gone or came, and those of one name that have hardly a pin in common; what the
    user states is settled.
    """
    before, after = _by_device(old), _by_device(new)
    stated = {one: two for one, two in stated_pairs(old, new).items() if one in before and two in after}
    before = {name: pins for name, pins in before.items() if name not in stated}
    after = {name: pins for name, pins in after.items() if name not in stated.values()}
    gone = [name for name in before if name not in after or _share(before[name], after[name]) < _STRANGE]
    come = [name for name in after if name not in before or name in gone]

    def gain(name: str, other: str) -> int:
        share = _share(before[name], after[other])
        return round(1000 * share) if share > _ALIKE else 0

    found = {**stated, **dict(best_pairs(sorted(gone), sorted(come), gain))}
    return {name: other for name, other in found.items() if name != other}


def renamed(names: Mapping[str, str], name: str) -> str:
    """The name in the new revision of what was ``name`` in the old one.

    A device or connector whose own name went to another one, and which has no new name itself, is nowhere: it
    gets a name that nothing in a design has.
    """
    if name in names:
        return names[name]
    return f"\0{name}" if name in names.values() else name


def _by_device(board: Board) -> dict[str, dict[str, str]]:
    found: dict[str, dict[str, str]] = {}
    for pin in board.pins.values():
        found.setdefault(pin.device, {})[pin.number] = pin.signal.word
    return found


def _share(old: Mapping[str, str], new: Mapping[str, str]) -> float:
    """How alike two devices are: the signals they have in common count half, those on the same pins the rest."""
    signals = [Counter(signal for signal in pins.values() if signal) for pins in (old, new)]
    most = max(1, *(item.total() for item in signals))
    in_place = sum(1 for number, signal in old.items() if signal and new.get(number) == signal)
    return (0.5 * (signals[0] & signals[1]).total() + 0.5 * in_place) / most
