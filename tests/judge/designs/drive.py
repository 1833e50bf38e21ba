"""Who drives a signal.

Currents between two outputs: the supply over the series resistance, the cautious bound; 25 mA for a pin: STM32F405 data
sheet, DocID022152, and 74HC data sheets.
"""

from __future__ import annotations

from tests.judge.designs.case import CARE, FITS, HAZARD, PRACTICE, SOUND, TOLD, UNFIT, Case
from tests.judge.designs.notation import two
from tests.judge.designs.worked import amps

DRIVERS = ("stack-two-drivers",)
SHEET = "STM32F405 data sheet, DocID022152: 25 mA for a pin"


def wire(one: str, other: str, columns: str = "Drive,Pull,Function") -> str:
    """One signal over a joint."""
    return two(f"D,{one}", f"D,{other}", columns)


def pins(resistor: str) -> str:
    """Controllers on both boards that drive one wire over a resistor."""
    rows = f"Signal,Direction,Level,Series resistance\nD,out,3.3 V,{resistor}"
    limits = "".join(f'[controllers.{name}.U1]\noutput_current = "25 mA"\n' for name in ("base", "top"))
    more = f"= base pins\n{rows}\n= top pins\nSignal,Direction,Level\nD,out,3.3 V\n= manifest\n{limits}"
    return two("D,out,3.3 V", "D,out,3.3 V", "", more)


def three(base: str, mid: str, top: str, columns: str = "Drive,Pull,Function") -> str:
    """Two boards on one base, with all rows that a base and they have."""
    tables = (("base", base), ("mid", mid), ("top", top))
    return "\n".join(
        f"= {name} contacts\nSignal,Direction,Level,{columns}\nGND,ground\n{rows}" for name, rows in tables
    )


CASES = (
    Case("an output meets an output", wire("out,3.3 V", "out,3.3 V"), UNFIT, DRIVERS),
    Case("an output meets an input", wire("out,3.3 V", "in,3.3 V"), FITS),
    Case(
        "an output meets an open drain",
        wire("out,3.3 V", "open drain,3.3 V,,no"),
        TOLD,
        DRIVERS,
        source="UM10204, 3.1.1; a clock that no target stretches may be driven both ways",
    ),
    Case(
        "a clock driven both ways meets an open drain",
        two("SCL,out,3.3 V", "SCL,open drain,3.3 V"),
        SOUND,
        source="UM10204",
    ),
    Case("two open drains with a pull-up", wire("open drain,3.3 V,,up 4k7", "open drain,3.3 V,,no"), FITS),
    Case(
        "two open drains without a pull-up",
        wire("open drain,3.3 V,,no", "open drain,3.3 V,,no"),
        TOLD,
        ("stack-open-drain-pull", "stack-bus-pull"),
    ),
    Case("an output meets one that lets go", wire("out,3.3 V,tri-state", "out,3.3 V,tri-state"), SOUND),
    Case("bidirectional on both", wire("bidirectional,3.3 V", "bidirectional,3.3 V"), FITS),
    Case("an output through a passive board", wire("out,3.3 V", "passive"), SOUND),
    Case("two outputs over 100 Ω", pins("100R"), HAZARD, DRIVERS, (amps(3.3 / 100),), SHEET),
    Case(
        "two outputs over 330 Ω: the level is undefined, nothing burns",
        pins("330R"),
        CARE,
        DRIVERS,
        (amps(0.01),),
        SHEET,
    ),
    Case(
        "receive meets receive, if no third board drives it",
        two("UART_RX,in,3.3 V", "UART_RX,in,3.3 V"),
        TOLD,
        ("stack-no-driver",),
    ),
    Case("transmit meets transmit", two("UART_TX,out,3.3 V", "UART_TX,out,3.3 V"), UNFIT, DRIVERS),
    Case("transmit meets receive", two("UART_TX,out,3.3 V", "UART_RX,in,3.3 V"), FITS),
    Case(
        "GPS_TXD meets UART0_RXD",
        two(("UART0_RXD,in,3.3 V", "UART0_TXD,out,3.3 V"), ("GPS_TXD,out,3.3 V", "GPS_RXD,in,3.3 V")),
        FITS,
    ),
    Case("two analog outputs", two("DAC,analog out,3.3 V", "DAC,analog out,3.3 V"), TOLD, DRIVERS),
    Case("an analog output meets an analog input", two("DAC,analog out,3.3 V", "DAC,analog in,3.3 V"), FITS),
    Case(
        "one select line for two boards",
        three("SPI_CS,out,3.3 V,,,chip select", "SPI_CS,in,3.3 V,,,chip select", "SPI_CS,in,3.3 V,,,chip select"),
        TOLD,
        ("stack-select-shared",),
    ),
    Case(
        "a select line for each board, one clock for both",
        three(
            "SPI_SCK,out,3.3 V\nSPI_CS0,out,3.3 V,,,chip select\nSPI_CS1,out,3.3 V,,,chip select",
            "SPI_SCK,in,3.3 V\nSPI_CS0,in,3.3 V,,,chip select\nNC",
            "SPI_SCK,in,3.3 V\nNC\nSPI_CS1,in,3.3 V,,,chip select",
        ),
        SOUND,
    ),
    Case(
        "two boards push one interrupt line",
        three("nIRQ,in,3.3 V,,up 10k", "nIRQ,out,3.3 V", "nIRQ,out,3.3 V"),
        UNFIT,
        DRIVERS,
    ),
    Case(
        "two boards pull one interrupt line low",
        three("nIRQ,in,3.3 V,,up 10k", "nIRQ,open drain,3.3 V,,no", "nIRQ,open drain,3.3 V,,no"),
        FITS,
    ),
    Case(
        "two boards answer on one line and let go of it",
        three("MISO,in,3.3 V", "MISO,out,3.3 V,tri-state", "MISO,out,3.3 V,tri-state"),
        SOUND,
    ),
    Case("an input becomes an output", wire("in,3.3 V", "out,3.3 V"), UNFIT, DRIVERS, change=(("D,in", "D,out"),)),
    Case("an input becomes bidirectional", wire("in,3.3 V", "out,3.3 V"), SOUND, change=(("D,in", "D,bidirectional"),)),
    Case(
        "an open drain becomes push-pull on a line that the other side pulls low",
        wire("open drain,3.3 V,,up 4k7", "open drain,3.3 V,,no"),
        TOLD,
        DRIVERS,
        change=(("D,open drain,3.3 V,,up 4k7", "D,out,3.3 V,,up 4k7"),),
    ),
    Case(
        "a driver goes, if no third board drives it",
        wire("out,3.3 V", "in,3.3 V"),
        TOLD,
        ("stack-no-driver", "firmware-direction"),
        source=PRACTICE,
        change=(("D,out", "D,in"),),
    ),
    Case(
        "firmware drives a pin that another board drives",
        two(
            "KEY,bidirectional,3.3 V",
            "KEY,out,3.3 V",
            "",
            "= base pins\nSignal,Direction,Level\nKEY,bidirectional,3.3 V\n"
            "= firmware f base\nSignal,Pin,Direction\nKEY,1,out",
        ),
        UNFIT,
        (*DRIVERS, "firmware-output-contention", "firmware-direction"),
    ),
    Case(
        "firmware reads a pin that another board drives",
        two(
            "KEY,bidirectional,3.3 V",
            "KEY,out,3.3 V",
            "",
            "= base pins\nSignal,Direction,Level\nKEY,bidirectional,3.3 V\n"
            "= firmware f base\nSignal,Pin,Direction\nKEY,1,in",
        ),
        SOUND,
    ),
)
