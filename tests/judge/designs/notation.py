"""A small design as one text, so that a record of the table reads like the tables that it stands for.

``= BOARD contacts`` (also ``pins``, ``parts``, ``connectors``) starts a table of comma-separated cells under a header;
contacts are of J1 and pins of U1, both numbered from 1, where the table has no such column. ``= BOARD board`` holds
lines of the board's section, ``= firmware NAME BOARD`` keys with ``=`` and then a table of needs, ``= joints`` lines
such as ``base.J1 top.J1``, ``= manifest`` whatever else, ``= file PATH`` a file as it is.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

Files = dict[str, str]
_TABLES = ("contacts", "pins", "parts", "connectors")
_OWNERS = {"contacts": ("Connector", "J1", "Contact"), "pins": ("Device", "U1", "Pin")}


def files(text: str) -> Files:
    """The files of a design. Raises ValueError where a line stands outside a section."""
    sections: dict[str, list[str]] = {}
    current: list[str] | None = None
    for line in filter(None, map(str.strip, text.strip().splitlines())):
        if line.startswith("= "):
            current = sections.setdefault(line[2:].strip(), [])
        elif current is None:
            raise ValueError(f"outside a section: {line}")
        else:
            current.append(line)
    return _files(sections)


def _files(sections: dict[str, list[str]]) -> Files:
    found: Files = {}
    boards: dict[str, list[str]] = {}
    tail: list[str] = []
    for title, lines in sections.items():
        words = title.split()
        if words[0] == "joints":
            continue
        if words[0] == "file":
            found[words[1]] = "\n".join(lines) + "\n"
        elif words[0] == "manifest":
            tail += lines
        elif words[0] == "firmware":
            keys = [line for line in lines if " = " in line]
            rows = [line for line in lines if " = " not in line]
            tail += [
                f"[firmware.{words[1]}]",
                f'version = "{"".join(words[3:]) or 1}"',
                f'board = "{words[2]}"',
                'device = "U1"',
            ]
            if rows:
                tail.append(f'needs = "{words[1]}.csv"')
                found[f"{words[1]}.csv"] = "\n".join(rows) + "\n"
            tail += keys
        elif words[1] == "board":
            boards.setdefault(words[0], []).extend(lines)
        else:
            path = f"{words[0]}/{words[1]}.csv"
            boards.setdefault(words[0], []).append(f'{words[1]} = "{path}"')
            found[path] = _table(lines, words[1])
    first, *others = boards
    joints = sections.get("joints", [f"{first}.J1 {name}.J1" for name in others])
    sockets = {line.split()[1] for line in joints}
    head = ['[design]\nname = "d"']
    for name, lines in boards.items():
        if f"{name}/contacts.csv" in found and f'connectors = "{name}/connectors.csv"' not in lines:
            lines.append(f'connectors = "{name}/connectors.csv"')
            found[f"{name}/connectors.csv"] = _connectors(name, found[f"{name}/contacts.csv"], sockets)
        head += [f"[boards.{name}]", *lines]
    head += [_joint(line) for line in joints]
    return {**found, "revdiff.toml": "\n".join((*head, *tail)) + "\n"}


def _joint(line: str) -> str:
    one, two, *more = line.split(maxsplit=2)
    return f'[[joints]]\na = "{one}"\nb = "{two}"' + "".join(f"\ncontacts = {item}" for item in more)


def _cells(line: str) -> list[str]:
    return [cell.strip() for cell in line.split(",")]


def _table(lines: list[str], kind: str) -> str:
    header, *rows = map(_cells, lines)
    if kind in _OWNERS:
        owner, who, number = _OWNERS[kind]
        if number not in header:
            header, rows = [number, *header], [[str(index), *row] for index, row in enumerate(rows, 1)]
        if owner not in header:
            header, rows = [owner, *header], [[who, *row] for row in rows]
    padded = (row + [""] * (len(header) - len(row)) for row in rows)
    return "".join(",".join(row) + "\n" for row in (header, *padded))


def _connectors(board: str, contacts: str, sockets: set[str]) -> str:
    """A header for each connector, a socket for the second of a joint."""
    names = re.findall(r"^(\w+)[,;\t]", contacts, re.MULTILINE)[1:]
    rows = (
        f"{name},joint,{names.count(name)},1,2.54 mm,{'female' if f'{board}.{name}' in sockets else 'male'},3 A"
        for name in dict.fromkeys(names)
    )
    return "Connector,Role,Contacts,Rows,Pitch,Gender,Rating\n" + "".join(row + "\n" for row in rows)


def two(base: str | Iterable[str], top: str | Iterable[str], columns: str = "", more: str = "") -> str:
    """The text of two boards that meet at one connector; contact 1 of both is ground.

    Rows are signal, direction, level, then ``columns``.
    """
    header = f"Signal,Direction,Level,{columns}"
    listed = ([rows] if isinstance(rows, str) else list(rows) for rows in (base, top))
    tables = (
        "\n".join((f"= {name} contacts", header, "GND,ground", *rows))
        for name, rows in zip(("base", "top"), listed, strict=True)
    )
    return "\n".join((*tables, more))
