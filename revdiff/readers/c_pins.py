"""Pins out of what a C or C++ source defines: as a pin map, and as the needs of a firmware contract.

In a pin map, a definition is a pin by its value (``PA5``, ``GPIO_NUM_12``) or, where the value is a plain number, by a
word such as PIN or GPIO in its name (common practice, no source), or since the file is a pin map by its content
(``bare_pins``). For a contract, a naming pattern picks the pins out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from revdiff.design import Origin
from revdiff.errors import DataFault
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import clean
from revdiff.readers.bare_pins import bare_pins, could_be_pin
from revdiff.readers.c_source import Definition, defined_in, lines_of, read_c
from revdiff.readers.contract_needs import FoundPin
from revdiff.readers.faults import Faults, counted
from revdiff.readers.grid import Grid
from revdiff.readers.source_fault import SourceFault

_PORT_PIN = pattern(r"(?:PIN_|GPIO_?)?P([A-K])_?([0-9]{1,2})", re.IGNORECASE)
_GPIO = pattern(r"(?:GPIO|IO)(?:_NUM_|_PIN_|_)?([0-9]{1,3})", re.IGNORECASE)
_ANALOG = pattern(r"(?:PIN_)?([AD][0-9]{1,2})")
_PORT = pattern(r"(?:GPIO|PORT)_?([A-K])", re.IGNORECASE)
_PIN_WORD = pattern(
    r"(?:^|_)(?:PIN|GPIO|IO)(?:_|[0-9]|$)|(?:^[kpc]?|(?<=[a-z0-9]))(?:Pin|Gpio)(?=[A-Z_]|$)|^pin(?=[A-Z_])", re.ASCII
)
_PIN_AFFIX = pattern(r"^k?(?:PIN|GPIO|Pin|pin)_?(?=[A-Z][A-Za-z_])(?<=[_n])|_?(?:PIN|GPIO|Pin|pin)$(?<=[A-Za-z]{3})")
_COUNT = pattern(r"(?:^|_)(?:COUNT|NUM|MAX|LAST|END)(?:_|$)", re.IGNORECASE)
_MOST_LINES = 32  # of a port
_LONGEST = 120  # characters of a name that may be a pin's
_SHOWN = 60
_PLACE = "{signal}"


class Patterns(Struct, frozen=True):
    """How a header calls things; ``{signal}`` stands for the signal.

    ``pin``: the pin's number, port name, or its line of a bank. ``port``: the bank, where it is a define of its own.
    ``active_low``: 1 for a signal that is active low.
    """

    pin: str = "PIN_{signal}"
    port: str = ""
    active_low: str = ""


def source_grid(text: str, file: str, how: str, faults: Faults) -> Grid:
    """The pins that a source file defines, as rows of signal, pin or port, comment.

    Raises DataFault for a file that can't be read, and where no definition names a pin.
    """
    lines = lines_of(text, file)
    pins, others = _pins(defined_in(lines, file), file, faults)
    tell_included(lines.included, file, faults, "pins")
    if not pins:
        raise DataFault(
            f"{file}: found no definition that names a pin, expected lines such as #define LED_PIN 13, "
            "#define LED PA5 or constexpr int LED_PIN = 13;"
        )
    by = "pin" if all(pin.isdecimal() for _, pin, _ in pins) else "port"
    rows = tuple((item.line, [signal, pin, clean(item.note)]) for signal, pin, item in pins)
    numbers = tuple((item.name, str(item.value.number), item.line) for item in others if could_be_pin(item))
    return Grid(file, rows, f"{how}, definitions", ("signal", by, "note"), numbers=numbers)


def tell_included(included: Mapping[int, str], file: str, faults: Faults, what: str) -> None:
    """Tells that a file draws on files of its own kind, by their names in quotation marks."""
    own = {line: name for line, name in included.items() if name.startswith('"')}
    if own:
        line, name = next(iter(own.items()))
        faults.notice(
            "not-included",
            "this file draws on others, which were not read",
            Origin(file, line),
            found=name,
            remedy=f"{what.capitalize()} that only the other files name are missing here.",
        )


def pins_of_header(text: str, file: str, patterns: Patterns, faults: Faults | None = None) -> Iterator[FoundPin]:
    """Each signal that the pattern picks out, in the order of the file. Raises SourceFault."""
    head, tail = _parted(patterns.pin, file)
    definitions = read_c(text, file)
    by_name: dict[str, list[Definition]] = {}
    for item in (one for one in definitions if not one.parameters):
        by_name.setdefault(item.name, []).append(item)
    conditional = []
    for name, items in by_name.items():
        signal = name[len(head) : len(name) - len(tail)]
        if not signal or not name.startswith(head) or not name.endswith(tail):
            continue
        item = _only(items, file)
        port = _related(patterns.port, signal, by_name, file)
        low = _related(patterns.active_low, signal, by_name, file)
        if item.condition:
            conditional.append(item)
        active = {"0": "high", "1": "low"}.get(low, "")
        yield FoundPin(signal, _on_port(item, port, file), item.line, active, clean(item.note))
    _tell_conditions(conditional, file, faults or Faults())


def _only(items: Sequence[Definition], file: str) -> Definition:
    """The one definition of a name; its value is known."""
    first = items[0]
    for other in items[1:]:
        if _said(other) != _said(first):
            former, latter = (_said(item)[:_SHOWN] or "nothing" for item in (first, other))
            message = f"{first.name[:_SHOWN]} is defined twice, as {former} and as {latter}"
            raise SourceFault(file, other.line, f"{message}; conditions are not worked out")
    if first.value.why:
        raise SourceFault(file, first.line, f"{first.name[:_SHOWN]} {first.value.why}")
    if first.mask:
        message = f"{first.name[:_SHOWN]} is a mask of bits, not the number of a pin: {first.written}"
        raise SourceFault(file, first.line, message)
    return first


def _said(item: Definition) -> str:
    """What a definition stands for: a text, a number, a name; the expression where its value is unknown."""
    value = item.value
    return value.text or value.word or (str(value.number) if value.number is not None else item.written)


def _parted(pattern: str, file: str) -> tuple[str, str]:
    """What stands before and after the signal in a name."""
    head, place, tail = pattern.partition(_PLACE)
    if not place or not re.fullmatch(r"\w*", head + tail):
        raise SourceFault(
            file, 0, f"the naming pattern {pattern[:_SHOWN]!r} needs one {_PLACE} between letters, as in PIN_{_PLACE}"
        )
    return head, tail


def _related(pattern: str, signal: str, by_name: Mapping[str, Sequence[Definition]], file: str) -> str:
    name = pattern.replace(_PLACE, signal)
    return _said(_only(by_name[name], file)) if pattern and name in by_name else ""


def _on_port(item: Definition, port: str, file: str) -> str:
    """The pin's number or port name; with a bank of its own the two joined, as ``PB`` and ``5`` to ``PB5``."""
    value = _said(item)
    if not port:
        return _port_name((value, *item.through)) or value
    bank, number = re.search(r"([A-Za-z])$", port), re.search(r"([0-9]{1,2})$", value)
    if bank is None or number is None:
        raise SourceFault(file, item.line, f"{item.name}: {port} and {value} make no port name such as PB5")
    return f"P{bank[1].upper()}{int(number[1])}"


def _port_name(names: Sequence[str]) -> str:
    """The port name that one of the names is, in one spelling."""
    for name in names:
        if found := _PORT_PIN.fullmatch(name):
            return f"P{found[1].upper()}{int(found[2])}"
        if found := _GPIO.fullmatch(name):
            return f"GPIO{int(found[1])}"
        if found := _ANALOG.fullmatch(name):
            return found[1].upper()
    return ""


def _pins(
    definitions: Sequence[Definition], file: str, faults: Faults
) -> tuple[list[tuple[str, str, Definition]], list[Definition]]:
    """Signal, pin and place of each definition that names a pin; the numbers that were left out."""
    bare = bare_pins(definitions, lambda name: _PIN_WORD.search(name) is not None)
    ports = {item.name: item for item in reversed(definitions) if len(item.name) <= _LONGEST}
    pins: list[tuple[str, str, Definition]] = []
    seen: dict[str, tuple[str, Definition]] = {}
    left_out: list[Definition] = []
    unknown: list[Definition] = []
    shortened: list[tuple[Definition, str]] = []
    for item in definitions:
        if len(item.name) > _LONGEST or item.parameters:
            continue
        pin = _pin(item, ports) or (str(item.value.number) if item.name in bare and could_be_pin(item) else "")
        if not pin:
            says = _PIN_WORD.search(item.name) is not None
            if says and item.written and (item.value.why or item.mask):
                unknown.append(item)
            elif item.value.number is not None and not item.value.text:
                left_out.append(item)
            continue
        signal = _PIN_AFFIX.sub("", item.name) or item.name
        if signal != item.name:
            shortened.append((item, signal))
        first, where = seen.setdefault(signal, (pin, item))
        if first != pin:
            faults.notice(
                "defined-twice",
                f"{item.name} is defined twice, as {first} in line {where.line} and as {pin} here; "
                "conditions are not evaluated, and the first one was taken",
                Origin(file, item.line),
                found=pin,
                remedy="If the other one is right for this board, keep its definitions in a file of their own.",
            )
        elif where is item:
            pins.append((signal, pin, item))
    _tell(file, left_out, unknown, shortened, faults)
    _tell_conditions([item for _, _, item in pins if item.condition], file, faults)
    if bare:
        line = min(item.line for item in definitions if item.name in bare)
        faults.notice(
            "taken-as-pins",
            f"{counted(len(bare), 'plain number')} taken for pins, though no word says so: by what the file holds",
            Origin(file, line),
            found=", ".join(sorted(bare)),
            remedy="If they are none, keep them in a file of their own, or name the pins in a table.",
        )
    return pins, left_out


def _pin(item: Definition, ports: Mapping[str, Definition]) -> str:
    """The pin that a definition names: a port name, a plain number as decimal text, or empty."""
    value = item.value
    # `A0` that stands for a `PIN_A0` of this file is the number which that one has.
    through = [name for name in item.through if name not in ports or not _ANALOG.fullmatch(name)]
    names = (value.text, *through) if value.text else through
    port = _port_beside(item.name, ports)
    number = value.number if not item.mask else None
    if port and number is not None and 0 <= number < _MOST_LINES:
        return f"P{port}{number}"
    named = _port_name(names)
    if port and named.startswith("GPIO"):
        return f"P{port}{named.removeprefix('GPIO')}"
    if named:
        return named
    if number is None or number < 0 or value.text or port:
        return ""
    if not any(_PIN_WORD.search(name) for name in (item.name, *item.through)):
        return ""
    total = not item.written and _COUNT.search(item.name) is not None
    return "" if item.counted or total else str(number)


def _port_beside(name: str, ports: Mapping[str, Definition]) -> str:
    """The port letter where pin and port are two definitions: ``LED_PIN`` beside ``LED_PORT``."""
    base = re.sub(r"_(?:PIN|BIT)$", "", name, flags=re.IGNORECASE)
    if base == name:
        return ""
    for ending in ("_PORT", "_Port", "_GPIO_PORT", "_GPIO_Port", "_port"):
        beside = ports.get(base + ending)
        for word in (beside.value.text, *beside.through) if beside is not None else ():
            if found := _PORT.fullmatch(word):
                return found[1].upper()
    return ""


def _tell(
    file: str,
    left_out: Sequence[Definition],
    unknown: Sequence[Definition],
    shortened: Sequence[tuple[Definition, str]],
    faults: Faults,
) -> None:
    if left_out:
        faults.notice(
            "not-a-pin",
            f"{counted(len(left_out), 'number')} taken for something else than a pin, since no word in the name says "
            "that it is one, or since it only counts",
            Origin(file, left_out[0].line),
            found=", ".join(item.name for item in left_out),
            remedy="A pin is told by PIN or GPIO in its name, or by a port name as its value.",
        )
    for item in unknown[:20]:
        why = f"is a mask of bits, not the number of a pin: {item.written}" if item.mask else item.value.why
        faults.notice(
            "not-worked-out",
            f"{item.name} {why}; it was left out",
            Origin(file, item.line),
            found=item.written,
            remedy="Give it the number or the port name of its pin, or name the pins in a table.",
        )
    if len(unknown) > 20:
        faults.notice(
            "not-worked-out",
            f"{counted(len(unknown) - 20, 'more value')} could not be worked out and were left out",
            Origin(file, unknown[20].line),
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


def _tell_conditions(items: Sequence[Definition], file: str, faults: Faults) -> None:
    if items:
        faults.notice(
            "conditional",
            f"{counted(len(items), 'pin')} taken although under a condition, which isn't followed",
            Origin(file, items[0].line),
            found=f"{items[0].name} under {items[0].condition}",
            remedy="If the condition doesn't hold for this board, keep its definitions in a file of their own.",
        )
