"""A pin map as a C header, for one revision or for two that firmware tells apart at run time (ISO C99, ISO C++11).

A design's texts reach the header only as letters, digits and underscores of a name, or as escaped bytes of a string.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence

from revdiff.errors import UsageFault
from revdiff.quantities.text import fold
from revdiff.report.pins_table import ExportPin

_STRUCT = (
    "#ifndef BOARD_PIN_DEFINED",
    "#define BOARD_PIN_DEFINED",
    "struct board_pin {",
    "    const char *signal;  /* 0 where the revision has no such signal */",
    "    const char *pin;     /* number on the package */",
    "    const char *port;",
    "    char bank;           /* 'A' for PA5, '0' for GPIO5; 0 where the port has another name */",
    "    int line;            /* 5 for PA5; -1 where the port has another name */",
    "    int active_low;",
    "    int output;          /* 1 where the controller drives it */",
    "    int idle;            /* the level at which it is not active; -1 where nobody states it */",
    "};",
    "#endif",
)
_NO_PIN = "{0, 0, 0, 0, -1, 0, 0, -1}"


def c_name(text: str) -> str:
    """A part of an identifier: capital letters, digits and underscores."""
    signed = text.replace("+", "P", 1) if text.startswith("+") else text
    return "".join(char.upper() if char.isascii() and char.isalnum() else "_" for char in signed) or "_"


def _prefix(board: str, device: str, wanted: str = "") -> str:
    """What every name of a header starts with; an identifier doesn't start with a digit (ISO C99, 6.4.2.1).

    Raises UsageFault where the one that is wanted is none.
    """
    if wanted:
        if not re.fullmatch(r"[A-Za-z][A-Za-z0-9_]{0,30}", wanted, re.ASCII):
            raise UsageFault(
                f"{wanted!r} can't start names in C: a letter, then letters, digits and underscores, 31 at most."
            )
        return wanted
    name = f"{c_name(board)}_{c_name(device)}"
    return f"BOARD_{name}" if name[0].isdigit() else name


def c_names(texts: Iterable[str]) -> dict[str, str]:
    """A name of its own for each text, by folded text; a number tells apart what would be called the same."""
    found: dict[str, str] = {}
    taken: set[str] = set()
    for text in texts:
        key = fold(text)
        if key in found:
            continue
        name, count = c_name(text), 1
        while name in taken:
            count += 1
            name = f"{c_name(text)}_{count}"
        taken.add(name)
        found[key] = name
    return found


def c_string(text: str) -> str:
    """A string literal of the text's UTF-8 bytes; what isn't a plain letter, digit or sign is an octal escape."""
    safe = "".join(
        chr(byte) if 32 <= byte < 127 and chr(byte) not in '"\\?' else f"\\{byte:03o}"
        for byte in text.encode("utf-8", "replace")
    )
    # Two number signs could start a log command of a CI service; the escape says the same.
    return '"' + safe.replace("##", "#\\043") + '"'


def c_comment(text: str) -> str:
    """Text that can stand in a comment: nothing in it ends one or continues a line."""
    return "".join(char if char.isascii() and (char.isalnum() or char in " ._-+@") else "_" for char in text)[:120]


def to_header(board: str, device: str, revision: str, pins: Sequence[ExportPin], start: str = "") -> str:
    """The header of one revision: a few constants for each signal, and a table of all pins.

    ``start``: what names start with instead of board and device.
    """
    prefix = _prefix(board, device, start)
    names = c_names(item.signal for item in pins)
    lines = [f"/* Pins of {c_comment(f'{board}.{device} at {revision}')}; written by revdiff, ISO C99 and C++11. */"]
    lines += [f"#ifndef {prefix}_PINS_H", f"#define {prefix}_PINS_H", "", *_STRUCT, ""]
    seen: set[str] = set()
    for item in pins:
        name = f"{prefix}_{names[fold(item.signal)]}"
        if name not in seen:
            seen.add(name)
            lines += _constants(name, item)
    lines += ["", f"static const struct board_pin {prefix.lower()}_pins[] = {{"]
    lines += [f"    {_entry(item)}," for item in pins]
    lines += ["};", "", "#endif"]
    return "\n".join(lines) + "\n"


def _constants(name: str, item: ExportPin) -> Iterator[str]:
    plain = item.pin.isascii() and item.pin.isdecimal() and str(int(item.pin)) == item.pin
    yield f"#define {name}_PIN {item.pin if plain else c_string(item.pin)}"
    if item.line is not None:
        bank, line = item.line
        yield f"#define {name}_BANK '{bank.upper()}'"
        yield f"#define {name}_LINE {line}"
    yield f"#define {name}_ACTIVE_LOW {int(item.active == 'low')}"
    yield f"#define {name}_OUTPUT {int(item.output)}"
    if item.idle is not None:
        yield f"#define {name}_IDLE {item.idle}"


def _entry(item: ExportPin) -> str:
    bank, line = item.line or ("", -1)
    shown = f"'{bank.upper()}'" if bank else "0"
    texts = ", ".join(c_string(text) for text in (item.signal, item.pin, item.port))
    idle = -1 if item.idle is None else item.idle
    return f"{{{texts}, {shown}, {line}, {int(item.active == 'low')}, {int(item.output)}, {idle}}}"


def to_selecting_header(
    board: str,
    device: str,
    revisions: Sequence[tuple[str, int, Sequence[ExportPin]]],
    renamed: Mapping[str, str],
    start: str = "",
) -> str:
    """The header of several revisions, each as (name, board ID, pins); ``renamed``: folded old signal to folded new.

    Raises UsageFault where two revisions have one board ID: no program could choose.
    """
    by_id: dict[int, str] = {}
    for revision, identity, _ in revisions:
        if identity in by_id:
            raise UsageFault(
                f"{by_id[identity]} and {revision} of {board} have the same board ID {identity}: firmware can't tell "
                f"them apart. Give [identity.{board}] another code in one of them."
            )
        by_id[identity] = revision
    prefix = _prefix(board, device, start)
    low = prefix.lower()
    signals: dict[str, str] = {}
    for _, _, pins in reversed(revisions):
        for item in pins:
            signals.setdefault(renamed.get(fold(item.signal), fold(item.signal)), item.signal)
    names = _enumerators(signals)
    titles = c_names(revision for revision, _, _ in revisions)
    told = ", ".join(revision for revision, _, _ in revisions)
    lines = [f"/* Pins of {c_comment(f'{board}.{device} at {told}')}; written by revdiff, ISO C99 and C++11. */"]
    lines += [f"#ifndef {prefix}_PINS_OF_REVISIONS_H", f"#define {prefix}_PINS_OF_REVISIONS_H", "", *_STRUCT, ""]
    for revision, identity, _ in revisions:
        lines.append(f"#define {prefix}_ID_{titles[fold(revision)]} {identity}")
    lines += ["", f"enum {low}_signal {{"]
    lines += [f"    {prefix}_SIG_{name}," for name in names.values()]
    lines += [f"    {prefix}_COUNT_OF_SIGNALS", "};", ""]
    for revision, _, pins in revisions:
        lines.append(f"static const struct board_pin {low}_of_{titles[fold(revision)].lower()}[] = {{")
        first: dict[str, ExportPin] = {}
        for item in pins:
            first.setdefault(renamed.get(fold(item.signal), fold(item.signal)), item)
        # In the order of the enumeration and without its names: C++ has no designators of array elements.
        lines += [f"    {_entry(first[key]) if key in first else _NO_PIN}," for key in names]
        lines += [f"    {_NO_PIN}", "};", ""]
    lines += [
        "/* The pin of a signal on the board with this ID; 0 for an unknown board, or where it has no such signal. */",
        f"static inline const struct board_pin *{low}_pin(long board_id, enum {low}_signal signal)",
        "{",
        "    const struct board_pin *pins;",
        f"    if ((int)signal < 0 || (int)signal >= (int){prefix}_COUNT_OF_SIGNALS)",
        "        return 0;",
        "    switch (board_id) {",
    ]
    for revision, _, _ in revisions:
        title = titles[fold(revision)]
        lines += [f"    case {prefix}_ID_{title}:", f"        pins = {low}_of_{title.lower()};", "        break;"]
    lines += [
        "    default:",
        "        return 0;",
        "    }",
        "    return pins[signal].signal ? &pins[signal] : 0;",
        "}",
        "",
        "#endif",
    ]
    return "\n".join(lines) + "\n"


def _enumerators(signals: Mapping[str, str]) -> dict[str, str]:
    """A name of its own for each signal, by the key it is known under in both revisions."""
    found: dict[str, str] = {}
    for key, text in signals.items():
        name, count = c_name(text), 1
        while name in found.values():
            count += 1
            name = f"{c_name(text)}_{count}"
        found[key] = name
    return found
