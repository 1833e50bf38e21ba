"""Rules of stacked boards: levels, drivers, pulls, supplies, currents, buses, connectors."""

from __future__ import annotations

from tests.judge.pairs.pair import Edit, Pair

BASE, TOP, PINS = "base/contacts.csv", "top/contacts.csv", "base/pins.csv"
BASE_CONNECTORS, TOP_CONNECTORS = "base/connectors.csv", "top/connectors.csv"
MANIFEST = "revdiff.toml"


def top_column(name: str) -> Edit:
    """One more column in the contacts of the upper board."""
    return (TOP, "Level,Current", f"Level,Current,{name}")


def board(name: str, line: str) -> Edit:
    """One more line in the manifest's section of a board."""
    return (MANIFEST, f'[boards.{name}]\nrevision = "A"', f'[boards.{name}]\nrevision = "A"\n{line}')


def bus(capacitance: str) -> Edit:
    """A bus of fast mode."""
    text = f'[buses.I2C1]\nsignals = ["I2C1_SDA"]\nspeed = "400 kHz"\ncapacitance = "{capacitance}"\n'
    return (MANIFEST, "[[joints]]", f"{text}\n[[joints]]")


RATED = ((BASE_CONNECTORS, "Gender,Part number", "Gender,Part number,Rating"), (BASE_CONNECTORS, "PH-6", "PH-6,3 A"))
DATA_LINE = (
    (BASE, "J1,6,,,,", "J1,6,I2C1_SDA,open drain,3.3 V,"),
    (TOP, "J1,6,,,,", "J1,6,I2C1_SDA,open drain,3.3 V,,no pull"),
    (PINS, "U1,6,PA5,,,,,,,", "U1,6,PA5,I2C1_SDA,I2C1_SDA,open drain,,up 4k7,3.3 V,"),
    top_column("Pull"),
)
SECOND_JOINT = (
    (BASE_CONNECTORS, "male,PH-6\n", "male,PH-6\nJ2,joint,2,1,2.54 mm,male,PH-2\n"),
    (TOP_CONNECTORS, "female,PS-6\n", "female,PS-6\nJ2,joint,2,1,2.54 mm,female,PS-2\n"),
    (BASE, "J1,6,,,,\n", "J1,6,,,,\nJ2,1,GND,ground,,\n"),
    (TOP, "J1,6,,,,\n", "J1,6,,,,\nJ2,1,GND,ground,,\n"),
)
JOIN_SECOND = (MANIFEST, 'b = "top.J1"\n', 'b = "top.J1"\n\n[[joints]]\na = "base.J2"\nb = "top.J2"\n')
PLACED = (
    *SECOND_JOINT,
    JOIN_SECOND,
    (BASE_CONNECTORS, "Gender,Part number", "Gender,Part number,X,Y"),
    (BASE_CONNECTORS, "PH-6", "PH-6,10 mm,10 mm"),
    (BASE_CONNECTORS, "PH-2", "PH-2,40 mm,10 mm"),
    (TOP_CONNECTORS, "Gender,Part number", "Gender,Part number,X,Y"),
    (TOP_CONNECTORS, "PS-6", "PS-6,5 mm,8 mm"),
    (TOP_CONNECTORS, "PS-2", "PS-2,5 mm,38 mm"),  # the upper board is turned by a quarter
)
TURNED = (
    *PLACED,
    (BASE_CONNECTORS, "Part number,X,Y", "Part number,X,Y,Rotation"),
    (BASE_CONNECTORS, "10 mm,10 mm", "10 mm,10 mm,0"),
    (BASE_CONNECTORS, "40 mm,10 mm", "40 mm,10 mm,0"),
    (TOP_CONNECTORS, "Part number,X,Y", "Part number,X,Y,Rotation"),
    (TOP_CONNECTORS, "5 mm,8 mm", "5 mm,8 mm,90"),
    (TOP_CONNECTORS, "5 mm,38 mm", "5 mm,38 mm,90"),
)

STACK: dict[str, Pair] = {
    "joint-rotations-disagree": Pair(
        base=TURNED,
        fires=((BASE_CONNECTORS, "40 mm,10 mm,0", "40 mm,10 mm,180"),),
        near_miss=(
            (BASE_CONNECTORS, "10 mm,10 mm,0", "10 mm,10 mm,180"),
            (BASE_CONNECTORS, "40 mm,10 mm,0", "40 mm,10 mm,180"),
        ),
    ),
    "joint-turned": Pair(
        base=TURNED,
        fires=((BASE_CONNECTORS, "40 mm,10 mm,0", "40 mm,10 mm,180"),),
        near_miss=(
            (BASE_CONNECTORS, "40 mm,10 mm,0", "40 mm,10 mm,180"),
            (MANIFEST, 'b = "top.J2"', 'b = "top.J2"\ncontacts = { "1" = "2", "2" = "1" }'),
        ),
    ),
    "stack-back-feed": Pair(
        base=(
            (BASE, "+5V,supply,", "+5V,supply out,"),
            (TOP, "+5V,supply,", "+5V,supply in,"),
            board("base", 'blocking = { "+5V" = "D1" }'),
        ),
        fires=((TOP, "supply in", "supply out"),),
        near_miss=(
            (TOP, "supply in", "supply out"),
            ("top/parts.csv", "R1,1,10k,0603,RA-10K", "R1,1,10k,0603,RA-10K\nD1,1,schottky,SOD-123,DA-1"),
            board("top", 'blocking = { "+5V" = "D1" }'),
        ),
    ),
    "stack-boot-strap": Pair(
        base=(
            (PINS, "U1,6,PA5,,,,,,,", "U1,6,PA5,BOOT,strap,in,,down 10k,3.3 V,"),
            (BASE, "J1,6,,,,", "J1,6,BOOT,in,3.3 V,"),
            (TOP, "J1,6,,,,", "J1,6,BOOT,in,3.3 V,,no pull"),
            top_column("Pull"),
        ),
        fires=((TOP, "no pull", "up 4k7"),),
        near_miss=((TOP, "no pull", "up 100k"),),
    ),
    "stack-contact-current": Pair(
        base=RATED,
        fires=((TOP, "+5V,supply,5 V,1 A", "+5V,supply,5 V,3.1 A"),),
        near_miss=((TOP, "+5V,supply,5 V,1 A", "+5V,supply,5 V,3 A"),),
    ),
    "stack-contact-rating": Pair(
        base=RATED,
        fires=((BASE, "+5V,supply,5 V,1 A", "+5V,supply,5 V,3.1 A"),),
        near_miss=((BASE, "+5V,supply,5 V,1 A", "+5V,supply,5 V,3 A"),),
    ),
    "stack-contact-numbering": Pair(
        base=(
            (BASE_CONNECTORS, "Gender,Part number", "Gender,Part number,Numbering"),
            (BASE_CONNECTORS, "6,1,2.54 mm,male,PH-6", "6,2,2.54 mm,male,PH-6,zig-zag"),
            (TOP_CONNECTORS, "Gender,Part number", "Gender,Part number,Numbering"),
            (TOP_CONNECTORS, "6,1,2.54 mm,female,PS-6", "6,2,2.54 mm,female,PS-6,zig-zag"),
        ),
        fires=((BASE_CONNECTORS, "zig-zag", "row-wise"),),
        near_miss=((BASE_CONNECTORS, "zig-zag", "odd/even"),),
    ),
    "stack-free-contact-taken": Pair(
        base=((BASE, "Level,Current", "Level,Current,State"), (BASE, "J1,6,,,,", "J1,6,,,,,free for use")),
        fires=((BASE, "J1,6,,,,,free for use", "J1,6,AUX,out,3.3 V,,"),),
        near_miss=((BASE, "free for use", "reserved"),),
    ),
    "stack-bus-address": Pair(
        base=(*DATA_LINE, board("base", 'buses = { I2C1 = { addresses = ["0x48"] } }')),
        fires=(board("top", 'buses = { I2C1 = { addresses = ["0x48"] } }'),),
        near_miss=(board("top", 'buses = { I2C1 = { addresses = ["0x49"] } }'),),
    ),
    "stack-bus-pull": Pair(
        base=DATA_LINE,
        fires=((TOP, "no pull", "up 1k"),),
        near_miss=((TOP, "no pull", "up 2k2"),),
    ),
    "stack-bus-held-low": Pair(
        base=(*DATA_LINE, *((file, "open drain", "bidirectional") for file in (BASE, TOP, PINS))),
        fires=((PINS, "up 4k7", "down 4k7"),),
        near_miss=((PINS, "up 4k7", "up 10k"),),
    ),
    "stack-bus-rails": Pair(
        base=(*DATA_LINE, (TOP, "no pull", "up 10k")),
        fires=((TOP, "open drain,3.3 V", "open drain,5 V"),),
        near_miss=((TOP, "open drain,3.3 V", "open drain,3300 mV"), (TOP, "up 10k", "up 12k")),
    ),
    "stack-bus-reserved-address": Pair(
        base=(*DATA_LINE, board("base", 'buses = { I2C1 = { addresses = ["0x48"] } }')),
        fires=((MANIFEST, "0x48", "0x78"),),
        near_miss=((MANIFEST, "0x48", "0x77"),),
    ),
    "stack-joint-missing": Pair(
        fires=(*SECOND_JOINT, JOIN_SECOND),
        near_miss=SECOND_JOINT,
    ),
    "stack-logic-level": Pair(
        fires=(top_column("Family"), (TOP, "HEAT,in,3.3 V,", "HEAT,in,5 V,,CMOS")),
        near_miss=(top_column("Family"), (TOP, "HEAT,in,3.3 V,", "HEAT,in,5 V,,HCT")),
    ),
    "stack-lies-otherwise": Pair(
        base=PLACED,
        fires=((BASE_CONNECTORS, "10 mm,10 mm", "12 mm,10 mm"), (BASE_CONNECTORS, "40 mm,10 mm", "42 mm,10 mm")),
        near_miss=((BASE_CONNECTORS, "10 mm,10 mm", "10.02 mm,10 mm"),),
    ),
    "stack-mated-height": Pair(
        base=(
            *SECOND_JOINT,
            JOIN_SECOND,
            (BASE_CONNECTORS, "Gender,Part number", "Gender,Part number,Height"),
            (BASE_CONNECTORS, "PH-6", "PH-6,11 mm"),
            (BASE_CONNECTORS, "PH-2", "PH-2,11 mm"),
            (TOP_CONNECTORS, "Gender,Part number", "Gender,Part number,Height"),
            (TOP_CONNECTORS, "PS-6", "PS-6,11 mm"),
            (TOP_CONNECTORS, "PS-2", "PS-2,11 mm"),
        ),
        fires=((BASE_CONNECTORS, "PH-2,11 mm", "PH-2,13 mm"),),
        near_miss=((BASE_CONNECTORS, "PH-2,11 mm", "PH-2,1.1 cm"), (BASE, "HEAT,out", "HEAT,bidirectional")),
    ),
    "joint-height-changed": Pair(
        base=(
            (BASE_CONNECTORS, "Gender,Part number", "Gender,Part number,Height"),
            (BASE_CONNECTORS, "PH-6", "PH-6,11 mm"),
            (TOP_CONNECTORS, "Gender,Part number", "Gender,Part number,Height"),
            (TOP_CONNECTORS, "PS-6", "PS-6,11 mm"),
        ),
        fires=((TOP_CONNECTORS, "PS-6,11 mm", "PS-6,8.5 mm"),),
        near_miss=((TOP_CONNECTORS, "PS-6,11 mm", "PS-6,1.1 cm"), (BASE, "HEAT,out", "HEAT,bidirectional")),
    ),
    "stack-misplug": Pair(
        fires=((BASE, "J1,6,,,,", "J1,6,GND,ground,,"),),
        near_miss=((BASE, "J1,6,,,,", "J1,6,AUX,in,5 V,"),),
    ),
    "stack-no-driver": Pair(
        base=((PINS, "UART1_RX,in,,up,", "UART1_RX,in,,,"),),
        fires=((TOP, "RX,out", "RX,in"),),
        near_miss=((TOP, "RX,out", "RX,bidirectional"),),
    ),
    "stack-open-drain-pull": Pair(
        base=DATA_LINE,
        fires=((PINS, "up 4k7", "none"),),
        near_miss=((PINS, "up 4k7", "up 10k"),),
    ),
    "stack-overvoltage": Pair(
        base=(
            (PINS, "Level,Analog", "Level,Analog,5V tolerant"),
            (PINS, "RX,UART1_RX,in,,up,3.3 V,", "RX,UART1_RX,in,,up,3.3 V,,no"),
        ),
        fires=((TOP, "RX,out,3.3 V", "RX,out,5 V"),),
        near_miss=((TOP, "RX,out,3.3 V", "RX,out,3.6 V"),),
    ),
    "stack-placement": Pair(
        base=PLACED,
        fires=((BASE_CONNECTORS, "40 mm", "42.54 mm"),),
        near_miss=((BASE_CONNECTORS, "40 mm", "40.1 mm"),),
    ),
    "stack-power-on-drive": Pair(
        fires=(top_column("Power-on"), (TOP, "RX,out,3.3 V,", "RX,out,3.3 V,,low")),
        near_miss=(top_column("Power-on"), (TOP, "RX,out,3.3 V,", "RX,out,3.3 V,,high")),
    ),
    "stack-power-on-load": Pair(
        fires=((PINS, "high,down,3.3 V", "high,up,3.3 V"),),
        near_miss=((PINS, "high,down,3.3 V", "high,down 10k,3.3 V"),),
    ),
    "stack-pull-weaker": Pair(
        base=((PINS, "high,down,3.3 V", "high,down 10k,3.3 V"),),
        fires=((PINS, "down 10k", "down 100k"),),
        near_miss=((PINS, "down 10k", "down 4k7"),),
    ),
    "stack-rail-budget": Pair(
        base=(
            board("base", 'feeds = { "+5V" = "1.5 A" }\nloads = { "+5V" = "0.2 A" }'),
            board("top", 'loads = { "+5V" = "1 A" }'),
        ),
        fires=((MANIFEST, '"1 A"', '"1.31 A"'),),
        near_miss=((MANIFEST, '"1 A"', '"1.3 A"'),),
    ),
    "stack-reserved-used": Pair(
        base=(top_column("State"), (TOP, "J1,6,,,,", "J1,6,,,,,reserved: leave open")),
        fires=((BASE, "J1,6,,,,", "J1,6,AUX,out,3.3 V,"),),
        near_miss=((BASE, "HEAT,out,3.3 V,", "HEAT,out,3.3 V,0.1 A"),),
    ),
    "stack-return-current": Pair(
        base=(
            *RATED,
            (BASE, "J1,6,,,,", "J1,6,+5V,supply,5 V,1 A"),
            (TOP, "J1,6,,,,", "J1,6,+5V,supply,5 V,2 A"),
        ),
        fires=((TOP, "5 V,2 A", "5 V,2.1 A"),),
        near_miss=((TOP, "5 V,2 A", "5 V,1.9 A"),),
    ),
    "stack-return-lost": Pair(
        base=((BASE, "J1,6,,,,", "J1,6,GND,ground,,"), (TOP, "J1,6,,,,", "J1,6,GND,ground,,")),
        fires=((BASE, "J1,6,GND,ground,,", "J1,6,,,,"),),
        near_miss=((BASE, "J1,6,GND,ground,,", "J1,6,GND,ground,,1 A"),),
    ),
    "stack-select-shared": Pair(
        base=((BASE, "HEAT,out", "CS1,out"), (TOP, "HEAT,in", "CS1,in")),
        fires=((BASE, "CS1,out", "CS1,in"),),
        near_miss=((BASE, "CS1,out", "CS1,bidirectional"),),
    ),
    "stack-two-drivers": Pair(
        fires=((TOP, "HEAT,in", "HEAT,out"),),
        near_miss=((TOP, "HEAT,in", "HEAT,bidirectional"),),
    ),
    "connector-supply-changed": Pair(
        base=(
            (BASE_CONNECTORS, "male,PH-6\n", "male,PH-6\nJ2,outside,2,1,3.5 mm,male,PX-2\n"),
            (BASE, "J1,6,,,,\n", "J1,6,,,,\nJ2,1,OUT,out,3.3 V,\nJ2,2,GND,ground,,\n"),
        ),
        fires=((BASE, "J2,1,OUT,out,3.3 V,", "J2,1,+5V,supply out,5 V,"),),
        near_miss=((BASE, "J2,1,OUT,out,3.3 V,", "J2,1,AUX,out,3.3 V,"),),
    ),
    "cable-connector-changed": Pair(
        base=((BASE_CONNECTORS, "male,PH-6\n", "male,PH-6\nJ2,outside,3,1,3.5 mm,male,PX-3\n"),),
        fires=((BASE_CONNECTORS, "3,1,3.5 mm", "3,1,3.81 mm"),),
        near_miss=((BASE_CONNECTORS, "3,1,3.5 mm,male,PX-3", "3,1,0.35 cm,male,PX-3B"),),
    ),
    "cable-pinout-changed": Pair(
        base=(
            (BASE_CONNECTORS, "male,PH-6\n", "male,PH-6\nJ2,outside,3,1,3.5 mm,male,PX-3\n"),
            (BASE, "J1,6,,,,\n", "J1,6,,,,\nJ2,1,OUT,out,3.3 V,\nJ2,2,SENSE,in,3.3 V,\nJ2,3,,,,\n"),
        ),
        fires=((BASE, "J2,1,OUT,out,3.3 V,\nJ2,2,SENSE,in,", "J2,1,SENSE,in,3.3 V,\nJ2,2,OUT,out,"),),
        near_miss=((BASE, "J2,3,,,,", "J2,3,AUX,out,3.3 V,"), (BASE, "J2,1,OUT,", "J2,1,PWM,")),
    ),
    "joint-names-differ": Pair(
        alone=True,
        fires=((BASE, "HEAT,out", "CTRL,out"), (TOP, "HEAT,in", "DRIVE,in")),
        near_miss=((BASE, "HEAT,out", "DRIVE,out"), (TOP, "HEAT,in", "DRIVE,in")),
    ),
    "stack-active-level": Pair(
        base=(top_column("Active"), (TOP, "HEAT,in,3.3 V,", "HEAT,in,3.3 V,,high")),
        fires=((TOP, "HEAT,in,3.3 V,,high", "HEAT,in,3.3 V,,low"),),
        near_miss=((TOP, "HEAT,in,3.3 V,,high", "HEAT,in,3.3 V,,active high"),),
    ),
    "stack-bus-capacitance": Pair(
        # NXP UM10204, table 10: 400 pF in fast mode
        base=(*DATA_LINE, bus("390 pF")),
        fires=((MANIFEST, "390 pF", "401 pF"),),
        near_miss=((MANIFEST, "390 pF", "400 pF"),),
    ),
    "stack-contact-budget": Pair(
        base=((BASE, "+5V,supply,", "+5V,supply out,"), (TOP, "+5V,supply,", "+5V,supply in,")),
        fires=((TOP, "+5V,supply in,5 V,1 A", "+5V,supply in,5 V,1.1 A"),),
        near_miss=((TOP, "+5V,supply in,5 V,1 A", "+5V,supply in,5 V,0.9 A"),),
    ),
    "stack-return-budget": Pair(
        fires=((TOP, "GND,ground,,1 A", "GND,ground,,0.9 A"),),
        near_miss=((TOP, "GND,ground,,1 A", "GND,ground,,1.1 A"),),
    ),
    "joint-supply-given-twice": Pair(
        base=(
            (BASE, "+5V,supply,", "+5V,supply out,"),
            (BASE, "J1,6,,,,", "J1,6,+5V,supply out,5 V,1 A"),
            (TOP, "+5V,supply,", "+5V,supply in,"),
            (TOP, "J1,6,,,,", "J1,6,+5V,supply in,5 V,1 A"),
        ),
        fires=((TOP, "J1,1,+5V,supply in", "J1,1,+5V,supply out"),),
        near_miss=((TOP, "J1,1,+5V,supply in", "J1,1,+5V,supply"),),
    ),
    "stack-pull-overload": Pair(
        base=(board("top", 'pulls = { HEAT = "down 10k" }'),),
        fires=((MANIFEST, "down 10k", "down 130"),),
        near_miss=((MANIFEST, "down 10k", "down 140"),),
    ),
    "stack-rail-unfed": Pair(
        base=((BASE, "+5V,supply,", "+5V,supply out,"), (TOP, "+5V,supply,", "+5V,supply in,")),
        fires=((BASE, "supply out", "supply in"),),
        near_miss=((BASE, "supply out", "supply"),),
    ),
    "stack-signal-parted": Pair(
        fires=((BASE, "J1,3,TX,out,3.3 V", "J1,3,,,"),),
        near_miss=(
            (BASE, "J1,3,TX,out,3.3 V", "J1,3,,,"),
            (PINS, "U1,3,PA2,TX,UART1_TX,out,,,3.3 V,", "U1,3,PA2,,,,,,,"),
        ),
    ),
    "stack-strap-level": Pair(
        base=(
            (PINS, "U1,6,PA5,,,,,,,", "U1,6,PA5,BOOT,strap,in,,,3.3 V,"),
            (BASE, "J1,6,,,,", "J1,6,BOOT,in,3.3 V,"),
            (TOP, "J1,6,,,,", "J1,6,BOOT,bidirectional,3.3 V,,down 10k"),
            top_column("Pull"),
        ),
        fires=((TOP, "down 10k", "up 10k"),),
        near_miss=((TOP, "down 10k", "down 4k7"),),
    ),
}
