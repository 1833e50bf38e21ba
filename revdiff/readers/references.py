"""What one section of the manifest names of another one, of firmware or of a pin map: a slip of the pen is a fault.

A name that nothing has would be taken for one that nobody asks for, and what was meant by it would not be judged.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from revdiff.design import Board, Contract, Design
from revdiff.design.sections import Identity, Sections, SoftwarePart
from revdiff.quantities.text import as_number, fold
from revdiff.readers.schema import Place

_SHOWN = 6  # names of a list of what was expected


def check_references(design: Design, sections: Sections, stated: Iterable[str], whole: Place) -> None:
    """Tells every name that nothing has. ``stated``: the parts that the manifest says software talks to."""
    _software(design.contracts, stated, whole.at("software"))
    for name in stated:
        _straps(design.boards, sections.software[name], whole.at("software").at(name))
    _derived(design.contracts, sections, whole.at("derived"))
    _buses(design.boards, sections, whole)
    _controllers(design.boards, sections, whole.at("controllers"))
    for name, identity in sections.identities.items():
        _identity(identity, design.boards[name].revision, sections, whole.at("identity").at(name))


def some(names: Iterable[str]) -> str:
    """The first few, and how many there are beyond them."""
    listed = list(names)
    more = f" and {len(listed) - _SHOWN} more" if len(listed) > _SHOWN else ""
    return ", ".join(listed[:_SHOWN]) + more


def _software(contracts: Mapping[str, Contract], stated: Iterable[str], place: Place) -> None:
    """Parts are known to firmware by the names of its addresses."""
    known = dict.fromkeys(name for item in contracts.values() for name in item.addresses)
    for name in stated if known else ():
        if name not in known:
            place.at(name).wrong(name, f"a name of the addresses of firmware: {some(known)}", "no firmware has it")


def _straps(boards: Mapping[str, Board], item: SoftwarePart, place: Place) -> None:
    """That an address comes from one place alone, that straps are parts, and that each has its digit."""
    ways = {"address": item.address, "by_part_number": item.by_part_number, "straps": item.straps}
    given = [name for name, value in ways.items() if value]
    if len(given) > 1:
        place.at(given[0]).wrong(" and ".join(given), "one of them", "the address can come from one place only")
    parts = boards[item.board].parts if item.board in boards else {}
    for ref in item.straps if parts else ():
        if ref not in parts:
            place.at("straps").wrong(ref, f"a part of {item.board}", "the parts list has no such part")
    if bool(item.straps) != bool(item.by_strap):
        missing = "by_strap" if item.straps else "straps"
        place.at(missing).wrong("nothing", f"{missing} beside {'straps' if item.straps else 'by_strap'}")
        return
    for code in item.by_strap:
        if len(code) != len(item.straps) or set(code) - {"0", "1"}:
            expected = f"{len(item.straps)} digits, each 0 or 1, in the order of straps"
            place.at("by_strap").at(code).wrong(code, expected)


def _derived(contracts: Mapping[str, Contract], sections: Sections, place: Place) -> None:
    for name, item in sections.derived.items() if contracts else ():  # else they may be declared elsewhere
        relying = [one for one in contracts.values() if item.firmware in ("", one.key, one.name)]
        if item.firmware and not relying:
            place.at(name).at("firmware").wrong(item.firmware, some(contracts) or "a declared firmware")
        elif item.constant and not any(item.constant in one.constants for one in relying):
            known = dict.fromkeys(constant for one in relying for constant in one.constants)
            place.at(name).at("constant").wrong(item.constant, some(known) or "a constant of firmware")


def _buses(boards: Mapping[str, Board], sections: Sections, whole: Place) -> None:
    known = {fold(bus.name): bus.name for bus in sections.buses}
    for board in boards.values() if known else ():
        for name in board.sections.texts.get("buses", {}):
            if fold(name) not in known:
                place = whole.at("boards").at(board.name).at("buses").at(name)
                place.wrong(name, some(known.values()), "no bus of the stack has this name")
    taken: dict[str, str] = {}
    for bus in sections.buses:
        for signal in bus.signals:
            if taken.setdefault(signal, bus.name) != bus.name:
                place = whole.at("buses").at(bus.name).at("signals")
                place.wrong(signal.upper(), "each signal in one bus", f"{taken[signal]} has it, too")


def _controllers(boards: Mapping[str, Board], sections: Sections, place: Place) -> None:
    for (name, device), item in sections.controllers.items():
        pins = boards[name].pins.values()
        own = [pin for pin in pins if pin.device.upper() == device]
        at = place.at(name).at(device)
        if item.clock and boards[name].parts and item.clock not in boards[name].parts:
            at.at("clock").wrong(item.clock, f"a part of {name}", "the parts list has no such part")
        if pins and not own:
            at.wrong(device, some(dict.fromkeys(pin.device for pin in pins)), f"no pin map of {name} has it")
        known = {text for pin in own for text in (fold(pin.number), fold(pin.name), pin.port.word)}
        for key in ("reset", "boot", "debug") if own else ():
            for pin in sorted(getattr(item, key) - known):
                at.at(key).wrong(pin.upper(), "a pin of the pin map, by its number or port")


def _identity(identity: Identity, revision: str, sections: Sections, place: Place) -> None:
    """That its code is its own, and that the voltage of a divider is a derived quantity."""
    others = [name for name, code in identity.codes.items() if as_number(code) == as_number(identity.code)]
    if identity.code and others and revision and fold(revision) not in map(fold, others):
        place.at("code").wrong(identity.code, f"a code of {revision}'s own", f"it is that of {', '.join(others)}")
    elif revision:
        for key, listed in (("codes", identity.codes), ("windows", identity.windows)):
            if listed and fold(revision) not in map(fold, listed):
                expected = f"{key} of all revisions, {revision} too"
                place.at(key).wrong(", ".join(listed), expected, "the board's printed revision has none")
    if identity.derived and identity.derived not in sections.derived:
        expected = some(sections.derived) or f"a section [derived.{identity.derived}]"
        place.at("derived").wrong(identity.derived, expected, "no derived quantity has this name")
