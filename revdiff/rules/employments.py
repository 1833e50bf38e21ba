"""Every firmware release on every board revision that two revisions make possible."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from revdiff.compare.comparison import Comparison
from revdiff.compare.devices import renamed
from revdiff.design import Board, Contract, Design, Need, Pin, Reading
from revdiff.design.tables import NEEDS, PINS
from revdiff.quantities.text import fold
from revdiff.rules.finding import Party, Role

RELEASED_ON_NEW = "released firmware on the new board"
NEW_ON_NEW = "this firmware on the new board"
AS_RELEASED = "as released"
NEW_ON_RELEASED = "new firmware on the released board"
# Pins that carry no signal of a program: with no contract, these are not taken for needs.
_SHARED = tuple(name for name in NEEDS.kinds if name in PINS.kinds)  # columns of a need that a pin map has too
_NOT_FIRMWARE = frozenset({"supply", "supply in", "supply out", "ground", "passive"})
# Names of supplies, grounds and pins without a signal, by which a pin is known of which nothing else is told
# (common practice, no source).
_NO_SIGNAL = re.compile(
    r"\+.*|v(?:cc|dd|ss|ee|in|bat|sys|bus|ref)(?:io|[adp+-])?[0-9]*|[0-9]+v[0-9]*|[adps]?gnd[0-9]*|ground|n\.?/?c\.?"
)


@dataclass(frozen=True, slots=True)
class Employment:
    """One firmware release on one board revision. ``crossing`` says which of the two is new.

    ``names`` translates folded signal names of the contract to those of the board, ``device`` is what the board
    calls the controller. ``before`` is the release on the board it was released with; None where the old revision
    does not hold it. ``native`` is the release that belongs to this board. ``stands_in``: there is no contract,
    and the pin map of the revision that the firmware was built for stands in for one; ``unnamed``: nothing even
    names that firmware.
    """

    contract: Contract
    board: Board
    label: str
    crossing: str
    names: Mapping[str, str]
    design: Design
    device: str
    before: Employment | None = None
    native: Contract | None = None
    stands_in: bool = False
    unnamed: bool = False

    @property
    def pairing(self) -> str:
        """``irrigation 1.4.0 + base@rev-c``."""
        return f"{self.contract.title} + {self.label}"

    @property
    def parties(self) -> tuple[Party, ...]:
        """The firmware and the board; without a contract, the firmware is that of a controller."""
        contract, board = self.contract, self.board.name
        made: Role = "old" if self.crossing in (RELEASED_ON_NEW, AS_RELEASED) else "new"
        placed: Role = "old" if self.crossing in (NEW_ON_RELEASED, AS_RELEASED) else "new"
        name = f"firmware for {contract.key}" if self.unnamed else contract.title
        firmware = Party(name, made, contract.title, firmware=True)
        return firmware, Party(board, placed, self.label)

    @property
    def said_crossing(self) -> str:
        """The crossing, with what a pin map stood in for."""
        return f"{self.crossing} (no contract: its own pin map stands in)" if self.stands_in else self.crossing


def employments(comparison: Comparison, old_name: str, new_name: str) -> Iterator[Employment]:
    """Every firmware release on every board revision, but for the old one on the old board."""
    before, after = comparison.old, comparison.new
    for key in {**before.contracts, **after.contracts}:
        old, new = before.contracts.get(key), after.contracts.get(key)
        yield from _of_release(comparison, _filled(old, before), _filled(new, after), old_name, new_name)
    yield from _stand_ins(comparison, old_name, new_name)


def _of_release(
    comparison: Comparison,
    old_given: tuple[Contract, bool] | None,
    new_given: tuple[Contract, bool] | None,
    old_name: str,
    new_name: str,
) -> Iterator[Employment]:
    before, after = comparison.old, comparison.new
    old, old_stands_in = old_given or (None, False)
    new, new_stands_in = new_given or (None, False)
    contract = new if new is not None else old
    assert contract is not None
    name = contract.board
    old_board, new_board = before.boards.get(name), after.boards.get(name)
    forward = dict(comparison.renames.by_board.get(name, {}))
    devices = comparison.devices.get(name, {})
    released = None
    if old is not None and old_board is not None:
        label = f"{name}@{old_name}"
        released = Employment(old, old_board, label, AS_RELEASED, {}, before, old.device, None, old, old_stands_in)
    if new_board is not None:
        here = Employment(contract, new_board, f"{name}@{new_name}", "", forward, after, "", released, new)
        if old is not None and old != new:
            device = renamed(devices, old.device)
            yield replace(
                here, contract=old, crossing=RELEASED_ON_NEW, device=device, stands_in=old_stands_in, names=forward
            )
        if new is not None:
            same = old == new
            crossing = RELEASED_ON_NEW if same else NEW_ON_NEW
            yield replace(
                here,
                contract=new,
                crossing=crossing,
                names=forward if same else {},
                device=renamed(devices, new.device) if same else new.device,
                stands_in=new_stands_in,
            )
    if new is not None and old_board is not None and old != new:
        backward = {now: was for was, now in forward.items()}
        device = renamed({now: was for was, now in devices.items()}, new.device)
        label = f"{name}@{old_name}"
        yield Employment(new, old_board, label, NEW_ON_RELEASED, backward, before, device, released, old, new_stands_in)


def _filled(contract: Contract | None, design: Design) -> tuple[Contract, bool] | None:
    """The contract, and whether its needs were taken from the pin map of its board because it lists none."""
    if contract is None:
        return None
    board = design.boards.get(contract.board)
    if contract.needs or board is None:
        return contract, False
    needs = needs_of_pins(board, contract.device)
    return (replace(contract, needs=needs), True) if needs else (contract, False)


def _stand_ins(comparison: Comparison, old_name: str, new_name: str) -> Iterator[Employment]:
    """Controllers with a pin map and no contract: whatever runs there was built for the pin map of its revision."""
    before, after = comparison.old, comparison.new
    for name in before.boards:
        if name not in after.boards:
            continue
        devices = comparison.devices.get(name, {})
        under_contract = {
            item.device for design in (before, after) for item in design.contracts.values() if item.board == name
        }
        for device in dict.fromkeys(pin.device for pin in before.boards[name].pins.values()):
            later = renamed(devices, device)
            if under_contract & {device, later}:
                continue
            old = _from_pins(before.boards[name], device, old_name)
            new = _from_pins(after.boards[name], later, new_name)
            if old is None or new is None or _same_needs(old, new):
                continue
            for item in _of_release(comparison, (old, True), (new, True), old_name, new_name):
                yield replace(item, unnamed=True)


def _from_pins(board: Board, device: str, revision: str) -> Contract | None:
    needs = needs_of_pins(board, device)
    if not needs:
        return None
    name = f"firmware for {board.name}.{device}@{revision}"
    origin = next(iter(needs.values())).origin
    return Contract(
        key=f"{board.name}.{device}", name=name, version="", board=board.name, device=device, needs=needs, origin=origin
    )


def _same_needs(old: Contract, new: Contract) -> bool:
    return old.needs == new.needs and old.device == new.device


def needs_of_pins(board: Board, device: str) -> dict[str, Need]:
    """What a firmware that was built for this pin map relies on: every pin that carries a signal of a program."""
    found: dict[str, Need] = {}
    for pin in board.pins.values():
        if pin.device == device and is_used(pin):
            found.setdefault(
                pin.signal.word,
                Need(
                    pin=_number(pin),
                    extra=pin.extra,
                    origin=pin.origin,
                    **{name: getattr(pin, name) for name in _SHARED},
                ),
            )
    return found


def is_used(pin: Pin) -> bool:
    """Whether a pin carries a signal that a program has to do with."""
    known = bool(pin.direction or pin.function)
    return bool(pin.signal) and known and pin.direction.word not in _NOT_FIRMWARE


def is_told(pin: Pin) -> bool:
    """Whether a notice tells what becomes of a pin: a used one, or one with nothing but the name of a signal.

    A pin without direction and function is no need of a stand-in contract: whether a program has to do with it
    is not known. That its signal is on another pin now is a fact all the same.
    """
    if pin.direction or pin.function:
        return is_used(pin)
    return bool(pin.signal) and _NO_SIGNAL.fullmatch(pin.signal.word) is None


def _number(pin: Pin) -> Reading:
    return Reading(pin.number, fold(pin.number))
