"""The I2C bus by NXP UM10204: pull-ups, bus capacitance, addresses."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from types import MappingProxyType

from msgspec import Struct

SOURCE = "NXP UM10204, section 7.1"
ADDRESS_SOURCE = "NXP UM10204, section 3.1.12, reserved addresses"

_D = Decimal
_RISE = _D("0.8473")  # ln(7/3): from 0.3 VDD to 0.7 VDD


class Mode(Struct, frozen=True):
    """One speed class: highest clock (Hz), longest rise (s), largest bus capacitance (F), sink current (A)."""

    name: str
    clock: Decimal
    rise: Decimal
    capacitance: Decimal
    sink: Decimal


STANDARD = Mode("Standard", _D(100_000), _D("1000e-9"), _D("400e-12"), _D("0.003"))
FAST = Mode("Fast", _D(400_000), _D("300e-9"), _D("400e-12"), _D("0.003"))
FAST_PLUS = Mode("Fast-mode Plus", _D(1_000_000), _D("120e-9"), _D("550e-12"), _D("0.020"))
MODES = (STANDARD, FAST, FAST_PLUS)
"""UM10204, table of the characteristics of the SDA and SCL bus lines."""


def mode_for(clock: Decimal) -> Mode | None:
    """The slowest mode that allows a clock in Hz; None above 1 MHz."""
    return next((mode for mode in MODES if clock <= mode.clock), None)


def low_level(supply: Decimal) -> Decimal:
    """Highest low output, V: 0.4 V above a supply of 2 V, else a fifth of the supply. Source: UM10204."""
    return _D("0.4") if supply > 2 else supply / 5


def pull_minimum(supply: Decimal, sink: Decimal = STANDARD.sink) -> Decimal:
    """Smallest pull-up, Ω: (VDD − VOL,max) / IOL. Source: UM10204 section 7.1."""
    return (supply - low_level(supply)) / sink


def pull_maximum(rise: Decimal, capacitance: Decimal) -> Decimal:
    """Largest pull-up, Ω: tr / (0.8473 · Cb). Source: UM10204 section 7.1."""
    return rise / (_RISE * capacitance)


def parallel(resistors: Iterable[Decimal]) -> Decimal:
    """1 / Σ(1/R), Ω, of at least one resistor; 0 where one of them is a link. Source: any handbook."""
    resistors = tuple(resistors)
    if not all(resistors):
        return _D(0)
    return 1 / sum((1 / item for item in resistors), _D(0))


def idle_voltage(pulls: Iterable[tuple[Decimal, Decimal]]) -> Decimal:
    """The voltage, V, of an undriven line with (resistance Ω, rail V) pulls: Σ(V/R) / Σ(1/R). Source: any handbook.

    A pull to ground is one to a rail of 0 V. Links of 0 Ω decide alone; between several the mean is given.
    """
    listed = tuple(pulls)
    links = [volts for ohms, volts in listed if not ohms]
    if links:
        return sum(links, _D(0)) / len(links)
    return sum((volts / ohms for ohms, volts in listed), _D(0)) / sum((1 / ohms for ohms, _ in listed), _D(0))


_RESERVED = MappingProxyType(
    {0x00: "general call", 0x01: "CBUS", 0x02: "another bus format", 0x03: "future use"}
    | dict.fromkeys(range(0x04, 0x08), "Hs-mode controller code")
    | dict.fromkeys(range(0x78, 0x7C), "10-bit addressing")
    | dict.fromkeys(range(0x7C, 0x80), "device ID")
)


def reserved(address: int) -> str:
    """What a 7-bit address is reserved for; empty where it is free. Source: UM10204, reserved addresses."""
    return _RESERVED.get(address, "")
