"""Contracts that a firmware's own sources give: a C header or devicetree source that ``[firmware.KEY]`` names.

``header = "pins.h"`` or ``{ file = "pins.h", pin = "PIN_{signal}", port = "...", active_low = "..." }``;
``devicetree = "board.dts"`` or ``{ file = "board.dts", port = "P{bank}{line}" }``. The files are of the same revision;
of several, ``["old.h", "new.h"]``, the one that is there is read.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final, TypeAlias

from msgspec.structs import replace

from revdiff.budget import LimitFault
from revdiff.design import Board, Contract, Design, Need, Pin
from revdiff.design.tables import NEEDS
from revdiff.errors import DataFault, RevdiffError
from revdiff.quantities.ports import port_line
from revdiff.quantities.text import fold, squeeze
from revdiff.readers.c_pins import Patterns, pins_of_header
from revdiff.readers.contract_needs import FoundPin, decoded, needs_from
from revdiff.readers.faults import Faults
from revdiff.readers.manifest_values import Values
from revdiff.readers.merge_marks import without_merge_marks
from revdiff.readers.source_fault import SourceFault
from revdiff.readers.spec import files_named
from revdiff.readers.tree_pins import pins_of_devicetree
from revdiff.sources import Revision
from revdiff.sources.paths import inside

Needs: TypeAlias = dict[str, Need]
_ELEMENT: Final = 8  # characters of a source that take about as much work as an element does
_KEYS: Final[Mapping[str, tuple[str, ...]]] = {
    "header": ("file", "pin", "port", "active_low"),
    "devicetree": ("file", "port"),
}


def with_sources(design: Design, revision: Revision, values: Values) -> Design:
    """The design whose contracts have the needs that their sources give; faults are recorded in ``values``."""
    contracts = {key: _filled(contract, design, revision, values) for key, contract in design.contracts.items()}
    return design if contracts == design.contracts else dataclasses.replace(design, contracts=contracts)


def _filled(contract: Contract, design: Design, revision: Revision, values: Values) -> Contract:
    for kind in _KEYS:
        given = contract.extra.get(kind)
        if given is None:
            continue
        place = values.at(f"{kind}=", contract.origin)
        if contract.needs:
            message = f"the firmware {contract.key} has both needs and a {kind}"
            values.wrong("two-contracts", message, place, kind, "one of the two")
            return contract
        try:
            needs = _needs(kind, given, contract, design, revision, values.faults)
        except SourceFault as fault:
            found = f"{fault.file}:{fault.line}" if fault.line else fault.file
            values.wrong("wrong-contract", f"the {kind} can't be read: {fault.message}", place, found, "")
            return contract
        except LimitFault:
            raise
        except RevdiffError as fault:
            expected = f'a file of the design, or {{ file = "...", {", ".join(_KEYS[kind][1:])} }}'
            values.wrong("wrong-contract", f"the {kind} can't be read: {fault}", place, given, expected)
            return contract
        if not needs:  # a contract of nothing would be kept by every board
            named = "a name by another pattern, such as pin = " if kind == "header" else "a pattern such as port = "
            example = '"PIN_{signal}"' if kind == "header" else '"P{bank}{line}"'
            found = ", ".join(files_named(given))
            values.wrong("wrong-contract", f"the {kind} names no pin", place, found, f"{named}{example}")
        return dataclasses.replace(contract, needs=needs)
    return contract


def _needs(kind: str, given: object, contract: Contract, design: Design, revision: Revision, faults: Faults) -> Needs:
    files = files_named(given)
    options: dict[str, Any] = {**given, "file": ""} if isinstance(given, dict) else {"file": ""}
    texts = {key: value for key, value in options.items() if isinstance(value, str) and key in _KEYS[kind]}
    if not files or len(texts) != len(options):
        raise DataFault("it needs a file, and texts under known keys")
    there = {path: blob for path in map(inside, files) if (blob := revision.find(path)) is not None}
    if len(there) != 1:
        name, listed = revision.identity.name, ", ".join(there or files)
        raise DataFault(f"of {listed} only one may be in {name}" if there else f"there is no file {listed} in {name}")
    ((path, blob),) = there.items()
    text = without_merge_marks(decoded(revision.read(blob), path), path, faults)
    faults.budget.spend("bytes", blob.size, path)
    faults.budget.spend("elements", len(text) // _ELEMENT, path)  # many firmware sections may name one source
    pins = found_pins(kind, text, path, texts, faults)
    return needs_from(named_as_on(pins, design.boards.get(contract.board), contract.device), path)


def found_pins(kind: str, text: str, file: str, options: Mapping[str, str], faults: Faults) -> Iterator[FoundPin]:
    """The pins that a source names; what was left out is told. ``kind``: header or devicetree. Raises SourceFault."""
    if kind == "devicetree":
        return pins_of_devicetree(text, file, options.get("port", ""), faults)
    patterns = {key: value for key, value in options.items() if key != "file"}
    return pins_of_header(text, file, Patterns(**patterns), faults)


def named_as_on(pins: Iterable[FoundPin], board: Board | None, device: str) -> Iterator[FoundPin]:
    """The pins under the names of the board, where a source can only write them otherwise (``BTN_USER_N``, ``P0.5``).

    Names are the same when their letters and digits are; where two signals of the board are alike so, none is taken.
    A pin that is called after a node has the signal that the board has on it, unless one is called like the node.
    """
    alike: dict[str, set[str]] = {}
    raw: dict[str, str] = {}
    at: dict[str, Pin] = {}
    lines: dict[tuple[str, int], str] = {}
    for pin in board.pins.values() if board is not None else ():
        if pin.device == device:
            for name in filter(None, (pin.number, pin.port.raw)):
                at.setdefault(fold(name), pin)
                if (line := port_line(name)) is not None:
                    lines.setdefault(line, name)
            if pin.signal:
                alike.setdefault(squeeze(pin.signal.raw), set()).add(pin.signal.word)
                raw.setdefault(pin.signal.word, pin.signal.raw)
    for found in pins:
        name = found.pin
        if fold(name) not in at and (line := port_line(name)) in lines and line is not None:
            name = lines[line]
        key = fold(found.signal)
        names = alike.get(squeeze(found.signal), set())
        here = at.get(fold(name))
        if key in raw:
            signal = raw[key]
        elif len(names) == 1:
            signal = raw[next(iter(names))]
        else:
            signal = here.signal.raw if found.labelled and here is not None and here.signal else found.signal
        yield replace(found, signal=signal, pin=name)


def rows_of(needs: Iterable[Need]) -> Iterator[list[str]]:
    """The table of needs, header first, as the reader of contracts takes it."""
    yield [item.title.capitalize() for item in NEEDS.columns]
    for need in needs:
        cells = {item.name: getattr(need, item.name).raw for item in NEEDS.columns}
        yield [fold(text) if name == "active" else text for name, text in cells.items()]
