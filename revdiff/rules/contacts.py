"""What a contact carries and what two contacts of a joint make of each other; shared by the rules of joints."""

from __future__ import annotations

import re

from revdiff.design import Contact, Reading
from revdiff.quantities.quantity import Quantity, show
from revdiff.rules.meetings import Meeting

PRACTICE = "common practice, no source"
_TOKENS = re.compile(r"([_\W]|(?<=x)(?=\d))")
_OPPOSITE = {"tx": "rx", "rx": "tx", "txd": "rxd", "rxd": "txd", "rts": "cts", "cts": "rts"}
_SUPPLIES = frozenset({"supply", "supply in", "supply out"})


# A signal about a supply: VBAT_SENSE, VBUS_DET, VCC_EN. Common practice, no source.
_OF_A_SUPPLY = re.compile(r"sense|mon|meas|det|good|fault|alert|adc|div|(?:ok|pg|en)(?:$|_)")


def is_supply(contact: Contact) -> bool:
    """Whether a contact carries a supply: its direction says so, or its name starts as supplies do (+5V, V...)."""
    if contact.direction.word in _SUPPLIES:
        return True
    name = contact.signal.word
    named = name.startswith(("+", "vcc", "vdd", "vbat", "vin", "vsys", "vbus"))
    return not contact.direction and named and not _OF_A_SUPPLY.search(name)


def is_ground(contact: Contact) -> bool:
    """Whether a contact is a ground or return."""
    return contact.is_ground


def class_of(contact: Contact) -> str:
    """``ground``, ``supply`` or ``signal``."""
    return "ground" if is_ground(contact) else "supply" if is_supply(contact) else "signal"


def fits(meeting: Meeting, a: Contact, b: Contact) -> bool:
    """Whether two signals that meet belong together: one name, a pair known to work, or transmit to receive."""
    if a.signal.word == b.signal.word or (a.signal.word, b.signal.word) in meeting.known:
        return True
    return _crossed(a, b)


def _crossed(a: Contact, b: Contact) -> bool:
    """Whether one side's transmit meets the other's receive, and one of the two drives the other."""
    if (a.direction.word, b.direction.word) not in (("out", "in"), ("in", "out")):
        return False
    one, two = _TOKENS.split(a.signal.word), _TOKENS.split(b.signal.word)
    return one != two and [_OPPOSITE.get(item, item) for item in one] == two


def place(meeting: Meeting, a: Contact | None, b: Contact | None) -> str:
    """``base.J1.7–valves.J1.7``."""
    first = f"{meeting.a.board.name}.{a.name}" if a is not None else ""
    second = f"{meeting.b.board.name}.{b.name}" if b is not None else ""
    return "–".join(item for item in (first, second) if item)


def elsewhere(meeting: Meeting, contact: Contact, *, on_b: bool) -> str:
    """Where the mate carries the signal of ``contact``, if it does."""
    side = meeting.b if on_b else meeting.a
    for other in side.connector.contacts.values():
        pair = (contact, other) if on_b else (other, contact)
        if other.signal and fits(meeting, *pair):
            return other.name
    return ""


def difference(a: Reading, b: Reading, *, margin: bool = False) -> str:
    """``5 V − 3.3 V = 1.7 V``; empty where the two are no quantities of one unit.

    ``margin``: add how far that is beyond a limit of 0.
    """
    one, two = a.quantity, b.quantity
    if one is None or two is None or one.unit != two.unit:
        return ""
    result = Quantity(one.magnitude - two.magnitude, one.unit)
    beyond = f"; margin {show(Quantity(-abs(result.magnitude), one.unit))}" if margin else ""
    return f"{show(one)} − {show(two)} = {show(result)}{beyond}"
