"""Supplies and grounds that meet, feed, and leave the board."""

from __future__ import annotations

from collections.abc import Iterator

from tests.judge.designs.case import (
    BREAK,
    CARE,
    FITS,
    HAZARD,
    PRACTICE,
    SOUND,
    TELL,
    TOLD,
    UNFIT,
    Answer,
    Case,
)
from tests.judge.designs.notation import two
from tests.judge.designs.worked import amps, volts

VOLTS = ("joint-supply-voltage",)
CLASH = ("joint-supply-clash", "joint-signal-clash", "joint-signal-moved")
CABLE = ("connector-supply-changed",)


def rail(one: str, other: str, more: str = "") -> str:
    """One supply over a joint."""
    return two(one, other, "Current", more)


def swap(*names: str) -> tuple[tuple[str, str], ...]:
    """Two rows of a board trade places."""
    one, other = names
    return ((one, "@@"), (other, one), ("@@", other))


OUTSIDE = (
    "= base connectors\nConnector,Role,Contacts\nJ1,outside,2\n= base contacts\nSignal,Direction,Level\nGND,ground\n"
)
THREE = (
    "= base contacts\nSignal,Direction,Level,Current\nGND,ground\nVIN,supply out,{volts},1 A\n"
    "= mid contacts\nConnector,Contact,Signal,Direction,Level,Current\n"
    "J1,1,GND,ground\nJ1,2,VIN,supply in,{volts},0.1 A\nJ2,1,GND,ground\nJ2,2,VIN,supply out,{volts},0.5 A\n"
    "= top contacts\nSignal,Direction,Level,Current\nGND,ground\nVIN,supply in,5 V,0.2 A\n"
    "= joints\nbase.J1 mid.J1\nmid.J2 top.J1"
)

# The supply ranges that standards publish for a nominal voltage, as (V, lowest, highest, source).
PUBLISHED = (
    (3.3, 3.0, 3.6, "JESD8C.01"),
    (2.5, 2.3, 2.7, "JESD8-5A.01"),
    (1.8, 1.65, 1.95, "JESD8-7A"),
    (5.0, 4.75, 5.25, "74 series TTL, recommended operating conditions; from memory"),
)


def nominal(given: float, stated: float, answer: Answer, source: str = PRACTICE) -> Case:
    """A source of ``given`` V into a board that states a nominal voltage and no range."""
    return Case(
        f"{given:g} V into a board that states {stated:g} V",
        rail(f"VIN,supply out,{given:g} V,1 A", f"VIN,supply in,{stated:g} V,0.2 A"),
        answer,
        VOLTS if answer is not FITS else (),
        (volts(given - stated),) if answer is not FITS else (),
        source,
        needs="a range" if answer is TELL else "",
    )


def _nominals() -> Iterator[Case]:
    """5 % is what anybody calls that voltage; beyond, a published range is care, nothing published nobody can tell."""
    for stated, low, high, source in PUBLISHED:
        for edge in (low, high):
            beyond = edge + (0.01 if edge > stated else -0.01)
            yield nominal(edge, stated, FITS if abs(edge - stated) <= 0.0501 * stated else CARE, source)
            yield nominal(round(beyond, 3), stated, TELL, source)
        yield nominal(round(stated * 1.11, 2), stated, HAZARD)
        yield nominal(round(stated * 0.89, 2), stated, BREAK)
    yield nominal(12.6, 12, FITS)
    yield nominal(12.9, 12, TELL)
    yield nominal(13.3, 12, HAZARD)
    yield Case(
        "5.4 V into a board that states 4.5 to 5.5 V",
        rail("VIN,supply out,5.4 V,1 A", "VIN,supply in,4.5-5.5 V,0.2 A"),
        FITS,
    )


CASES = (
    *_nominals(),
    Case(
        "14.4 V into a board built for 12.6 V",
        rail("BATT,supply out,14.4 V,1 A", "BATT,supply in,12.6 V,1 A"),
        HAZARD,
        VOLTS,
        (volts(14.4 - 12.6),),
    ),
    Case(
        "12.6 V into a board built for 14.4 V is too little",
        rail("BATT,supply out,12.6 V,1 A", "BATT,supply in,14.4 V,1 A"),
        BREAK,
        VOLTS,
        (volts(14.4 - 12.6),),
    ),
    Case("12.6 V into 9 to 36 V", rail("VIN,supply out,12.6 V,1 A", "VIN,supply in,9-36 V,0.2 A"), FITS),
    Case(
        "48 V into 9 to 36 V",
        rail("VIN,supply out,48 V,1 A", "VIN,supply in,9-36 V,0.2 A"),
        HAZARD,
        VOLTS,
        (volts(12),),
    ),
    Case("5.1 V into 5 V ±5 %", rail("+5V,supply out,5.1 V,1 A", "+5V,supply in,5 V ±5 %,0.2 A"), FITS),
    Case("6 V into 5 V ±5 %", rail("+5V,supply out,6 V,1 A", "+5V,supply in,5 V ±5 %,0.2 A"), HAZARD, VOLTS),
    Case("5 V into 4.75 to 5.25 V", rail("+5V,supply out,5 V,1 A", "+5V,supply in,4.75-5.25 V,0.2 A"), FITS),
    Case(
        "a battery of 10.5 to 14.4 V into 9 to 12.6 V",
        rail("BATT,supply out,10.5-14.4 V,1 A", "BATT,supply in,9-12.6 V,0.2 A"),
        HAZARD,
        VOLTS,
        (volts(1.8),),
    ),
    Case(
        "a battery of 9 to 12.6 V into 9 to 36 V",
        rail("BATT,supply out,9-12.6 V,1 A", "BATT,supply in,9-36 V,0.2 A"),
        FITS,
    ),
    Case("+3V3 meets 3V3", rail("+3V3,supply out,3.3 V,1 A", "3V3,supply in,3.3 V,0.2 A"), FITS),
    Case("+5V feeds VCC at 5 V", rail("+5V,supply out,5 V,1 A", "VCC,supply in,5 V,0.2 A"), FITS),
    # Many write in and out for supplies, too (common practice, no source).
    Case("a supply with the direction out", rail("+5V,out,5 V,1 A", "+5V,in,5 V,0.2 A"), FITS),
    Case("12 V out into 5 V", rail("VIN,out,12 V,1 A", "VIN,in,5 V,0.2 A"), HAZARD, VOLTS),
    Case("VBUS feeds +5V", rail("VBUS,supply out,5 V,0.5 A", "+5V,supply in,5 V,0.2 A"), FITS),
    Case(
        "3.3 V meets a 1.8 V rail",
        rail("+3V3,supply out,3.3 V,1 A", "+1V8,supply in,1.8 V,0.2 A"),
        HAZARD,
        (*VOLTS, *CLASH),
    ),
    Case(
        "−12 V into a board built for −5 V",
        rail("-12V,supply out,-12 V,0.1 A", "-5V,supply in,-5 V,0.05 A"),
        HAZARD,
        (*VOLTS, *CLASH),
    ),
    Case(
        "−12 V into a board built for −5 V, under one name",
        rail("VEE,supply out,-12 V,0.1 A", "VEE,supply in,-5 V,0.05 A"),
        HAZARD,
        VOLTS,
        (volts(7),),
    ),
    Case(
        "−5 V into a board built for −12 V is too little",
        rail("VEE,supply out,-5 V,0.1 A", "VEE,supply in,-12 V,0.05 A"),
        BREAK,
        VOLTS,
        (volts(7),),
    ),
    Case(
        "a supply of the wrong polarity",
        rail("VAUX,supply out,-5 V,0.1 A", "VAUX,supply in,5 V,0.05 A"),
        HAZARD,
        VOLTS,
    ),
    Case("−12 V meets −12 V", rail("-12V,supply out,-12 V,0.1 A", "-12V,supply in,-12 V,0.05 A"), FITS),
    Case("a supply meets ground", two("+5V,supply out,5 V", "GND,ground"), HAZARD, CLASH),
    Case("12 V meets a receiver", two("+12V,supply out,12 V", "UART_RX,in,3.3 V"), HAZARD, CLASH),
    Case("a supply meets an unused contact", two("+12V,supply out,12 V", "NC"), SOUND),
    Case("an isolated ground meets the system's", two("GND_ISO,ground", "GND,ground"), UNFIT, CLASH),
    Case("an analog ground meets the system's", two("AGND,ground", "GND,ground"), SOUND),
    Case("a power ground meets the system's", two("PGND,ground", "GND,ground"), SOUND),
    Case(
        "two regulators on one rail",
        rail("+3V3,supply out,3.3 V,0.5 A", "+3V3,supply out,3.3 V,0.5 A"),
        UNFIT,
        ("stack-back-feed",),
    ),
    Case(
        "two sources, one behind a diode",
        rail("+5V,supply out,5 V,0.5 A", "+5V,supply out,5 V,0.5 A")
        + '\n= top parts\nDesignator,Value\nD1,Schottky\n= top board\nblocking = { "+5V" = "D1" }',
        CARE,
        ("stack-back-feed",),
    ),
    Case(
        "two sources, each behind a diode",
        rail("+5V,supply out,5 V,0.5 A", "+5V,supply out,5 V,0.5 A")
        + "".join(
            f'\n= {name} parts\nDesignator,Value\nD1,Schottky\n= {name} board\nblocking = {{ "+5V" = "D1" }}'
            for name in ("base", "top")
        ),
        SOUND,
    ),
    Case(
        "the diode is no longer fitted",
        rail("+5V,supply out,5 V,0.5 A", "+5V,supply out,5 V,0.5 A")
        + '\n= top parts\nDesignator,Value,Fitted\nD1,Schottky,yes\n= top board\nblocking = { "+5V" = "D1" }',
        UNFIT,
        ("stack-back-feed",),
        change=(("Schottky,yes", "Schottky,no"),),
    ),
    Case(
        "loads of 0.7 A on a rail of 0.5 A",
        rail("+5V,supply out,5 V,", "+5V,supply in,5 V,")
        + '\n= base board\nfeeds = { "+5V" = "0.5 A" }\nloads = { "+5V" = "0.3 A" }'
        + '\n= top board\nloads = { "+5V" = "0.4 A" }',
        UNFIT,
        ("stack-rail-budget",),
        (amps(0.7),),
    ),
    Case(
        "loads of 0.4 A on a rail of 0.5 A",
        rail("+5V,supply out,5 V,", "+5V,supply in,5 V,")
        + '\n= base board\nfeeds = { "+5V" = "0.5 A" }\nloads = { "+5V" = "0.3 A" }'
        + '\n= top board\nloads = { "+5V" = "0.1 A" }',
        FITS,
    ),
    Case(
        "a rail that both boards take and none feeds",
        rail("+3V3,supply in,3.3 V,0.1 A", "+3V3,supply in,3.3 V,0.1 A"),
        TOLD,
        ("stack-rail-unfed",),
    ),
    Case(
        "supply and ground trade places on one board",
        rail("+5V,supply out,5 V,1 A", "+5V,supply in,5 V,0.1 A"),
        HAZARD,
        CLASH,
        change=(("GND,ground\n+5V,supply out,5 V,1 A", "+5V,supply out,5 V,1 A\nGND,ground"),),
    ),
    Case(
        "supply and ground trade places on both boards: old and new do not mix",
        rail("+5V,supply out,5 V,1 A", "+5V,supply in,5 V,0.1 A"),
        HAZARD,
        CLASH,
        change=(
            ("GND,ground\n+5V,supply out,5 V,1 A", "+5V,supply out,5 V,1 A\nGND,ground"),
            ("GND,ground\n+5V,supply in,5 V,0.1 A", "+5V,supply in,5 V,0.1 A\nGND,ground"),
        ),
    ),
    Case(
        "a supply renamed with its voltage kept",
        rail("+5V,supply out,5 V,1 A", "+5V,supply in,5 V,0.1 A"),
        FITS,
        change=(("+5V,supply out", "5V0,supply out"),),
    ),
    Case(
        "a supply renamed with another voltage",
        rail("+5V,supply out,5 V,1 A", "+5V,supply in,5 V,0.1 A"),
        HAZARD,
        (*VOLTS, *CLASH),
        change=(("+5V,supply out,5 V", "+12V,supply out,12 V"),),
    ),
    Case(
        "a supply corrected by 1 %",
        rail("+5V,supply out,5 V,1 A", "+5V,supply in,5 V,0.1 A"),
        FITS,
        change=(("supply out,5 V", "supply out,5.05 V"),),
    ),
    Case(
        "a battery of another chemistry: 12.6 V becomes 14.4 V",
        rail("BATT,supply out,12.6 V,1 A", "BATT,supply in,12.6 V,0.1 A"),
        HAZARD,
        VOLTS,
        (volts(1.8),),
        change=(("supply out,12.6 V", "supply out,14.4 V"),),
    ),
    Case(
        "a battery of another chemistry into a board that takes it",
        rail("BATT,supply out,12.6 V,1 A", "BATT,supply in,9-36 V,0.1 A"),
        FITS,
        change=(("supply out,12.6 V", "supply out,14.4 V"),),
    ),
    Case(
        "a signal that leaves the board becomes 12 V",
        OUTSIDE + "LINE,in,3.3 V",
        HAZARD,
        CABLE,
        change=(("LINE,in,3.3 V", "+12V,supply out,12 V"),),
    ),
    Case(
        "a signal that leaves the board becomes another signal",
        OUTSIDE + "LINE,in,3.3 V",
        SOUND,
        change=(("LINE,in,3.3 V", "LINE_A,in,3.3 V"),),
    ),
    Case(
        "a supply that leaves the board gets another voltage",
        OUTSIDE + "+5V,supply out,5 V",
        HAZARD,
        CABLE,
        change=(("+5V,supply out,5 V", "+12V,supply out,12 V"),),
    ),
    Case(
        "a supply that leaves the board gets another name",
        OUTSIDE + "+5V,supply out,5 V",
        SOUND,
        change=(("+5V,supply out,5 V", "USB_5V,supply out,5 V"),),
    ),
    Case(
        "a supply that leaves the board becomes ground",
        OUTSIDE + "+5V,supply out,5 V",
        HAZARD,
        CABLE,
        change=(("+5V,supply out,5 V", "GND,ground"),),
    ),
    Case("12 V through a middle board into a top built for 5 V", THREE.format(volts="12 V"), HAZARD, VOLTS),
    Case("5 V through a middle board", THREE.format(volts="5 V"), FITS),
)
