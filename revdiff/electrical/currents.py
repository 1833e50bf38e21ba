"""Currents: through contacts in parallel, between two outputs, out of a rail."""

from __future__ import annotations

from decimal import Decimal

_D = Decimal

PIN_LIMIT = _D("0.025")
"""A, sink or source of one pin. Source: STM32F405/407 data sheet DocID022152, table 12; 74HC sheets say the same."""
PIN_SOURCE = "25 mA per pin: STM32F405/407 data sheet DocID022152, table 12"


def per_contact(total: Decimal, contacts: int) -> Decimal:
    """A through each of at least one equal contact in parallel. Common practice, no source."""
    return total / contacts


def derated(rating: Decimal, percent: Decimal) -> Decimal:
    """A rating less a derating in per cent. Common practice (20 to 50 % where all contacts are loaded), no source."""
    return rating * (100 - percent) / 100


def contact_drop(current: Decimal, resistance: Decimal) -> Decimal:
    """V lost on one contact: I · R. Source: Ohm's law."""
    return current * resistance


def contention(supply: Decimal, resistance: Decimal) -> Decimal | None:
    """A between two outputs at opposite levels, V / R with the outputs' own resistance left out.

    None: nothing limits it. A bound on the safe side, since a real output has some resistance. Source: Ohm's law.
    """
    return supply / resistance if resistance > 0 else None


def series_minimum(supply: Decimal, limit: Decimal = PIN_LIMIT) -> Decimal:
    """Ω in series that keep two outputs against each other within a current. Source: Ohm's law."""
    return supply / limit


def left_over(offered: Decimal, *loads: Decimal) -> Decimal:
    """A of a rail left after its loads; negative: overloaded."""
    return offered - sum(loads, _D(0))
