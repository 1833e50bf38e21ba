"""Pin maps in C and C++: ``#define`` lines, constants and enumerators that give pins their names.

Nothing is compiled: both branches of a condition are read, and a name that stands for another is followed
within the file. Which definitions are pins is told by their values (``PA5``, ``GPIO_NUM_12``) or, where the
value is a plain number, by a word such as PIN or GPIO in their names (common practice, no source).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from revdiff.design import Origin
from revdiff.errors import DataFault
from revdiff.quantities.text import clean
from revdiff.readers.comments import blanked, pieces
from revdiff.readers.faults import Faults, counted
from revdiff.readers.grid import Grid

MAX_TEXT = 4 * 1024 * 1024  # characters

# Every repetition is bounded, so that a crafted file can't make the search take quadratic time.
_NAME = r"[A-Za-z_]\w{0,120}"
_DEFINE = re.compile(rf"\s{{0,40}}#\s{{0,40}}define\s{{1,200}}({_NAME})(?!\w|\()\s{{0,200}}(.{{0,200}})")
_CONSTANT = re.compile(
    rf"\b(?:static|inline|const|constexpr|extern)\s{{1,40}}(?:[\w:]{{1,60}}[\s*&]{{1,40}}){{0,6}}?({_NAME})"
    r"\s{0,40}(?:=|\{)([^;{}=]{1,120})\}?\s{0,40};"
)
_ENUM = re.compile(r"\benum\b[^{};]{0,200}\{([^{}]*)\}")
_ENUMERATOR = re.compile(rf"\s*({_NAME})\s*=([^=]{{1,80}})")

_CAST = re.compile(r"^\(\s*(?:\w{1,40}_t|unsigned|int)\s*\)\s*")
_NUMBER = re.compile(r"(0[xX][0-9A-Fa-f]{1,8}|0[bB][01]{1,32}|[0-9]{1,6})[uUlL]{0,3}")
_PORT_PIN = re.compile(r"(?:PIN_|GPIO_?)?P([A-K])_?([0-9]{1,2})", re.IGNORECASE)
_GPIO = re.compile(r"(?:GPIO|IO)(?:_NUM_|_PIN_|_)?([0-9]{1,3})", re.IGNORECASE)
_ANALOG = re.compile(r"(?:PIN_)?([AD][0-9]{1,2})")
_PORT = re.compile(r"(?:GPIO|PORT)_?([A-K])", re.IGNORECASE)
_PIN_WORD = re.compile(
    r"(?:^|_)(?:PIN|GPIO|IO)(?:_|[0-9]|$)|(?:^[kpc]?|(?<=[a-z0-9]))(?:Pin|Gpio)(?=[A-Z_]|$)|^pin(?=[A-Z_])", re.ASCII
)
_PIN_AFFIX = re.compile(r"^k?(?:PIN|GPIO|Pin|pin)_?(?=[A-Z][A-Za-z_])(?<=[_n])|_?(?:PIN|GPIO|Pin|pin)$(?<=[A-Za-z]{3})")
_CHAIN = 8  # steps from a name to the name it stands for


@dataclass(frozen=True, slots=True)
class _Definition:
    name: str
    value: str
    line: int


def source_grid(text: str, file: str, how: str, faults: Faults) -> Grid:
    """The pins that a source file defines, as rows of signal, pin or port, comment.

    Raises DataFault for a file larger than MAX_TEXT, and where no definition names a pin.
    """
    if len(text) > MAX_TEXT:
        raise DataFault(f"{file}: found a source file of {len(text)} characters, expected {MAX_TEXT} at most.")
    bare, comments = without_comments(text.replace("\r\n", "\n").replace("\r", "\n"))
    definitions = sorted(_definitions(bare), key=lambda item: item.line)
    pins = _pins(definitions, file, faults)
    if not pins:
        raise DataFault(
            f"{file}: found no definition that names a pin, expected lines such as #define LED_PIN 13, "
            "#define LED PA5 or constexpr int LED_PIN = 13;"
        )
    by = "pin" if all(pin.isdecimal() for _, pin, _ in pins) else "port"
    rows = tuple((line, [signal, pin, clean(comments.get(line, ""))]) for signal, pin, line in pins)
    return Grid(file, rows, f"{how}, definitions", ("signal", by, "note"))


def without_comments(text: str) -> tuple[str, Mapping[int, str]]:
    """The text with each comment as a blank (line breaks stay), and the first comment of each line."""
    comments: dict[int, str] = {}
    line, at = 1, 0
    for kind, start, end in pieces(text):
        if kind == "comment":
            line += text.count("\n", at, start)
            at = start
            comments.setdefault(line, text[start:end].strip("/*<! \t\n"))
    return blanked(text, strings=False), comments


def _definitions(bare: str) -> Iterator[_Definition]:
    for number, line in enumerate(bare.split("\n"), 1):
        if found := _DEFINE.match(line):
            yield _Definition(found[1], _value(found[2]), number)
    for first, start, constant in _placed(_CONSTANT, bare):
        at = first + bare.count("\n", start, constant.start(1))
        yield _Definition(constant[1], _value(constant[2]), at)
    for first, start, body in _placed(_ENUM, bare):
        at = first + bare.count("\n", start, body.start(1))
        for piece in body[1].split(","):
            if named := _ENUMERATOR.fullmatch(piece):
                yield _Definition(named[1], _value(named[2]), at + piece.count("\n", 0, named.start(1)))
            at += piece.count("\n")


def _placed(pattern: re.Pattern[str], text: str) -> Iterator[tuple[int, int, re.Match[str]]]:
    """Every match with the line it begins in and its start."""
    line, at = 1, 0
    for found in pattern.finditer(text):
        line += text.count("\n", at, found.start())
        at = found.start()
        yield line, at, found


def _value(text: str) -> str:
    """The value without the brackets around it and a cast before it."""
    value, before = text.strip(), ""
    while value != before:
        before = value
        value = _CAST.sub("", value)
        if value.startswith("(") and value.endswith(")"):
            value = value[1:-1].strip()
    return value


def _pins(definitions: list[_Definition], file: str, faults: Faults) -> list[tuple[str, str, int]]:
    """Signal, pin and line of each definition that names a pin."""
    values = {item.name: item.value for item in reversed(definitions)}
    pins: list[tuple[str, str, int]] = []
    seen: dict[str, tuple[str, int]] = {}
    left_out: list[_Definition] = []
    shortened: list[tuple[_Definition, str]] = []
    for item in definitions:
        pin = _pin(item, values)
        if not pin:
            if _NUMBER.fullmatch(item.value):
                left_out.append(item)
            continue
        signal = _PIN_AFFIX.sub("", item.name) or item.name
        if signal != item.name:
            shortened.append((item, signal))
        first = seen.setdefault(signal, (pin, item.line))
        if first[0] != pin:
            faults.notice(
                "defined-twice",
                f"{item.name} is defined twice, as {first[0]} in line {first[1]} and as {pin} here; "
                "conditions are not evaluated, and the first one was taken",
                Origin(file, item.line),
                found=pin,
                remedy="If the other one is right for this board, keep its definitions in a file of their own.",
            )
        elif first[1] == item.line:
            pins.append((signal, pin, item.line))
    _tell(file, left_out, shortened, faults)
    return pins


def _pin(item: _Definition, values: Mapping[str, str]) -> str:
    """The pin that a definition names: a port name, a plain number as decimal text, or empty."""
    value = item.value
    for _ in range(_CHAIN):
        if value not in values or _PORT_PIN.fullmatch(value) or _GPIO.fullmatch(value):
            break
        value = _value(values[value])
    number = _NUMBER.fullmatch(value)
    bit = _GPIO.fullmatch(value)
    port = _port_beside(item.name, values)
    if port and number:
        return f"P{port}{_decimal(number[1])}"
    if port and bit:
        return f"P{port}{int(bit[1])}"
    if number:
        return _decimal(number[1]) if _PIN_WORD.search(item.name) else ""
    if found := _PORT_PIN.fullmatch(value):
        return f"P{found[1].upper()}{int(found[2])}"
    if bit:
        return f"GPIO{int(bit[1])}"
    return found[1].upper() if (found := _ANALOG.fullmatch(value)) else ""


def _port_beside(name: str, values: Mapping[str, str]) -> str:
    """The port letter where pin and port are two definitions: ``LED_PIN`` beside ``LED_PORT``."""
    base = re.sub(r"_(?:PIN|BIT)$", "", name, flags=re.IGNORECASE)
    if base == name:
        return ""
    for ending in ("_PORT", "_Port", "_GPIO_PORT", "_GPIO_Port", "_port"):
        if found := _PORT.fullmatch(values.get(base + ending, "")):
            return found[1].upper()
    return ""


def _decimal(text: str) -> str:
    lower = text.lower()
    base = 16 if lower.startswith("0x") else 2 if lower.startswith("0b") else 10
    return str(int(lower, base))


def _tell(file: str, left_out: list[_Definition], shortened: list[tuple[_Definition, str]], faults: Faults) -> None:
    if left_out:
        faults.notice(
            "not-a-pin",
            f"{counted(len(left_out), 'number')} taken for something else than a pin, since no word in the name says "
            "that it is one",
            Origin(file, left_out[0].line),
            found=", ".join(item.name for item in left_out),
            remedy="A pin is told by PIN or GPIO in its name, or by a port name as its value.",
        )
    if shortened:
        item, signal = shortened[0]
        faults.notice(
            "shortened-name",
            f"the words PIN and GPIO at either end of a name were taken as no part of the signal's name "
            f"({counted(len(shortened), 'name')})",
            Origin(file, item.line),
            found=f"{item.name} as {signal}",
        )
