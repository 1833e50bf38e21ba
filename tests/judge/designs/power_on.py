"""Loads and straps while no firmware runs. Levels at rest by Millman's theorem, any handbook of circuits."""

from __future__ import annotations

from tests.judge.designs.case import BREAK, FITS, HAZARD, SOUND, TELL, TOLD, UNFIT, Case
from tests.judge.designs.drive import three
from tests.judge.designs.notation import two
from tests.judge.designs.worked import rest, volts

LEFT_ON = ("stack-power-on-load", "stack-active-level", "firmware-load-left-on", "stack-power-on-drive")
POLARITY = ("stack-active-level", "stack-power-on-load")
STRAP = ("stack-boot-strap", "stack-strap-level", "stack-pull-conflict")
COLUMNS = "Active,Pull,Switches,Power-on"
R18 = "= base parts\nDesignator,Value,Fitted\nR18,10k,{fitted}\n= base board\n"


def gate(one: str, other: str, more: str = "") -> str:
    """A heater on the top board, switched from the base."""
    return two(f"HEAT_EN,out,3.3 V,{one}", f"HEAT_EN,in,3.3 V,{other}", COLUMNS, more)


def own(*rows: str, more: str = "") -> str:
    """One board with a controller."""
    return "\n".join(("= base pins", "Signal,Direction,Level,Active,Pull,Switches", *rows, more))


def strap(one: str, other: str) -> str:
    """A pin that the controller of the base reads at reset, and a board on top with a pull of its own."""
    pins = "= base pins\nSignal,Direction,Level,Purpose\nBOOT1,in,3.3 V,boot strap"
    return two(f"BOOT1,in,3.3 V,{one}", f"BOOT1,passive,3.3 V,{other}", "Pull", pins)


FIRMWARE = own(
    "HEAT_EN,out,3.3 V,high,{pull},heater",
    "KEY,in,3.3 V,low,up 10k",
    more="= firmware f base\nSignal,Pin,Direction,Active\nHEAT_EN,1,out,high\nKEY,2,in,low",
)

CASES = (
    Case(
        "active low and pulled up on the base, active high on the gate",
        gate("low,up 4k7", "high,no,heater"),
        HAZARD,
        LEFT_ON,
    ),
    Case("active low and pulled up on both", gate("low,up 4k7", "low,no,heater"), FITS),
    Case("active high and pulled down", gate("high,no", "high,down 10k,heater"), FITS),
    Case("held off by the base", gate("high,down 10k", "high,no,heater"), FITS),
    Case(
        "100k down loses to 4k7 up",
        gate("high,up 4k7", "high,down 100k,heater"),
        HAZARD,
        LEFT_ON,
        (volts(rest((4700, 3.3), (100_000, 0))),),
    ),
    Case("1k down wins over 100k up", gate("high,up 100k", "high,down 1k,heater"), FITS),
    Case(
        "10k up and 10k down leave the gate in between",
        gate("high,up 10k", "high,down 10k,heater"),
        UNFIT,
        LEFT_ON,
        (volts(1.65),),
    ),
    Case("a heater that nothing holds", gate("high,no", "high,no,heater"), UNFIT, LEFT_ON),
    Case("a heater of which no pull is stated", gate("high,", "high,,heater"), TELL, needs="Pull"),
    Case("an active low heater that nothing holds", gate("low,no", "low,no,heater"), UNFIT, LEFT_ON),
    Case(
        "the heater's board says what it switches in the manifest",
        gate("high,up 4k7", "high,no", '= top board\nswitches = { HEAT_EN = "heater" }'),
        HAZARD,
        LEFT_ON,
    ),
    Case(
        "the heater's board says in the manifest what holds it off",
        gate("high,", "high,", '= top board\nswitches = { HEAT_EN = "heater" }\npulls = { HEAT_EN = "down 10k" }'),
        SOUND,
    ),
    Case(
        "driven high at power-on against the load's pull-down",
        gate("high,no,,high", "high,down 10k,heater"),
        HAZARD,
        LEFT_ON,
    ),
    Case("released at power-on", gate("high,no,,high impedance", "high,down 10k,heater"), FITS),
    Case("driven low at power-on", gate("high,no,,low", "high,down 10k,heater"), FITS),
    Case(
        "a third board pulls the heater on",
        three(
            "HEAT_EN,out,3.3 V,high,no",
            "HEAT_EN,passive,3.3 V,,up 1k",
            "HEAT_EN,in,3.3 V,high,down 10k,heater",
            COLUMNS,
        ),
        HAZARD,
        LEFT_ON,
        (volts(rest((1000, 3.3), (10_000, 0))),),
    ),
    Case(
        "a third board pulls the heater off",
        three(
            "HEAT_EN,out,3.3 V,high,no",
            "HEAT_EN,passive,3.3 V,,down 1k",
            "HEAT_EN,in,3.3 V,high,down 10k,heater",
            COLUMNS,
        ),
        FITS,
    ),
    Case(
        "a pull-up to 5 V turns a 3.3 V gate on",
        gate("high,up 4k7", "high,down 10k,heater").replace("out,3.3 V", "open drain,5 V").replace("EN,in", "EN,in"),
        HAZARD,
        (*LEFT_ON, "stack-overvoltage"),
    ),
    Case(
        "an inverted status lamp is no hazard", two("LED,out,3.3 V,high", "LED,in,3.3 V,low", COLUMNS), BREAK, POLARITY
    ),
    Case("a status lamp of one polarity", two("LED,out,3.3 V,high", "LED,in,3.3 V,high", COLUMNS), FITS),
    Case(
        "sensors named after motors and valves",
        two(
            ("MOTOR_ENC,in,3.3 V,,no", "VALVE_CLOSED,in,3.3 V,,no"),
            ("MOTOR_ENC,out,3.3 V,,no", "VALVE_CLOSED,out,3.3 V,,no"),
            COLUMNS,
        ),
        FITS,
    ),
    Case(
        "a heater on its own board whose pull-down is not fitted",
        R18.format(fitted="no") + 'pulls = { HEAT_EN = "down 10k R18" }\n' + own("HEAT_EN,out,3.3 V,high,,heater"),
        UNFIT,
        LEFT_ON,
    ),
    Case(
        "a heater on its own board whose pull-down is fitted",
        R18.format(fitted="yes") + 'pulls = { HEAT_EN = "down 10k R18" }\n' + own("HEAT_EN,out,3.3 V,high,,heater"),
        FITS,
    ),
    Case(
        "only the controller's own pull-down holds the heater",
        own("HEAT_EN,out,3.3 V,high,down internal,heater"),
        UNFIT,
        LEFT_ON,
    ),
    Case("a resistor holds the heater", own("HEAT_EN,out,3.3 V,high,down 10k,heater"), FITS),
    Case("a pump active low, pulled up", own("PUMP_EN,out,3.3 V,low,up 10k,pump"), FITS),
    Case("a pump active low, pulled down", own("PUMP_EN,out,3.3 V,low,down 10k,pump"), HAZARD, LEFT_ON),
    Case(
        "the pull-down of a heater is no longer fitted",
        R18.format(fitted="yes") + 'pulls = { HEAT_EN = "down 10k R18" }\n' + own("HEAT_EN,out,3.3 V,high,,heater"),
        UNFIT,
        LEFT_ON,
        change=(("R18,10k,yes", "R18,10k,no"),),
    ),
    Case(
        "the pull-down of a heater becomes 1 MΩ",
        gate("high,no", "high,down 10k,heater"),
        TOLD,
        ("stack-pull-weaker",),
        change=(("down 10k", "down 1M"),),
    ),
    Case(
        "the pull-down of a heater becomes 9.1 kΩ",
        gate("high,no", "high,down 10k,heater"),
        FITS,
        change=(("down 10k", "down 9k1"),),
    ),
    Case(
        "base and gate are turned together: old and new do not mix",
        gate("high,no", "high,down 10k,heater"),
        HAZARD,
        (*LEFT_ON, "firmware-active-level"),
        change=(("out,3.3 V,high,no", "out,3.3 V,low,up 4k7"), ("in,3.3 V,high,down 10k", "in,3.3 V,low,no")),
    ),
    Case(
        "a lamp is turned on one board",
        two("LED,out,3.3 V,high", "LED,in,3.3 V,high", COLUMNS),
        BREAK,
        POLARITY,
        change=(("LED,out,3.3 V,high", "LED,out,3.3 V,low"),),
    ),
    Case(
        "new firmware leaves the heater of the old board alone, which a resistor pulls on",
        FIRMWARE.format(pull="up 10k"),
        HAZARD,
        (*LEFT_ON, "firmware-drives-other-load"),
        change=(
            (
                "HEAT_EN,out,3.3 V,high,up 10k,heater\nKEY,in,3.3 V,low,up 10k",
                "KEY,in,3.3 V,low,up 10k\nHEAT_EN,out,3.3 V,high,down 10k,heater",
            ),
            ("HEAT_EN,1,out,high\nKEY,2,in,low", "KEY,1,in,low\nHEAT_EN,2,out,high"),
        ),
    ),
    Case(
        "a strap of 10k down loses to 4k7 up on the board above",
        strap("down 10k", "up 4k7"),
        UNFIT,
        STRAP,
        (volts(rest((10_000, 0), (4700, 3.3))),),
    ),
    Case("a strap of 1k down wins over 100k up", strap("down 1k", "up 100k"), FITS),
    Case("a strap of 10k down with another 10k down", strap("down 10k", "down 10k"), FITS),
    Case("a strap that nothing pulls", strap("no", "no"), UNFIT, STRAP),
    Case("a strap is pulled the other way", strap("down 10k", "no"), TOLD, STRAP, change=(("down 10k", "up 10k"),)),
    Case("a strap is pulled harder the same way", strap("down 10k", "no"), FITS, change=(("down 10k", "down 4k7"),)),
    Case(
        "a boot pin that the manifest names is pulled the wrong way by another board",
        two(
            "CFG,in,3.3 V,down 10k",
            "CFG,passive,3.3 V,up 1k",
            "Pull",
            "= base pins\nSignal,Direction,Level,Pull\nCFG,in,3.3 V,down 10k\n"
            '= manifest\n[controllers.base.U1]\nboot = ["1"]',
        ),
        UNFIT,
        STRAP,
        (volts(3.0),),
    ),
    Case(
        "a strap stated in its own column is pulled the wrong way by another board",
        two(
            "CFG,in,3.3 V,down 10k",
            "CFG,passive,3.3 V,up 1k",
            "Pull",
            "= base pins\nSignal,Direction,Level,Pull,Strap\nCFG,in,3.3 V,down 10k,low",
        ),
        UNFIT,
        STRAP,
        (volts(3.0),),
    ),
    Case(
        "a strap stated in its own column is left alone by the other board",
        two(
            "CFG,in,3.3 V,down 10k",
            "CFG,passive,3.3 V,no",
            "Pull",
            "= base pins\nSignal,Direction,Level,Pull,Strap\nCFG,in,3.3 V,down 10k,low",
        ),
        FITS,
    ),
)
