"""The whole table, by family."""

from __future__ import annotations

from collections.abc import Mapping

from tests.judge.designs import (
    bus,
    current,
    drive,
    firmware,
    levels,
    mechanics,
    parts,
    power_on,
    signals,
    supplies,
)
from tests.judge.designs.case import Case

FAMILIES: Mapping[str, tuple[Case, ...]] = {
    "levels": levels.CASES,
    "supplies": supplies.CASES,
    "drive": drive.CASES,
    "power-on": power_on.CASES,
    "bus": bus.CASES,
    "current": current.CASES,
    "mechanics": mechanics.CASES,
    "signals": signals.CASES,
    "firmware": firmware.CASES,
    "parts": parts.CASES,
}
ALL = tuple((family, case) for family, cases in FAMILIES.items() for case in cases)
