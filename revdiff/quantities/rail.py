"""The voltage that a supply's name states: ``+3V3`` is 3.3 V, ``VDD_1V8`` 1.8 V, ``+12V`` 12 V, ``-5V`` -5 V.

How makers of boards name their supplies (common practice, no source); the place of the mark as in IEC 60062 4.2.
"""

from __future__ import annotations

import re
from decimal import Decimal
from functools import lru_cache

from revdiff.quantities.pattern import pattern

_VOLTS = pattern(
    r"(?<![a-z0-9.])(?:v|p|vdd|vcc)?([+-]?[0-9]{1,4})(?:v([0-9]{0,3})|[.]([0-9]{1,3})v)[ad]?(?![a-z0-9])", re.ASCII
)


@lru_cache(maxsize=4096)
def rail_volts(name: str) -> Decimal | None:
    """The voltage in the name of a supply, in V; None where it states none, or several."""
    found = {
        Decimal(f"{whole}.{part or other or 0}")
        for whole, part, other in _VOLTS.findall(name.casefold().replace("_", " "))
    }
    return found.pop() if len(found) == 1 else None


def other_voltage(one: str, two: str) -> bool:
    """Whether two names state voltages that differ: then they name two supplies, whatever else is alike."""
    before, after = rail_volts(one), rail_volts(two)
    return before is not None and after is not None and before != after
