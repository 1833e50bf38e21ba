"""A board's netlist: named in the manifest, read by what it is, and put to use where tables are missing.

netlist = "base/base.ipc"
netlist = { file = "base/base.xml", devices = ["U1"], connectors = ["J1", "J2"] }
netlist = ["old.ipc", "new.ipc"]
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import replace

from msgspec import Struct

from revdiff.design import EMPTY, Board, Node, Origin, Reading
from revdiff.errors import DataFault
from revdiff.quantities.designator import letters_of
from revdiff.quantities.text import clean, fold
from revdiff.readers.connectors import join_contacts
from revdiff.readers.derive import derive_contacts, derive_parts, derive_pins
from revdiff.readers.faults import Faults
from revdiff.readers.joined_names import CONNECTORS, join_pins
from revdiff.readers.netlist import Netlist, Terminal, looks_like
from revdiff.readers.spec import files_named
from revdiff.readers.value_units import value_unit
from revdiff.sources.paths import inside

# Class letters of controllers (IEEE 315-1975 clause 22.4; IC is common practice, no source). A part with fewer pins is
# none.
_DEVICES = ("U", "IC")
_PINS_OF_A_CONTROLLER = 16
_FEW = 20  # one part in so many may be missing from a netlist of the whole board
# Class letters of what a parts list may have and a netlist need not (common practice, no source).
UNWIRED = frozenset({"FD", "FID", "MH", "H", "HW", "MP", "LOGO", "NT", "PCB", "LBL"})


class NetlistSpec(Struct, frozen=True):
    """``files``: the one that is there is read. The devices and connectors whose pins and contacts are wanted; empty:
    those that are known.
    """

    files: tuple[str, ...]
    devices: tuple[str, ...] = ()
    connectors: tuple[str, ...] = ()


def netlist_spec(given: object, where: str, place: Origin, faults: Faults) -> NetlistSpec | None:
    """Reads the manifest's ``netlist``; None, after a fault, where it can't be read."""
    entry: Mapping[str, object] = given if isinstance(given, dict) else {"file": given}
    files, names = files_named(given), {key: entry.get(key, []) for key in ("devices", "connectors")}
    sound = files and not set(entry) - {"file", "devices", "connectors"}
    if not sound or not all(
        isinstance(item, list) and all(isinstance(ref, str) for ref in item) for item in names.values()
    ):
        faults.fault(
            "wrong-type",
            f"{where} can't be read",
            place,
            found=str(given),
            expected='a path or several, or { file = "...", devices = [...], connectors = [...] }',
            remedy="Correct the manifest.",
        )
        return None
    try:
        paths = tuple(map(inside, files))
    except DataFault as error:
        faults.fault("outside-design", f"{where} leads outside the design: {error}", place, found=", ".join(files))
        return None
    devices, connectors = (
        tuple(clean(str(ref)).upper() for ref in item) if isinstance(item, list) else () for item in names.values()
    )
    return NetlistSpec(paths, devices, connectors)


def read_netlist(data: bytes, file: str, faults: Faults) -> Netlist:
    """Reads a netlist of either format. Raises DataFault for anything else, LimitFault beyond the run's budget."""
    form = looks_like(data)
    if form == "ipc-d-356":
        from revdiff.readers.ipc356 import read_ipc356 as read
    elif form == "ipc-2581":
        from revdiff.readers.ipc2581 import read_ipc2581 as read
    else:
        message = f"{file}: found no netlist, expected IPC-D-356 or IPC-2581."
        raise DataFault(f"{message} Export the netlist in one of these.")
    netlist = read(data, file, faults)
    faults.budget.spend("records", len(netlist.terminals) + len(netlist.parts), file)
    return netlist


def with_netlist(board: Board, netlist: Netlist, spec: NetlistSpec, faults: Faults) -> Board:
    """The board with the netlist's nodes, and with pins, contacts and parts from it where no table has them."""
    nets = {name: Reading(name, fold(name)) for name in netlist.nets} | {"": EMPTY}
    nodes = {
        (item.ref, item.pin): Node(item.ref, item.pin, nets[item.net], item.origin, item.pad)
        for item in (*netlist.terminals, *_pinless(netlist))
        if item.ref and item.pin
    }
    refs = dict.fromkeys(ref for ref, _ in nodes)
    counts: dict[str, int] = {}
    for ref, _ in nodes:
        counts[ref] = counts.get(ref, 0) + 1
    terminals = join_pins(board.pins, nodes, board.parts)
    mapped = {pin.device for pin in board.pins.values()} | {ref for ref, _ in terminals.values()}
    wired = {name for name, item in board.connectors.items() if item.contacts}
    devices = spec.devices or _of_class((ref for ref in refs if counts[ref] >= _PINS_OF_A_CONTROLLER), _DEVICES)
    connectors = spec.connectors or _of_class(refs, () if wired else CONNECTORS)
    for ref in (*spec.devices, *spec.connectors):
        if ref not in refs:
            faults.fault(
                "unknown-part",
                f"the manifest names {ref}, which the netlist {netlist.file} lacks",
                board.origin,
                found=ref,
                remedy="Correct devices or connectors of the netlist in the manifest.",
            )
    whole = _is_whole(board, refs, Counter(node.net.word for node in nodes.values() if node.net))
    pins = derive_pins(netlist, [ref for ref in devices if ref not in mapped], whole=whole)
    contacts = derive_contacts(netlist, [ref for ref in connectors if ref not in wired], whole=whole)
    parts = {} if board.parts else derive_parts(netlist, value_unit)
    have = {
        "netlist": True,
        "pins": bool(pins),
        "contacts": bool(contacts),
        "parts": bool(parts),
    }
    joined = {
        **board.connectors,
        **join_contacts(
            {name: board.connectors[name] for name in contacts if name in board.connectors}, contacts, faults
        ),
    }
    return replace(
        board,
        nodes=nodes,
        whole=whole,
        joined=terminals,
        pins={**board.pins, **pins},
        connectors=joined,
        parts={**board.parts, **parts},
        tables=board.tables | {name for name, there in have.items() if there},
    )


def _pinless(netlist: Netlist) -> Iterator[Terminal]:
    """The pads without any pin, as mounting holes have them, that are on a net: one for each part and net."""
    nets: dict[str, dict[str, Terminal]] = {}
    for item in netlist.terminals:
        if item.ref and item.net and not item.pin:
            nets.setdefault(item.ref, {}).setdefault(item.net, item)
    for by_net in nets.values():
        for index, net in enumerate(sorted(by_net), 1):
            yield replace(by_net[net], pin="PAD" if index == 1 else f"PAD ({index})")


def _is_whole(board: Board, drawn: Container[str], sizes: Mapping[str, int]) -> bool:
    """Whether a netlist seems to have all of the board: the fitted parts of its list; else most nets join something.

    A few may be missing: programs leave out parts that hang on nothing.
    """
    if board.parts:
        fitted = [
            ref
            for ref, part in board.parts.items()
            if part.data.fitted.meaning is not False and letters_of(ref) not in UNWIRED
        ]
        return _FEW * sum(ref not in drawn for ref in fitted) <= len(fitted)
    return 2 * sum(1 for count in sizes.values() if count == 1) <= len(sizes)


def _of_class(refs: Iterable[str], prefixes: tuple[str, ...]) -> tuple[str, ...]:
    found = []
    for ref in refs:
        if letters_of(ref) in prefixes:
            found.append(ref)
    return tuple(found)
