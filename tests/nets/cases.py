"""Pairs of small netlists, and what a person would say happened, as a table; written in both open standards.

``old``: a net a line, ``NAME: R1.1 U1.3``; ``*:`` are isolated points. ``edits`` make the newer netlist of it.
``parts``, ``pins``, ``contacts``: the tables of both revisions, or a pair of them, where they matter. ``told``: the
entries, each ``kind subject (pattern)``, in any order. What is told of nets is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

# Regulator U2 with divider R1, R2; controller U1; sensor dividers R3/R4 and R5/R6; pull-up R7; LED D1 with R8;
# connectors J1, J2; capacitors C1 and C2 (tantalum).
BOARD = """\
GND: U1.1 U2.1 R2.2 R4.2 R6.2 C1.2 C2.2 J1.2 J2.2 D1.2
+3V3: U1.2 U2.2 R1.1 R7.1 C1.1 J2.1
+5V: U2.3 C2.1 J1.1 R3.1 R5.1
FB: U2.4 R1.2 R2.1
VBAT_SENSE: U1.3 R3.2 R4.1
TEMP_SENSE: U1.4 R5.2 R6.1
SDA: U1.5 R7.2 J2.3
LED: U1.6 R8.1
LED_A: R8.2 D1.1
IRQ: U1.7 J2.4
*: U1.8 U1.9
"""
PARTS = """\
R1,31k6 R2,10k R3,100k R4,47k R5,10k R6,12k R7,4k7 R8,470 C1,100n C2,47u U1,controller U2,regulator J1,plug J2,socket
D1,red"""


@dataclass(frozen=True)
class Case:
    name: str
    edits: tuple[tuple[str, str], ...]
    told: tuple[str, ...]
    old: str = BOARD
    parts: str | tuple[str, str] = PARTS
    pins: str | tuple[str, str] = ""
    contacts: str | tuple[str, str] = ""


def case(name: str, *edits: tuple[str, str], told: tuple[str, ...] | str = (), **given: object) -> Case:
    told = (told,) if isinstance(told, str) else told
    return Case(name, edits, told, **given)  # type: ignore[arg-type]


CASES = (
    # What is no change.
    case("nothing"),
    case("a resistor turned round", ("R1.1", "R9.9"), ("R1.2", "R1.1"), ("R9.9", "R1.2")),
    case("a ceramic capacitor turned round", ("C1.1", "C9.9"), ("C1.2", "C1.1"), ("C9.9", "C1.2")),
    case("open pins under names that a program made", ("*: U1.8 U1.9", "unconnected-(U1-Pad8): U1.8\nNC_9: U1.9")),
    case("open pins left out", (" U1.8 U1.9", " U1.8")),
    # A terminal on another net.
    case(
        "a resistor moved from ground to a supply",
        (" R6.2", ""),
        ("R7.1", "R7.1 R6.2"),
        told="net.rewired R6.2",
    ),
    case(
        "both ends of a resistor moved",
        (" R6.2", ""),
        (" R6.1", ""),
        ("R7.1", "R7.1 R6.2"),
        ("R7.2", "R7.2 R6.1"),
        told="net.rewired R6",
    ),
    case(
        "a pin moved to another net",
        ("U1.7 ", ""),
        ("R8.1", "R8.1 U1.7"),
        told=("contact.signal J2.4", "net.rewired U1.7"),
    ),
    case("an open pin connected", ("*: U1.8 U1.9", "*: U1.9"), ("IRQ: U1.7", "IRQ: U1.7 U1.8"), told="net.joined U1.8"),
    case("a pin opened", ("SDA: U1.5", "SDA:"), ("*: U1.8", "*: U1.5 U1.8"), told="net.left U1.5"),
    case("a pin opened under a name of its own", ("SDA: U1.5", "SPARE: U1.5\nSDA:"), told="net.left U1.5"),
    case(
        "a pin opened, by the pin map's controller",
        ("SDA: U1.5", "SDA:"),
        told="pin.opened U1.5",
        pins="U1.1 GND U1.2 +3V3 U1.5 SDA",
    ),
    case(
        "an open pin connected, by the pin map's controller",
        ("*: U1.8 U1.9", "*: U1.9"),
        ("IRQ: U1.7", "IRQ: U1.7 U1.8"),
        told="pin.connected U1.8",
        pins="U1.1 GND U1.2 +3V3 U1.8 -",
    ),
    case("several parts moved alike", ("R3.1 R5.1", ""), ("J2.1", "J2.1 R3.1 R5.1"), told="net.rewired R3, R5"),
    # Polarity.
    case(
        "a light-emitting diode turned round",
        ("D1.1", "D9.9"),
        ("D1.2", "D1.1"),
        ("D9.9", "D1.2"),
        told="net.turned D1",
    ),
    case(
        "a capacitor of 47 µF turned round: it may have polarity",
        ("C2.1", "C9.9"),
        ("C2.2", "C2.1"),
        ("C9.9", "C2.2"),
        told="net.turned C2",
    ),
    # Exchanges.
    case(
        "two analog inputs exchanged",
        ("U1.3", "U9.9"),
        ("U1.4", "U1.3"),
        ("U9.9", "U1.4"),
        told="net.swapped U1.3 ↔ U1.4",
    ),
    case(
        "two analog inputs exchanged, under new names",
        ("VBAT_SENSE: U1.3", "BATTERY: U1.4"),
        ("TEMP_SENSE: U1.4", "TEMPERATURE: U1.3"),
        told=("net.swapped U1.3 ↔ U1.4", "net.renamed BATTERY", "net.renamed TEMPERATURE"),
    ),
    case(
        "two analog inputs exchanged, under names made from the pins",
        ("U1.3 R3.2 R4.1", "U1.3 R5.2 r6.1"),
        ("U1.4 R5.2 R6.1", "U1.4 R3.2 R4.1"),
        ("r6.1", "R6.1"),
        old=BOARD.replace("VBAT_SENSE", "Net-(U1-Pad3)").replace("TEMP_SENSE", "Net-(U1-Pad4)"),
        told="net.swapped U1.3 ↔ U1.4",
    ),
    case(
        "the two resistors of a divider exchanged",
        (" R1.1", " R2.2"),
        ("U2.1 R2.2", "U2.1 R1.1"),
        told="net.swapped R1.1 ↔ R2.2",
    ),
    # Whole nets.
    case("renamed", ("FB:", "FEEDBACK:"), told="net.renamed FEEDBACK"),
    case("named at last", ("N00123:", "FEEDBACK:"), old=BOARD.replace("FB:", "N00123:"), told="net.renamed FEEDBACK"),
    case(
        "counted anew by a program",
        ("N00123:", "N00457:"),
        old=BOARD.replace("FB:", "N00123:"),
    ),
    case(
        "a supply on the board alone of another voltage",
        ("+1V2:", "+1V0:"),
        old=BOARD.replace("FB:", "+1V2:"),
        told="net.voltage +1V0",
    ),
    case("a supply of another voltage", ("+3V3:", "+1V8:"), told="signal.voltage +1V8"),
    case("a supply renamed", ("+3V3:", "VDD_3V3:"), told="signal.renamed VDD_3V3"),
    case(
        "one pin alone shows no rename",
        ("IRQ: U1.7 J2.4", "WAKE: U1.7 R9.1\nIRQ: J2.4 R9.2"),
        parts=(PARTS, f"{PARTS} R9,1k"),
        told=("net.split IRQ (R9 between)", "part.added R9"),
    ),
    case(
        "one pin alone on a net of another name with other neighbours",
        ("LED: U1.6 R8.1", "FAN: U1.6 R9.1"),
        (" R8.2 D1.1", " R9.2 D1.1"),
        parts=(PARTS, PARTS.replace("R8,470", "R9,22")),
        told=("net.rewired U1.6", "part.removed R8", "part.added R9"),
    ),
    case("split", ("GND: U1.1 U2.1 R2.2 R4.2 R6.2", "AGND: R4.2 R6.2 U1.1\nGND: U2.1 R2.2"), told="net.split GND"),
    case(
        "split, with a part between",
        ("GND: U1.1 U2.1 R2.2 R4.2 R6.2", "AGND: R4.2 R6.2 U1.1 L1.1\nGND: U2.1 R2.2 L1.2"),
        parts=(PARTS, f"{PARTS} L1,bead"),
        told=("net.split GND (L1 between)", "part.added L1"),
    ),
    case(
        "made one",
        ("AGND: R4.2 R6.2 U1.1\nGND: U2.1 R2.2", "GND: U1.1 U2.1 R2.2 R4.2 R6.2"),
        old=BOARD.replace("GND: U1.1 U2.1 R2.2 R4.2 R6.2", "AGND: R4.2 R6.2 U1.1\nGND: U2.1 R2.2"),
        told="net.merged GND",
    ),
    case(
        "a resistor in series",
        ("IRQ: U1.7 J2.4", "IRQ: U1.7 R9.1\nIRQ_J: R9.2 J2.4"),
        parts=(PARTS, f"{PARTS} R9,33"),
        told=("net.split IRQ (R9 between)", "part.added R9"),
    ),
    # Parts.
    case(
        "a pull-up added",
        ("IRQ: U1.7", "IRQ: U1.7 R9.1"),
        ("J2.1", "J2.1 R9.2"),
        parts=(PARTS, f"{PARTS} R9,10k"),
        told="part.added R9",
    ),
    case(
        "a test point that no list has",
        ("IRQ: U1.7", "IRQ: U1.7 TP1.1"),
        told="net.part_added TP1 (not in the parts list)",
    ),
    case(
        "a test point gone that no list had",
        (" TP1.1", ""),
        old=BOARD.replace("IRQ: U1.7", "IRQ: U1.7 TP1.1"),
        told="net.part_removed TP1 (not in the parts list)",
    ),
    case("mounting holes without a net", ("*: U1.8", "*: MH1.1 MH2.1 U1.8")),
    case(
        "mounting holes on ground",
        ("GND: U1.1", "GND: MH1.1 MH2.1 U1.1"),
        told="net.part_added MH1, MH2 (not in the parts list)",
    ),
    case(
        "no longer in the list, still on the board",
        parts=(PARTS, PARTS.replace(" R7,4k7", "")),
        told="part.removed R7 (still on the board)",
    ),
    case(
        "a test point renumbered, which no list has",
        ("TP1.1", "TP7.1"),
        old=BOARD.replace("IRQ: U1.7", "IRQ: U1.7 TP1.1"),
        told="net.part_renumbered TP1 (by the netlist)",
    ),
    case(
        "renumbered with the nets named after it",
        ("R8", "R108"),
        ("R8", "R108"),
        ("R8", "R108"),
        ("R8", "R108"),
        old=BOARD.replace("LED:", "Net-(R8-Pad1):").replace("LED_A:", "Net-(R8-Pad2):").replace("R8.", "R8."),
        parts=(PARTS, PARTS.replace("R8,470", "R108,470")),
        told="part.renumbered R8",
    ),
    # Beside tables.
    case(
        "what the pin map tells is not told again",
        ("U1.3", "U9.9"),
        ("U1.4", "U1.3"),
        ("U9.9", "U1.4"),
        pins=("U1.3 VBAT_SENSE U1.4 TEMP_SENSE", "U1.3 TEMP_SENSE U1.4 VBAT_SENSE"),
        told="pin.swapped VBAT_SENSE ↔ TEMP_SENSE (exchange)",
    ),
    case(
        "what the pin map doesn't tell",
        ("U1.3", "U9.9"),
        ("U1.4", "U1.3"),
        ("U9.9", "U1.4"),
        pins="U1.3 VBAT_SENSE U1.4 TEMP_SENSE",
        told="net.swapped U1.3 ↔ U1.4",
    ),
    case(
        "what a pin map by ports tells is not told again",
        ("U1.3", "U9.9"),
        ("U1.4", "U1.3"),
        ("U9.9", "U1.4"),
        pins=(
            "MCU.PA3 VBAT_SENSE MCU.PA4 TEMP_SENSE MCU.PA5 SDA MCU.PA6 LED",
            "MCU.PA3 TEMP_SENSE MCU.PA4 VBAT_SENSE MCU.PA5 SDA MCU.PA6 LED",
        ),
        told="pin.swapped VBAT_SENSE ↔ TEMP_SENSE (exchange)",
    ),
    case(
        "renamed in the pin map and the netlist",
        ("SDA:", "I2C_DATA:"),
        pins=("U1.5 SDA", "U1.5 I2C_DATA"),
        told="signal.renamed I2C_DATA",
    ),
    case(
        "two exchanged inputs under new names are no renames in the pin map",
        ("VBAT_SENSE: U1.3", "BATTERY: U1.4"),
        ("TEMP_SENSE: U1.4", "TEMPERATURE: U1.3"),
        pins=("U1.3 VBAT_SENSE U1.4 TEMP_SENSE", "U1.3 TEMPERATURE U1.4 BATTERY"),
        told=("pin.swapped BATTERY ↔ TEMPERATURE (exchange)", "signal.renamed BATTERY", "signal.renamed TEMPERATURE"),
    ),
    case(
        "a supply of another voltage in every table",
        ("+3V3:", "+1V8:"),
        pins=("U1.2 +3V3", "U1.2 +1V8"),
        contacts=("J2.1 +3V3 J2.2 GND", "J2.1 +1V8 J2.2 GND"),
        told="signal.voltage +1V8",
    ),
)
