"""Quantities that parts work out: against their limits, and against what a release takes them to be."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from functools import partial

from msgspec.structs import replace

from revdiff.design import Board
from revdiff.design.derived import Derived, parts_of, show_value, work_out
from revdiff.judge.fact import Ask, unknown
from revdiff.judge.facts import Facts
from revdiff.judge.items import running
from revdiff.judge.rule import OWN_LIMIT, Item, Margin, Rule
from revdiff.quantities.dimension import read_in_unit
from revdiff.quantities.formula import FormulaFault
from revdiff.quantities.worst_case import Result


def _derived(facts: Facts) -> Iterator[Item]:
    for member in facts.arrangement.members:
        boards = {item.board.name: item.board for item in facts.arrangement.members}
        for item, trusted in facts.arrangement.derived(member):
            touched = tuple((member.board.name, ref) for ref in item.formula.names)
            key, what = (member.name, item.name), (item, trusted, boards)
            yield Item(f"{member.name}: {item.name}", key, (member,), ((member, item),), what, (), touched)


def _result(ask: Ask, item: Derived, boards: dict[str, Board]) -> Result:
    try:
        return work_out(item, boards)
    except FormulaFault as fault:
        ask(unknown(f"derived.{item.name}: {fault}", essential=True))
        raise


def _limit(ask: Ask, given: Item) -> Margin | None:
    item, trusted, boards = given.what
    if (item.low, item.high, trusted.low, trusted.high) == (None,) * 4:
        return None
    found = _result(ask, item, boards)
    own, known = (_within(one, found, given.members[0].name) for one in (item, trusted))
    held = _stricter(own, known)
    if held is not None and held.value >= 0 and (exact := _without_tolerance(item, boards)):
        ask(unknown(f"the Tolerance of {', '.join(exact)} of {item.board}"))
    return held


def _without_tolerance(item: Derived, boards: dict[str, Board]) -> list[str]:
    """The parts that a worst case takes to be exact, since nothing says how far they are off."""
    parts = (boards[board].parts.get(ref) for board, ref in parts_of(item) if board in boards)
    return [part.ref for part in parts if part is not None and not part.data.tolerance]


def _stricter(own: Margin | None, trusted: Margin | None) -> Margin | None:
    """The own one, but where only the trusted one doesn't hold: then a person has to confirm the new limit."""
    if trusted is not None and trusted.value < 0 and (own is None or own.value >= 0):
        return replace(trusted, message=trusted.message + OWN_LIMIT, danger="doubt")
    return own


def _within(item: Derived, found: Result, where: str) -> Margin | None:
    if item.low is None and item.high is None:
        return None
    shown = partial(show_value, unit=item.unit)
    lefts = [found.low - item.low] if item.low is not None else []
    lefts += [item.high - found.high] if item.high is not None else []
    worst = f"{shown(found.low)} to {shown(found.high)}"
    limits = f"{shown(item.low) if item.low is not None else ''} to {shown(item.high) if item.high is not None else ''}"
    message = f"{item.name} of {where} is {shown(found.nominal)}, {worst} at worst"
    return Margin(min(lefts), message, f"{item.formula.text} = {shown(found.nominal)} ({worst})", limits.strip())


def _constants(facts: Facts) -> Iterator[Item]:
    for item in running(facts):
        program, member = item.what
        boards = {one.board.name: one.board for one in facts.arrangement.members}
        for place in facts.arrangement.members:
            for derived, trusted in facts.arrangement.derived(place):
                named = derived.firmware in (program.contract.key, program.contract.name)
                own = not derived.firmware and place is member
                if derived.constant in program.contract.constants and (named or own):
                    touched = tuple((place.board.name, ref) for ref in derived.formula.names)
                    key, what = (*item.key, derived.name), (program, derived, trusted, boards)
                    members = (member,) if place is member else (member, place)
                    subject = f"{item.subject}: {derived.constant}"
                    yield Item(subject, key, members, ((place, derived),), what, item.programs, touched)


def _constant(ask: Ask, given: Item) -> Margin | None:
    program, item, trusted, boards = given.what
    taken = read_in_unit(program.contract.constants[item.constant].raw, item.unit)
    if taken is None:
        ask(unknown(f"{item.constant} in {item.unit.text or 'plain figures'}"))
        return None
    found = _result(ask, item, boards)
    own, known = (_taken(one, found, taken, program.contract.title) for one in (item, trusted))
    return _stricter(own, known)


def _taken(item: Derived, found: Result, taken: Decimal, who: str) -> Margin:
    shown = partial(show_value, unit=item.unit)
    off = abs(taken / found.nominal - 1) if found.nominal else Decimal(1)
    if item.accept is not None:
        left = item.accept - off
    elif found.low == found.high:  # no tolerances are known: the constant's own figures decide
        exponent = taken.as_tuple().exponent
        left = Decimal(1).scaleb(exponent if isinstance(exponent, int) else 0) / 2 - abs(taken - found.nominal)
    else:
        left = min(taken - found.low, found.high - taken)
    message = f"{who} takes {item.constant} to be {shown(taken)}; the parts give {shown(found.nominal)}"
    limit = (
        f"within {float(item.accept * 100):.4g} %"
        if item.accept is not None
        else f"{shown(found.low)} to {shown(found.high)}"
    )
    return Margin(
        left, message, f"{item.formula.text} = {shown(found.nominal)}; off by {float(off * 100):.3g} %", limit
    )


RULES = (
    Rule(
        name="derived-constant",
        silent=True,
        title="Firmware has a constant that the parts of the board don't give",
        audience="firmware",
        step="major",
        over=_constants,
        margin=_constant,
        danger="break",
        needs=("[derived.NAME]",),
        why="A scale that belongs to the board's resistors makes every reading wrong by the same factor, in silence.",
        how="The formula over the part values against the constant of the release, within the share that is accepted, "
        "else within the worst case of the tolerances.",
        remedy="Build a release with the constant of this board.",
        witness="The current limit is off by a third since the sense resistor changed.",
        source="the formula of the design",
    ),
    Rule(
        name="derived-limit",
        silent=True,
        title="A derived quantity leaves its limits",
        audience="firmware",
        step="major",
        over=_derived,
        margin=_limit,
        danger="break",
        needs=("[derived.NAME]",),
        why="Something relies on the quantity: a supply, a divider into a converter, a filter.",
        how="The formula over all tolerances at their worst, against the stated limits.",
        remedy="Choose parts that keep it within its limits.",
        witness="The feedback divider gives 3.6 V in the place of 3.3 V.",
        source="the limits of the design",
    ),
)
