"""The lines of an IPC-D-356 or IPC-D-356A netlist: parameters, aliases, test records of the board itself.

Published source of the records: application note AN40 "IPC-D-356A Netlist Format" and "IPC-D-356 Simplified"
(R. Nedbal). Published descriptions disagree on the unit codes beyond ``CUST 1``, so those are refused.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from io import StringIO
from types import MappingProxyType

from revdiff.design import Origin
from revdiff.errors import DataFault
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import clean
from revdiff.readers.faults import Faults
from revdiff.readers.ipc356_record import Misplaced, Record, read_record
from revdiff.readers.netlist import too_many

# The coordinate step of each unit code in metres (AN40: 0.0001 inch, 0.001 mm; an inch is 0.0254 m exactly).
STEPS: Mapping[str, Decimal] = MappingProxyType(
    {"CUST": Decimal("2.54e-6"), "CUST 0": Decimal("2.54e-6"), "CUST 1": Decimal("1e-6"), "SI": Decimal("1e-6")}
)
# Through hole, surface mount, unplated tooling hole, blind or buried via; and what continues each at its node.
_TEST = frozenset({"317", "327", "367", "307"})
_CONTINUED = frozenset({"017", "027", "067", "007"})
# Test points, mask, image steps; passives in the board, conductors, adjacency, outlines, other features.
_OTHER = frozenset(
    ("099", "088", "309", "370", "070", "380", "080", "378", "078", "379", "079", "389", "089", "390", "090")
)
_ALIAS = pattern(r"P  NNAME ?(\S{1,5})\s+(\S.*)", re.IGNORECASE)
_BLANK = " \t\x0c\x1a"  # old programs end a file with 1A
_SHOWN = 5
MAX_LINES = 1_000_000


class Tally:
    """What is told once for a file, with the number of its places."""

    def __init__(self, file: str, faults: Faults) -> None:
        self._file = file
        self._faults = faults
        self._places: dict[str, list[tuple[int, str]]] = {}

    def add(self, code: str, line: int, found: str) -> None:
        self._places.setdefault(code, []).append((line, found))

    def tell(self, code: str, message: str, *, column: int = 1, remedy: str = "") -> None:
        """Tells what was added under ``code``: ``{count}`` places, ``{names}`` different texts."""
        places = self._places.pop(code, [])
        if places:
            names = list(dict.fromkeys(found for _, found in places))
            self._faults.notice(
                code,
                message.format(count=len(places), names=len(names)),
                Origin(self._file, places[0][0], column),
                found=", ".join(names[:_SHOWN]) + (", …" if len(names) > _SHOWN else ""),
                remedy=remedy,
            )


class Lines:
    """A netlist line by line; afterwards ``units``, ``title``, ``aliases`` (number to net) and the test records."""

    def __init__(self, file: str, faults: Faults) -> None:
        self.units = ""
        self.aliases: dict[str, str] = {}
        self._file = file
        self._faults = faults
        self._tally = Tally(file, faults)
        self._units_at = 0
        self._aliased: dict[str, str] = {}  # net to number
        self._titles: dict[str, str] = {}
        self._image = ""
        self._images: dict[str, list[tuple[int, Record]]] = {}
        self._above: Record | None = None  # the record that a continuation belongs to
        self._above_read = True  # whether the record above, if any, could be read

    @property
    def title(self) -> str:
        return self._titles.get("TITLE") or self._titles.get("JOB", "")

    def read(self, text: str) -> None:
        """Reads every line, and tells what is wrong with each. Raises DataFault for more than MAX_LINES."""
        before = len(self._faults.found)
        number, ended = 0, False
        # Universal line ends: line feed, carriage return, or both.
        for number, raw in enumerate(StringIO(text, newline=None), 1):
            line = raw.rstrip("\n")
            if number > MAX_LINES:
                raise DataFault(f"{self._file}:{number}: found more than {MAX_LINES} lines, expected fewer.")
            if not line.strip(_BLANK):
                continue
            if ended:
                self._tally.add("records-after-end", number, clean(line))
            elif line[:3] == "999":
                ended = True
            elif line[0] not in "Cc":
                self._line(number, line)
            if len(self._faults.found) > before and too_many(self._faults, before, self._file, number):
                break
        else:
            self._tell_units()
            if not ended:
                self._faults.notice(
                    "missing-end",
                    "no record 999 ends the netlist; it may have been cut short",
                    Origin(self._file, max(number, 1)),
                    expected="999 in the last line",
                )
        self._tell()

    def records(self) -> list[tuple[int, Record]]:
        """Line and record of every test record of the board itself: the primary image, and what is in none.

        A continuation has the net of the record above it.
        """
        boards = [name for name in self._images if name != "PANEL"]
        names = [name for name in boards if name in ("", "PRIMARY")] or boards[:1] or list(self._images)
        for name, records in self._images.items():
            if name not in names:
                self._faults.notice(
                    "image-left-out",
                    f"{len(records)} records of the image {name} were left out; the board itself was taken",
                    Origin(self._file, records[0][0]),
                    found=f"IMAGE {name}",
                )
        return [item for name in names for item in self._images[name]]

    def _line(self, number: int, line: str) -> None:
        operation = line[:3]
        parameter = operation[0] in "Pp" and operation[1:2] in ("", " ", "\t")
        if not parameter and not (operation.isascii() and operation.isdecimal() and len(operation) == 3):
            self._faults.fault(
                "unreadable-record",
                "this line is no record",
                Origin(self._file, number, 1),
                found=clean(line),
                expected="an operation code of three digits, C, P or 999 at the start of the line",
            )
        elif not line.isprintable():
            self._control_character(number, line)
        elif parameter:
            self._parameter(number, line)
        elif operation in _TEST or operation in _CONTINUED:
            self._test_record(number, line, operation in _CONTINUED)
        elif operation not in _OTHER:
            self._tally.add("unknown-record", number, operation)

    def _control_character(self, number: int, line: str) -> None:
        self._above, self._above_read = None, False
        column = next(at for at, char in enumerate(line, 1) if not char.isprintable())
        tab = line[column - 1] == "\t"
        self._faults.fault(
            "tab-in-record" if tab else "control-character",
            "a tab stands in this record; nobody can tell in which column the text after it was meant to stand"
            if tab
            else "a character that can't be printed stands in this record",
            Origin(self._file, number, column),
            found="tab" if tab else f"U+{ord(line[column - 1]):04X}",
            expected="blanks alone" if tab else "plain ASCII",
            remedy="Export the netlist again" + (", and keep editors from putting tabs in it." if tab else "."),
        )

    def _parameter(self, number: int, line: str) -> None:
        if line[3:8].upper() == "NNAME":
            self._alias(number, line)
            return
        keyword, _, value = line[1:].strip().partition(" ")
        keyword, value = keyword.upper(), clean(value)
        if keyword == "UNITS":
            self._read_units(number, value)
        elif keyword == "IMAGE":
            self._image = value.upper()
        elif keyword in ("JOB", "TITLE"):
            self._titles.setdefault(keyword, value)

    def _read_units(self, number: int, value: str) -> None:
        origin = Origin(self._file, number, 10)
        units = value.upper()
        if self._units_at:
            self._faults.fault(
                "repeated-units",
                f"a second UNITS line; the first one, in line {self._units_at}, was taken",
                origin,
                found=value,
                expected="one UNITS line",
                remedy="Remove one of the two.",
            )
            return
        self._units_at = number
        if units in STEPS:
            self.units = units
            return
        self._faults.fault(
            "unknown-units",
            "the unit of the coordinates isn't known; they were left out",
            origin,
            found=value,
            expected="CUST, CUST 0, CUST 1 or SI",
            remedy="Export the netlist in one of these units.",
        )

    def _tell_units(self) -> None:
        if not self._units_at:
            self._faults.fault(
                "missing-units",
                "no line says what the coordinates are measured in; they were left out",
                Origin(self._file, 1),
                expected="a line such as P  UNITS CUST 0",
                remedy="Export the netlist again with its unit, or add the line.",
            )

    def _alias(self, number: int, line: str) -> None:
        origin = Origin(self._file, number, 9)
        found = _ALIAS.fullmatch(line)
        if found is None:
            self._faults.fault(
                "unreadable-record",
                "this alias of a net can't be read",
                origin,
                found=clean(line),
                expected="P  NNAME, a number in columns 9 to 13, the full name from column 15",
            )
            return
        key, name = found[1].upper(), clean(found[2])
        if self.aliases.setdefault(key, name) != name or self._aliased.setdefault(name, key) != key:
            self._faults.fault(
                "repeated-alias",
                "this alias, or the net it stands for, has another partner in a line above, which was taken",
                origin,
                found=f"NNAME{key} {name}",
                expected="one alias for each name, and one name for each alias",
                remedy="Correct one of the two lines.",
            )

    def _test_record(self, number: int, line: str, continued: bool) -> None:
        if not line.isascii():
            self._tally.add("not-ascii", number, clean(line))
        try:
            record = read_record(line[:80])
        except Misplaced as error:
            self._above, self._above_read = None, False
            self._faults.fault(
                "misplaced-column",
                "this record isn't in its fixed columns, or a field of it is wrong",
                Origin(self._file, number, error.column),
                found=error.found.strip() or error.found,
                expected=error.expected,
                remedy="Export the netlist again; a text editor may have moved its columns.",
            )
            return
        if not continued:
            self._above, self._above_read = record, True
        elif self._above is not None:
            if record.net not in ("", self._above.net):
                self._contradiction(number, record, self._above)
            record = record._replace(net=self._above.net)
        else:
            if self._above_read:
                self._faults.fault(
                    "unreadable-record",
                    "this record continues the one above it, but there is none",
                    Origin(self._file, number, 1),
                    found=clean(line),
                )
            return
        self._images.setdefault(self._image, []).append((number, record))

    def _contradiction(self, number: int, record: Record, above: Record) -> None:
        self._faults.fault(
            "contradiction",
            "this record continues the one above it, but names another net; the one above was taken",
            Origin(self._file, number, 4),
            found=record.net,
            expected=above.net or "no net",
        )

    def _tell(self) -> None:
        self._tally.tell("records-after-end", "{count} lines after the end of the netlist (999) were left out")
        self._tally.tell("unknown-record", "{count} records of kinds that aren't known were left out")
        self._tally.tell("not-ascii", "{count} records hold letters beyond ASCII; each was counted as one column")
