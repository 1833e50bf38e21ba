"""Sheets to the files of one revision, in one person's habits: the neutral edits are here."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from random import Random
from typing import TypeVar

from revdiff.sources.base import Blob, Identity
from revdiff.sources.content import blob_id
from tests.campaign.notation import spell
from tests.campaign.sheets import TABLES, BoardSheets, Firmware, Row, Sheets

Item = TypeVar("Item")

_PREFIX = re.compile(r"^[A-Z]+")
# Headers that the data files' description allows for each column; the first is the plain one.
_HEADERS = {
    "designator": ("Designator", "RefDes", "Reference", "References", "Ref"),
    "quantity": ("Quantity", "Qty", "Count"),
    "value": ("Value", "Val", "VALUE"),
    "package": ("Package", "Footprint", "Case"),
    "manufacturer": ("Manufacturer", "Mfr", "Maker"),
    "part_number": ("Part number", "MPN", "Part No.", "Manufacturer part number"),
    "tolerance": ("Tolerance", "Tol"),
    "voltage": ("Voltage", "Voltage rating"),
    "power": ("Power", "Power rating"),
    "current": ("Current", "Current rating"),
    "dielectric": ("Dielectric", "Dielectric code"),
    "fitted": ("Fitted", "Populate", "Mounted"),
    "alternates": ("Alternates", "Alternative"),
    "lifecycle": ("Life cycle", "Lifecycle", "Life-cycle state"),
    "cost": ("Cost", "Unit cost", "Price"),
    "currency": ("Currency",),
    "description": ("Description", "Desc"),
    "device": ("Device", "Controller", "MCU"),
    "pin": ("Pin", "Pin number", "Pin No."),
    "port": ("Port", "GPIO", "Pin name"),
    "signal": ("Signal", "Net", "Net name"),
    "function": ("Function", "FUNCTION"),
    "direction": ("Direction", "Dir"),
    "active": ("Active", "Polarity"),
    "pull": ("Pull", "Pull-up"),
    "level": ("Level", "Logic level"),
    "analog": ("Analog", "ADC channel"),
    "interrupt": ("Interrupt", "EXTI"),
    "purpose": ("Purpose",),
    "note": ("Note", "Notes", "Remarks"),
    "connector": ("Connector", "Header", "Conn"),
    "contact": ("Contact", "Position", "Way"),
    "current_contact": ("Current", "Max current"),
    "role": ("Role",),
    "count": ("Contacts", "Ways", "Positions"),
    "rows": ("Rows", "Row count"),
    "pitch": ("Pitch", "Spacing"),
    "gender": ("Gender", "Sex"),
    "height": ("Height", "Mated height"),
    "x": ("X", "Pos X"),
    "y": ("Y", "Pos Y"),
    "rotation": ("Rotation", "Rot"),
    "rating": ("Rating", "Rating per contact"),
    "Remark": ("Remark", "REMARK", "remark"),
    "Bin": ("Bin", "bin"),
}


@dataclass(frozen=True)
class MemoryRevision:
    """The files of one revision, in memory."""

    files: dict[str, bytes]
    name: str

    @property
    def identity(self) -> Identity:
        return Identity(self.name, "folder", self.name, "", "", "")

    def find(self, path: str) -> Blob | None:
        data = self.files.get(path)
        return None if data is None else Blob(path, blob_id(data), len(data))

    def read(self, blob: Blob) -> bytes:
        return self.files[blob.path]

    def elsewhere(self) -> tuple[str, ...]:
        return ()

    def paths(self) -> tuple[str, ...]:
        return tuple(sorted(self.files))


def _unfitted_with_data(item: Row) -> bool:
    return item.get("fitted") == "no" and bool(item.get("value") or item.get("package"))


class Writer:
    """Writes a design. The same sheets written with another seed differ in nothing that means anything.

    ``plain``: no spelling, no shuffling; the way a program would export.
    """

    def __init__(self, seed: int | str, *, plain: bool = False) -> None:
        self._rng = Random(seed)
        self._plain = plain

    def revision(self, sheets: Sheets, name: str) -> MemoryRevision:
        files: dict[str, bytes] = {}
        lines = ["[design]", "format = 1", f'name = "{sheets.name}"', f'title = "{sheets.title}"']
        lines += [f'{key} = "{value}"' for key, value in self._order(list(sheets.extra.items()))]
        for board in self._order(list(sheets.boards.values())):
            lines += ["", f"[boards.{board.name}]", f'title = "{board.title}"', f'revision = "{board.revision}"']
            lines += [f'{key} = "{value}"' for key, value in self._order(list(board.extra.items()))]
            for table in TABLES:
                rows: list[Row] = getattr(board, table)
                if rows:
                    path = f"{board.name}/{table}.csv"
                    files[path], options = self._table(table, rows)
                    lines.append(f'{table} = {{ file = "{path}"{options} }}')
            if board.wires:
                files[f"{board.name}/nets.ipc"] = self._netlist(board)
                lines.append(f'netlist = "{board.name}/nets.ipc"')
        for joint in self._order(sheets.joints):
            ends = self._order([joint["a"], joint["b"]]) if joint["contacts"] in ("same", "mirrored") else None
            a, b = ends or (joint["a"], joint["b"])
            lines += ["", "[[joints]]", f'a = "{a}"', f'b = "{b}"', f"contacts = {self._pairing(joint)}"]
        for firmware in self._order(list(sheets.firmware.values())):
            lines += self._firmware(firmware, files)
        files["revdiff.toml"] = self._line_ends("\n".join(lines) + "\n").encode()
        return MemoryRevision(files, name)

    def _order(self, items: Sequence[Item]) -> list[Item]:
        return list(items) if self._plain else self._rng.sample(items, len(items))

    def _pairing(self, joint: Row) -> str:
        if joint["contacts"] in ("same", "mirrored"):
            return f'"{joint["contacts"]}"'
        pairs = [pair.split("=") for pair in joint["contacts"].split(",")]
        return "{ " + ", ".join(f'"{one}" = "{two}"' for one, two in self._order(pairs)) + " }"

    def _firmware(self, firmware: Firmware, files: dict[str, bytes]) -> list[str]:
        lines = ["", f"[firmware.{firmware.key}]"]
        for key, value in self._order(list(firmware.cells.items())):
            text = value if self._plain or key != "clock" else spell(key, "", value, self._rng, comma=False)
            lines.append(f'{key} = "{text}"')
        if firmware.needs:
            path = f"firmware/{firmware.key}.csv"
            files[path], options = self._table("needs", firmware.needs)
            lines.append(f'needs = {{ file = "{path}"{options} }}')
        for section in ("constants", "addresses"):
            values: Row = getattr(firmware, section)
            if values:
                lines.append(f"[firmware.{firmware.key}.{section}]")
                lines += [f'{key} = "{value}"' for key, value in self._order(list(values.items()))]
        return lines

    # tables

    def _table(self, table: str, rows: Sequence[Row]) -> tuple[bytes, str]:
        rng = self._rng
        comma = not self._plain and rng.random() < 0.15
        columns = list(dict.fromkeys(key for item in rows for key in item if key != "uid"))
        if table == "parts":
            if "fitted" in columns and not self._plain and rng.random() < 0.5:
                # Where only parts without data aren't fitted, many lists have no column for it.
                columns = [name for name in columns if name != "fitted" or any(map(_unfitted_with_data, rows))]
            columns, cells = self._grouped(columns, rows, comma)
        else:
            cells = [self._cells(table, columns, item, comma) for item in rows]
        if table in ("pins", "contacts") and not self._plain and rng.random() < 0.5:
            # Sorted by owner and number is a habit, too; otherwise as shuffled.
            cells.sort(key=lambda item: (item.get("device", item.get("connector", "")), item.get("signal", "")))
        cells = self._order(cells)
        columns = self._order(columns)
        headers = [self._header(table, column) for column in columns]
        delimiter = "," if self._plain else rng.choice((",", ",", ";", "\t"))
        if comma and delimiter == ",":
            delimiter = ";"
        return self._bytes([headers, *([item[key] for key in columns] for item in cells)], delimiter, comma)

    def _cells(self, table: str, columns: Sequence[str], item: Row, comma: bool) -> Row:
        cells = {key: self._cell(table, key, item, comma) for key in columns}
        if table == "parts" and item.get("fitted") == "no" and not _unfitted_with_data(item):
            # A part that has no data but that it isn't fitted: people write that in the value, too.
            said = "" if "fitted" in columns and (self._plain or self._rng.random() < 0.6) else "DNP"
            cells["value"] = said or cells["value"]
        return cells

    def _cell(self, table: str, column: str, item: Row, comma: bool) -> str:
        text = item.get(column, "")
        if self._plain:
            return text
        prefix = _PREFIX.match(item.get("designator", ""))
        if table == "needs" and column in ("pin", "signal"):
            return text
        return spell(column, prefix[0] if prefix else "", text, self._rng, comma)

    def _header(self, table: str, column: str) -> str:
        key = "current_contact" if (table, column) == ("contacts", "current") else column
        names = _HEADERS.get(key, (key,))
        if table == "needs" and column == "pin":
            names = ("Pin",)
        return names[0] if self._plain else self._rng.choice(names)

    def _grouped(self, columns: list[str], rows: Sequence[Row], comma: bool) -> tuple[list[str], list[Row]]:
        """Parts with the same data in one row, or in several, as people do."""
        rng = self._rng
        singly = not self._plain and rng.random() < 0.2
        groups: dict[tuple[str, ...], list[int]] = {}
        for index, item in enumerate(rows):
            data = [value for key, value in item.items() if key not in ("uid", "designator")]
            prefix = _PREFIX.match(item["designator"])
            groups.setdefault((prefix[0] if prefix else "", *data), []).append(index)
        found: list[Row] = []
        for indexes in groups.values():
            for some in self._pieces(indexes, singly):
                refs = [rows[index]["designator"] for index in some]
                line = self._cells("parts", columns, rows[some[0]], comma)
                line["designator"] = refs[0] if len(refs) == 1 else self._list(refs)
                line["quantity"] = str(len(refs))
                found.append(line)
        if self._plain or rng.random() < 0.6:
            columns = [*columns, "quantity"]
        return columns, found

    def _pieces(self, indexes: list[int], singly: bool) -> list[list[int]]:
        if singly:
            return [[index] for index in indexes]
        if not self._plain and len(indexes) > 3 and self._rng.random() < 0.2:
            cut = self._rng.randrange(1, len(indexes))
            return [indexes[:cut], indexes[cut:]]
        return [indexes]

    def _list(self, refs: list[str]) -> str:
        ordered = sorted(refs, key=lambda ref: int(re.sub(r"\D", "", ref) or 0))
        mark = ", " if self._plain else self._rng.choice((", ", ",", " ", "; "))
        if not self._plain and self._rng.random() < 0.3:
            self._rng.shuffle(ordered)
            return mark.join(ordered)
        runs: list[list[str]] = []
        for ref in ordered:
            prefix, number = re.sub(r"\d", "", ref), int(re.sub(r"\D", "", ref) or 0)
            if runs and f"{prefix}{number - 1}" == runs[-1][-1]:
                runs[-1].append(ref)
            else:
                runs.append([ref])
        dash = "-" if self._plain else self._rng.choice(("-", "–", ".."))
        texts = [f"{run[0]}{dash}{run[-1]}" if len(run) > 2 else mark.join(run) for run in runs]
        return mark.join(texts)

    def _netlist(self, board: BoardSheets) -> bytes:
        """IPC-D-356 test records: the net in columns 4 to 17, the part in 21 to 26, the pin from 28 on."""
        refs = {item["uid"]: item["designator"] for item in board.parts}
        lines: list[str] = []
        for uid, nets in board.wires.items():
            for pin, net in enumerate(nets, 1):
                owner, _, end = net[1:].partition(".")
                # A net is named after a part that is there; one that went leaves its net without a name.
                name = f"N-{refs.get(owner, 'X')}-{end}" if net.startswith("@") else net
                if uid in refs:
                    ends = f"D0400PA00X+{len(lines):06d}Y+000000X0600Y0600     S0"
                    lines.append(f"317{name:<17.14}{refs[uid]:<6}-{pin:<4} {ends}")
        return "\n".join(["P  JOB   BOARD", "P  UNITS CUST 0", *self._order(lines), "999", ""]).encode()

    def _bytes(self, rows: list[list[str]], delimiter: str, comma: bool) -> tuple[bytes, str]:
        rng = self._rng
        out = io.StringIO()
        everything = not self._plain and rng.random() < 0.2
        writer = csv.writer(
            out,
            delimiter=delimiter,
            quoting=csv.QUOTE_ALL if everything else csv.QUOTE_MINIMAL,
            lineterminator="\n",
        )
        writer.writerows(rows)
        text = out.getvalue()
        options = ', decimal = "comma"' if comma else ""
        if self._plain:
            return text.encode(), options
        if rng.random() < 0.2:
            text += "\n" * rng.randrange(1, 3) + delimiter * (len(rows[0]) - 1) + "\n"
        encoding = rng.choice(("utf-8", "utf-8", "utf-8-sig", "utf-16", "cp1252"))
        if encoding == "cp1252":
            text = text.replace("Ω", "Ohm")
            options += ', encoding = "cp1252"' if rng.random() < 0.5 else ""
        return self._line_ends(text).encode(encoding), options

    def _line_ends(self, text: str) -> str:
        return text.replace("\n", "\r\n") if not self._plain and self._rng.random() < 0.4 else text
