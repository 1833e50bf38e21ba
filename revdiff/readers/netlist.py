"""What a netlist says: which terminal is on which net, and which parts the board has. And which kind a file is."""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from decimal import Decimal
from types import MappingProxyType
from typing import Any, Literal
from xml.parsers import expat

from revdiff.design import Origin
from revdiff.design.model import NO_PAD, Pad
from revdiff.errors import DataFault
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import fold
from revdiff.readers.faults import Faults

Format = Literal["", "ipc-d-356", "ipc-2581"]

MAX_BYTES = 32 * 1024 * 1024
MAX_FAULTS = 100  # of one file; a file with more is of another format, or made to fill the memory

XML_ENCODINGS = ("utf-8", "utf-16", "utf-16le", "utf-16be", "us-ascii", "ascii", "iso-8859-1", "windows-1252")
_HEAD = 64 * 1024
_TEST_RECORD = pattern(r"[03][0126]7.{38}[Xx]")
_PARAMETER = pattern(r"[Pp]\s{1,2}(?:JOB|UNITS|NNAME|IMAGE|CODE|TITLE)", re.IGNORECASE)
_OTHER_RECORD = pattern(r"[0-9]{3}|[CcPp](?:\s|$)")


@dataclass(slots=True)  # not frozen: a board has thousands, and that would double what each costs
class Terminal:
    """A pin of a part, and the net it is on; ``net`` is empty for a pin that is on none.

    ``ref`` and ``pin`` are in upper case. ``x`` and ``y`` in metres from the board's datum, None where the file
    gives no place. ``mid``: the point lies in the middle of its net, not at an end.
    """

    ref: str
    pin: str
    net: str
    origin: Origin = field(compare=False)
    x: Decimal | None = None
    y: Decimal | None = None
    mid: bool = False
    pad: Pad = NO_PAD

    @property
    def name(self) -> str:
        """What a person would say: ``U1.37``."""
        return f"{self.ref}.{self.pin}"


@dataclass(frozen=True, slots=True)
class Characteristic:
    """One named property of an item, as written: ``Value`` is ``10`` ``kOHM``.

    ``low`` and ``high`` are the ends of a range, or the tolerances to either side of ``value``.
    """

    name: str
    value: str
    origin: Origin = field(compare=False)
    unit: str = ""
    low: str = ""
    high: str = ""


@dataclass(frozen=True, slots=True)
class ApprovedPart:
    """A maker's part number that may be bought for an item. ``rank`` counts from the most wanted one."""

    maker: str
    number: str
    origin: Origin = field(compare=False)
    rank: int | None = None
    chosen: bool = False
    qualified: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class BomPart:
    """A part as the bill of materials of a netlist file names it; ``ref`` is empty for an item without designator.

    ``item`` is the item's design number, ``internal`` the house's own part number. ``quantity`` is what the item
    states. ``approved`` begins with the chosen one, then goes by rank.
    """

    ref: str
    fitted: bool
    item: str
    internal: str = ""
    description: str = ""
    package: str = ""
    quantity: Decimal | None = None
    category: str = ""
    characteristics: tuple[Characteristic, ...] = ()
    approved: tuple[ApprovedPart, ...] = ()
    origin: Origin = field(compare=False)


@dataclass(frozen=True, slots=True)
class Netlist:
    """One netlist file. ``nets`` has the terminals of each net in the file's order, without those on no net."""

    file: str
    terminals: tuple[Terminal, ...]
    parts: tuple[BomPart, ...] = ()
    title: str = ""
    units: str = ""
    nets: Mapping[str, tuple[Terminal, ...]] = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        grouped: dict[str, list[Terminal]] = {}
        for terminal in self.terminals:
            if terminal.net:
                grouped.setdefault(terminal.net, []).append(terminal)
        nets = MappingProxyType({name: tuple(terminals) for name, terminals in grouped.items()})
        object.__setattr__(self, "nets", nets)


class NamedPads:
    """Pads with a name instead of a number (``SH``, ``EP``), which may be on several nets: each net is a terminal then.

    As in tables (``pads.py``) the first net by name has the name itself, the next ones ``SH (2)`` and so on.
    """

    def __init__(self) -> None:
        self._several: dict[tuple[str, str], dict[str, Terminal]] = {}

    def takes(self, first: Terminal, again: Terminal) -> bool:
        """Whether the two are such pads; then both are kept."""
        if not first.pin.isalpha():
            return False
        self._several.setdefault((first.ref, first.pin), {first.net: first}).setdefault(again.net, again)
        return True

    def put(self, terminals: dict[Any, Terminal], faults: Faults) -> None:
        """Puts a terminal for each net among those of a file, and tells of it."""
        for (ref, pin), by_net in self._several.items():
            for index, net in enumerate(sorted(by_net), 1):
                name = pin if index == 1 else f"{pin} ({index})"
                terminals[ref, name] = replace(by_net[net], pin=name)
            faults.notice(
                "pads-on-two-nets",
                f"the pads {ref}.{pin} are on {len(by_net)} nets; they are compared as {len(by_net)} terminals",
                min((item.origin for item in by_net.values()), key=lambda origin: (origin.line, origin.column)),
                found=", ".join(net or "no net" for net in sorted(by_net)),
            )


def is_unconnected(net: str) -> bool:
    """Whether this is the mark of a single isolated point, which is no name of a net (IPC-D-356A: ``N/C``)."""
    return net.upper() == "N/C"


def too_many(faults: Faults, before: int, file: str, line: int) -> bool:
    """Whether a file has MAX_FAULTS faults and more, ``before`` having been told earlier; then that is told too."""
    if len(faults.found) - before < MAX_FAULTS:
        return False
    faults.fault("too-many-faults", f"{MAX_FAULTS} faults were found; the rest was not read", Origin(file, line))
    return True


def tell_alike(netlist: Netlist, faults: Faults) -> None:
    """Tells of nets whose names differ in nothing but case, which compare as one signal."""
    first: dict[str, str] = {}
    for name, terminals in netlist.nets.items():
        other = first.setdefault(fold(name), name)
        if other != name:
            faults.notice(
                "net-names-alike",
                f"the nets {other} and {name} differ in nothing but case, and are compared as one signal",
                terminals[0].origin,
                found=name,
                remedy="Rename one of the two.",
            )


def check_size(data: bytes, file: str) -> None:
    """Raises DataFault for a file of more than MAX_BYTES."""
    if len(data) > MAX_BYTES:
        mebibytes = MAX_BYTES // 1024 // 1024
        raise DataFault(f"{file}: found a netlist of {len(data)} bytes, expected {mebibytes} MiB at most.")


def looks_like(data: bytes) -> Format:
    """The kind of netlist that these bytes are by their content; empty where they are none."""
    head = data[:_HEAD]
    if _is_ipc2581(head):
        return "ipc-2581"
    return "ipc-d-356" if _is_ipc356(head, len(data) <= _HEAD) else ""


def _is_ipc356(head: bytes, whole: bool) -> bool:
    """Nothing but the records of the format, and among them a test record or a parameter of its own."""
    if b"\0" in head:
        return False
    lines = head.decode("latin-1").removeprefix("ï»¿").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    told = False
    for line in lines if whole else lines[:-1]:
        if _TEST_RECORD.match(line):
            return True
        if line.startswith("999"):
            break
        if _PARAMETER.match(line):
            told = True
        elif line.strip() and not _OTHER_RECORD.match(line):
            return False
    return told


def _is_ipc2581(head: bytes) -> bool:
    """Whether the root element, or the document type that it announces, is that of the format."""
    parser = expat.ParserCreate()
    names: list[str] = []

    def stop(name: str, *_rest: object) -> None:
        names.append(name)
        raise _Stop

    def declared(_version: str, encoding: str | None, _standalone: int) -> None:
        if encoding is not None and encoding.lower() not in XML_ENCODINGS:
            raise _Stop  # a codec of any other name is nothing that a stranger's file should start

    parser.XmlDeclHandler = declared
    parser.StartElementHandler = stop
    parser.StartDoctypeDeclHandler = stop
    with suppress(_Stop, expat.ExpatError, LookupError, ValueError):
        parser.Parse(head, False)
    return bool(names) and names[0].rpartition(":")[2] == "IPC-2581"


class _Stop(Exception):
    """The root element has been seen."""
