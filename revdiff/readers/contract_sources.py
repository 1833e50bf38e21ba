"""Contracts that a firmware's own sources give: a C header or devicetree source that ``[firmware.KEY]`` names.

``header = "pins.h"`` or ``{ file = "pins.h", pin = "PIN_{signal}", port = "...", active_low = "..." }``;
``devicetree = "board.dts"`` or ``{ file = "board.dts", port = "P{bank}{line}" }``. The files are of the same revision.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any, Final

from revdiff.budget import Budget
from revdiff.design import Board, Contract, Design, Need, Reading
from revdiff.design.tables import NEEDS
from revdiff.errors import DataFault, UsageFault
from revdiff.quantities.text import fold, squeeze
from revdiff.readers.contract_devicetree import pins_of_devicetree
from revdiff.readers.contract_header import Patterns, pins_of_header
from revdiff.readers.contract_needs import ContractFault, FoundPin, decoded, needs_from
from revdiff.readers.manifest_values import Values
from revdiff.sources import Revision
from revdiff.sources.paths import inside

_ELEMENT: Final = 8  # characters of a source that take about as much work as an element does
_KEYS: Final[Mapping[str, tuple[str, ...]]] = {
    "header": ("file", "pin", "port", "active_low"),
    "devicetree": ("file", "port"),
}


def with_sources(design: Design, revision: Revision, values: Values) -> Design:
    """The design whose contracts have the needs that their sources give; faults are recorded in ``values``."""
    contracts = {key: _filled(contract, design, revision, values) for key, contract in design.contracts.items()}
    return design if contracts == design.contracts else replace(design, contracts=contracts)


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
            needs = _needs(kind, given, revision, values.faults.budget)
        except ContractFault as fault:
            found = f"{fault.file}:{fault.line}" if fault.line else fault.file
            values.wrong("wrong-contract", f"the {kind} can't be read: {fault.message}", place, found, "")
            return contract
        except (DataFault, UsageFault) as fault:
            expected = f'a file of the design, or {{ file = "...", {", ".join(_KEYS[kind][1:])} }}'
            values.wrong("wrong-contract", f"the {kind} can't be read: {fault}", place, given, expected)
            return contract
        return replace(contract, needs=named_as_on(needs, design.boards.get(contract.board), contract.device))
    return contract


def _needs(kind: str, given: object, revision: Revision, budget: Budget) -> dict[str, Need]:
    options: dict[str, Any] = {"file": given} if isinstance(given, str) else given if isinstance(given, dict) else {}
    texts = {key: value for key, value in options.items() if isinstance(value, str) and key in _KEYS[kind]}
    if "file" not in texts or len(texts) != len(options):
        raise DataFault("it needs a file, and texts under known keys")
    path = inside(texts["file"])
    blob = revision.find(path)
    if blob is None:
        raise DataFault(f"there is no file {path} in {revision.identity.name}")
    text = decoded(revision.read(blob), path)
    budget.spend("bytes", blob.size, path)
    budget.spend("elements", len(text) // _ELEMENT, path)  # many firmware sections may name one source
    return needs_from(found_pins(kind, text, path, texts), path)


def found_pins(kind: str, text: str, file: str, options: Mapping[str, str]) -> Iterable[FoundPin]:
    """The pins that a source names. ``kind``: header or devicetree. Raises ContractFault."""
    if kind == "devicetree":
        return pins_of_devicetree(text, file, options.get("port", ""))
    patterns = {key: value for key, value in options.items() if key != "file"}
    return pins_of_header(text, file, Patterns(**patterns))


def named_as_on(needs: Mapping[str, Need], board: Board | None, device: str) -> dict[str, Need]:
    """The needs under the signal names of the board, where a source can only write them otherwise (``BTN_USER_N``).

    Names are the same when their letters and digits are; where two signals of the board are alike so, none is taken.
    """
    if board is None:
        return dict(needs)
    alike: dict[str, set[str]] = {}
    raw: dict[str, str] = {}
    for pin in board.pins.values():
        if pin.device == device and pin.signal:
            alike.setdefault(squeeze(pin.signal.raw), set()).add(pin.signal.word)
            raw.setdefault(pin.signal.word, pin.signal.raw)
    found = {}
    for key, need in needs.items():
        names = alike.get(squeeze(need.signal.raw), set())
        name = next(iter(names)) if key not in raw and len(names) == 1 else key
        signal = Reading(raw[name], name) if name in raw else need.signal
        found[name] = replace(need, signal=signal)
    return found


def rows_of(needs: Iterable[Need]) -> Iterator[list[str]]:
    """The table of needs, header first, as the reader of contracts takes it."""
    yield [item.title.capitalize() for item in NEEDS.columns]
    for need in needs:
        cells = {item.name: getattr(need, item.name).raw for item in NEEDS.columns}
        yield [fold(text) if name == "active" else text for name, text in cells.items()]
