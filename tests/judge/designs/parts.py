"""Parts: ratings, substitutions, renumbering, fitted state, identity. These go through the command ``compare``."""

from __future__ import annotations

from tests.judge.designs.case import FITS, SOUND, TOLD, Case

BOM = """
= base board
revision = "A"
= base parts
Designator,Quantity,Value,Package,Part number,Tolerance,Voltage,Dielectric,Fitted,Life cycle
R1,1,10k,0603,RA-10K,1%,,,yes,active
R2,1,22k,0603,RA-22K,1%,,,yes,active
R3,1,100R,0603,RA-100R,1%,,,yes,active
C1,1,100n,0603,CA-100N,10%,50 V,X7R,yes,active
C2,1,10u,1206,CA-10U,10%,25 V,X7R,yes,active
U1,1,controller,QFP-64,MC-64,,,,yes,active
"""
ROW = "C2,1,10u,1206,CA-10U,10%,25 V,X7R"


def bom(name: str, answer: object, rules: tuple[str, ...], *change: tuple[str, str], source: str = "") -> Case:
    """A case through the command."""
    given = {"source": source} if source else {}
    return Case(name, BOM, answer, rules, change=change, ask="compare", **given)  # type: ignore[arg-type]


RATING = ("part-rating-reduced",)
CASES = (
    bom("a capacitor of 16 V takes the place of one of 25 V", TOLD, RATING, ("10%,25 V", "10%,16 V")),
    bom("a capacitor of 35 V takes the place of one of 25 V", FITS, (), ("10%,25 V", "10%,35 V")),
    bom("5 % takes the place of 1 %", TOLD, RATING, ("R1,1,10k,0603,RA-10K,1%", "R1,1,10k,0603,RA-10K,5%")),
    bom("0.1 % takes the place of 1 %", FITS, (), ("R1,1,10k,0603,RA-10K,1%", "R1,1,10k,0603,RA-10K,0.1%")),
    bom(
        "Y5V takes the place of X7R",
        TOLD,
        RATING,
        ("25 V,X7R", "25 V,Y5V"),
        source="EIA-198: Y5V is −30…+85 °C, +22/−82 %",
    ),
    bom("X8R takes the place of X7R", FITS, (), ("25 V,X7R", "25 V,X8R"), source="EIA-198: X8R reaches 150 °C"),
    bom(
        "100 MΩ for 100 mΩ's neighbour: a value off by 10⁶", TOLD, ("part-value-magnitude",), ("R3,1,100R", "R3,1,100M")
    ),
    bom("100 Ω written in another way", FITS, (), ("R3,1,100R", "R3,1,0.1k"), source="IEC 60062"),
    bom("4k7 for 10k, the part number kept", TOLD, ("part-number-kept",), ("R1,1,10k", "R1,1,4k7")),
    bom("a part number with another packing", SOUND, (), ("RA-10K,", "RA-10K-TR,")),
    bom(
        "a resistor comes first, and all others are renumbered: R1 names another part",
        TOLD,
        ("part-designator-reused",),
        ("R3,1,100R", "R4,1,100R"),
        ("R2,1,22k", "R3,1,22k"),
        ("R1,1,10k", "R2,1,10k"),
        ("R2,1,10k", "R1,1,47k,0402,RB-47K,1%,,,yes,active\nR2,1,10k"),
    ),
    bom(
        "rows in another order",
        FITS,
        (),
        (
            "R1,1,10k,0603,RA-10K,1%,,,yes,active\nR2,1,22k,0603,RA-22K,1%,,,yes,active",
            "R2,1,22k,0603,RA-22K,1%,,,yes,active\nR1,1,10k,0603,RA-10K,1%,,,yes,active",
        ),
    ),
    bom("a part goes out of production", TOLD, ("part-life-ending",), (f"{ROW},yes,active", f"{ROW},yes,obsolete")),
    bom("a part comes into production", FITS, (), (f"{ROW},yes,active", f"{ROW},yes,in production")),
    Case(
        "the same printed revision over other parts",
        BOM,
        TOLD,
        ("release-same-label",),
        change=(("R2,1,22k,0603,RA-22K", "R2,1,33k,0603,RA-33K"),),
        ask="compare",
    ),
    Case(
        "another printed revision over other parts",
        BOM,
        SOUND,
        change=(("R2,1,22k,0603,RA-22K", "R2,1,33k,0603,RA-33K"), ('revision = "A"', 'revision = "B"')),
        ask="compare",
    ),
)
