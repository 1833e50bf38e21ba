"""What stacking reads out of contacts, pins and connectors."""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from revdiff.design import Connector, Contact, Pin
from revdiff.design.tables import BY_RECORD
from revdiff.quantities.pattern import pattern
from revdiff.quantities.quantity import Quantity, read_quantity
from revdiff.quantities.text import fold, squeeze

State = Literal["used", "empty", "not connected", "reserved", "free"]

POWER_ON = frozenset({"high", "low", "high impedance"})
_RESERVED = pattern(r"\breserved?\b|\bleave open\b|\bdo not connect\b")
_FREE = pattern(r"\bfree\b|\bfor use\b|\bspare\b|\buser\b")
_ELSEWHERE = pattern(r"\bpull(?:[- ]?(?:up|down))?s?\b[^,;.]{0,80}? (?:is |are )?on (?:the )?([\w-]+)")


def column(record: Contact | Connector | Pin, *names: str) -> str:
    """The text of a column under any of its names; empty where it isn't there."""
    fields = BY_RECORD[type(record)].aliases
    found = (getattr(record, fields[squeeze(name)]).raw for name in names if squeeze(name) in fields)
    return next(filter(None, found), "")


def state_of(contact: Contact) -> State:
    """What a contact is: the column State, else its signal, else what its remarks say."""
    if contact.signal:
        return "used"
    stated = contact.state.word
    said = stated or fold(contact.note.raw)
    if _RESERVED.search(said):
        return "reserved"
    if _FREE.search(said):
        return "free"
    named = squeeze(stated or contact.signal.raw or contact.direction.raw)
    return "not connected" if named in ("nc", "notconnected", "noconnect", "unconnected") else "empty"


def power_on(contact: Contact) -> str:
    """``high``, ``low``, ``high impedance`` or empty: what drives the contact before any firmware runs."""
    return contact.power_on.word if contact.power_on.word in POWER_ON else ""


def pull_of(contact: Contact) -> tuple[str, Decimal | None] | None:
    """``("down", 10000)``, ``("none", None)`` from the column Pull of a contact; None where nothing is stated.

    "no" or "no pull" says that there is none.
    """
    way, _, rest = contact.pull.raw.strip().partition(" ")
    if fold(way) in ("no", "none", "off", "without"):
        return "none", None
    if fold(way) not in ("up", "down"):
        return None
    found = read_quantity(rest, "Ω") if rest else None  # 1M and 1m are two values: never folded
    return fold(way), found.magnitude if found is not None and found.magnitude >= 0 else None


def volts(record: Contact | Pin, *names: str) -> Decimal | None:
    """A voltage from a column such as Maximum, V."""
    found = read_quantity(column(record, *names), "V")
    return found.magnitude if found is not None and found.unit == "V" else None


def tolerant(record: Contact | Pin) -> bool | None:
    """Whether an input stands 5 V; None where nothing is stated."""
    return record.tolerant.meaning if isinstance(record.tolerant.meaning, bool) else None


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
    return connector.keyed.meaning if isinstance(connector.keyed.meaning, bool) else None
