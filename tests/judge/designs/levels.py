"""Levels and what inputs stand.

Sources: JESD8C.01 (3.3 V), JESD8-5A (2.5 V), JESD8-7A (1.8 V), SDLS025B (74LS), 74HC/HCT data sheets; STM32F405 data
sheet DocID022152 (4.0 V, or VDD + 4.0 V where 5 V tolerant, which analog mode is not).
"""

from __future__ import annotations

from tests.judge.designs.case import BREAK, FITS, HAZARD, MEMORY, SOUND, TELL, Case
from tests.judge.designs.notation import two
from tests.judge.designs.worked import rest, volts

LOGIC = ("stack-logic-level",)
OVER = ("stack-overvoltage", "firmware-pin-overstressed")
JEDEC = "JESD8C.01; 74HC data sheets: inputs at 0.3 and 0.7 of the supply"
RAILS = ("+5V,supply out,5 V,,,1 A", "+5V,supply in,5 V,,,0.1 A")


def wire(one: str, other: str, columns: str = "Family,Maximum,5V tolerant,Pull") -> str:
    """One signal D over a joint."""
    return two(f"D,{one}", f"D,{other}", columns)


CASES = (
    Case(
        "3.3 V LVTTL drives a 5 V HC input",
        wire("out,3.3 V,LVTTL", "in,5 V,HC"),
        BREAK,
        LOGIC,
        (volts(2.4 - 0.7 * 5),),
        JEDEC,
    ),
    Case("3.3 V LVTTL drives a 5 V HCT input", wire("out,3.3 V,LVTTL", "in,5 V,HCT"), FITS, source=JEDEC),
    Case(
        "74LS drives a 5 V CMOS input",
        wire("out,5 V,LS", "in,5 V,CMOS"),
        BREAK,
        LOGIC,
        (volts(2.7 - 3.5),),
        "SDLS025B",
    ),
    Case("74LS drives a TTL input", wire("out,5 V,LS", "in,5 V,TTL"), FITS, source="SDLS025B"),
    Case(
        "HC at 3.3 V drives HC at 5 V: outputs scale with their supply",
        wire("out,3.3 V,HC", "in,5 V,HC"),
        BREAK,
        LOGIC,
        source=JEDEC,
    ),
    Case("HC at 3.3 V drives HC at 3.3 V", wire("out,3.3 V,HC", "in,3.3 V,HC"), FITS, source=JEDEC),
    Case(
        "1.8 V drives 3.3 V LVTTL",
        wire("out,1.8 V", "in,3.3 V,LVTTL"),
        BREAK,
        LOGIC,
        source="JESD8-7A, JESD8C.01",
    ),
    Case("1.8 V drives 1.8 V", wire("out,1.8 V", "in,1.8 V"), FITS, source="JESD8-7A"),
    Case(
        "2.5 V just reaches 3.3 V LVTTL",
        wire("out,2.5 V", "in,3.3 V,LVTTL"),
        SOUND,
        source="JESD8-5A: 2.0 V at 1 mA; JESD8C.01: 2.0 V",
    ),
    Case(
        "5 V HC into 3.3 V stated not to be tolerant",
        wire("out,5 V,HC", "in,3.3 V,LVTTL,,no"),
        HAZARD,
        OVER,
        source=JEDEC,
    ),
    Case("5 V HC into a tolerant input", wire("out,5 V,HC", "in,3.3 V,LVTTL,,yes"), FITS, source=JEDEC),
    Case(
        "5 V HC into 3.3 V of which nothing is stated",
        wire("out,5 V,HC", "in,3.3 V,LVTTL"),
        TELL,
        needs="5V tolerant",
        source=JEDEC,
    ),
    Case("5 V into a maximum of 3.6 V", wire("out,5 V,HCT", "in,3.3 V,LVTTL,3.6 V"), HAZARD, OVER, (volts(1.4),)),
    Case("5 V into a maximum of 5.5 V", wire("out,5 V,HCT", "in,3.3 V,LVTTL,5.5 V"), FITS),
    Case(
        "3.3 V into a 1.8 V part that stands 2.1 V", wire("out,3.3 V", "in,1.8 V,,2.1 V"), HAZARD, OVER, (volts(1.2),)
    ),
    Case("3.3 V into a 1.8 V part that stands 3.6 V", wire("out,3.3 V", "in,1.8 V,,3.6 V"), FITS, source="JESD8-7A"),
    Case("5 V from a bidirectional side", wire("bidirectional,5 V", "bidirectional,3.3 V,,3.6 V"), HAZARD, OVER),
    Case("3.3 V both ways", wire("bidirectional,3.3 V", "bidirectional,3.3 V,,3.6 V"), FITS),
    Case("5 V from an analog output", wire("analog out,5 V", "analog in,3.3 V,,3.6 V"), HAZARD, OVER),
    Case("2.5 V from an analog output", wire("analog out,2.5 V", "analog in,3.3 V,,3.6 V"), FITS),
    Case(
        "an open drain pulled up to 5 V by the partner",
        wire("open drain,3.3 V,,3.6 V,,no", "open drain,5 V,,,,up 4k7"),
        HAZARD,
        OVER,
    ),
    Case(
        "an open drain of a 5 V board pulled up to 3.3 V by the reader",
        wire("open drain,5 V,,,,no", "in,3.3 V,,3.6 V,,up 10k"),
        SOUND,
    ),
    Case(
        "a pull-up to 5 V that only the manifest states",
        two(
            ("SDA,open drain,3.3 V", "+5V,supply out,5 V,,1 A"),
            ("SDA,open drain,3.3 V,3.6 V", "+5V,supply in,5 V,,0.1 A"),
            "Maximum,Current",
            '= base board\npulls = { SDA = "up 4k7 to +5V" }',
        ),
        HAZARD,
        OVER,
    ),
    Case(
        "a pull-up to 3.3 V that only the manifest states",
        two(
            ("SDA,open drain,3.3 V", "+3V3,supply out,3.3 V,,1 A"),
            ("SDA,open drain,3.3 V,3.6 V", "+3V3,supply in,3.3 V,,0.1 A"),
            "Maximum,Current",
            '= base board\npulls = { SDA = "up 4k7 to +3V3" }',
        ),
        FITS,
    ),
    Case(
        "5 V into a controller that stands 4.0 V",
        two("FLOW,out,5 V,HCT", "FLOW,in,3.3 V,LVTTL", "Family", "= top pins\nSignal,Direction,Level\nFLOW,in,3.3 V")
        + '\n= manifest\n[controllers.top.U1]\ninput_limit = "4.0 V"',
        HAZARD,
        OVER,
        (volts(1.0),),
        "STM32F405 data sheet, DocID022152",
    ),
    Case(
        "5 V into a tolerant pin of a controller",
        two(
            "FLOW,out,5 V,HCT",
            "FLOW,in,3.3 V,LVTTL",
            "Family",
            "= top pins\nSignal,Direction,Level,5V tolerant\nFLOW,in,3.3 V,yes",
        )
        + '\n= manifest\n[controllers.top.U1]\ninput_limit = "4.0 V"\ntolerant_limit = "5.5 V"',
        FITS,
        source="STM32F103 data sheet: 5.5 V for tolerant pins",
    ),
    Case(
        "a tolerant pin that measures is not tolerant",
        two(
            "VBAT_SENSE,analog out,5 V",
            "VBAT_SENSE,analog in,3.3 V",
            "",
            "= top pins\nSignal,Direction,Level,5V tolerant\nVBAT_SENSE,analog in,3.3 V,yes",
        )
        + '\n= manifest\n[controllers.top.U1]\ninput_limit = "4.0 V"\ntolerant_limit = "5.5 V"',
        HAZARD,
        OVER,
        source="STM32F405 data sheet, DocID022152: no tolerance in analog mode",
    ),
    Case(
        "a margin of 0.4 V where the design asks for 0.5 V",
        wire("out,3.3 V,LVTTL", "in,5 V,HCT") + '\n= manifest\n[stacking]\nnoise_margin = "0.5 V"',
        BREAK,
        LOGIC,
        source=JEDEC,
    ),
    Case(
        "a margin of 0.4 V where the design asks for 0.3 V",
        wire("out,3.3 V,LVTTL", "in,5 V,HCT") + '\n= manifest\n[stacking]\nnoise_margin = "0.3 V"',
        FITS,
        source=JEDEC,
    ),
    Case(
        "pull-ups to 5 V and to 3.3 V meet",
        wire("open drain,3.3 V,,3.6 V,,up 4k7", "open drain,5 V,,,,up 4k7"),
        HAZARD,
        (*OVER, "stack-bus-rails"),
        source=f"Millman: {rest((4700, 3.3), (4700, 5)):.2f} V",
    ),
    Case(
        "a 3.3 V output becomes 5 V",
        wire("out,3.3 V", "in,3.3 V,,3.6 V"),
        HAZARD,
        OVER,
        change=(("D,out,3.3 V", "D,out,5 V"),),
    ),
    Case(
        "3.3 V written as 3300 mV",
        wire("out,3.3 V", "in,3.3 V,,3.6 V"),
        FITS,
        change=(("D,out,3.3 V", "D,out,3300 mV"),),
    ),
    Case(
        "an input loses its tolerance of 5 V",
        wire("out,5 V,HCT", "in,3.3 V,LVTTL,,yes"),
        HAZARD,
        OVER,
        change=(("LVTTL,,yes", "LVTTL,,no"),),
    ),
    Case(
        "an input becomes tolerant of 5 V",
        wire("out,3.3 V,LVTTL", "in,3.3 V,LVTTL,,no"),
        FITS,
        change=(("LVTTL,,no", "LVTTL,,yes"),),
    ),
    Case(
        "5 V through a middle board into a top that stands 3.6 V",
        "= base contacts\nSignal,Direction,Level\nGND,ground\nCLK,out,5 V\n"
        "= mid contacts\nConnector,Contact,Signal,Direction,Level\n"
        "J1,1,GND,ground\nJ1,2,CLK,passive\nJ2,1,GND,ground\nJ2,2,CLK,passive\n"
        "= top contacts\nSignal,Direction,Level,Maximum\nGND,ground\nCLK,in,3.3 V,3.6 V\n"
        "= joints\nbase.J1 mid.J1\nmid.J2 top.J1",
        HAZARD,
        OVER,
    ),
    Case(
        "3.3 V through a middle board",
        "= base contacts\nSignal,Direction,Level\nGND,ground\nCLK,out,3.3 V\n"
        "= mid contacts\nConnector,Contact,Signal,Direction,Level\n"
        "J1,1,GND,ground\nJ1,2,CLK,passive\nJ2,1,GND,ground\nJ2,2,CLK,passive\n"
        "= top contacts\nSignal,Direction,Level,Maximum\nGND,ground\nCLK,in,3.3 V,3.6 V\n"
        "= joints\nbase.J1 mid.J1\nmid.J2 top.J1",
        FITS,
    ),
    Case(
        "5 V of a sensor on a pin of its own board",
        "= base pins\nSignal,Direction,Level,5V tolerant\nFLOW,in,5 V,no",
        HAZARD,
        OVER,
        source=f"{MEMORY}: an input that isn't tolerant stands its supply",
    ),
    Case("5 V of a sensor on a tolerant pin", "= base pins\nSignal,Direction,Level,5V tolerant\nFLOW,in,5 V,yes", FITS),
)
