"""Every pattern of the package takes time that grows with the text, not with its square.

A stranger's cell can hold one sign a hundred thousand times. Each pattern is run on repeated pieces of its own
alphabet; that four times the text takes no more than a generous multiple of four times the time is compared within
one run, by the least of several runs, so that a busy machine doesn't decide.
"""

from __future__ import annotations

import ast
import gc
import importlib
import pkgutil
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from time import process_time_ns
from typing import Any, NamedTuple

import pytest

import revdiff
from revdiff.quantities.pattern import Waiting

pytestmark = pytest.mark.slow

TIMES = 4
SIZES = (80, 500, 1_000)  # characters; the first for what grows with the cube
WORST = 9.0  # times the time for four times the text: 4 when linear, 16 when quadratic
HOPELESS = 24.0  # more than quadratic: no longer text is needed, nor would it come to an end
TRIES = 12  # before a ratio is believed that would fail
QUICK = 300_000  # nanoseconds for the longer text, below which nothing has grown
# What a class in a pattern stands for.
CLASSES = {"d": "1", "w": "a", "s": " ", "W": "-", "D": "a", "S": "a", "b": "", "B": ""}
COMMON = (
    " ",
    "a",
    "1",
    ".",
    ",",
    "-",
    "_",
    "/",
    "*",
    "#",
    "(",
    ")",
    "[",
    "]",
    "{",
    "}",
    '"',
    "'",
    "\\",
    "\n",
    "=",
    ":",
)

Pattern = re.Pattern[str] | re.Pattern[bytes]
# How a pattern is used decides what can grow: one that is only held against whole texts never starts in the middle.
USES = {"match": ("match",), "fullmatch": ("fullmatch",)}
EVERY = ("search", "fullmatch")


class Found(NamedTuple):
    """A pattern, and the methods that it is run by."""

    pattern: Pattern
    methods: tuple[str, ...] = EVERY


def modules() -> list[str]:
    return sorted(
        item.name for item in pkgutil.walk_packages(revdiff.__path__, "revdiff.") if "__main__" not in item.name
    )


def patterns_in(value: object, depth: int = 4) -> Iterator[Pattern]:
    """The patterns in a value, however nested."""
    if isinstance(value, Waiting):
        yield value.compiled()
    elif isinstance(value, re.Pattern):
        yield value
    elif depth and isinstance(value, dict):
        for key, item in value.items():
            yield from patterns_in(key, depth - 1)
            yield from patterns_in(item, depth - 1)
    elif depth and isinstance(value, list | tuple | set | frozenset):
        for item in value:
            yield from patterns_in(item, depth - 1)


def patterns_called(source: str) -> Iterator[Found]:
    """The patterns that are written in calls of ``re``: inside functions, where no module shows them."""
    functions = [node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.FunctionDef | ast.Lambda)]
    for node in (node for function in functions for node in ast.walk(function)):
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
            continue
        if not (isinstance(node.func.value, ast.Name) and node.func.value.id == "re" and node.args):
            continue
        text = written(node.args[0])
        if text and node.func.attr != "escape":
            yield Found(re.compile(text), USES.get(node.func.attr, EVERY))


def methods_of(name: str, source: str) -> tuple[str, ...]:
    """The methods by which a module runs a pattern of its own."""
    used = set(re.findall(rf"\b{name}\.(\w+)", source))
    return tuple(sorted(used)) if used and used <= set(USES) else EVERY


def written(node: ast.expr) -> str:
    """The text of a literal pattern; a value put into it stands for one word."""
    if isinstance(node, ast.Constant):
        return node.value if isinstance(node.value, str) else ""
    if isinstance(node, ast.JoinedStr):
        return "".join(written(item) if isinstance(item, ast.Constant) else "a" for item in node.values)
    return ""


@cache
def every_pattern() -> dict[str, Found]:
    found: dict[str, Found] = {}
    for name in modules():
        module = importlib.import_module(name)
        source = Path(str(module.__file__)).read_text(encoding="utf-8")
        for key, value in vars(module).items():
            if not key.startswith("__"):
                for number, pattern in enumerate(patterns_in(value)):
                    found.setdefault(f"{name}.{key}[{number}]", Found(pattern, methods_of(key, source)))
        known = {item.pattern.pattern for item in found.values()}
        for number, item in enumerate(patterns_called(source)):
            if item.pattern.pattern not in known:
                found[f"{name}:call {number}"] = item
    return found


def alphabet(pattern: str) -> list[str]:
    """The signs and words that a pattern is written with."""
    signs = dict.fromkeys(COMMON)
    for escaped in re.findall(r"\\(.)", pattern):
        signs[CLASSES.get(escaped, escaped)] = None
    signs.update(dict.fromkeys(re.findall(r"[A-Za-z]{2,}", re.sub(r"\\.|\(\?P?<\w+>", " ", pattern))[:12]))
    signs.update(dict.fromkeys(char for char in pattern if not char.isalnum()))
    return [sign for sign in signs if sign]


def units(pattern: str) -> list[str]:
    """What is repeated: each sign alone, then each with a few others that patterns often meet."""
    signs = alphabet(pattern)
    bare = re.sub(r"\\", "", pattern)
    beside = [bare[at : at + 2] for at in range(len(bare) - 1) if not any(map(str.isalnum, bare[at : at + 2]))]
    pairs = [first + second for first in signs for second in (" ", "a", "1") if first != second]
    return list(dict.fromkeys([*signs, *beside[:20], *(two + " " for two in beside[:20]), *pairs]))


def nanoseconds(run: Found, text: str) -> int:
    """What the pattern takes of the processor for the text, once."""
    given: Any = text if isinstance(run.pattern.pattern, str) else text.encode("utf-8", "surrogatepass")
    before = process_time_ns()
    for method in run.methods:
        getattr(run.pattern, method)(given)
    return process_time_ns() - before


def growth(run: Found, unit: str, prefix: str = "") -> float:
    """How many times longer four times the text takes; 1 where it takes next to no time.

    The least of several tries is held against the least of as many, taken by turns: what else the machine does slows
    one try, a pattern that goes back slows all. A ratio that would fail is measured on until it passes or stays.
    """
    ratio = 1.0
    for size in SIZES:
        # No pattern ends on it, so that whatever can go back goes all the way.
        short, long = (prefix + unit * (length // len(unit)) + "\x00" for length in (size, size * TIMES))
        slow, quick = nanoseconds(run, long), nanoseconds(run, short)
        if slow < QUICK:
            continue
        for tried in range(TRIES):
            slow, quick = min(slow, nanoseconds(run, long)), min(quick, nanoseconds(run, short))
            ratio = slow / max(quick, 1)
            if slow < QUICK:
                ratio = 1.0
            if tried and not WORST < ratio <= 2 * HOPELESS:
                break
        if ratio > HOPELESS or (ratio > WORST and size == SIZES[-1]):
            return ratio
    return ratio


def worst(run: Found) -> tuple[float, str]:
    """The largest growth over everything that is repeated, and what that was."""
    pattern = run.pattern.pattern
    source = pattern if isinstance(pattern, str) else pattern.decode("latin-1")
    signs = [sign for sign in "\"'([{<#`&" if sign in source]
    opening = [*signs, *(f"{sign} a" for sign in signs)]
    found = (1.0, "")
    for unit in units(source):
        for prefix in ["", *opening] if len(unit) == 1 else [""]:
            found = max(found, (growth(run, unit, prefix), prefix + unit))
            if found[0] > WORST:
                return found
    return found


@pytest.fixture(autouse=True)
def no_garbage_collection() -> Iterator[None]:
    gc.disable()
    yield
    gc.enable()


def test_patterns_are_found_in_modules_in_tables_and_in_functions() -> None:
    names = every_pattern()
    assert len(names) > 120
    assert {"revdiff.judge.rules.roles._BY_NAME[0]", "revdiff.readers.c_pins._PORT_PIN[0]"} <= set(names)
    assert [item.pattern for item in patterns_in({"a": (re.compile("x"), [re.compile(b"y")])})] == ["x", b"y"]
    assert [
        item.pattern.pattern for item in patterns_called('def f(t, w):\n    return re.sub(rf"-{w}+$", "", t)\n')
    ] == ["-a+$"]


@pytest.mark.parametrize(
    "known",
    [
        r"([0-9.]+ ?[kM]?Hz)",  # a note of dots
        r"\s{0,3}#{1,6}\s+(.*?)\s*#*\s*",  # a heading of blanks
        r"/\*.*?\*/",  # comments that are never closed
        r"([A-Za-z_]\w*)\s*:",  # a long word
    ],
)
def test_the_scan_catches_a_pattern_that_is_known_to_grow_too_fast(known: str) -> None:
    assert worst(Found(re.compile(known, re.DOTALL)))[0] > WORST


@pytest.mark.parametrize("known", [r"(?<![0-9.])[0-9.]{1,20} ?Hz", r"[^,]{0,200},", r"/\*(?:[^*]|\*(?!/))*+(?:\*/|\Z)"])
def test_the_scan_lets_a_linear_pattern_pass(known: str) -> None:
    assert worst(Found(re.compile(known)))[0] <= WORST


@pytest.mark.parametrize("name", sorted(every_pattern()))
def test_a_pattern_takes_no_more_than_linear_time(name: str) -> None:
    run = every_pattern()[name]
    ratio, unit = worst(run)
    assert ratio <= WORST, f"{ratio:.0f} times the time for {TIMES} times {unit!r}: {run.pattern.pattern!r}"
