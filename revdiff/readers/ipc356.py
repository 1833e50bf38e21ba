"""Netlists after IPC-D-356 and IPC-D-356A: from test records to terminals on nets."""

from __future__ import annotations

import re
from decimal import Decimal

from revdiff.design import Origin
from revdiff.design.model import Pad
from revdiff.errors import DataFault
from revdiff.quantities.pattern import pattern
from revdiff.readers.faults import Faults
from revdiff.readers.ipc356_lines import STEPS, Lines, Tally
from revdiff.readers.ipc356_record import COLUMNS, NET_WIDTH, PIN_WIDTH, REF_WIDTH, Record
from revdiff.readers.netlist import NamedPads, Netlist, Terminal, check_size, is_unconnected, tell_alike, too_many

_PLATING = {"P": "plated", "U": "unplated"}
_ALIAS_USED = pattern(r"NNAME ?(\S{1,9})", re.IGNORECASE)


def read_ipc356(data: bytes, file: str, faults: Faults) -> Netlist:
    """The terminals of a netlist; what is wrong with it goes to ``faults``, all at once.

    A via is no terminal. Pads of one pin on one net are one terminal, where its first record puts it.
    Raises DataFault for a file that is too large, or isn't text.
    """
    check_size(data, file)
    if b"\0" in data:
        raise DataFault(f"{file}: found zero bytes, expected an IPC-D-356 netlist in ASCII. Export it as ASCII again.")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("latin-1")
    before = len(faults.found)
    lines = Lines(file, faults)
    lines.read(text)
    terminals = _Terminals(lines, file, faults).read()
    if not terminals and all(item.severity == "notice" for item in faults.found[before:]):
        faults.fault("empty-netlist", "the netlist names no pin of any part", Origin(file, 1))
    netlist = Netlist(file, terminals, title=lines.title, units=lines.units)
    tell_alike(netlist, faults)
    return netlist


class _Terminals:
    """Test records to terminals: names of nets, places, pins that are named twice, names that were cut."""

    def __init__(self, lines: Lines, file: str, faults: Faults) -> None:
        self._lines = lines
        self._step = STEPS.get(lines.units)
        self._file = file
        self._faults = faults
        self._tally = Tally(file, faults)
        self._nets: dict[str, str] = {}  # as in the record, to its full name
        self._pads: dict[str, Pad] = {}  # as in the record
        self._named = NamedPads()
        self._bare = False  # whether records name an alias by its number alone

    def read(self) -> tuple[Terminal, ...]:
        terminals: dict[object, Terminal] = {}
        before = len(self._faults.found)
        records = self._lines.records()
        # Some programs leave NNAME out of the records (common practice, no source); then a short name is an alias.
        self._bare = bool(self._lines.aliases) and not any(_ALIAS_USED.fullmatch(record.net) for _, record in records)
        for number, record in records:
            net = self._nets.get(record.net)
            if net is None:
                net = self._nets[record.net] = self._net(number, record)
            if record.ref and record.ref != "VIA":
                terminal = self._terminal(number, record, net)
                # Without a pin there is no telling whether two pads are one terminal.
                first = terminals.setdefault((record.ref, record.pin) if record.pin else number, terminal)
                if first is not terminal and (first.net == net or not self._named.takes(first, terminal)):
                    self._again(first, terminal)
            if len(self._faults.found) > before and too_many(self._faults, before, self._file, number):
                break
        self._named.put(terminals, self._faults)
        self._tell()
        return tuple(terminals.values())

    def _net(self, number: int, record: Record) -> str:
        """The full name of the net that a net field stands for, empty for an isolated point."""
        token = record.net
        if is_unconnected(token):
            return ""
        if record.over:
            self._tally.add("wide-net-name", number, token)
        elif len(token) == NET_WIDTH and not self._lines.aliases:
            self._tally.add("cut-net-name", number, token)
        used = _ALIAS_USED.fullmatch(token)
        if used is None:
            return self._lines.aliases.get(token.upper(), token) if self._bare else token
        full = self._lines.aliases.get(used[1].upper())
        if full is None and used[1].isdecimal():
            self._faults.fault(
                "unknown-alias",
                "no line says which net this alias stands for; it was taken as a name",
                Origin(self._file, number, 4),
                found=token,
                expected=f"a line P  {token} with the full name",
            )
        return token if full is None else full

    def _terminal(self, number: int, record: Record, net: str) -> Terminal:
        if not record.net:
            self._tally.add("unnamed-net", number, f"{record.ref}.{record.pin}")
        x = y = None
        if self._step is not None and record.x is not None and record.y is not None:
            x, y = record.x * self._step, record.y * self._step
        pad = self._pads.get(record.pad)
        if pad is None:
            pad = self._pads[record.pad] = _pad(record.pad, self._step)
        place = Origin(self._file, number, 4, COLUMNS)
        return Terminal(record.ref, record.pin, net, place, x, y, record.mid, pad)

    def _again(self, first: Terminal, again: Terminal) -> None:
        """A pin that is named a second time: several pads of one pin, or two pins whose names were cut."""
        may_be_cut = len(first.ref) == REF_WIDTH or len(first.pin) == PIN_WIDTH
        if first.net != again.net:
            cut = ", perhaps since its name was cut to fit the columns (6 and 4 characters)" if may_be_cut else ""
            self._faults.fault(
                "terminal-clash",
                f"{first.name} stands on two nets{cut}; the one at {first.origin} was taken",
                again.origin.of("device"),
                found=again.net or "N/C",
                expected=first.net or "N/C",
                remedy="Give parts and pins names that differ within these lengths." if may_be_cut else "",
            )
        elif may_be_cut and (first.x, first.y) != (again.x, again.y):
            self._tally.add("cut-designator", again.origin.line, first.name)

    def _tell(self) -> None:
        self._tally.tell(
            "wide-net-name",
            "{names} names of nets run over their 14 columns into the blank ones after them, and were read whole",
            column=4,
        )
        self._tally.tell(
            "cut-net-name",
            "{names} names of nets fill all 14 columns and may have been cut; nets that differ only in what was "
            "cut off are one here",
            column=4,
            remedy="Export the netlist with NNAME aliases, or give these nets shorter names.",
        )
        self._tally.tell("unnamed-net", "{count} pins have no name of a net and were taken as unconnected", column=4)
        self._tally.tell(
            "cut-designator",
            "{names} pins stand at several places of one net and were taken as pins with several pads; but their "
            "names fill the columns and may be those of several pins, cut",
            column=21,
            remedy="Compare them with the parts list.",
        )


def _pad(text: str, step: Decimal | None) -> Pad:
    """What columns 33 to 41 and 73 to 74 say; what can't be read stays as it is written, and is no fault."""
    digits, plating = text[1:5].strip(), _PLATING.get(text[5:6].upper(), "")
    size = ""
    if digits.isascii() and digits.isdecimal() and step is not None:
        size = f"{(int(digits) * step * 1000).normalize():f} mm"
    hole = " ".join(filter(None, (size or digits, plating)))
    return Pad(hole, text[6:9].strip().upper(), text[9:11].strip().upper())
