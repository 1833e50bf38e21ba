"""The values of the manifest, each of its type or a fault at its line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from revdiff.design import Origin
from revdiff.errors import DataFault
from revdiff.quantities.pattern import pattern
from revdiff.readers.columns import TableKind
from revdiff.readers.entries import MANIFEST
from revdiff.readers.faults import Faults
from revdiff.readers.spec import MOST_CHOICES, TableSpec, one_of
from revdiff.sources.paths import inside

_SPEC_KEYS: Mapping[str, tuple[type, tuple[str, ...]]] = {
    "form": (str, ("text", "xlsx", "markdown", "source", "devicetree")),
    "delimiter": (str, ()),
    "encoding": (str, ()),
    "header": (bool, ()),
    "header_row": (int, ()),
    "last_row": (int, ()),
    "sheet": (str, ()),
    "heading": (str, ()),
    "package_code": (str, ("inch", "metric")),
    "value_code": (bool, ()),
    "decimal": (str, ("point", "comma")),
    "device": (str, ()),
    "connector": (str, ()),
}
_SAYS: Mapping[type, str] = {str: "a text", bool: "true or false", int: "a whole number from 1"}
_LONGEST_KEY = 40  # characters of a key that may be another one mistyped
_QUOTES = pattern(r"[\"']")
_DOT = pattern(r"\.")
_BLANKS = pattern(r"\s+")


class Values:
    """Reads single values; what can't be read becomes a fault and an empty value."""

    def __init__(self, text: str, faults: Faults) -> None:
        self.faults = faults
        self._lines = [_BLANKS.sub("", _QUOTES.sub("", line)) for line in text.split("\n")]
        self._below: dict[int, dict[str, int]] = {}  # by line: what the lines below it begin with

    def afresh(self) -> Values:
        """The same lines, with nothing found yet."""
        other = Values("", Faults())
        other._lines, other._below = self._lines, self._below
        return other

    def at(self, start: str, section: Origin | None = None) -> Origin:
        """The first line that is ``[start]`` or begins with ``start=``, whatever its quotes and blanks.

        tomllib tells no lines. With ``section`` only the lines below it are searched, down to the next section; its
        own line is the answer where there is no such line.
        """
        number = self._beginnings(section).get(_BLANKS.sub("", _QUOTES.sub("", start)))
        return Origin(MANIFEST, number) if number is not None else section or Origin(MANIFEST, 1)

    def _beginnings(self, section: Origin | None) -> dict[str, int]:
        """What the lines below a section begin with, each with its line: once over the lines, however many ask."""
        first = section.line if section is not None else 0
        if first in self._below:
            return self._below[first]
        found: dict[str, int] = {}
        for number in range(first, len(self._lines)):
            line = self._lines[number]
            if line.startswith("["):
                if section is not None:
                    break
                found.setdefault(line, number + 1)
                found.setdefault(line.partition("#")[0], number + 1)
                for dot in _DOT.finditer(line):
                    found.setdefault(line[: dot.end()], number + 1)
            elif (end := line.find("=")) >= 0:
                found.setdefault(line[: end + 1], number + 1)
        self._below[first] = found
        return found

    def header(self, name: str) -> Origin | None:
        """The line of the section ``[name]``, else of the first one below it; None where there is neither."""
        wanted = _BLANKS.sub("", _QUOTES.sub("", f"[{name}"))
        found = self._beginnings(None)
        number = found.get(f"{wanted}]", found.get(f"{wanted}."))
        return None if number is None else Origin(MANIFEST, number)

    def lines_of(self, start: str) -> list[Origin]:
        """Every line that begins with ``start``."""
        return [Origin(MANIFEST, number) for number, line in enumerate(self._lines, 1) if line.startswith(start)]

    def wrong(self, code: str, message: str, origin: Origin, found: object, expected: str) -> None:
        """Tells a fault of the manifest."""
        self.faults.fault(code, message, origin, found=str(found), expected=expected, remedy="Correct the manifest.")

    def section(self, data: Mapping[str, Any], key: str, origin: Origin) -> dict[str, Any]:
        """A section; an empty one where there is none."""
        value = data.get(key, {})
        if isinstance(value, dict):
            return value
        self.wrong("wrong-type", f"{key} can't be read", origin, value, "a section")
        return {}

    def text(self, data: Mapping[str, Any], key: str, section: Origin) -> str:
        """A text or a number as text; empty where there is none."""
        value = data.get(key, "")
        if isinstance(value, (str, int, float)) and not isinstance(value, bool):
            return str(value)
        self.wrong("wrong-type", f"{key} can't be read", self.at(f"{key}=", section), value, "a text")
        return ""

    def texts(self, data: Mapping[str, Any], key: str, section: Origin) -> dict[str, str]:
        """A section of texts."""
        entries = self.section(data, key, section)
        return {name: self.text(entries, name, section) for name in entries}

    def near_miss(self, given: Mapping[str, Any], known: Sequence[str], origin: Origin, strict: str = "") -> None:
        """A key that is nearly a known one is a slip of the pen; other unknown keys are the user's own.

        With ``strict``, the name of the place, there are no keys of the user's own.
        """
        import difflib

        for key in given:
            if key in known:
                continue
            near = difflib.get_close_matches(key, known, 1, 0.8) if len(key) <= _LONGEST_KEY else []
            if near or strict:
                place = origin if strict else self.at(f"{key}=", origin)
                expected = near[0] if near else ", ".join(known)
                self.wrong("unknown-key", f"{strict or 'the manifest'} has an unknown key", place, key, expected)

    def spec(self, given: object, kind: TableKind, origin: Origin, where: str) -> TableSpec | None:
        """How a table is to be read: a path, a table with ``file`` and the keys of TableSpec, or a list of these."""
        if isinstance(given, list) and 0 < len(given) <= MOST_CHOICES and not any(type(item) is list for item in given):
            found = [self.spec(item, kind, origin, where) for item in given]
            specs = [item for item in found if item is not None]
            return one_of(specs) if len(specs) == len(found) else None
        if isinstance(given, str):
            given = {"file": given}
        if not isinstance(given, dict) or not isinstance(given.get("file"), str):
            expected = f'a path, {{ file = "...", ... }}, or a list of these, {MOST_CHOICES} at most'
            self.wrong("wrong-type", f"{where} can't be read", origin, given, expected)
            return None
        self.near_miss(given, ("file", "columns", *_SPEC_KEYS), origin, strict=where)
        try:
            file = inside(given["file"])
        except DataFault as error:
            self.wrong(
                "outside-design",
                f"{where} leads outside the design: {error}",
                origin,
                given["file"],
                "a path below the folder of the manifest",
            )
            return None
        values: dict[str, Any] = {"file": file}
        for key, (type_, allowed) in _SPEC_KEYS.items():
            if key not in given:
                continue
            if _good(key, given[key], type_, allowed):
                values[key] = given[key]
            else:
                expected = " or ".join(f'"{word}"' for word in allowed) or _SAYS[type_]
                if key == "delimiter":
                    expected = r'one character, such as ";" or "\t"'
                self.wrong("wrong-value", f"{where}: {key} can't be read", origin, given[key], expected)
        values["columns"] = self._columns(given.get("columns", {}), kind, origin, where)
        if not values.get("header", True) and not any(type(item) is int for _, item in values["columns"]):
            self.wrong(
                "wrong-value",
                f"{where}: a table without a header needs the positions of its columns",
                origin,
                "header = false",
                f"columns = {{ {kind.required[0][0]} = 1, ... }}",
            )
        return TableSpec(**values)

    def _columns(self, given: object, kind: TableKind, origin: Origin, where: str) -> tuple[tuple[str, str | int], ...]:
        if not isinstance(given, dict):
            self.wrong("wrong-type", f"{where}: columns can't be read", origin, given, '{ field = "header", ... }')
            return ()
        found: list[tuple[str, str | int]] = []
        for name, header in given.items():
            if name not in kind.fields:
                self.wrong(
                    "unknown-field", f"{where}: columns names an unknown field", origin, name, ", ".join(kind.fields)
                )
            elif (isinstance(header, str) and header.strip()) or (type(header) is int and header >= 1):
                found.append((name, header))
            else:
                self.wrong(
                    "wrong-value",
                    f"{where}: columns: {name} can't be read",
                    origin,
                    header,
                    "the text of a column's header, or its position from 1",
                )
        return tuple(found)


def _good(key: str, value: object, type_: type, allowed: tuple[str, ...]) -> bool:
    if type(value) is not type_:
        return False
    if isinstance(value, str):
        if key == "delimiter":
            return len(value) == 1 and value not in '"\r\n\0'
        return value in allowed if allowed else bool(value.strip())
    return isinstance(value, bool) or (isinstance(value, int) and 1 <= value <= 10**7)
