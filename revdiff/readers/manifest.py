"""``revdiff.toml``: which tables hold which board, what mates with what, which firmware relies on what."""

from __future__ import annotations

from collections.abc import Mapping, Sized
from typing import Any

from revdiff.design import Origin
from revdiff.design.diagnostic import Diagnostic, FaultyDesign
from revdiff.quantities.pattern import pattern
from revdiff.readers.columns import JOINTS, NEEDS
from revdiff.readers.entries import BOARD_TABLES, MANIFEST, BoardEntry, FirmwareEntry, JointEntry, Manifest
from revdiff.readers.faults import Faults
from revdiff.readers.manifest_shape import MisshapenManifest, parse_toml
from revdiff.readers.manifest_values import Values
from revdiff.readers.spec import TableSpec

__all__ = ["MANIFEST", "Manifest", "read_manifest"]

_TOP = ("design", "boards", "joints", "firmware")
_DESIGN = ("name", "title", "format")
_BOARD = ("title", "revision", *BOARD_TABLES)
_FIRMWARE = ("name", "version", "board", "device", "needs", "clock", "recognises", "constants", "addresses")
_WHOLE = Origin(MANIFEST, 1)
_LINE = pattern(r"\(at line (\d+), column (\d+)\)|\(at end of document\)")
MAX_SECTIONS = 1_000  # of boards, and of firmware
MAX_JOINTS = 5_000


def read_manifest(data: bytes, faults: Faults) -> Manifest:
    """Reads the manifest. Raises FaultyDesign with every fault where it can't be used."""
    parsed = _parse(data)
    return _Reader(parsed, Values(data.decode("utf-8-sig"), faults)).manifest()


def _parse(data: bytes) -> dict[str, Any]:
    try:
        return parse_toml(data)
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        message = f"byte 0x{data[error.start]:02x} is no UTF-8, the encoding of TOML"
        raise FaultyDesign([_unreadable(message, Origin(MANIFEST, line))]) from None
    except MisshapenManifest as error:
        raise FaultyDesign([_unreadable(str(error), Origin(MANIFEST, error.line))]) from None
    except ValueError as error:  # TOMLDecodeError is one; a number of thousands of digits raises a plain one
        place = _LINE.search(str(error))
        line, column = (int(place[1]), int(place[2])) if place and place[1] else (data.count(b"\n") + 1, 0)
        raise FaultyDesign([_unreadable(_LINE.sub("", str(error)).strip(), Origin(MANIFEST, line, column))]) from None


def _unreadable(message: str, origin: Origin) -> Diagnostic:
    return Diagnostic(
        code="unreadable-manifest",
        severity="fault",
        message=f"the manifest is no valid TOML: {message}",
        origin=origin,
        remedy="Correct it; revdiff guide data shows a whole manifest.",
    )


class _Reader:
    def __init__(self, data: dict[str, Any], values: Values) -> None:
        self._data = data
        self._values = values

    def manifest(self) -> Manifest:
        values = self._values
        design = values.section(self._data, "design", _WHOLE)
        origin = values.at("[design]")
        name, title = values.text(design, "name", origin), values.text(design, "title", origin)
        boards = self._boards()
        joints, table = self._joints(boards)
        firmware = self._firmware(boards)
        values.near_miss(self._data, _TOP, _WHOLE)
        values.near_miss(design, _DESIGN, origin)
        version = design.get("format", 1)
        if version != 1:
            values.wrong(
                "unknown-format", "this version of the manifest's format is not known", origin, version, "format = 1"
            )
        if any(item.severity == "fault" for item in values.faults.found):
            raise FaultyDesign(values.faults.found)
        extra = {key: value for key, value in design.items() if key not in _DESIGN}
        extra.update({key: value for key, value in self._data.items() if key not in _TOP})
        return Manifest(
            name=name or "design",
            title=title,
            boards=boards,
            joints=joints,
            joints_table=table,
            joints_place=values.at("joints="),
            firmware=firmware,
            extra=extra,
            values=values,
        )

    def _few(self, given: Sized, most: int, what: str, origin: Origin) -> bool:
        """Whether there are no more than ``most`` of these; a few bytes name one, and each takes a judgement."""
        if len(given) > most:
            self._values.wrong("too-many", f"the manifest names too many {what}", origin, len(given), f"{most} at most")
        return len(given) <= most

    def _boards(self) -> dict[str, BoardEntry]:
        values = self._values
        section = values.section(self._data, "boards", _WHOLE)
        if not section:
            values.wrong(
                "no-boards", "the manifest names no boards", _WHOLE, "", "a section [boards.NAME] for each board"
            )
        found: dict[str, BoardEntry] = {}
        for name in section if self._few(section, MAX_SECTIONS, "boards", _WHOLE) else ():
            origin = values.header(f"boards.{name}") or Origin(MANIFEST, 1)
            if not name.strip():
                values.wrong("no-name", "a board has no name", origin, name, "[boards.NAME]")
            board = values.section(section, name, origin)
            places = {table: values.at(f"{table}=", origin) for table in BOARD_TABLES if table in board}
            given = {
                table: values.spec(board[table], BOARD_TABLES[table], place, f"boards.{name}.{table}")
                for table, place in places.items()
            }
            if not given and "netlist" not in board:
                from difflib import get_close_matches

                near = get_close_matches(name, [other for other in section if other != name], 1)
                expected = 'at least parts = "FILE"' + (f", or [boards.{near[0]}]" if near else "")
                values.wrong("no-tables", f"the board {name} names no table", origin, "", expected)
            values.near_miss(board, _BOARD, origin)
            found[name] = BoardEntry(
                name=name,
                title=values.text(board, "title", origin),
                revision=values.text(board, "revision", origin),
                tables={table: spec for table, spec in given.items() if spec is not None},
                places=places,
                extra={key: value for key, value in board.items() if key not in _BOARD},
                origin=origin,
            )
        return found

    def _joints(self, boards: Mapping[str, BoardEntry]) -> tuple[tuple[JointEntry, ...], TableSpec | None]:
        values = self._values
        given = self._data.get("joints", [])
        origin = values.at("joints=")
        first = given[0] if isinstance(given, list) and given else given
        if isinstance(given, dict) or isinstance(first, str) or (isinstance(first, dict) and "file" in first):
            return (), values.spec(given, JOINTS, origin, "joints")
        if not isinstance(given, list):
            values.wrong("wrong-type", "joints can't be read", origin, given, "[[joints]] entries or a file")
            return (), None
        if not self._few(given, MAX_JOINTS, "joints", origin):
            return (), None
        places = values.lines_of("[[joints]]")
        found = []
        for index, entry in enumerate(given):
            place = places[index] if index < len(places) else origin
            if not isinstance(entry, dict):
                values.wrong("wrong-type", "a joint can't be read", place, entry, 'a = "BOARD.CONNECTOR", b = "..."')
                continue
            joint = self._joint(entry, place, boards)
            if joint is not None:
                found.append(joint)
        return tuple(found), None

    def _joint(self, entry: dict[str, Any], origin: Origin, boards: Mapping[str, BoardEntry]) -> JointEntry | None:
        ends = [self._end(entry, side, origin, boards) for side in ("a", "b")]
        pairs = self._pairs(entry.get("contacts", "same"), self._values.at("contacts=", origin))
        self._values.near_miss(entry, ("a", "b", "contacts"), origin)
        if not all(connector for _, connector in ends):
            return None
        (board_a, connector_a), (board_b, connector_b) = ends
        return JointEntry(
            board_a=board_a,
            connector_a=connector_a,
            board_b=board_b,
            connector_b=connector_b,
            contacts=pairs,
            origin=origin,
            extra={key: value for key, value in entry.items() if key not in ("a", "b", "contacts")},
        )

    def _end(
        self, entry: Mapping[str, Any], side: str, section: Origin, boards: Mapping[str, BoardEntry]
    ) -> tuple[str, str]:
        text = entry.get(side, "")
        origin = self._values.at(f"{side}=", section)
        board, dot, connector = text.rpartition(".") if isinstance(text, str) else ("", "", "")
        if not dot or not board or not connector:
            self._values.wrong(
                "wrong-joint", f"side {side} of a joint can't be read", origin, text, '"BOARD.CONNECTOR"'
            )
            return "", ""
        if board not in boards:
            self._values.wrong("unknown-board", f"a joint names the board {board}", origin, text, ", ".join(boards))
        return board, connector.strip().upper()

    def _pairs(self, given: object, origin: Origin) -> str | tuple[tuple[str, str], ...]:
        if given in ("same", "mirrored"):
            return str(given)
        if isinstance(given, dict) and all(type(item) in (str, int) for item in given.values()):
            return tuple((str(key).upper(), str(value).upper()) for key, value in given.items())
        self._values.wrong(
            "wrong-joint",
            "how the contacts pair can't be read",
            origin,
            given,
            '"same", "mirrored" or a table of pairs such as { 1 = 2, 2 = 1 }',
        )
        return "same"

    def _firmware(self, boards: Mapping[str, BoardEntry]) -> dict[str, FirmwareEntry]:
        values = self._values
        section = values.section(self._data, "firmware", _WHOLE)
        found: dict[str, FirmwareEntry] = {}
        for key in section if self._few(section, MAX_SECTIONS, "firmware sections", _WHOLE) else ():
            origin = values.at(f"[firmware.{key}]")
            entry = values.section(section, key, origin)
            board = values.text(entry, "board", origin) or (next(iter(boards)) if len(boards) == 1 else "")
            if board not in boards:
                values.wrong(
                    "unknown-board",
                    f"the firmware {key} is for no board of this manifest",
                    values.at("board=", origin),
                    board,
                    ", ".join(boards),
                )
            needs, place = entry.get("needs"), values.at("needs=", origin)
            values.near_miss(entry, _FIRMWARE, origin)
            found[key] = FirmwareEntry(
                key=key,
                name=values.text(entry, "name", origin) or key,
                version=values.text(entry, "version", origin),
                board=board,
                device=(values.text(entry, "device", origin).strip() or "U1").upper(),
                needs=None if needs is None else values.spec(needs, NEEDS, place, f"firmware.{key}.needs"),
                needs_place=place,
                clock=values.text(entry, "clock", origin),
                recognises=values.text(entry, "recognises", origin),
                constants=values.texts(entry, "constants", origin),
                addresses=values.texts(entry, "addresses", origin),
                extra={name: value for name, value in entry.items() if name not in _FIRMWARE},
                origin=origin,
            )
        return found
