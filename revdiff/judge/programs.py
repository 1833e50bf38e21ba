"""The firmware of a revision: its contracts, filled in from the pin maps that they ship with, and what stands in."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from msgspec import Struct

from revdiff.design import EMPTY, Board, Contract, Design, Need, Pin, Reading
from revdiff.judge.arrangement import Member, Program
from revdiff.judge.facts import at_pin
from revdiff.judge.needs import needs_of_pins
from revdiff.quantities.text import as_number, fold


class Release(Struct, frozen=True):
    """What a release relies on at one device of a board. ``key``: of its contract, which may be another device's.

    ``stands_in``: no contract lists the needs; the pin map of the revision does. ``listed``: a contract names it.
    """

    contract: Contract
    key: str
    stands_in: bool
    listed: bool = True


def releases(design: Design, board: str, label: str) -> Iterator[Release]:
    """For every device of a board with a pin map, or a contract, whose firmware relies on it.

    An expander runs no firmware: whoever talks to it relies on its pins.
    """
    if board not in design.boards:
        return
    held = design.boards[board]
    contracts = [item for item in design.contracts.values() if item.board == board]
    for contract in contracts:
        pins = needs_of_pins(held, contract.device)
        if not contract.needs:
            yield Release(replace(contract, needs=pins), contract.key, True)
        else:
            yield Release(replace(contract, needs=_filled(contract.needs, held, contract.device)), contract.key, False)
    under = {item.device for item in contracts}
    for device in dict.fromkeys(pin.device for pin in held.pins.values()):
        needs = needs_of_pins(held, device)
        if device in under or not needs:
            continue
        origin = next(iter(needs.values())).origin
        talking = _talking_to(design, board, device)
        for item in talking:
            contract = replace(item, key=f"{item.key} {board}.{device}", board=board, device=device, needs=needs)
            contract = replace(contract, clock=EMPTY, constants={}, addresses={})
            yield Release(contract, item.key, True)
        if not talking:
            title = f"firmware for {board}.{device}@{label}"
            found = Contract(
                key=f"{board}.{device}", name=title, version="", board=board, device=device, needs=needs, origin=origin
            )
            yield Release(found, found.key, True, listed=False)


def _filled(needs: Mapping[str, Need], board: Board, device: str) -> dict[str, Need]:
    """What a need doesn't state, from the pin map: of its own pin where several carry the signal."""
    carrying: dict[str, list[Pin]] = {}
    for pin in board.pins.values():
        if pin.device == device and pin.signal:
            carrying.setdefault(pin.signal.word, []).append(pin)
    return {key: _from_pin(need, carrying[key]) if key in carrying else need for key, need in needs.items()}


def _from_pin(need: Need, pins: Sequence[Pin]) -> Need:
    own = [pin for pin in pins if at_pin(need.pin, pin)] if need.pin else pins
    pin = (own or pins)[0]
    return replace(
        need,
        pin=need.pin or Reading(pin.number, fold(pin.number)),
        function=need.function or pin.function,
        direction=need.direction or pin.direction,
        active=need.active or pin.active,
        analog=need.analog or pin.analog,
        pull=need.pull or pin.pull,
    )


def _talking_to(design: Design, board: str, device: str) -> list[Contract]:
    """The releases that talk to a device which runs none itself; none where it may run one.

    A part of [software.NAME], or a device whose pins answer at one address, runs none. Whoever has its address talks
    to it; else every release on its board.
    """
    named = [name for name, item in design.sections.software.items() if (item.board, item.part) == (board, device)]
    pins = (pin for pin in design.boards[board].pins.values() if pin.device == device)
    answers = {text for pin in pins for text in re.split(r"[;,\s]+", pin.address.raw) if text}
    if not named and len(answers) != 1:
        return []
    contracts = tuple(design.contracts.values())
    numbers = {as_number(text) for text in answers}

    def asks(item: Contract) -> bool:
        return any(name in named or as_number(text.raw) in numbers for name, text in item.addresses.items())

    return [item for item in contracts if asks(item)] or [item for item in contracts if item.board == board]


def own_programs(member: Member) -> Iterator[Program]:
    """The releases of a member's own revision, on itself."""
    for item in releases(member.design, member.board.name, member.revision):
        yield Program(item.contract, member.name, item.contract.device, member.role, {}, item.stands_in)
