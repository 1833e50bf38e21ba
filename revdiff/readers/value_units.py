"""What the values of parts are measured in, by the class letters of their designators."""

from __future__ import annotations

from collections.abc import Mapping

from revdiff.quantities.designator import parse_designator

# What the value of a part of each class is measured in (class letters: IEEE 315-1975 clause 22.4;
# FB for ferrite beads is common practice, no source).
VALUE_UNITS: Mapping[str, str] = {
    **dict.fromkeys(("R", "RN", "RV", "RT", "FB"), "Ω"),
    "C": "F",
    "L": "H",
    "Y": "Hz",
    "X": "Hz",
    "F": "A",
    "BT": "V",
}


def value_unit(ref: str) -> str:
    """The unit of the value of the part with this designator; empty where its class has none."""
    designator = parse_designator(ref)
    return VALUE_UNITS.get(designator.prefix, "") if designator is not None else ""
