"""One board from a few lines of text, read through the readers, for tests of matching."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from revdiff.compare.change import Change
from revdiff.compare.comparison import compare_designs
from revdiff.design import Design
from tests.support import load

_PARTS = "Designator;Value;Package;Part number;Description\n"
_PINS = "Device;Pin;Port;Signal;Direction;Function;Note\n"
_CONTACTS = "Connector;Contact;Signal;Direction\n"
_CONNECTORS = "Connector;Contacts;Part number;X;Y\n"


def design(
    parts: str = "",
    pins: str | Mapping[str, str] = "",
    contacts: Mapping[str, str] | None = None,
    connectors: str = "",
    boards: Sequence[Mapping[str, str]] = (),
    extra: str = "",
) -> Design:
    """A design with one board ``main``.

    ``parts``: a part after a comma each, as ``R1 10k 0603 PN``. ``pins``: the signals of U1's pins in order, ``-`` for
    an unused one, ``A:out`` or ``A:out:TIM`` with direction and function; of other devices by name. ``contacts``:
    the same by connector. ``connectors``: one after a comma each, as ``J1 20 PN x y``. ``boards``: more boards, each
    with contacts alone.
    """
    files = {"revdiff.toml": '[design]\nname = "d"\n' + _board("main", parts, pins, contacts, connectors) + extra}
    if parts:
        files["main/parts.csv"] = _PARTS + "".join(_line(item.split(" "), 5) for item in parts.split(", "))
    by_device = {"U1": pins} if isinstance(pins, str) else pins
    if pins:
        files["main/pins.csv"] = _PINS + "".join(
            _line([device, number, f"P{number}", *cells], 7)
            for device, text in by_device.items()
            for number, cells in _places(text)
        )
    if contacts:
        files["main/contacts.csv"] = _contacts(contacts)
    if connectors:
        files["main/connectors.csv"] = _CONNECTORS + "".join(
            _line(item.split(" "), 5) for item in connectors.split(", ")
        )
    for index, item in enumerate(boards):
        name = f"board{index}"
        files["revdiff.toml"] += _board(name, "", "", item, "")
        files[f"{name}/contacts.csv"] = _contacts(item)
    return load(files)


def _board(name: str, parts: str, pins: object, contacts: object, connectors: str) -> str:
    tables = {"parts": parts, "pins": pins, "contacts": contacts, "connectors": connectors}
    lines = [f'{table} = "{name}/{table}.csv"\n' for table, given in tables.items() if given]
    return f"[boards.{name}]\n" + "".join(lines)


def _contacts(contacts: Mapping[str, str]) -> str:
    return _CONTACTS + "".join(
        _line([connector, number, *cells], 4) for connector, text in contacts.items() for number, cells in _places(text)
    )


def _places(text: str) -> list[tuple[str, list[str]]]:
    found = [(str(number), item.split(":")) for number, item in enumerate(text.split(), 1)]
    return [(number, ["" if cells[0] == "-" else cells[0], *cells[1:]]) for number, cells in found]


def _line(cells: Sequence[str], width: int) -> str:
    return ";".join([*cells, *[""] * (width - len(cells))]) + "\n"


def changes(old: Design, new: Design, *, strict: bool = False) -> list[Change]:
    return list(compare_designs(old, new, strict_names=strict).changes)


def told(old: Design, new: Design, *, strict: bool = False) -> list[str]:
    """Each change in one line: kind, what became of what, and the pattern."""
    return [_line_of(change) for change in changes(old, new, strict=strict)]


def _line_of(change: Change) -> str:
    pattern = f" ({change.pattern})" if change.pattern else ""
    if change.kind in ("part.renumbered", "connector.renumbered", "connector.split", "connector.merged"):
        return f"{change.kind} {change.before} → {change.after}{pattern}"
    return f"{change.kind} {change.subject}{pattern}"
