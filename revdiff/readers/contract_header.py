"""A firmware contract from a C header: the plain defines that a naming pattern picks out, and nothing else.

A define is plain when it is a number, a character, a string, or the name of another plain define. Nothing is included,
no macro is expanded and no condition is worked out: where a name is defined twice with different values, it is a fault.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from revdiff.readers.comments import blanked
from revdiff.readers.contract_needs import ContractFault, FoundPin

_DEFINE = re.compile(r"#\s*+define\s++([A-Za-z_]\w*+)(\(?)(.*)")
_NUMBER = re.compile(r"(0[xX][0-9a-fA-F]{1,8}|[0-9]{1,9})[uUlL]{0,3}")
_STRING = re.compile(r'"([\w .+/#-]*)"')
_CHARACTER = re.compile(r"'([A-Za-z0-9])'")
_NAME = re.compile(r"[A-Za-z_]\w*")
_CHAIN = 8
_PLAIN = 200  # characters of a value that may be plain
_SHOWN = 60  # characters of a name or value in a message
_PLACE = "{signal}"


@dataclass(frozen=True, slots=True)
class Define:
    """A define's value as it is written, and its line."""

    value: str
    line: int


@dataclass(frozen=True, slots=True)
class Patterns:
    """How a header calls things; ``{signal}`` stands for the signal.

    ``pin``: the pin's number, port name, or its line of a bank. ``port``: the bank, where it is a define of its own.
    ``active_low``: 1 for a signal that is active low.
    """

    pin: str = "PIN_{signal}"
    port: str = ""
    active_low: str = ""


def pins_of_header(text: str, file: str, patterns: Patterns) -> Iterator[FoundPin]:
    """Each signal that the pattern picks out, in the order of the file. Raises ContractFault."""
    defines = read_defines(text, file)
    head, tail = _split(patterns.pin, file)
    for name, define in defines.items():
        signal = name[len(head) : len(name) - len(tail)]
        if not signal or not name.startswith(head) or not name.endswith(tail):
            continue
        value = _resolved(name, defines, file)
        port = _related(patterns.port, signal, defines, file)
        low = _related(patterns.active_low, signal, defines, file)
        active = {"0": "high", "1": "low"}.get(low, "")
        yield FoundPin(signal, _pin(value, port, name, file, define.line), define.line, active)


def read_defines(text: str, file: str) -> dict[str, Define]:
    """All defines of a name without parameters. Raises ContractFault where one name has two values."""
    found: dict[str, Define] = {}
    number, lines = 1, iter(blanked(text, strings=False).splitlines())
    for line in lines:
        start, whole = number, [line]
        while whole[-1].endswith("\\"):
            number += 1
            whole[-1] = whole[-1][:-1]
            whole.append(next(lines, ""))
        number += 1
        define = _DEFINE.fullmatch("".join(whole).strip())
        if define is None or define[2]:
            continue
        name, value = define[1], _bare(define[3].strip())
        if name in found and found[name].value != value:
            former, latter = (item[:_SHOWN] or "nothing" for item in (found[name].value, value))
            message = f"{name[:_SHOWN]} is defined twice, as {former} and as {latter}"
            raise ContractFault(file, start, f"{message}; conditions are not worked out")
        found.setdefault(name, Define(value, start))
    return found


def _bare(value: str) -> str:
    while len(value) <= _PLAIN and value.startswith("(") and value.endswith(")"):
        value = value[1:-1].strip()
    return value


def _split(pattern: str, file: str) -> tuple[str, str]:
    """What stands before and after the signal in a name."""
    head, place, tail = pattern.partition(_PLACE)
    if not place or not re.fullmatch(r"\w*", head + tail):
        raise ContractFault(
            file, 0, f"the naming pattern {pattern[:_SHOWN]!r} needs one {_PLACE} between letters, as in PIN_{_PLACE}"
        )
    return head, tail


def _related(pattern: str, signal: str, defines: Mapping[str, Define], file: str) -> str:
    name = pattern.replace(_PLACE, signal)
    return _resolved(name, defines, file) if pattern and name in defines else ""


def _resolved(name: str, defines: Mapping[str, Define], file: str) -> str:
    """The value behind a name: a number in decimal, a text, or a name that the header doesn't define."""
    line = defines[name].line
    for _ in range(_CHAIN):
        value = defines[name].value
        if number := _NUMBER.fullmatch(value):
            return str(_integer(number[1]))
        if text := _STRING.fullmatch(value) or _CHARACTER.fullmatch(value):
            return text[1]
        if not _NAME.fullmatch(value):
            raise ContractFault(
                file, line, f"{name[:_SHOWN]} is no plain number, text or name: {value[:_SHOWN] or 'nothing'}"
            )
        if value not in defines:
            return value
        name = value
    raise ContractFault(file, line, f"{name} leads through more than {_CHAIN} names")


def _integer(text: str) -> int:
    if text[:2] in ("0x", "0X"):
        return int(text, 16)
    return int(text, 8) if text.startswith("0") and len(text) > 1 and set(text) <= set("01234567") else int(text)


def _pin(value: str, port: str, name: str, file: str, line: int) -> str:
    """The pin's number or port name; with a bank of its own the two joined, as ``PB`` and ``5`` to ``PB5``."""
    if not port:
        return value
    bank, number = re.search(r"([A-Za-z])$", port), re.search(r"([0-9]{1,2})$", value)
    if bank is None or number is None:
        raise ContractFault(file, line, f"{name}: {port} and {value} make no port name such as PB5")
    return f"P{bank[1].upper()}{int(number[1])}"
