"""The rules of stacking: for each a pair of revisions that fires it, and a near miss."""

from __future__ import annotations

from tests.rules.case import Case, Edit

BASE, TOP, PINS = "base/contacts.csv", "top/contacts.csv", "base/pins.csv"
BASE_CONNECTORS, TOP_CONNECTORS = "base/connectors.csv", "top/connectors.csv"
MANIFEST = "revdiff.toml"
BASE_NEW, TOP_NEW = "base@new + top@old/new", "base@old/new + top@new"


def top_column(name: str) -> Edit:
    """One more column in the contacts of the upper board."""
    return (TOP, "Level,Current", f"Level,Current,{name}")


def board(name: str, line: str) -> Edit:
    """One more line in the manifest's section of a board."""
    return (MANIFEST, f'[boards.{name}]\nrevision = "A"', f'[boards.{name}]\nrevision = "A"\n{line}')


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
SDA, HEAT = "base.J1.6–top.J1.6", "base.J1.5–top.J1.5"

STACK_CASES: dict[str, Case] = {
    "stack-back-feed": Case(
        base=((BASE, "+5V,supply,", "+5V,supply out,"), (TOP, "+5V,supply,", "+5V,supply in,")),
        fires=((TOP, "supply in", "supply out"),),
        near_miss=((TOP, "supply in", "supply out"), board("top", 'blocking = { "+5V" = "R1" }')),
        says=((TOP_NEW, "base.J1.1–top.J1.1"),),
    ),
    "stack-boot-strap": Case(
        base=(
            (PINS, "U1,6,PA5,,,,,,,", "U1,6,PA5,BOOT,strap,in,,down 10k,3.3 V,"),
            (BASE, "J1,6,,,,", "J1,6,BOOT,in,3.3 V,"),
            (TOP, "J1,6,,,,", "J1,6,BOOT,in,3.3 V,,no pull"),
            top_column("Pull"),
        ),
        fires=((TOP, "no pull", "up 4k7"),),
        near_miss=((TOP, "no pull", "up 100k"),),
        says=((TOP_NEW, SDA),),
    ),
    "stack-contact-current": Case(
        base=RATED,
        fires=((TOP, "+5V,supply,5 V,1 A", "+5V,supply,5 V,3.1 A"),),
        near_miss=((TOP, "+5V,supply,5 V,1 A", "+5V,supply,5 V,3 A"),),
        says=((TOP_NEW, "base.J1.1–top.J1.1"),),
    ),
    "stack-contact-numbering": Case(
        base=(
            (BASE_CONNECTORS, "Gender,Part number", "Gender,Part number,Numbering"),
            (BASE_CONNECTORS, "6,1,2.54 mm,male,PH-6", "6,2,2.54 mm,male,PH-6,zig-zag"),
            (TOP_CONNECTORS, "Gender,Part number", "Gender,Part number,Numbering"),
            (TOP_CONNECTORS, "6,1,2.54 mm,female,PS-6", "6,2,2.54 mm,female,PS-6,zig-zag"),
        ),
        fires=((BASE_CONNECTORS, "zig-zag", "row-wise"),),
        near_miss=((BASE_CONNECTORS, "zig-zag", "odd/even"),),
        says=((BASE_NEW, "base.J1–top.J1"),),
    ),
    "stack-free-contact-taken": Case(
        base=((BASE, "Level,Current", "Level,Current,State"), (BASE, "J1,6,,,,", "J1,6,,,,,free for use")),
        fires=((BASE, "J1,6,,,,,free for use", "J1,6,AUX,out,3.3 V,,"),),
        near_miss=((BASE, "free for use", "reserved"),),
        says=((BASE_NEW, "base.J1.6"),),
    ),
    "stack-bus-address": Case(
        base=(*DATA_LINE, board("base", 'buses = { I2C1 = { addresses = ["0x48"] } }')),
        fires=(board("top", 'buses = { I2C1 = { addresses = ["0x48"] } }'),),
        near_miss=(board("top", 'buses = { I2C1 = { addresses = ["0x49"] } }'),),
        says=((TOP_NEW, f"{SDA} 0x48"),),
    ),
    "stack-bus-pull": Case(
        base=DATA_LINE,
        fires=((TOP, "no pull", "up 1k"),),
        near_miss=((TOP, "no pull", "up 2k2"),),
        says=((TOP_NEW, SDA),),
    ),
    "stack-bus-rails": Case(
        base=(*DATA_LINE, (TOP, "no pull", "up 10k")),
        fires=((TOP, "open drain,3.3 V", "open drain,5 V"),),
        near_miss=((TOP, "open drain,3.3 V", "open drain,3300 mV"), (TOP, "up 10k", "up 12k")),
        says=((TOP_NEW, SDA),),
    ),
    "stack-bus-reserved-address": Case(
        base=(*DATA_LINE, board("base", 'buses = { I2C1 = { addresses = ["0x48"] } }')),
        fires=((MANIFEST, "0x48", "0x78"),),
        near_miss=((MANIFEST, "0x48", "0x77"),),
        says=((BASE_NEW, "base.J1.6 0x78"),),
    ),
    "stack-joint-missing": Case(
        fires=(*SECOND_JOINT, JOIN_SECOND),
        near_miss=SECOND_JOINT,
        says=(("base@new + top@old", "base.J2–top.J2"), ("base@old + top@new", "top.J2–base.J2")),
    ),
    "stack-logic-level": Case(
        fires=(top_column("Family"), (TOP, "HEAT,in,3.3 V,", "HEAT,in,5 V,,CMOS")),
        near_miss=(top_column("Family"), (TOP, "HEAT,in,3.3 V,", "HEAT,in,5 V,,HCT")),
        says=((TOP_NEW, HEAT),),
    ),
    "stack-mated-height": Case(
        base=(
            (BASE_CONNECTORS, "Gender,Part number", "Gender,Part number,Height"),
            (BASE_CONNECTORS, "PH-6", "PH-6,11 mm"),
            (TOP_CONNECTORS, "Gender,Part number", "Gender,Part number,Height"),
            (TOP_CONNECTORS, "PS-6", "PS-6,11 mm"),
        ),
        fires=((BASE_CONNECTORS, "11 mm", "8.5 mm"),),
        near_miss=((BASE_CONNECTORS, "11 mm", "1.1 cm"), (BASE, "HEAT,out", "HEAT,bidirectional")),
        says=((BASE_NEW, "base.J1–top.J1"),),
    ),
    "stack-misplug": Case(
        fires=((BASE, "J1,6,,,,", "J1,6,GND,ground,,"),),
        near_miss=((BASE, "J1,6,,,,", "J1,6,AUX,in,5 V,"),),
        says=((BASE_NEW, "base.J1–top.J1 turned round"),),
    ),
    "stack-no-driver": Case(
        fires=((BASE, "HEAT,out", "HEAT,in"), (PINS, "HEAT,GPIO,out", "HEAT,GPIO,in")),
        near_miss=((BASE, "HEAT,out", "HEAT,bidirectional"),),
        says=((BASE_NEW, HEAT),),
    ),
    "stack-open-drain-pull": Case(
        base=DATA_LINE,
        fires=((PINS, "up 4k7", "none"),),
        near_miss=((PINS, "up 4k7", "up 10k"),),
        says=((BASE_NEW, SDA),),
    ),
    "stack-overvoltage": Case(
        base=(
            (PINS, "Level,Analog", "Level,Analog,5V tolerant"),
            (PINS, "RX,UART1_RX,in,,up,3.3 V,", "RX,UART1_RX,in,,up,3.3 V,,no"),
        ),
        fires=((TOP, "RX,out,3.3 V", "RX,out,5 V"),),
        near_miss=((TOP, "RX,out,3.3 V", "RX,out,3.6 V"),),
        says=((TOP_NEW, "top.J1.4–base.J1.4"),),
    ),
    "stack-placement": Case(
        base=PLACED,
        fires=((BASE_CONNECTORS, "40 mm", "42.54 mm"),),
        near_miss=((BASE_CONNECTORS, "40 mm", "40.1 mm"),),
        says=((BASE_NEW, "base.J1–top.J1, base.J2–top.J2"),),
    ),
    "stack-power-on-drive": Case(
        fires=(top_column("Power-on"), (TOP, "RX,out,3.3 V,", "RX,out,3.3 V,,low")),
        near_miss=(top_column("Power-on"), (TOP, "RX,out,3.3 V,", "RX,out,3.3 V,,high")),
        says=((TOP_NEW, "base.J1.4–top.J1.4"),),
    ),
    "stack-power-on-load": Case(
        fires=((PINS, "high,down,3.3 V", "high,up,3.3 V"),),
        near_miss=((PINS, "high,down,3.3 V", "high,down 10k,3.3 V"),),
        says=((BASE_NEW, HEAT),),
    ),
    "stack-pull-conflict": Case(
        fires=(top_column("Pull"), (TOP, "HEAT,in,3.3 V,", "HEAT,in,3.3 V,,up 10k")),
        near_miss=(top_column("Pull"), (TOP, "HEAT,in,3.3 V,", "HEAT,in,3.3 V,,down 10k")),
        says=((TOP_NEW, HEAT),),
    ),
    "stack-pull-weaker": Case(
        base=((PINS, "high,down,3.3 V", "high,down 10k,3.3 V"),),
        fires=((PINS, "down 10k", "down 100k"),),
        near_miss=((PINS, "down 10k", "down 4k7"),),
        says=((BASE_NEW, HEAT),),
    ),
    "stack-rail-budget": Case(
        base=(
            board("base", 'feeds = { "+5V" = "1.5 A" }\nloads = { "+5V" = "0.2 A" }'),
            board("top", 'loads = { "+5V" = "1 A" }'),
        ),
        fires=((MANIFEST, '"1 A"', '"1.31 A"'),),
        near_miss=((MANIFEST, '"1 A"', '"1.3 A"'),),
        says=((TOP_NEW, "base.J1.1–top.J1.1"),),
    ),
    "stack-reserved-used": Case(
        base=(top_column("State"), (TOP, "J1,6,,,,", "J1,6,,,,,reserved: leave open")),
        fires=((BASE, "J1,6,,,,", "J1,6,AUX,out,3.3 V,"),),
        near_miss=((BASE, "HEAT,out,3.3 V,", "HEAT,out,3.3 V,0.1 A"),),
        says=((BASE_NEW, "base.J1.6–top.J1.6"),),
    ),
    "stack-return-current": Case(
        base=(
            *RATED,
            (BASE, "J1,6,,,,", "J1,6,+5V,supply,5 V,1 A"),
            (TOP, "J1,6,,,,", "J1,6,+5V,supply,5 V,2 A"),
        ),
        fires=((TOP, "5 V,2 A", "5 V,2.1 A"),),
        near_miss=((TOP, "5 V,2 A", "5 V,1.9 A"),),
        says=((TOP_NEW, "base.J1.2–top.J1.2"),),
    ),
    "stack-return-lost": Case(
        base=((BASE, "J1,6,,,,", "J1,6,GND,ground,,"), (TOP, "J1,6,,,,", "J1,6,GND,ground,,")),
        fires=((BASE, "J1,6,GND,ground,,", "J1,6,,,,"),),
        near_miss=((BASE, "J1,6,GND,ground,,", "J1,6,GND,ground,,1 A"),),
        says=((BASE_NEW, "base–top"),),
    ),
    "stack-select-shared": Case(
        base=((BASE, "HEAT,out", "CS1,out"), (TOP, "HEAT,in", "CS1,in")),
        fires=((BASE, "CS1,out", "CS1,in"),),
        near_miss=((BASE, "CS1,out", "CS1,bidirectional"),),
        says=((BASE_NEW, HEAT),),
    ),
    "stack-two-drivers": Case(
        fires=((TOP, "HEAT,in", "HEAT,out"),),
        near_miss=((TOP, "HEAT,in", "HEAT,bidirectional"),),
        says=((TOP_NEW, HEAT),),
    ),
}

LABEL = "release-same-label"
# Which other rules speak up on these cases.
STACK_OTHERS: dict[str, list[str]] = {
    "stack-back-feed": [LABEL],
    "stack-boot-strap": [LABEL, "stack-pull-conflict"],
    "stack-contact-current": [LABEL, "stack-return-current"],
    "stack-contact-numbering": [
        "joint-signal-moved",
        "joint-supply-clash",
        LABEL,
        "stack-return-lost",
        "stack-two-drivers",
    ],
    "stack-free-contact-taken": [LABEL, "stack-misplug"],
    "stack-bus-address": [],
    "stack-bus-pull": [LABEL],
    "stack-bus-rails": [LABEL],
    "stack-bus-reserved-address": [],
    "stack-joint-missing": [LABEL],
    "stack-logic-level": [LABEL],
    "stack-mated-height": [],
    "stack-misplug": [LABEL],
    "stack-no-driver": ["firmware-direction", "firmware-output-contention", LABEL],
    "stack-open-drain-pull": [LABEL],
    "stack-overvoltage": [LABEL],
    "stack-placement": [LABEL],
    "stack-power-on-drive": [LABEL],
    "stack-power-on-load": ["firmware-pull", LABEL, "stack-pull-weaker"],
    "stack-pull-conflict": [LABEL],
    "stack-pull-weaker": [LABEL],
    "stack-rail-budget": [],
    "stack-reserved-used": [LABEL, "stack-misplug"],
    "stack-return-current": [LABEL],
    "stack-return-lost": [LABEL],
    "stack-select-shared": [LABEL, "stack-no-driver"],
    "stack-two-drivers": [LABEL],
}
# Which rules of stacking speak up on the cases of other rules.
STACK_BESIDE: dict[str, list[str]] = {
    "joint-signal-clash": ["stack-no-driver", "stack-pull-weaker"],
    "joint-signal-moved": ["stack-no-driver", "stack-two-drivers"],
    "joint-supply-clash": ["stack-misplug"],
    "firmware-pull": ["stack-power-on-load", "stack-pull-weaker"],
    "firmware-drives-other-load": ["stack-pull-weaker"],
}
