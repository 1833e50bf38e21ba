"""Whether the netlist has the two resistors of a divider's formula the way round that the formula has them."""

from __future__ import annotations

from decimal import Decimal

from msgspec import Struct
from msgspec.structs import replace

from revdiff.design import Board
from revdiff.design.derived import Derived, part_term
from revdiff.judge.wired import is_ground_net
from revdiff.quantities.designator import letters_of
from revdiff.quantities.formula import FormulaFault
from revdiff.quantities.worst_case import Term, worst_case

_TINY = Decimal("1e-9")  # of a resistor, as good as a wire
_NOTHING = Decimal("1e-6")  # of the quantity, as good as nothing; its inverse is beyond all bounds


class Divided(Struct, frozen=True):
    """A divider by a formula: ``lower`` is the resistor whose end the result goes to nothing, or beyond bounds, with.

    ``nets``: those of upper and lower in the netlist, as written. ``agrees``: whether they can be that divider.
    """

    upper: str
    lower: str
    nets: tuple[str, str]
    agrees: bool


def divided(item: Derived, board: Board) -> Divided | None:
    """None where the formula is no divider of two of the board's resistors, or the netlist hasn't both with two nets.

    A divider gives the same with both resistors twice as large. R2 / (R1 + R2) and V · (1 + R1 / R2) have R2 below.
    """
    found = _of_formula(item, board)
    if found is None:
        return None
    upper, lower, plain = found
    nets: dict[str, dict[str, str]] = {upper: {}, lower: {}}
    for (ref, _), node in board.nodes.items():
        if ref in nets:
            nets[ref][node.net.word] = node.net.raw
    if any(len(own) != 2 or not all(own) for own in nets.values()):
        return None
    shared = nets[upper].keys() & nets[lower].keys()
    grounded = [ref for ref in (upper, lower) if any(map(is_ground_net, nets[ref]))]
    apart = plain and not any(not is_ground_net(net) for net in shared)
    said = tuple(" and ".join(sorted(nets[ref].values())) for ref in (upper, lower))
    return Divided(upper, lower, (said[0], said[1]), not apart and grounded != [upper])


def _of_formula(item: Derived, board: Board) -> tuple[str, str, bool] | None:
    """Upper and lower resistor of a formula, and whether it is nothing but lower / (upper + lower)."""
    refs = [name for name in item.formula.names if name not in item.values and letters_of(name.upper()) == "R"]
    if len(refs) != 2:
        return None
    try:
        terms = {name: _term(item, name, board) for name in item.formula.names}

        def at(**factors: Decimal) -> Decimal:
            scaled = {name: _scaled(terms[name], factor) for name, factor in factors.items()}
            return worst_case(item.formula, {**terms, **scaled}).nominal

        usual, twice = at(), at(**dict.fromkeys(refs, Decimal(2)))
        ends = {name: abs(at(**{name: _TINY}) / usual) for name in refs} if usual else {}
    except (FormulaFault, KeyError):
        return None
    below = [name for name, end in ends.items() if not _NOTHING < end < 1 / _NOTHING]
    if len(below) != 1 or abs(twice / usual - 1) > _NOTHING:
        return None
    lower = below[0]
    upper = refs[1 - refs.index(lower)]
    low, high = terms[lower].nominal, terms[upper].nominal
    return upper.upper(), lower.upper(), abs(usual * (low + high) / low - 1) < _NOTHING


def _term(item: Derived, name: str, board: Board) -> Term:
    given = item.values.get(name)
    return given if isinstance(given, Term) else part_term(board.parts[name.upper() if given is None else ""])


def _scaled(one: Term, factor: Decimal) -> Term:
    value = one.nominal * factor
    return replace(one, nominal=value, low=value, high=value)
