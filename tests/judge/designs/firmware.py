"""Released firmware on boards: old on new, new on old."""

from __future__ import annotations

from tests.judge.designs.case import BREAK, FITS, HAZARD, SOUND, TELL, TOLD, UNFIT, Case

PIN = ("firmware-pin-moved", "firmware-drives-other-load", "firmware-signal-lost")
CONTEND = ("firmware-output-contention", "firmware-direction", "firmware-drives-other-load")
BOARD = """
= base pins
Pin,Port,Signal,Function,Direction,Active,Pull,Level,Analog,Switches
1,PA0,LED,GPIO,out,high,,3.3 V
2,PA1,HEAT_EN,GPIO,out,high,down 10k,3.3 V,,heater
3,PA2,KEY,GPIO,in,low,up 10k,3.3 V
4,PA3,DBG_TX,USART2_TX,out,,,3.3 V
5,PA4,VBAT_SENSE,ADC,analog in,,,3.3 V,ADC1_IN4
6,PA5,,,,,,,,
"""
NEEDS = """
= firmware f base
Signal,Pin,Function,Direction,Active,Analog
LED,1,GPIO,out,high
HEAT_EN,2,GPIO,out,high
KEY,3,GPIO,in,low
DBG_TX,4,USART2_TX,out
VBAT_SENSE,5,ADC,analog in,,ADC1_IN4
"""
BOTH = BOARD + NEEDS
SHORT = BOARD + "= firmware f base\nSignal,Pin\nLED,1\nHEAT_EN,2\nKEY,3\n"
CLOCK = BOTH + 'clock = "8 MHz"\n= base parts\nDesignator,Value,Package\nY1,8 MHz,HC49\n'
NAMED_CLOCK = CLOCK + '= manifest\n[controllers.base.U1]\nclock = "Y1"\n'
UNFITTED = (("Package\nY1,8 MHz,HC49", "Package,Fitted\nY1,8 MHz,HC49,no"),)
ADDRESS = (
    BOTH
    + 'addresses = { thermometer = "0x48" }\n= base parts\nDesignator,Value,Part number\nU5,sensor,TS-48\n'
    + '= manifest\n[software.thermometer]\nboard = "base"\npart = "U5"\nby_part_number = { 48 = "0x48", 49 = "0x49" }'
)
RATIO = (
    BOTH
    + 'constants = { ratio = "0.3197" }\n= base parts\nDesignator,Value,Tolerance\nR1,10k,1%\nR2,4k7,1%\n'
    + '= manifest\n[derived.ratio]\nboard = "base"\nformula = "R2 / (R1 + R2)"\nconstant = "ratio"\naccept = "2 %"'
)
ROW1 = "1,PA0,LED,GPIO,out,high,,3.3 V"
ROW2 = "2,PA1,HEAT_EN,GPIO,out,high,down 10k,3.3 V,,heater"
SWAP = ((ROW1, "1,PA0,HEAT_EN,GPIO,out,high,down 10k,3.3 V,,heater"), (ROW2, "2,PA1,LED,GPIO,out,high,,3.3 V"))
SWAPPED_NEEDS = (("LED,1,GPIO", "LED,2,GPIO"), ("HEAT_EN,2,GPIO", "HEAT_EN,1,GPIO"))
EXPANDER = (
    BOTH + "= io contacts\nSignal,Direction,Level\nGND,ground\n= joints\n"
    "= io pins\nPin,Signal,Direction,Level,Pull\n1,SW1,in,3.3 V,up 10k\n2,SW2,in,3.3 V,up 10k\n"
)

CASES = (
    Case("a lamp and a heater trade pins", BOTH, HAZARD, PIN, change=SWAP),
    Case(
        "a lamp and a heater trade pins, firmware with them: old and new do not mix",
        BOTH,
        HAZARD,
        PIN,
        change=(*SWAP, *SWAPPED_NEEDS),
    ),
    Case("a contract without directions takes them from the pin map", SHORT, HAZARD, PIN, change=SWAP),
    Case(
        "no contract: the pin map that the firmware ships with stands in",
        BOARD,
        HAZARD,
        PIN,
        change=SWAP,
    ),
    Case(
        "a lamp moves to a free pin",
        BOTH,
        BREAK,
        PIN,
        change=((ROW1, "1,PA0,,,,,,,,"), ("6,PA5,,,,,,,,", "6,PA5,LED,GPIO,out,high,,3.3 V")),
    ),
    Case(
        "the rows of the pin map in another order",
        BOTH,
        FITS,
        change=((f"{ROW1}\n{ROW2}", f"{ROW2}\n{ROW1}"),),
    ),
    Case(
        "a key takes the pin of a lamp: old firmware drives against the key's switch",
        BOTH,
        UNFIT,
        (*PIN, *CONTEND),
        change=(
            (ROW1, "1,PA0,KEY,GPIO,in,low,up 10k,3.3 V"),
            ("3,PA2,KEY,GPIO,in,low,up 10k,3.3 V", "3,PA2,LED,GPIO,out,high,,3.3 V"),
        ),
    ),
    Case("a lamp is inverted", BOTH, BREAK, ("firmware-active-level",), change=((ROW1, ROW1.replace("high", "low")),)),
    Case(
        "a heater is inverted",
        BOTH,
        HAZARD,
        ("firmware-active-level",),
        change=((ROW2, ROW2.replace("high,down", "low,up")),),
    ),
    Case(
        "a lamp and its firmware are inverted: old and new do not mix",
        BOTH,
        BREAK,
        ("firmware-active-level",),
        change=((ROW1, ROW1.replace("high", "low")), ("LED,1,GPIO,out,high", "LED,1,GPIO,out,low")),
    ),
    Case(
        "a signal that firmware needs goes",
        BOTH,
        UNFIT,
        PIN,
        change=(("4,PA3,DBG_TX,USART2_TX,out,,,3.3 V", "4,PA3,,,,,,"),),
    ),
    Case(
        "the next firmware no longer needs a signal",
        BOTH,
        FITS,
        change=(("DBG_TX,4,USART2_TX,out\n", ""), ("= firmware f base\n", "= firmware f base 2\n")),
    ),
    Case(
        "of one and the same firmware a need is no longer listed",
        BOTH,
        TELL,
        change=(("DBG_TX,4,USART2_TX,out\n", ""),),
        needs="DBG_TX",
    ),
    Case(
        "firmware needs a signal more, which the old board has",
        BOTH.replace("DBG_TX,4,USART2_TX,out\n", ""),
        FITS,
        change=(("VBAT_SENSE,5,ADC", "DBG_TX,4,USART2_TX,out\nVBAT_SENSE,5,ADC"),),
    ),
    Case(
        "firmware needs a signal that the old board hasn't",
        BOTH,
        UNFIT,
        PIN,
        change=(
            ("6,PA5,,,,,,,,", "6,PA5,BEEP,GPIO,out,high,,3.3 V"),
            ("VBAT_SENSE,5,ADC", "BEEP,6,GPIO,out,high\nVBAT_SENSE,5,ADC"),
        ),
    ),
    Case(
        "a free pin is used by a signal that no firmware knows",
        BOTH,
        SOUND,
        change=(("6,PA5,,,,,,,,", "6,PA5,CARD_IN,GPIO,in,low,up 10k,3.3 V"),),
    ),
    Case(
        "a peripheral takes another's place",
        BOTH,
        BREAK,
        ("firmware-function",),
        change=(("4,PA3,DBG_TX,USART2_TX,out", "4,PA3,DBG_TX,USART3_TX,out"),),
    ),
    Case("a peripheral written in small letters", BOTH, FITS, change=(("DBG_TX,USART2_TX", "DBG_TX,usart2_tx"),)),
    Case(
        "a measured signal is on another channel",
        BOTH,
        BREAK,
        ("firmware-analog-channel",),
        change=(("3.3 V,ADC1_IN4", "3.3 V,ADC1_IN5"),),
    ),
    Case(
        "a measured signal on the same channel, written otherwise",
        BOTH,
        SOUND,
        change=(("3.3 V,ADC1_IN4", "3.3 V,adc1_in4"),),
    ),
    Case("an output becomes an input", BOTH, UNFIT, CONTEND, change=((ROW1, ROW1.replace("out", "in")),)),
    Case(
        "a signal is renamed on the board, and firmware goes on with the pin",
        BOTH,
        SOUND,
        change=(("1,PA0,LED,", "1,PA0,LED_STATUS,"),),
    ),
    Case(
        "a signal is renamed on board and firmware",
        BOTH,
        SOUND,
        change=(("LED,GPIO", "STATUS,GPIO"), ("LED,1,GPIO", "STATUS,1,GPIO")),
    ),
    Case("another crystal", CLOCK, BREAK, ("firmware-clock",), change=(("Y1,8 MHz", "Y1,16 MHz"),)),
    Case("a crystal written in kHz", CLOCK, FITS, change=(("Y1,8 MHz", "Y1,8000 kHz"),)),
    Case("the clock of the controller is not fitted", NAMED_CLOCK, BREAK, ("firmware-clock",), change=UNFITTED),
    Case("a crystal of the wanted frequency is not fitted, and may be the clock", CLOCK, TELL, change=UNFITTED),
    Case("the clock's value is blank", NAMED_CLOCK, TELL, change=(("Y1,8 MHz", "Y1,"),), needs="the value of Y1"),
    Case("the clock's value has no unit", NAMED_CLOCK, TELL, change=(("Y1,8 MHz", "Y1,8"),), needs="the value of Y1"),
    Case("a crystal without a frequency may be the clock", CLOCK, TELL, change=(("Y1,8 MHz", "Y1,"),), needs="clock"),
    Case(
        "a second crystal is not fitted",
        CLOCK.replace("Y1,8 MHz,HC49\n", "Y1,8 MHz,HC49\nY2,12 MHz,HC49\n"),
        SOUND,
        change=(("Package\nY1,8 MHz,HC49\nY2,12 MHz,HC49", "Package,Fitted\nY1,8 MHz,HC49,yes\nY2,12 MHz,HC49,no"),),
    ),
    Case("a sensor answers at another address", ADDRESS, BREAK, ("firmware-address",), change=(("TS-48", "TS-49"),)),
    Case("a sensor of another maker at the same address", ADDRESS, SOUND, change=(("TS-48", "ZZ-48"),)),
    Case(
        "a divider no longer gives the firmware's constant",
        RATIO,
        BREAK,
        ("derived-constant", "firmware-constant"),
        source=f"4k7/14k7 = {4.7 / 14.7:.4f}; 5k6/15k6 = {5.6 / 15.6:.4f}",
        change=(("R2,4k7", "R2,5k6"),),
    ),
    Case(
        "the lower resistor of a divider is not fitted",
        RATIO.replace("Tolerance\nR1,10k,1%\nR2,4k7,1%", "Tolerance,Fitted\nR1,10k,1%,yes\nR2,4k7,1%,yes"),
        TELL,
        source="R2 / (R1 + R2) with R2 open: the tap is at the top's voltage, ratio 1 (Kirchhoff's current law)",
        change=(("R2,4k7,1%,yes", "R2,4k7,1%,no"),),
        needs="R2 is not fitted",
    ),
    Case("a resistor of a divider has no value", RATIO, TELL, change=(("R2,4k7", "R2,"),), needs="R2 has no value"),
    Case("a divider in another notation", RATIO, FITS, change=(("R2,4k7", "R2,4.7 kΩ"),)),
    Case(
        "a divider with resistors ten times as large",
        RATIO,
        SOUND,
        change=(("R1,10k", "R1,100k"), ("R2,4k7", "R2,47k")),
    ),
    Case(
        "an expander's inputs trade places: it runs no firmware of its own",
        EXPANDER,
        TOLD,
        (*PIN, "firmware-part-substituted"),
        change=(("1,SW1,in", "1,SW2,in"), ("2,SW2,in", "2,SW1,in")),
    ),
    Case(
        "firmware on a board: 5 V on a pin that it reads",
        BOARD.replace("Switches", "5V tolerant")
        .replace("heater", "")
        .replace("in,low,up 10k,3.3 V", "in,low,no,5 V,,no")
        + NEEDS,
        HAZARD,
        ("firmware-pin-overstressed", "stack-overvoltage"),
    ),
    Case("firmware on the board that it was built for", BOTH, FITS),
    Case("firmware on a board that it wasn't built for", BOTH.replace("LED,1,GPIO", "LED,6,GPIO"), UNFIT, PIN),
    Case(
        "firmware for a board of which no pin map is kept",
        "= base contacts\nSignal,Direction,Level\nGND,ground\nLED,out,3.3 V\n" + NEEDS,
        TELL,
        needs="pins",
    ),
    Case(
        "a load's pull-down goes while firmware starts",
        BOTH,
        UNFIT,
        ("stack-power-on-load", "firmware-load-left-on", "stack-pull-weaker"),
        change=((ROW2, ROW2.replace("down 10k", "no")),),
    ),
    Case(
        "a load's pull-down of equal value in another notation",
        BOTH,
        FITS,
        change=((ROW2, ROW2.replace("10k", "10 kOhm")),),
    ),
)
