"""Writes netlist files for the tests: records in the fixed columns, elements as text; and what reading them tells."""

from __future__ import annotations

from collections.abc import Callable

from revdiff.readers.faults import Faults
from revdiff.readers.ipc356 import read_ipc356
from revdiff.readers.ipc2581 import read_ipc2581
from revdiff.readers.netlist import Netlist

Told = list[tuple[str, str, int, int]]  # severity, code, line, column


def record(
    net: str,
    ref: str = "",
    pin: str = "",
    x: int | None = 0,
    y: int | None = 0,
    *,
    operation: str = "317",
    mid: bool = False,
    padded: bool = True,
) -> str:
    """A test record, its columns as in application note AN40 "IPC-D-356A Netlist Format"."""
    columns = [" "] * 80

    def put(start: int, text: str) -> None:  # columns count from 1
        columns[start - 1 : start - 1 + len(text)] = text

    put(1, operation)
    put(4, net)
    put(21, ref)
    if pin:
        put(27, f"-{pin}")
    if mid:
        put(32, "M")
    put(33, "D0400PA00")
    for start, letter, number in ((42, "X", x), (50, "Y", y)):
        if number is not None:
            digits = f"{abs(number):06d}" if padded else f"{abs(number):6d}"
            put(start, f"{letter}{'-' if number < 0 else '+'}{digits}")
    put(58, "X0600Y0600")
    put(73, "S0")
    return "".join(columns).rstrip()


def file356(*lines: str, units: str = "CUST 0") -> bytes:
    """A whole file: the unit, the lines, the end."""
    return "\n".join(["P  JOB   TEST", f"P  UNITS {units}", *lines, "999", ""]).encode()


def file2581(*elements: str) -> bytes:
    """A whole file around the elements; each begins a line, the first of them the second line."""
    namespace = 'xmlns="http://webstds.ipc.org/2581"'
    return "\n".join([f'<IPC-2581 revision="C" {namespace}>', *elements, "</IPC-2581>", ""]).encode()


def bom(*elements: str) -> str:
    """A bill of materials; each element begins a line."""
    return '<Bom name="main">\n' + "\n".join(elements) + "\n</Bom>"


def item(*children: str, number: str = "D1", **attributes: str) -> str:
    """An item of a bill of materials; ``number`` is its design number."""
    written = "".join(f' {name}="{value}"' for name, value in attributes.items())
    return f'<BomItem OEMDesignNumberRef="{number}"{written}>' + "".join(children) + "</BomItem>"


def choice(number: str, maker: str, rank: str = "", flags: str = "") -> str:
    """An approved part number; ``maker`` is the id of an enterprise."""
    ranked = f' rank="{rank}"' if rank else ""
    return f'<AvlVmpn {flags}><AvlMpn name="{number}"{ranked}/><AvlVendor enterpriseRef="{maker}"/></AvlVmpn>'


def avl(*choices: str, number: str = "D1") -> str:
    """An approved vendor list for one design number."""
    return f'<Avl><AvlItem OEMDesignNumber="{number}">' + "".join(choices) + "</AvlItem></Avl>"


def read356(data: bytes) -> tuple[Netlist, Told]:
    return _read(read_ipc356, data, "board.ipc")


def read2581(data: bytes) -> tuple[Netlist, Told]:
    return _read(read_ipc2581, data, "board.xml")


def nets(netlist: Netlist) -> dict[str, list[str]]:
    """Net to its terminals, as a person would write them."""
    return {name: [terminal.name for terminal in terminals] for name, terminals in netlist.nets.items()}


def _read(reader: Callable[[bytes, str, Faults], Netlist], data: bytes, file: str) -> tuple[Netlist, Told]:
    faults = Faults()
    netlist = reader(data, file, faults)
    assert all(item.origin.file == file for item in faults.found)
    return netlist, [(item.severity, item.code, item.origin.line, item.origin.column) for item in faults.found]
