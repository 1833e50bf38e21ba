"""The figures of the table, worked out apart from what judges. Units: V, A, Ω, F, Hz, s."""

from __future__ import annotations

from math import log
from typing import NamedTuple


class Figure(NamedTuple):
    """A value that must be told, within 1 %."""

    value: float
    unit: str


def volts(value: float) -> Figure:
    return Figure(value, "V")


def amps(value: float) -> Figure:
    return Figure(value, "A")


def ohms(value: float) -> Figure:
    return Figure(value, "Ω")


def farads(value: float) -> Figure:
    return Figure(value, "F")


def rest(*pulls: tuple[float, float]) -> float:
    """The voltage of a node with resistors (Ω, V): Millman's theorem, any handbook of circuits."""
    return sum(u / r for r, u in pulls) / sum(1 / r for r, _ in pulls)


def parallel(*values: float) -> float:
    """Resistors in parallel: any handbook of circuits."""
    return 1 / sum(1 / value for value in values)


def least_pull(vdd: float, sink: float = 0.003) -> float:
    """The least pull-up of an I2C bus: (VDD − VOL) / IOL, VOL 0.4 V above 2 V, 0.2 VDD below. UM10204, 7.1."""
    low = 0.4 if vdd > 2 else 0.2 * vdd
    return (vdd - low) / sink


def most_pull(rise: float, capacitance: float) -> float:
    """The greatest pull-up of an I2C bus: tr / (ln(7/3) · Cb), from 0.3 to 0.7 VDD. UM10204, 7.1."""
    return rise / (log(7 / 3) * capacitance)
