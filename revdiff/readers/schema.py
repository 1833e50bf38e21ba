"""Readers of single manifest values, to be put together into a declared schema. Each fault is told at its line.

A reader takes a value and its place, and gives what the value means, or MISSING after it has told a fault.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal
from typing import Any, Final, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from revdiff.design import Origin
from revdiff.quantities.quantity import read_quantity
from revdiff.quantities.text import fold
from revdiff.readers.manifest_values import Values


class _Missing:
    """There is no such value, or it can't be read."""


MISSING: Final = _Missing()


class Place(Struct, frozen=True):
    """Where a value stands in the manifest, by its keys, and by its line."""

    values: Values
    path: tuple[str, ...]
    origin: Origin

    @property
    def name(self) -> str:
        """``boards.base.pulls.HEAT``."""
        return ".".join(self.path)

    def at(self, key: str) -> Place:
        """The place of a key below this one: its own section, or its line in this one."""
        path = (*self.path, key)
        origin = self.values.header(".".join(path)) or self.values.at(f"{key}=", self.origin)
        return replace(self, path=path, origin=origin)

    def wrong(self, found: object, expected: str, why: str = "") -> _Missing:
        """Tells that the value can't be read."""
        message = f"{self.name} can't be read" + (f": {why}" if why else "")
        self.values.wrong("wrong-section", message, self.origin, found, expected)
        return MISSING


Reader: TypeAlias = Callable[[object, Place], Any]


def text(given: object, place: Place) -> Any:
    """A text, or a number as text."""
    if isinstance(given, (str, int, float)) and not isinstance(given, bool) and str(given).strip():
        return str(given).strip()
    return place.wrong(given, "a text")


def upper(given: object, place: Place) -> Any:
    """The name of a part or connector."""
    found = text(given, place)
    return found if found is MISSING else found.upper()


def texts(given: object, place: Place) -> Any:
    """A list of texts."""
    if isinstance(given, list) and all(isinstance(item, str) and item.strip() for item in given):
        return tuple(item.strip() for item in given)
    return place.wrong(given, 'a list of texts, such as ["7", "60"]')


def names(given: object, place: Place) -> Any:
    """A set of folded names."""
    found = texts(given, place)
    return found if found is MISSING else frozenset(map(fold, found))


def flag(given: object, place: Place) -> Any:
    """True or false."""
    return given if isinstance(given, bool) else place.wrong(given, "true or false")


def choice(*words: str) -> Reader:
    """One of a few words."""
    return lambda given, place: given if given in words else place.wrong(given, ", ".join(words))


_EXAMPLES = {"A": "0.3 A", "F": "40 pF", "Hz": "400 kHz", "m": "0.2 mm", "%": "20 %", "V": "0.1 V"}


def quantity(unit: str, *, above: bool = False, below: Decimal | None = None) -> Reader:
    """A quantity of at least 0, in base units. ``above``: more than 0."""

    def read(given: object, place: Place) -> Any:
        written = given if isinstance(given, str) else "0" if given == 0 and not isinstance(given, bool) else ""
        found = read_quantity(written, unit)
        # A figure alone could be meant in any multiple: 1500 for 1.5 A.
        bare = found is not None and bool(found.magnitude) and not any(map(str.isalpha, written)) and unit != "%"
        if found is None or bare or found.unit != unit or found.magnitude < 0 or (above and not found.magnitude):
            return place.wrong(given, f'a text such as "{_EXAMPLES[unit]}"')
        if below is not None and found.magnitude >= below:
            return place.wrong(given, f"less than {below} {unit}")
        return found.magnitude

    return read


def table(reader: Reader, key: Callable[[str], str] = str) -> Reader:
    """A section of names and values of one sort."""

    def read(given: object, place: Place) -> Any:
        if not isinstance(given, dict):
            return place.wrong(given, "a section with names and values")
        found = {key(name): reader(value, place.at(name)) for name, value in given.items()}
        return {name: value for name, value in found.items() if value is not MISSING}

    return read


def several(reader: Reader) -> Reader:
    """One value or a list of them; what can't be read is left out."""

    def read(given: object, place: Place) -> Any:
        found = (reader(item, place) for item in (given if isinstance(given, list) else [given]))
        return tuple(item for item in found if item is not MISSING)

    return read


def record(make: Callable[..., Any], **keys: Reader) -> Reader:
    """A section with these keys and no others. ``make`` is given the values that are there, and ``place``."""

    def read(given: object, place: Place) -> Any:
        if not isinstance(given, dict):
            return place.wrong(given, "a section")
        unknown_keys(given, tuple(keys), place, strict=True)
        found = {name: keys[name](value, place.at(name)) for name, value in given.items() if name in keys}
        return make(place=place, **{name: value for name, value in found.items() if value is not MISSING})

    return read


def plain(make: Callable[..., Any]) -> Callable[..., Any]:
    """``make`` without the place."""

    def made(place: Place, **values: Any) -> Any:  # noqa: ARG001
        return make(**values)

    return made


def unknown_keys(given: Mapping[str, object], known: tuple[str, ...], place: Place, *, strict: bool) -> None:
    """Tells keys that are nearly a known one; with ``strict`` every unknown one."""
    for key in given:
        near = difflib.get_close_matches(key, known, 1, 0.8) if key not in known else []
        if near or (strict and key not in known):
            there = place.at(key)
            message = f"{there.name} is an unknown key"
            place.values.wrong("unknown-key", message, there.origin, key, near[0] if near else ", ".join(known))


def entries(given: object, place: Place) -> Iterator[tuple[dict[str, Any], Place]]:
    """The entries of a ``[[list]]``, each with its place."""
    if not isinstance(given, list) or not all(isinstance(item, dict) for item in given):
        place.wrong(given, f"entries [[{place.name}]]")
        return
    lines = place.values.lines_of(f"[[{place.name}]]")
    for index, item in enumerate(given):
        yield item, replace(place, origin=lines[index]) if index < len(lines) else place
