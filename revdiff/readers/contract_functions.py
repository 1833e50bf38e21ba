"""What each pin of a controller can do: from a table of the user's, or from the open data of ``modm-devices``.

The table has the columns Port (or Pin) and Function, one pair a row or several functions in a cell. ``modm-devices``
(MPL-2.0, an optional extra) holds the vendors' tables of many controllers; its names are in lower case and it keeps
peripheral and signal apart (``usart``, ``1``, ``tx``).
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping
from pathlib import Path

from revdiff.errors import UsageFault
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import squeeze
from revdiff.readers.open_controllers import open_controllers

Functions = Mapping[str, frozenset[str]]
_PART = pattern(r"[a-z0-9-]{4,30}")
_LARGEST = 4 * 1024 * 1024


def key_of(function: str) -> str:
    """A function's name without regard to case and signs: ``USART1_TX``, ``usart1-tx`` → ``usart1tx``."""
    return squeeze(function)


def read_functions(source: str) -> Functions:
    """Functions by folded port name, from a CSV file or a part number. Raises UsageFault."""
    path = Path(source)
    if path.suffix.lower() in (".csv", ".tsv", ".txt") or path.is_file():
        return _from_table(path)
    return _from_open_data(source.lower())


def _from_table(path: Path) -> Functions:
    try:
        if path.stat().st_size > _LARGEST:
            raise UsageFault(f"{path} is larger than {_LARGEST // 1024} kB, which no table of pin functions is.")
        text = path.read_text(encoding="utf-8-sig")
        rows = list(csv.reader(text.splitlines(), delimiter="\t" if path.suffix == ".tsv" else ","))
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise UsageFault(f"{path} can't be read as a table of pin functions: {error}.") from None
    heads = [squeeze(cell) for cell in rows[0]] if rows else []
    port = next((heads.index(name) for name in ("port", "pin", "portname") if name in heads), None)
    function = next((heads.index(name) for name in ("function", "functions", "signal") if name in heads), None)
    if port is None or function is None:
        raise UsageFault(
            f"{path}:1: expected the columns Port and Function, found {', '.join(rows[0]) if rows else ''}."
        )
    found: dict[str, set[str]] = {}
    for row in rows[1:]:
        if len(row) > max(port, function) and row[port].strip():
            names = found.setdefault(squeeze(row[port]), set())
            names.update(key_of(item) for item in re.split(r"[;,/ ]", row[function]) if item.strip())
    return {name: frozenset(functions) for name, functions in found.items()}


def _from_open_data(part: str) -> Functions:
    if not _PART.fullmatch(part):
        raise UsageFault(f"{part!r} is neither a CSV file nor a part number such as stm32f405rgt6.")
    controllers = open_controllers()
    if controllers is None:
        raise UsageFault(
            "the open data of controllers is not installed. Install revdiff[mcu-data], or name a CSV file of functions."
        )
    if part not in controllers.parts:
        raise UsageFault(f"the open data of controllers has no part {part}; write the whole number: stm32f405rgt6.")
    found: dict[str, frozenset[str]] = {}
    for entry in controllers.gpio(part)["gpio"]:
        names = frozenset(name for signal in entry.get("signal", []) for name in _names(signal))
        found[f"p{entry['port']}{entry['pin']}".lower()] = names
    return found


def _names(signal: Mapping[str, str]) -> Iterator[str]:
    """The names that a pin map may have for a signal of the open data."""
    driver, instance, name = signal.get("driver", ""), signal.get("instance", ""), signal["name"]
    peripheral = f"{driver}{instance}"
    yield key_of(f"{peripheral}{name}")
    if driver == "sys":
        yield key_of(name)
        for piece in re.split(r"[-_]", name):
            yield key_of(f"sys{piece}")
    if driver == "rtc":
        yield key_of(f"rcc{name}")
