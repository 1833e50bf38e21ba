"""Shared buses. Source of the windows: UM10204, section 7.1 (NXP); TI SLVA689; reserved addresses UM10204, 3.1.12."""

from __future__ import annotations

from tests.judge.designs.case import BREAK, CARE, FITS, HAZARD, SOUND, TELL, TOLD, UNFIT, Case
from tests.judge.designs.drive import three
from tests.judge.designs.worked import farads, least_pull, most_pull, ohms, parallel

PULL = ("stack-bus-pull",)
NONE = ("stack-bus-pull", "stack-open-drain-pull")
ADDRESS = ("stack-bus-address",)
UM = "UM10204, section 7.1"


def bus(
    one: str,
    other: str,
    level: str = "3.3 V",
    speed: str = "100 kHz",
    capacitance: tuple[str, str] = ("50 pF", "50 pF"),
    addresses: tuple[str, str] = ("", ""),
) -> str:
    """An I2C bus over a joint, with the pulls of both boards."""
    found = []
    for name, pull, farad, at in zip(("base", "top"), (one, other), capacitance, addresses, strict=True):
        rows = "\n".join(f"{signal},open drain,{level},{pull}" for signal in ("SCL", "SDA"))
        found.append(f"= {name} contacts\nSignal,Direction,Level,Pull\nGND,ground\n{rows}")
        listed = f', addresses = ["{at}"]' if at else ""
        found.append(f'= {name} board\nbuses = {{ sensors = {{ capacitance = "{farad}"{listed} }} }}')
    return "\n".join((*found, f'= manifest\n[buses.sensors]\nsignals = ["SCL", "SDA"]\nspeed = "{speed}"'))


CASES = (
    Case(
        "1k5 on both boards",
        bus("up 1k5", "up 1k5"),
        BREAK,
        PULL,
        (ohms(parallel(1500, 1500)), ohms(least_pull(3.3))),
        UM,
    ),
    Case("4k7 on both boards", bus("up 4k7", "up 4k7"), FITS, source=UM),
    Case(
        "1k8 and 2k2",
        bus("up 1k8", "up 2k2"),
        FITS,
        source=f"{UM}: {parallel(1800, 2200):.0f} Ω > {least_pull(3.3):.0f} Ω",
    ),
    Case("one board pulls up, the other doesn't", bus("up 4k7", "no"), FITS, source=UM),
    Case("no board pulls up", bus("no", "no"), UNFIT, NONE, source=UM),
    Case("nothing is said of pulls", bus("", ""), TELL, needs="Pull", source=UM),
    Case(
        "2 kΩ on each of two boards at 5 V",
        bus("up 2k", "up 2k", "5 V"),
        BREAK,
        PULL,
        (ohms(1000), ohms(least_pull(5))),
        UM,
    ),
    Case("4k7 on each of two boards at 5 V", bus("up 4k7", "up 4k7", "5 V"), FITS, source=UM),
    Case(
        "1k on both boards at 1.8 V, where 2 mA is all a device sinks",
        bus("up 1k", "up 1k", "1.8 V"),
        BREAK,
        PULL,
        (ohms(500), ohms(least_pull(1.8, 0.002))),
        f"{UM}: VOL 0.2 VDD; 2 mA at 2 V and below from memory",
    ),
    Case("2k2 on both boards at 1.8 V", bus("up 2k2", "up 2k2", "1.8 V"), FITS, source=UM),
    Case(
        "4k7 alone is too weak for 200 pF at 400 kHz",
        bus("up 4k7", "no", speed="400 kHz", capacitance=("100 pF", "100 pF")),
        BREAK,
        PULL,
        (ohms(most_pull(300e-9, 200e-12)),),
        UM,
    ),
    Case(
        "2k2 and 4k7 do for 200 pF at 400 kHz",
        bus("up 2k2", "up 4k7", speed="400 kHz", capacitance=("100 pF", "100 pF")),
        FITS,
        source=UM,
    ),
    Case(
        "10k is too weak for 150 pF at 100 kHz",
        bus("up 10k", "no", capacitance=("75 pF", "75 pF")),
        BREAK,
        PULL,
        (ohms(most_pull(1e-6, 150e-12)),),
        UM,
    ),
    Case("10k does for 100 pF at 100 kHz", bus("up 10k", "no"), FITS, source=UM),
    Case(
        "450 pF in all",
        bus("up 2k2", "up 4k7", capacitance=("200 pF", "250 pF")),
        BREAK,
        ("stack-bus-capacitance",),
        (farads(450e-12), farads(400e-12)),
        f"{UM}: 400 pF",
    ),
    Case("390 pF in all", bus("up 2k2", "up 4k7", capacitance=("190 pF", "200 pF")), SOUND, source=UM),
    Case(
        "no resistor fits 400 pF at 400 kHz and 3.3 V",
        bus("up 1k", "no", speed="400 kHz", capacitance=("200 pF", "200 pF")),
        BREAK,
        PULL,
        source=UM,
    ),
    Case(
        "240 Ω with 550 pF at 1 MHz and 5 V",
        bus("up 240R", "no", "5 V", "1 MHz", ("275 pF", "275 pF")),
        SOUND,
        source=f"{UM}: 230 to 257 Ω",
    ),
    Case(
        "three boards with 2k2 each",
        three(*["SDA,open drain,3.3 V,,up 2k2"] * 3),
        BREAK,
        PULL,
        (ohms(parallel(2200, 2200, 2200)),),
        UM,
    ),
    Case("three boards with 10k each", three(*["SDA,open drain,3.3 V,,up 10k"] * 3), FITS, source=UM),
    Case(
        "two devices at 0x48",
        bus("up 4k7", "no", addresses=("0x48", "0x48")),
        BREAK,
        ADDRESS,
    ),
    Case("devices at 0x48 and 0x49", bus("up 4k7", "no", addresses=("0x48", "0x49")), FITS),
    Case("0x48 written as 48h and 72", bus("up 4k7", "no", addresses=("0x48", "48h")), BREAK, ADDRESS),
    Case(
        "a reserved address",
        bus("up 4k7", "no", addresses=("0x78", "0x48")),
        CARE,
        ("stack-bus-reserved-address",),
        source="UM10204, 3.1.12: 0x78 to 0x7F",
    ),
    Case(
        "the last address of seven bits is reserved, too",
        bus("up 4k7", "no", addresses=("0x7F", "0x48")),
        CARE,
        ("stack-bus-reserved-address",),
        source="UM10204, 3.1.12: 0x78 to 0x7F",
    ),
    Case(
        "an address that can't have seven bits",
        bus("up 4k7", "no", addresses=("0x80", "0x48")),
        SOUND,
        needs="a 7-bit address",
        source="UM10204, 3.1.10: seven bits, and the direction bit behind them",
    ),
    Case("the last free address", bus("up 4k7", "no", addresses=("0x77", "0x48")), FITS, source="UM10204, 3.1.12"),
    Case(
        "pull-ups to 5 V and to 3.3 V on one bus",
        bus("up 4k7", "up 4k7")
        .replace("= base contacts", "= base contacts", 1)
        .replace(
            "SCL,open drain,3.3 V,up 4k7\nSDA,open drain,3.3 V,up 4k7\n= base board",
            "SCL,open drain,5 V,up 4k7\nSDA,open drain,5 V,up 4k7\n= base board",
        ),
        TOLD,
        ("stack-bus-rails", "stack-overvoltage"),
        source="TI SLVA689; UM10204: one bus, one pull-up supply",
    ),
    Case(
        "a board gets pull-ups of its own",
        bus("up 1k5", "no"),
        BREAK,
        PULL,
        (ohms(750),),
        UM,
        change=(("3.3 V,no", "3.3 V,up 1k5"),),
    ),
    Case(
        "a board gets weak pull-ups of its own",
        bus("up 4k7", "no"),
        FITS,
        source=UM,
        change=(("3.3 V,no", "3.3 V,up 10k"),),
    ),
    Case(
        "the only pull-ups go",
        bus("up 4k7", "no"),
        UNFIT,
        NONE,
        source=UM,
        change=(("3.3 V,up 4k7", "3.3 V,no"),),
    ),
    Case(
        "a sensor moves to the address of another",
        bus("up 4k7", "no", addresses=("0x48", "0x49")),
        BREAK,
        ADDRESS,
        change=(('addresses = ["0x49"]', 'addresses = ["0x48"]'),),
    ),
    Case(
        "a sensor moves to a free address, and nothing talks to it",
        bus("up 4k7", "no", addresses=("0x48", "0x49")),
        SOUND,
        change=(('addresses = ["0x49"]', 'addresses = ["0x4A"]'),),
    ),
    Case(
        "one device told in two tables",
        bus("up 4k7", "no", addresses=("0x48", "0x49"))
        + "\n= base parts\nDesignator,Value,Software,Address\nU5,sensor,thermometer,0x48",
        FITS,
    ),
    Case(
        "a controller's pin map names the devices it talks to",
        bus("up 4k7", "no", addresses=("0x48", "0x49"))
        + "\n= base pins\nSignal,Direction,Level,Function,Address\n"
        + "SCL,open drain,3.3 V,I2C1_SCL,\nSDA,open drain,3.3 V,I2C1_SDA,0x48 0x49",
        SOUND,
    ),
    Case(
        "5 V pull-ups added to a bus of parts that stand 3.6 V",
        "= base contacts\nSignal,Direction,Level,Pull,Maximum\nGND,ground\nSDA,open drain,3.3 V,up 10k,3.6 V\n"
        "= top contacts\nSignal,Direction,Level,Pull\nGND,ground\nSDA,open drain,3.3 V,no",
        HAZARD,
        ("stack-overvoltage", "stack-bus-rails"),
        change=(("SDA,open drain,3.3 V,no", "SDA,open drain,5 V,up 4k7"),),
    ),
)
