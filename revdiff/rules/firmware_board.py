"""What firmware relies on beside pins: the clock, bus addresses, constants."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from functools import partial

from revdiff.design import Board, Reading
from revdiff.quantities.quantity import Quantity, show
from revdiff.quantities.text import fold
from revdiff.rules.employments import Employment
from revdiff.rules.firmware_check import Details, check_new
from revdiff.rules.rule import Rule

PRACTICE = "common practice, no source"
_NOWHERE = "not fitted"
_LIMIT = "what the firmware was built for"
# Slower crystals keep a calendar; they are no controller's main clock. Common practice, no source.
_SLOWEST = Decimal("1e6")


def _clock(employment: Employment) -> Iterator[tuple[str, Details]]:
    wanted = employment.contract.clock.quantity
    if wanted is None or wanted.unit != "Hz":
        return
    given, where, touched = _given_clock(employment, wanted)
    if given is None or given == wanted.magnitude:
        return
    ratio = (given / wanted.magnitude).normalize()
    yield (
        "clock",
        {
            "message": f"the firmware was built for {show(wanted)}; {where} gives {show(Quantity(given, 'Hz'))}: every "
            f"time and baud rate is off by a factor of {float(ratio):.4g}",
            "arithmetic": f"{show(Quantity(given, 'Hz'))} / {show(wanted)} = {float(ratio):.4g}",
            "limit": show(wanted),
            "touched": touched,
            "changes": _contract_change(employment),
            "origin_before": employment.contract.origin,
            "origin_after": employment.board.origin,
        },
    )


def _given_clock(employment: Employment, wanted: Quantity) -> tuple[Decimal | None, str, tuple[str, ...]]:
    """(Hz, what gives it, designators): the part that the manifest names, a crystal, or the board's own release."""
    board, native = employment.board, employment.native
    declared = employment.design.sections.controller(board.name, employment.device).clock
    if declared:
        part = board.parts.get(declared)
        value = part.data.value.quantity if part is not None else None
        return (value.magnitude, declared, (declared,)) if value is not None and value.unit == "Hz" else (None, "", ())
    before = employment.before
    crystals = _crystals(board)
    if before is not None and wanted.magnitude in _crystals(before.board).values() and crystals:
        if wanted.magnitude in crystals.values():
            return wanted.magnitude, "", ()
        if len(crystals) == 1:
            ref, frequency = next(iter(crystals.items()))
            return frequency, ref, (ref,)
    own = native.clock.quantity if native is not None else None
    ticking = [ref for ref, frequency in crystals.items() if own is not None and frequency == own.magnitude]
    if own is not None and ticking:
        return own.magnitude, ticking[0], (ticking[0],)
    if own is not None and own.unit == "Hz" and native is not None:
        return own.magnitude, f"the board, as {native.title} has it,", ()
    return None, "", ()


def _crystals(board: Board) -> dict[str, Decimal]:
    """Crystals and oscillators that are fast enough for a main clock: designator to Hz."""
    found = {}
    for ref, part in board.parts.items():
        value = part.data.value.quantity
        if (
            value is not None
            and value.unit == "Hz"
            and value.magnitude >= _SLOWEST
            and part.data.fitted.meaning is True
        ):
            found[ref] = value.magnitude
    return found


def _contract_change(employment: Employment) -> tuple[str, ...]:
    key = employment.contract.key
    return () if employment.stands_in else (f"contract.changed/{employment.board.name}/{key}",)


def _addresses(employment: Employment) -> Iterator[tuple[str, Details]]:
    software = employment.design.sections.software
    for name, wanted in employment.contract.addresses.items():
        part = software.get(name)
        given, where = "", ""
        touched: tuple[str, ...] = ()
        if part is not None and part.board in employment.design.boards:
            board = employment.design.boards[part.board]
            given = _NOWHERE if part.missing_on(board) else part.address_on(board)
            where, touched = f"{part.board}.{part.part}", (part.part, *part.straps)
        elif employment.native is not None and name in employment.native.addresses:
            given, where = employment.native.addresses[name].raw, f"the board, as {employment.native.title} has it,"
        if not given or address(given) == address(wanted.raw):
            continue
        yield (
            name,
            {
                "message": f"the firmware looks for {name} at {wanted.raw}; {where} "
                + (f"is {given}" if given == _NOWHERE else f"answers at {given}"),
                "arithmetic": f"{wanted.raw} → {given}",
                "limit": _LIMIT,
                "touched": touched,
                "changes": _contract_change(employment),
                "origin_before": employment.contract.origin,
                "origin_after": part.origin if part is not None else employment.board.origin,
            },
        )


def address(text: str) -> object:
    """A bus address by value where it is a number (``0x48``, ``72``), else as folded text."""
    try:
        return int(text.strip(), 0)
    except ValueError:
        return fold(text)


def _constants(employment: Employment) -> Iterator[tuple[str, Details]]:
    """Constants that the board's own release has otherwise. What a formula works out is judged by derived-constant."""
    native = employment.native
    if native is None or native is employment.contract:
        return
    worked_out = {item.constant for item in employment.design.sections.derived.values()}
    for name, wanted in employment.contract.constants.items():
        given = native.constants.get(name)
        if given is None or name in worked_out or _same_constant(given, wanted):
            continue
        yield (
            name,
            {
                "message": f"the firmware has {name} = {wanted.raw}; {native.title}, the release for this board, has "
                f"{given.raw}",
                "arithmetic": f"{wanted.raw} → {given.raw}{_ratio(wanted, given)}",
                "limit": _LIMIT,
                "changes": _contract_change(employment),
                "origin_before": employment.contract.origin,
                "origin_after": native.origin,
            },
        )


def _same_constant(one: Reading, two: Reading) -> bool:
    return one == two or (one.quantity is not None and one.quantity == two.quantity)


def _ratio(old: Reading, new: Reading) -> str:
    one, two = old.quantity, new.quantity
    if one is None or two is None or one.unit != two.unit or not one.magnitude:
        return ""
    return f" (× {float(two.magnitude / one.magnitude):.4g})"


RULES = (
    Rule(
        name="firmware-address",
        title="A part answers at another bus address than firmware expects",
        severity="break",
        audience="firmware",
        step="major",
        why="The firmware finds nobody at the address, or somebody else.",
        how="The addresses in the contract against [software.NAME] in the manifest: an address, one for each end of a "
        "part number, or one for each strap code; without such a section against the board's own release.",
        remedy="Change the address in a firmware release for this board, or let it look at both.",
        witness="The climate sensor is the variant with address 0x45; the old release reports it missing.",
        source=PRACTICE,
        check=partial(check_new, _addresses),
    ),
    Rule(
        name="firmware-clock",
        title="The controller's clock is another one than firmware expects",
        severity="break",
        audience="firmware",
        step="major",
        why="Every baud rate, time and frequency that the firmware makes is off by the same factor; USB stops.",
        how="The clock in the contract against the part that [controllers.BOARD.DEVICE] names as clock, else against "
        "the crystals of the board above 1 MHz, else against the board's own release.",
        remedy="Build a firmware release for the new clock.",
        witness="With 16 MHz in the place of 8 MHz the serial port talks at twice its speed.",
        source=PRACTICE,
        check=partial(check_new, _clock),
    ),
    Rule(
        name="firmware-constant",
        title="The release for this board has a constant that this firmware has otherwise",
        severity="caution",
        audience="firmware",
        step="minor",
        why="A scale that belongs to the board's resistors makes every reading wrong by the same factor, in silence.",
        how="The constants of the two releases are compared; with a formula in [derived.NAME] derived-constant judges.",
        remedy="Check whether the constant belongs to the board; if so, use the one of the release for the board.",
        witness="The current limit is off by a third since the sense resistor changed.",
        source=PRACTICE,
        check=partial(check_new, _constants),
    ),
)
