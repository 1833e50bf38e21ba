"""Which signal meets which, by whatever names, in whatever words and order; three boards."""

from __future__ import annotations

from tests.judge.designs.case import FITS, HAZARD, PRACTICE, SOUND, TELL, TOLD, UNFIT, Case
from tests.judge.designs.notation import two

MOVED = ("joint-signal-moved", "joint-signal-clash", "joint-signal-lost", "joint-supply-clash")
RENAMED = ("joint-renamed-one-side", "joint-names-differ")
FOUR = two(
    ("A,out,3.3 V", "B,out,3.3 V", "C,in,3.3 V", "NC"),
    ("A,in,3.3 V", "B,in,3.3 V", "C,out,3.3 V", "NC"),
)
HEATER = two(
    ("HEAT_EN,out,3.3 V,high", "LED,out,3.3 V,high", "+3V3,supply out,3.3 V"),
    ("HEAT_EN,in,3.3 V,high,down 10k,heater", "LED,in,3.3 V,high,no", "+3V3,supply in,3.3 V"),
    "Active,Pull,Switches",
)
GERMAN = (
    "= file base/contacts.csv\nStecker;Kontakt;Netz;Richtung;Pegel\nJ1;1;GND;Masse;\nJ1;2;TAKT;Ausgang;{level}\n"
    "= file top/contacts.csv\nStecker;Kontakt;Netz;Richtung;Pegel;Maximum\n"
    "J1;1;GND;Masse;\nJ1;2;TAKT;Eingang;3,3 V;3,6 V\n"
    '= base board\ncontacts = "base/contacts.csv"\n= top board\ncontacts = "top/contacts.csv"'
)
FRENCH = (
    "= file base/contacts.csv\nConnecteur\tBroche\tSignal\tSens\tTension\n"
    "J1\t1\tGND\tmasse\t\nJ1\t2\tHORLOGE\tsortie\t{level}\n"
    "= file top/contacts.csv\nConnecteur\tBroche\tSignal\tSens\tTension\tMaximum\n"
    "J1\t1\tGND\tmasse\t\t\nJ1\t2\tHORLOGE\tentrée\t3,3 V\t3,6 V\n"
    '= base board\ncontacts = "base/contacts.csv"\n= top board\ncontacts = "top/contacts.csv"'
)
CHINESE = (
    "= file base/contacts.csv\n连接器,引脚,信号,方向,电压\nJ1,1,GND,地,\nJ1,2,VCC,supply out,{level}\n"
    "= file top/contacts.csv\n连接器,引脚,信号,方向,电压\nJ1,1,GND,地,\nJ1,2,VCC,supply in,3.3 V\n"
    '= base board\ncontacts = "base/contacts.csv"\n= top board\ncontacts = "top/contacts.csv"'
)
SPANISH = (
    "= file base/contacts.csv\nConector;Contacto;Señal;Dirección;Tensión\nJ1;1;GND;tierra;\nJ1;2;RELOJ;salida;3,3 V\n"
    "= file top/contacts.csv\nConector;Contacto;Señal;Dirección;Tensión\nJ1;1;GND;tierra;\nJ1;2;RELOJ;{way};3,3 V\n"
    '= base board\ncontacts = "base/contacts.csv"\n= top board\ncontacts = "top/contacts.csv"'
)
CHAIN = (
    "= base contacts\nSignal,Direction,Level\nGND,ground\nCS_A,out,3.3 V\nCS_B,out,3.3 V\n"
    "= mid contacts\nConnector,Contact,Signal,Direction,Level\n"
    "J1,1,GND,ground\nJ1,2,CS_A,in,3.3 V\nJ1,3,CS_B,passive,\n"
    "J2,1,GND,ground\nJ2,2,{two},passive,\nJ2,3,{three},passive,\n"
    "= top contacts\nSignal,Direction,Level\nGND,ground\nNC\nCS_B,in,3.3 V\n"
    "= joints\nbase.J1 mid.J1\nmid.J2 top.J1"
)

CASES = (
    Case(
        "two signals trade places on one board",
        FOUR,
        UNFIT,
        MOVED,
        change=(("A,out,3.3 V\nB,out", "B,out,3.3 V\nA,out"),),
    ),
    Case(
        "two signals trade places on both boards: old and new do not mix",
        FOUR,
        UNFIT,
        MOVED,
        change=(("A,out,3.3 V\nB,out", "B,out,3.3 V\nA,out"), ("A,in,3.3 V\nB,in", "B,in,3.3 V\nA,in")),
    ),
    Case(
        "the second revision of both, by itself",
        FOUR.replace("A,out,3.3 V\nB,out", "B,out,3.3 V\nA,out").replace("A,in,3.3 V\nB,in", "B,in,3.3 V\nA,in"),
        FITS,
    ),
    Case(
        "an input and an output trade places", FOUR, UNFIT, MOVED, change=(("B,out,3.3 V\nC,in", "C,in,3.3 V\nB,out"),)
    ),
    Case(
        "a heater and a lamp trade places on the base",
        HEATER,
        HAZARD,
        (*MOVED, "firmware-drives-other-load"),
        change=(("HEAT_EN,out,3.3 V,high\nLED,out,3.3 V,high", "LED,out,3.3 V,high\nHEAT_EN,out,3.3 V,high"),),
    ),
    Case(
        "a heater and a supply trade places on the base",
        HEATER,
        HAZARD,
        MOVED,
        change=(
            ("HEAT_EN,out,3.3 V,high", "@"),
            ("+3V3,supply out,3.3 V", "HEAT_EN,out,3.3 V,high"),
            ("@", "+3V3,supply out,3.3 V"),
        ),
    ),
    Case("a signal goes that the partner needs", FOUR, UNFIT, MOVED, change=(("A,out,3.3 V", "NC"),)),
    Case("a signal goes on both boards", FOUR, UNFIT, MOVED, change=(("A,out,3.3 V", "NC"), ("A,in,3.3 V", "NC"))),
    Case(
        "a new signal on a contact that nobody used",
        FOUR,
        SOUND,
        change=(("C,in,3.3 V\nNC", "C,in,3.3 V\nE,out,3.3 V"),),
    ),
    Case(
        "a signal added on both boards: the new taker has nothing to take from an old giver",
        FOUR,
        UNFIT,
        MOVED,
        change=(("C,in,3.3 V\nNC", "C,in,3.3 V\nE,out,3.3 V"), ("C,out,3.3 V\nNC", "C,out,3.3 V\nE,in,3.3 V")),
    ),
    Case(
        "a signal moves to a free contact on one board",
        FOUR,
        UNFIT,
        MOVED,
        change=(("C,in,3.3 V\nNC", "NC\nC,in,3.3 V"),),
    ),
    Case("a signal is renamed on both boards", FOUR, FITS, change=(("A,out", "CTRL,out"), ("A,in", "CTRL,in"))),
    Case("a signal is renamed on one board: told, no break", FOUR, TOLD, RENAMED, change=(("A,out", "CTRL,out"),)),
    Case("names in another style", two("SPI-CLK,out,3.3 V", "spi_clk,in,3.3 V"), FITS),
    Case("two names that nothing explains", two("FOO,out,3.3 V", "BAR,in,3.3 V"), TELL),
    Case(
        "two names that the manifest says are one",
        two("FOO,out,3.3 V", "BAR,in,3.3 V", "", '= manifest\n[[known_good]]\nsignals = { "base.FOO" = "top.BAR" }'),
        FITS,
    ),
    Case(
        "two names on boards that the manifest calls good together",
        two("FOO,out,3.3 V", "BAR,in,3.3 V", "", '= manifest\n[[known_good]]\nboards = ["base", "top"]'),
        FITS,
    ),
    Case(
        "each signal is on the contact of the other, on boards that the manifest calls good together",
        two(
            ("A,out,3.3 V", "B,out,3.3 V"),
            ("B,in,3.3 V", "A,in,3.3 V"),
            "",
            '= manifest\n[[known_good]]\nboards = ["base", "top"]',
        ),
        UNFIT,
        MOVED,
    ),
    Case(
        "each signal is on the contact of the other, and the manifest says of each that it belongs there",
        two(
            ("A,out,3.3 V", "B,out,3.3 V"),
            ("B,in,3.3 V", "A,in,3.3 V"),
            "",
            '= manifest\n[[known_good]]\nsignals = { "base.A" = "top.B", "base.B" = "top.A" }',
        ),
        SOUND,
    ),
    Case(
        "each signal is on the contact of the other",
        two(("A,out,3.3 V", "B,out,3.3 V"), ("B,in,3.3 V", "A,in,3.3 V")),
        UNFIT,
        MOVED,
    ),
    Case(
        "rows of a table in another order",
        FOUR,
        FITS,
        change=(
            (
                "= top contacts\nSignal,Direction,Level,\nGND,ground\nA,in,3.3 V\nB,in,3.3 V\nC,out,3.3 V\nNC",
                "= top contacts\nContact,Signal,Direction,Level\n4,C,out,3.3 V\n3,B,in,3.3 V\n"
                "1,GND,ground\n2,A,in,3.3 V\n5,NC",
            ),
        ),
    ),
    Case("German tables: 5 V into 3.6 V", GERMAN.format(level="5 V"), HAZARD, ("stack-overvoltage",)),
    Case("German tables: 3,3 V into 3,6 V", GERMAN.format(level="3,3 V"), FITS),
    Case("French tables: 5 V into 3,6 V", FRENCH.format(level="5 V"), HAZARD, ("stack-overvoltage",)),
    Case("French tables: 3,3 V into 3,6 V", FRENCH.format(level="3,3 V"), FITS),
    Case("Chinese tables: 5 V into 3.3 V", CHINESE.format(level="5V"), HAZARD, ("joint-supply-voltage",)),
    Case("Chinese tables: 3.3 V into 3.3 V", CHINESE.format(level="3.3V"), FITS),
    Case("Spanish tables: an output meets an output", SPANISH.format(way="salida"), UNFIT, ("stack-two-drivers",)),
    Case("Spanish tables: an output meets an input", SPANISH.format(way="entrada"), FITS),
    Case("a middle board crosses two selects", CHAIN.format(two="CS_B", three="CS_A"), UNFIT, (*MOVED, *RENAMED)),
    Case("a middle board passes two selects on", CHAIN.format(two="NC", three="CS_B"), SOUND),
    Case(
        "no joint connects the boards",
        "= base contacts\nSignal,Direction\nGND,ground\n= top contacts\nSignal,Direction\nGND,ground\n= joints",
        TELL,
        needs="joints",
    ),
    Case(
        "nothing is said but names",
        "= base contacts\nSignal\nGND\nFAN\n= top contacts\nSignal\nGND\nFAN",
        TELL,
        needs="Direction",
        source=f"{PRACTICE}; an all-clear needs something that was judged",
    ),
    Case("the same twice", FOUR, FITS, change=(("GND,ground", "GND,ground"),)),
    Case(
        "a remark is added",
        HEATER.replace("Switches", "Switches,Note"),
        FITS,
        change=(("LED,out,3.3 V,high", "LED,out,3.3 V,high,,,green"),),
    ),
    Case(
        "the direction of a lamp is corrected on one board",
        two("LED,,3.3 V", "LED,in,3.3 V"),
        SOUND,
        change=(("LED,,3.3 V", "LED,out,3.3 V"),),
    ),
    Case(
        "a push-pull output takes the place of an input that another board needs",
        two(("RX,in,3.3 V", "TX,out,3.3 V"), ("RX,out,3.3 V", "TX,in,3.3 V")),
        UNFIT,
        (*MOVED, "stack-two-drivers"),
        change=(("RX,in,3.3 V\nTX,out,3.3 V", "TX,out,3.3 V\nRX,in,3.3 V"),),
    ),
)
