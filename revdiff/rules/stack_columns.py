"""Columns of the tables that only stacking asks for, found among the columns kept as text.

Contacts: State, Power-on, Pull, Family, Maximum, 5V tolerant. Connectors: Numbering, View, Board side, Keyed.
Pins: Family, Maximum.
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Literal

from revdiff.design import Connector, Contact, Pin
from revdiff.quantities.quantity import Quantity, read_quantity
from revdiff.quantities.text import fold, squeeze

State = Literal["used", "empty", "not connected", "reserved", "free"]

_YES = frozenset({"yes", "y", "true", "1", "x", "ft"})
_NO = frozenset({"no", "n", "false", "0"})
_HIGH_Z = frozenset({"highimpedance", "highz", "hiz", "z", "input", "in", "off", "floating", "tristate", "float"})
_RESERVED = re.compile(r"\breserved?\b|\bleave open\b|\bdo not connect\b")
_FREE = re.compile(r"\bfree\b|\bfor use\b|\bspare\b|\buser\b")
_ELSEWHERE = re.compile(r"\bpull(?:[- ]?(?:up|down))?s?\b[^,;.]{0,80}? (?:is |are )?on (?:the )?([\w-]+)")


def column(record: Contact | Connector | Pin, *names: str) -> str:
    """The text of a column that the program has no field for; empty where it isn't there."""
    wanted = {squeeze(name) for name in names}
    return next((item.raw for name, item in record.extra if squeeze(name) in wanted), "")


def state_of(contact: Contact) -> State:
    """What a contact is: the column State, else its signal, else what its remarks say."""
    if contact.signal:
        return "used"
    stated = fold(column(contact, "state"))
    said = stated or fold(contact.note.raw)
    if _RESERVED.search(said):
        return "reserved"
    if _FREE.search(said):
        return "free"
    named = squeeze(stated or contact.signal.raw or contact.direction.raw)
    return "not connected" if named in ("nc", "notconnected", "noconnect", "unconnected") else "empty"


def power_on(contact: Contact) -> str:
    """``high``, ``low``, ``high impedance`` or empty: what drives the contact before any firmware runs."""
    said = squeeze(column(contact, "power-on", "power on", "at power-on", "reset state", "power-on state"))
    if said in _HIGH_Z:
        return "high impedance"
    return {"high": "high", "h": "high", "low": "low", "l": "low"}.get(said, "")


def pull_of(contact: Contact) -> tuple[str, Decimal | None] | None:
    """``("down", 10000)``, ``("none", None)`` from the column Pull of a contact; None where nothing is stated.

    "no" or "no pull" says that there is none; the reader takes "none" for an empty cell.
    """
    words = fold(column(contact, "pull")).split(maxsplit=1)
    if words and words[0] in ("no", "none", "off", "without"):
        return "none", None
    if not words or words[0] not in ("up", "down"):
        return None
    found = read_quantity(words[1], "Ω") if len(words) > 1 else None
    return words[0], found.magnitude if found is not None and found.magnitude >= 0 else None


def volts(record: Contact | Pin, *names: str) -> Decimal | None:
    """A voltage from a column such as Maximum, V."""
    found = read_quantity(column(record, *names), "V")
    return found.magnitude if found is not None and found.unit == "V" else None


def tolerant(record: Contact | Pin) -> bool | None:
    """Whether an input stands 5 V; None where nothing is stated."""
    if isinstance(record, Pin):
        return record.tolerant.meaning if isinstance(record.tolerant.meaning, bool) else None
    said = fold(column(record, "5V tolerant", "tolerant"))
    return True if said in _YES else False if said in _NO else None


def level_of(record: Contact | Pin) -> Decimal | None:
    """The stated level, V."""
    found = record.level.quantity
    return found.magnitude if isinstance(found, Quantity) and found.unit == "V" else None


def pull_elsewhere(pin: Pin | Contact) -> str:
    """The board that a remark says the resistor is on (``pull-up on base``), folded; empty where it says none."""
    found = _ELSEWHERE.search(fold(pin.note.raw))
    return found[1] if found is not None else ""


def keyed(connector: Connector) -> bool | None:
    """Whether a plug goes in one way only; None where nothing is stated."""
    said = fold(column(connector, "keyed", "shrouded", "polarised", "polarized"))
    return True if said in _YES else False if said in _NO else None
