"""The fixed columns of one test record of an IPC-D-356 or IPC-D-356A netlist.

Published source of the columns: application note AN40 "IPC-D-356A Netlist Format" and "IPC-D-356 Simplified"
(R. Nedbal), which agree on columns 1 to 74; the standard itself is sold by IPC.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType
from typing import NamedTuple

from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import clean

NET_WIDTH, REF_WIDTH, PIN_WIDTH = 14, 6, 4
# A record whose every field stands in its columns and has nothing odd in it, as nearly all do.
_USUAL = pattern(
    r"...([!-~]{0,14}) *(?<=^.{17})   ([!-~]{1,6}) *(?<=^.{26})[- ]([!-~]{0,4}) *(?<=^.{31})([M ])([ -~]{9})"
    r"X([+-][0-9]{6})Y([+-][0-9]{6})(?:[ -~]{15}([ -~]{0,2}).*)?"
)
_KEPT = 32_768  # most records of a board stand in its next revision as they are
# Where each field of a record begins, for those who point at it.
COLUMNS: Mapping[str, int] = MappingProxyType(
    {"signal": 4, "device": 21, "connector": 21, "pin": 28, "contact": 28, "x": 42, "y": 50}
)


class Misplaced(ValueError):
    """A column holds what can't stand there: the record isn't in the fixed columns, or a field is wrong."""

    def __init__(self, column: int, found: str, expected: str) -> None:
        self.column = column
        self.found = found
        self.expected = expected
        super().__init__(expected)


class Record(NamedTuple):
    """One test record as it stands. ``x`` and ``y`` in steps of the file's unit, None where the record has none.

    ``over``: the net's name runs over its field into the blank columns 18 to 20. ``pad``: columns 33 to 41 (hole,
    plating, access) and 73 to 74 (mask), as written.
    """

    net: str
    ref: str
    pin: str
    mid: bool
    x: int | None
    y: int | None
    over: bool
    pad: str


@lru_cache(maxsize=_KEPT)
def read_record(line: str) -> Record:
    """A record 3x7 or 0x7, longer or shorter than 80 columns. Raises Misplaced at the first column that is wrong.

    Size and rotation say nothing of what is connected, and aren't read.
    """
    usual = _USUAL.fullmatch(line)
    if usual is None:
        return read_fields(line)
    net, ref, pin, mid, pad, x, y, mask = usual.groups()
    return Record(net, ref.upper(), pin.upper(), mid == "M", int(x), int(y), False, pad + (mask or ""))


def read_fields(line: str) -> Record:
    """The same field by field, whatever they hold."""
    net, over = line[3:17], False
    if line[17:20].strip():
        net, over = line[3:20].strip(), True
        if line[16] == " " or " " in net:
            raise Misplaced(18, line[17:20], "blanks in columns 18 to 20")
    dash = line[26:27]
    if dash not in ("", " ", "-"):
        raise Misplaced(27, dash, "- or a blank between designator and pin")
    ref, pin = clean(line[20:26].strip()).upper(), clean(line[27:31].strip()).upper()
    if pin and not ref:
        raise Misplaced(21, line[20:31], "a designator before the pin")
    mid = line[31:32]
    if mid not in ("", " ", "M", "m"):
        raise Misplaced(32, mid, "M or a blank")
    x, y = _coordinate(line, 41, "X"), _coordinate(line, 49, "Y")
    if (x is None) != (y is None):
        column, letter = (42, "X") if x is None else (50, "Y")
        raise Misplaced(column, line[column - 1 :], f"{letter}, sign and six digits")
    return Record(clean(net.strip()), ref, pin, mid in ("M", "m"), x, y, over, line[32:41] + line[72:74])


def _coordinate(line: str, at: int, letter: str) -> int | None:
    """Letter, sign and six digits, whose leading zeros may be blank."""
    text = line[at : at + 8]
    if text[:1] == letter and text[1:2] in ("+", "-") and len(text) == 8 and text.isascii() and text[2:].isdecimal():
        return int(text[1:])
    if not text.strip():
        return None
    if text[0] not in (letter, letter.lower()):
        raise Misplaced(at + 1, text, f"{letter} in column {at + 1}")
    sign, digits = text[1:2], text[2:8]
    if sign not in ("", " ", "+", "-"):
        raise Misplaced(at + 2, sign, "a sign or a blank")
    number = digits.strip()
    if not number:
        return 0
    # A number that ends early lost digits: reading it would put the decimal point elsewhere.
    if len(digits) < 6 or digits[5] == " " or not (number.isascii() and number.isdecimal()):
        raise Misplaced(at + 3, digits, f"up to six digits that end in column {at + 8}")
    return -int(number) if sign == "-" else int(number)
