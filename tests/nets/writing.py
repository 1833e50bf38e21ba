"""Nets as text to the files of both open standards, and to a design around them; shares nothing with the readers.

Columns of IPC-D-356A: application note AN40 "IPC-D-356A Netlist Format". Elements of IPC-2581: LogicalNet and PinRef,
as they stand in published files.
"""

from __future__ import annotations

from collections.abc import Mapping
from xml.sax.saxutils import quoteattr

Nets = list[tuple[str, list[tuple[str, str]]]]


def parsed(text: str) -> Nets:
    """Nets with their terminals; the isolated points under ``*``."""
    found: Nets = []
    for line in text.splitlines():
        name, _, terminals = line.partition(": ")
        found.append(
            (name.rstrip(":"), [(item.rpartition(".")[0], item.rpartition(".")[2]) for item in terminals.split()])
        )
    return found


def as_356(nets: Nets) -> bytes:
    """IPC-D-356A; names beyond 14 characters, or with blanks, by aliases."""
    lines = ["P  JOB   CASE", "P  UNITS CUST 0"]
    records: list[str] = []
    for index, (name, terminals) in enumerate(nets):
        written = "N/C" if name == "*" else name
        if len(name) > 14 or " " in name:
            written = f"NNAME{index}"
            lines.append(f"P  {written:<11}{name}")
        for ref, pin in terminals:
            place = f"X+{len(records):06d}Y+000100X0600Y0600"
            records.append(f"327{written:<17}{ref:<6}-{pin:<4}       A01{place}     S0")
    return "\n".join([*lines, *records, "999", ""]).encode()


def as_2581(nets: Nets) -> bytes:
    """IPC-2581; an isolated point is in no net at all."""
    lines = ['<?xml version="1.0" encoding="UTF-8"?>', '<IPC-2581 revision="C" xmlns="http://webstds.ipc.org/2581">']
    lines += ['<Ecad><CadData><Step name="board">']
    for name, terminals in nets:
        if name != "*":
            lines.append(f"<LogicalNet name={quoteattr(name)}>")
            lines += [f"<PinRef componentRef={quoteattr(ref)} pin={quoteattr(pin)}/>" for ref, pin in terminals]
            lines.append("</LogicalNet>")
    return "\n".join([*lines, "</Step></CadData></Ecad></IPC-2581>", ""]).encode()


def files(nets: bytes, suffix: str, parts: str, pins: str = "", contacts: str = "") -> Mapping[str, str | bytes]:
    """A design of one board with this netlist. Tables: ``R1,10k R2,4k7``; ``U1.3 SDA U1.4 -``; the same of contacts."""
    manifest = ["[design]", 'name = "d"', "[boards.main]", f'netlist = "main.{suffix}"']
    found: dict[str, str | bytes] = {f"main.{suffix}": nets}
    if parts:
        found["parts.csv"] = "Designator,Value\n" + "".join(f"{item}\n" for item in parts.split())
        manifest.append('parts = "parts.csv"')
    for name, head, text in (("pins", "Device,Pin,Signal", pins), ("contacts", "Connector,Contact,Signal", contacts)):
        if text:
            words = text.split()
            rows = zip(words[::2], words[1::2], strict=True)
            found[f"{name}.csv"] = (
                head
                + "\n"
                + "".join(f"{place.replace('.', ',')},{'' if signal == '-' else signal}\n" for place, signal in rows)
            )
            manifest.append(f'{name} = "{name}.csv"')
    found["revdiff.toml"] = "\n".join([*manifest, ""])
    return found
