"""Formulas that a stranger writes into a manifest: read by a list of what is allowed, never run as a program.

Allowed are ``+ - * /``, signs, ``**`` with a whole number from 0 to 4, numbers, names, parentheses, ``pi`` and the
functions ``min``, ``max``, ``abs``, ``sqrt`` and ``par`` (resistances in parallel). All else is a fault with its
column.
"""

from __future__ import annotations

import ast
import keyword
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from types import MappingProxyType
from typing import Final, Literal

from msgspec import Struct

from revdiff.errors import DataFault
from revdiff.quantities.pattern import pattern

LONGEST: Final = 256
DEEPEST: Final = 24
MOST_NODES: Final = 128
HIGHEST_POWER: Final = 4
LARGEST_NUMBER: Final = Decimal("1e30")

# function name -> fewest and most arguments
FUNCTIONS: Final[Mapping[str, tuple[int, int]]] = MappingProxyType(
    {"min": (2, 8), "max": (2, 8), "abs": (1, 1), "sqrt": (1, 1), "par": (2, 8)}
)
CONSTANTS: Final[Mapping[str, Decimal]] = MappingProxyType({"pi": Decimal("3.141592653589793238462643383279503")})

_TOKEN = pattern(
    r"(?P<blank> +)|(?P<number>(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][-+]?[0-9]{1,3})?)(?![A-Za-z0-9_.])"
    r"|(?P<name>[A-Za-z_][A-Za-z0-9_]*)|(?P<sign>\*\*|//|[-+*/(),])"
)

Operation = Literal["number", "name", "+", "-", "*", "/", "**", "negate", "min", "max", "abs", "sqrt", "par"]


class FormulaFault(DataFault):
    """A formula that can't be read or worked out. ``column`` counts from 1; 0 where the whole formula is meant."""

    def __init__(self, message: str, column: int = 0) -> None:
        self.column = column
        super().__init__(f"column {column}: {message}" if column else message)


class PartFault(FormulaFault):
    """A sound formula over a part that has no value or isn't fitted: the board is in question, not the text."""


@dataclass(frozen=True, slots=True)
class Node:
    """One step: ``number`` of a number (and the exponent of a power), ``name`` of a name, ``below`` its arguments."""

    operation: Operation
    column: int
    below: tuple[Node, ...] = ()
    number: Decimal = Decimal(0)
    name: str = ""


class Formula(Struct, frozen=True):
    """A formula that was read. ``names`` counts how often each name occurs, in the order of the text."""

    text: str
    root: Node
    names: Mapping[str, int] = {}


@lru_cache(maxsize=512)
def parse_formula(text: str) -> Formula:
    """Reads a formula. Raises FormulaFault with the column of the first thing that isn't allowed."""
    _check_text(text)
    try:
        tree = ast.parse(text.strip(), mode="eval")
    except (SyntaxError, ValueError, MemoryError, RecursionError) as error:
        column = getattr(error, "offset", 0) or 0
        raise FormulaFault("this can't be read as a formula", min(column, len(text))) from None
    if sum(1 for _ in ast.walk(tree)) > 3 * MOST_NODES:
        raise FormulaFault(f"the formula has more than {MOST_NODES} steps")
    reader = _Reader()
    root = reader.read(tree.body, 1)
    return Formula(text.strip(), root, MappingProxyType(reader.names))


def _check_text(text: str) -> None:
    """Only characters and words that a formula may have; so the language's own parser never sees anything else."""
    stripped = text.strip()
    if not stripped:
        raise FormulaFault("the formula is empty")
    if len(stripped) > LONGEST:
        raise FormulaFault(f"the formula is longer than {LONGEST} characters", LONGEST + 1)
    place = 0
    while place < len(stripped):
        found = _TOKEN.match(stripped, place)
        if found is None:
            raise FormulaFault(f"{stripped[place]!r} has no place in a formula", place + 1)
        name = found["name"]
        if name is not None and keyword.iskeyword(name):
            raise FormulaFault(f"{name!r} has no place in a formula", place + 1)
        if found["sign"] == "//":
            raise FormulaFault("'//' has no place in a formula", place + 1)
        place = found.end()


_BINARY: Final[Mapping[type[ast.operator], Operation]] = {ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/"}


class _Reader:
    def __init__(self) -> None:
        self.names: dict[str, int] = {}
        self._count = 0

    def read(self, node: ast.expr, depth: int) -> Node:
        column = node.col_offset + 1
        self._count += 1
        if depth > DEEPEST:
            raise FormulaFault(f"the formula is nested deeper than {DEEPEST}", column)
        if self._count > MOST_NODES:
            raise FormulaFault(f"the formula has more than {MOST_NODES} steps", column)
        if isinstance(node, ast.Constant):
            return Node("number", column, number=_number(node, column))
        if isinstance(node, ast.Name):
            return self._name(node.id, column)
        if isinstance(node, ast.UnaryOp) and isinstance(node.op, (ast.UAdd, ast.USub)):
            inner = self.read(node.operand, depth + 1)
            return inner if isinstance(node.op, ast.UAdd) else Node("negate", column, (inner,))
        if isinstance(node, ast.BinOp):
            return self._binary(node, column, depth)
        if isinstance(node, ast.Call):
            return self._call(node, column, depth)
        raise FormulaFault("this has no place in a formula", column)

    def _name(self, name: str, column: int) -> Node:
        if name in CONSTANTS:
            return Node("number", column, number=CONSTANTS[name])
        if name in FUNCTIONS:
            raise FormulaFault(f"{name} is a function and needs arguments", column)
        self.names[name] = self.names.get(name, 0) + 1
        return Node("name", column, name=name)

    def _binary(self, node: ast.BinOp, column: int, depth: int) -> Node:
        left = self.read(node.left, depth + 1)
        if isinstance(node.op, ast.Pow):
            right = node.right
            power = right.value if isinstance(right, ast.Constant) else None
            if type(power) is not int or not 0 <= power <= HIGHEST_POWER:
                raise FormulaFault(f"a power has to be a whole number from 0 to {HIGHEST_POWER}", right.col_offset + 1)
            return Node("**", column, (left,), Decimal(power))
        operation = _BINARY.get(type(node.op))
        if operation is None:
            raise FormulaFault("this has no place in a formula", column)
        return Node(operation, column, (left, self.read(node.right, depth + 1)))

    def _call(self, node: ast.Call, column: int, depth: int) -> Node:
        name = node.func.id if isinstance(node.func, ast.Name) else ""
        if name not in FUNCTIONS:
            raise FormulaFault(f"only {', '.join(FUNCTIONS)} can be called", column)
        fewest, most = FUNCTIONS[name]
        if node.keywords or not fewest <= len(node.args) <= most:
            count = str(fewest) if fewest == most else f"{fewest} to {most}"
            raise FormulaFault(f"{name} takes {count} arguments", column)
        below = tuple(self.read(item, depth + 1) for item in node.args)
        return Node(name, column, below)  # type: ignore[arg-type]


def _number(node: ast.Constant, column: int) -> Decimal:
    value = node.value
    if type(value) not in (int, float):
        raise FormulaFault("this has no place in a formula", column)
    number = Decimal(repr(value))
    if not number.is_finite() or number > LARGEST_NUMBER or 0 < number < 1 / LARGEST_NUMBER:
        raise FormulaFault(f"numbers go from {1 / LARGEST_NUMBER} to {LARGEST_NUMBER}", column)
    return number
