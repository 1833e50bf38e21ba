"""What a contact carries: a supply, ground, or a signal."""

from __future__ import annotations

from revdiff.design import Contact
from revdiff.quantities.pattern import pattern

_SUPPLIES = frozenset({"supply", "supply in", "supply out"})


# A signal about a supply: VBAT_SENSE, VBUS_DET, VCC_EN. Common practice, no source.
_OF_A_SUPPLY = pattern(r"sense|mon|meas|det|good|fault|alert|adc|div|(?:ok|pg|en)(?:$|_)")


def is_supply(contact: Contact) -> bool:
    """Whether a contact carries a supply: its direction says so, or its name starts as supplies do (+5V, V...).

    Many write ``in`` and ``out`` for supplies, too; only what is measured is none.
    """
    if contact.direction.word in _SUPPLIES:
        return True
    return not contact.direction.word.startswith("analog") and named_supply(contact.signal.word)


def named_supply(name: str) -> bool:
    """Whether a folded name is that of a supply (+5V, V...), and of nothing that is measured or switched by it."""
    return name.startswith(("+", "vcc", "vdd", "vbat", "vin", "vsys", "vbus")) and not of_a_supply(name)


def of_a_supply(name: str) -> bool:
    """Whether a folded name is of something that a supply is measured or switched by (``12v_en``)."""
    return bool(_OF_A_SUPPLY.search(name))


def is_ground(contact: Contact) -> bool:
    """Whether a contact is a ground or return."""
    return contact.is_ground


def class_of(contact: Contact) -> str:
    """``ground``, ``supply`` or ``signal``."""
    return "ground" if is_ground(contact) else "supply" if is_supply(contact) else "signal"
