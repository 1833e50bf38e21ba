"""What an invented maker's shelf holds: part data by class letter, and names of signals."""

from __future__ import annotations

from decimal import Decimal
from random import Random

from tests.campaign.sheets import Row

E12 = ("1", "1.2", "1.5", "1.8", "2.2", "2.7", "3.3", "3.9", "4.7", "5.6", "6.8", "8.2")
SIZES = ("0402", "0603", "0805", "1206")
POWERS = {"0402": "0.063W", "0603": "0.1W", "0805": "0.125W", "1206": "0.25W"}
MAKERS = ("Tessary", "Bowick", "Helmsloe", "Vessary", "Quillon", "Larkstone")
DEVICES = (
    ("buck regulator", "SOT-23-6"),
    ("linear regulator", "SOT-223"),
    ("bus transceiver", "SO-8"),
    ("gate driver", "SO-8 EP"),
    ("EEPROM", "SO-8"),
    ("shift register", "TSSOP-16"),
    ("current monitor", "SOT-23-5"),
    ("op amp", "SOT-23-5"),
    ("port expander", "TSSOP-24"),
    ("motor driver", "QFN-24"),
    ("temperature sensor", "DFN-6"),
    ("clock", "SO-8"),
)
DIODES = (
    ("schottky", "SMA"),
    ("TVS 15 V", "SMB"),
    ("LED red", "0603"),
    ("LED green", "0603"),
    ("switching", "SOD-323"),
)
TRANSISTORS = (("N-channel MOSFET", "SOT-23"), ("P-channel MOSFET", "SOT-23"), ("NPN", "SOT-323"))
NOTES = ("", "", "", "keep short", "near connector", "test first", "see layout note")
FUNCTIONS = ("VALVE", "PUMP", "LED", "BTN", "HEAT", "FAN", "LAMP", "DOOR", "FLOW", "LEVEL", "ALARM", "RELAY", "ZONE")
SUFFIXES = ("_EN", "_nFAULT", "_PWM", "", "_IN", "_OUT", "_SEL")
SENSES = ("TEMP", "ISENSE", "VBAT_SENSE", "MOIST", "LIGHT", "PRESS")
BUSES = (
    "I2C{}_SDA",
    "I2C{}_SCL",
    "SPI{}_SCK",
    "SPI{}_MISO",
    "SPI{}_MOSI",
    "UART{}_TX",
    "UART{}_RX",
    "CAN{}_H",
    "CAN{}_L",
)


def passive(prefix: str, rng: Random) -> Row:
    """The data of one resistor, capacitor or inductor."""
    size = rng.choice(SIZES)
    figure = rng.choice(E12)
    if prefix == "R":
        return {
            "value": value_text(figure, rng.choice((0, 1, 2, 3, 4, 5))),
            "package": size,
            "tolerance": rng.choice(("1%", "1%", "5%")),
            "power": POWERS[size],
        }
    if prefix == "C":
        power_of_ten = rng.choice((-12, -11, -10, -9, -8, -7, -6, -5))
        dielectric = "C0G" if power_of_ten < -9 else rng.choice(("X7R", "X5R"))
        return {
            "value": value_text(rng.choice(("1", "2.2", "4.7", "3.3")), power_of_ten),
            "package": size,
            "tolerance": "5%" if dielectric == "C0G" else "10%",
            "voltage": rng.choice(("10V", "16V", "25V", "50V")),
            "dielectric": dielectric,
        }
    return {
        "value": value_text(figure, rng.choice((-6, -5, -9))),
        "package": "SMD 4x4",
        "tolerance": "20%",
        "current": rng.choice(("0.5A", "1A", "2A")),
    }


def value_text(figure: str, power: int) -> str:
    """A value such as ``4.7k`` or ``100n``: the figure times a power of ten, with an engineering prefix."""
    number, step = Decimal(figure).scaleb(power), 0
    for candidate in (-12, -9, -6, -3, 0, 3, 6):
        if number >= Decimal(1).scaleb(candidate):
            step = candidate
    letter = {-12: "p", -9: "n", -6: "u", -3: "m", 0: "", 3: "k", 6: "M"}[step]
    return f"{format(number.scaleb(-step).normalize(), 'f')}{letter}"


def other(prefix: str, rng: Random) -> Row:
    """The data of one part that is no passive."""
    if prefix == "D":
        value, package = rng.choice(DIODES)
    elif prefix == "Q":
        value, package = rng.choice(TRANSISTORS)
    elif prefix == "Y":
        return {"value": rng.choice(("8MHz", "12MHz", "16MHz", "32.768kHz")), "package": "SMD 3.2x2.5"}
    elif prefix == "F":
        return {"value": rng.choice(("0.5A", "1A", "2A", "5A")), "package": "1206"}
    elif prefix == "TP":
        return {"value": "test point", "package": "pad 1 mm"}
    else:
        value, package = rng.choice(DEVICES)
    return {"value": value, "package": package}


def piece(prefix: str, rng: Random) -> Row:
    """The data of one part of any class, for boards that have many kinds of each."""
    if prefix in ("R", "C", "L"):
        return passive(prefix, rng)
    if prefix == "FB":
        return {"value": f"{rng.choice((120, 220, 330, 470, 600))}R", "package": rng.choice(SIZES[:3])}
    if prefix == "RN":
        return {"value": f"4x{rng.choice(E12)}k", "package": "SMD 3.2x1.6", "tolerance": "5%"}
    if prefix == "J":
        return {
            "value": f"{rng.choice((1, 2))}x{rng.randrange(2, 40)} {rng.choice(('male', 'female'))}",
            "package": f"THT {rng.choice(('2.54', '2', '1.27', '5.08'))} mm",
        }
    if prefix == "SW":
        return {"value": rng.choice(("button", "slide switch", "rotary switch")), "package": "SMD 6x6"}
    if prefix == "U":
        _, package = rng.choice(DEVICES)
        return {"value": f"{''.join(rng.choices('BHKLTV', k=2))}{rng.randrange(1000, 9999)}", "package": package}
    return other(prefix, rng)


def part_number(prefix: str, data: Row, rng: Random) -> str:
    """A maker's number that follows from what the part is, with a grade the maker chose; another one than before."""
    code = "".join(char for char in data["value"].upper().replace(".", "P") if char.isalnum())[:8]
    size = "".join(char for char in data["package"] if char.isalnum())[:6]
    while True:
        number = f"{prefix}{rng.choice('ABCDEFGHJK')}{code}-{size}{rng.randrange(10, 100)}"
        if number != data.get("part_number"):
            return number


def signal_names(rng: Random, count: int) -> list[str]:
    """Names of signals that a board of this kind would have, no two alike."""
    found: list[str] = []
    for bus in range(1, 3):
        found += [item.format(bus) for item in rng.sample(BUSES, 4)]
    while len(found) < count:
        if rng.random() < 0.2:
            name = f"{rng.choice(SENSES)}_{rng.randrange(1, 9)}"
        else:
            name = f"{rng.choice(FUNCTIONS)}{rng.randrange(1, 9)}{rng.choice(SUFFIXES)}"
        if name not in found:
            found.append(name)
    rng.shuffle(found)
    return found[:count]


def signal_facts(name: str, rng: Random) -> Row:
    """What a controller's pin does with such a signal."""
    if any(name.startswith(item) for item in SENSES):
        return {"function": "ADC", "direction": "analog in", "active": "", "pull": "none"}
    if "_" in name and name.split("_")[0][:3] in ("I2C", "SPI", "UAR", "CAN"):
        direction = "open drain" if name.startswith("I2C") else "in" if name.endswith(("MISO", "RX")) else "out"
        return {"function": name.replace("1_", "2_"), "direction": direction, "active": "", "pull": "none"}
    if name.startswith(("BTN", "FLOW", "LEVEL", "DOOR")) or name.endswith(("_nFAULT", "_IN")):
        return {
            "function": rng.choice(("GPIO", "GPIO", "TIM")),
            "direction": "in",
            "active": "low" if "_n" in name else rng.choice(("high", "low")),
            "pull": rng.choice(("up 10k", "down 10k", "none")),
        }
    return {
        "function": "TIM3_CH1" if name.endswith("_PWM") else "GPIO",
        "direction": "out",
        "active": rng.choice(("high", "high", "low")),
        "pull": rng.choice(("down 100k", "none", "none")),
    }
