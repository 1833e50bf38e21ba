"""Which resistor of a formula is the lower one of a divider, and whether the netlist has it so.

The output of a divider is V · R2 / (R1 + R2), that of a regulator with feedback VREF · (1 + R1 / R2), R2 at ground;
the gain of a non-inverting amplifier is 1 + Rf / Rg (Ohm's and Kirchhoff's laws; any handbook of circuits).
"""

from __future__ import annotations

import pytest

from revdiff.judge.divided import divided
from tests.nets.writing import as_356, files, parsed
from tests.support import load

ABOVE = "VIN: R1.1 U1.3\nFB: R1.2 R2.1 U1.2\nGND: R2.2 U1.4"
BELOW = "VIN: R2.1 U1.3\nFB: R2.2 R1.1 U1.2\nGND: R1.2 U1.4"
APART = "VIN: R1.1 U1.3\nX: R1.2 U1.5\nFB: R2.1 U1.2\nGND: R2.2 U1.4"


def found(formula: str, nets: str, more: str = "", parts: str = "R1,31k6 R2,10k R3,1k U1,controller") -> str:
    written = dict(files(as_356(parsed(nets)), "ipc", parts))
    manifest = written["revdiff.toml"]
    assert isinstance(manifest, str)
    written["revdiff.toml"] = f'{manifest}\n[derived.x]\nboard = "main"\nformula = "{formula}"\n{more}'
    design = load(written)
    one = divided(design.sections.derived["x"], design.boards["main"])
    return "" if one is None else f"{one.upper} over {one.lower} {'agrees' if one.agrees else 'contradicts'}"


@pytest.mark.parametrize(
    ("formula", "nets", "more", "said"),
    [
        ("R2 / (R1 + R2)", ABOVE, "", "R1 over R2 agrees"),
        ("R2 / (R1 + R2)", BELOW, "", "R1 over R2 contradicts"),
        ("R2 / (R1 + R2)", APART, "", "R1 over R2 contradicts"),
        ("1 / (1 + R1 / R2)", ABOVE, "", "R1 over R2 agrees"),
        ("V * R2 / (R1 + R2)", BELOW, 'unit = "V"\nvalues = { V = "5 V" }', "R1 over R2 contradicts"),
        ("V * (1 + R1 / R2)", ABOVE, 'unit = "V"\nvalues = { V = "0.8 V" }', "R1 over R2 agrees"),
        ("V * (1 + R1 / R2)", BELOW, 'unit = "V"\nvalues = { V = "0.8 V" }', "R1 over R2 contradicts"),
        ("1 + R1 / R2", ABOVE, "", "R1 over R2 agrees"),
        # A gain needn't be of two resistors on one net; only a plain ratio says that they are.
        ("1 + R1 / R2", APART, "", "R1 over R2 agrees"),
        # The inverting amplifier: none of the two is at ground.
        ("R1 / R2", "OUT: R1.1 U1.3\nFB: R1.2 R2.1 U1.2\nIN: R2.2 U1.4", "", ""),
        # No divider: resistors in parallel or in row, a time, three of them, one of them.
        ("par(R1, R2)", BELOW, 'unit = "Ω"', ""),
        ("R1 + R2", BELOW, 'unit = "Ω"', ""),
        ("R2 / (R1 + R2 + R3)", BELOW, "", ""),
        ("R2 / (R2 + 1000 * R0)", BELOW, 'values = { R0 = "1 Ω" }', ""),
        # The netlist lacks one of them.
        ("R2 / (R1 + R2)", "VIN: R1.1 U1.3\nFB: R1.2 U1.2", "", ""),
    ],
)
def test_the_divider_of_a_formula(formula: str, nets: str, more: str, said: str) -> None:
    assert found(formula, nets, more) == said


@pytest.mark.parametrize("value", ["", "?", "0"])
def test_a_resistor_that_cannot_be_counted_with_makes_no_divider(value: str) -> None:
    assert found("R2 / (R1 + R2)", BELOW, parts=f"R1,31k6 R2,{value} U1,controller") == ""
