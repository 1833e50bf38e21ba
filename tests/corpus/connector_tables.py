"""Documents of connectors: several tables in one file, several files for one board, names from wherever they stand."""

from __future__ import annotations

from tests.corpus.pair import Pair, edited

_TWO = """\
Connector,Contact,Signal,Level
J1,1,+5V,5 V
J1,2,GND,
J1,3,SDA,3.3 V
J1,4,SCL,3.3 V
J2,1,+5V,5 V
J2,2,GND,
J2,3,TX,3.3 V
J2,4,RX,3.3 V
"""

_ONCE = """\
Connector;Pin;Signal
J1;1;+5V
;2;GND
;3;SDA
;4;SCL
J2;1;GND
;2;TX
;3;RX
"""

_BESIDE = """\
| J1 pin | J1 signal | J2 pin | J2 signal |
|-------:|-----------|-------:|-----------|
| 1 | +5V | 1 | +3V3 |
| 2 | GND | 2 | GND |
| 3 | SDA | 3 | TX |
| 4 | SCL | 4 | RX |
"""

_BY_SIGNAL = """\
Net;J1;J2;Remark
+5V;1;2;
GND;"2, 4";1;
SDA;3;-;to the mast
SCL;5;3;
"""

_BY_SIGNAL_ON_A_PAGE = """\
# Harness

| Leitung | J4 | J7 |
|---------|---:|---:|
| +12V | 1 | 4 |
| GND | 2 | 3 |
| PUMPE | 3 | 1 |
| SENSOR | 4 | 2 |
"""

_MIRRORED = """\
# Radio board

## Expansion header J3

Seen from above.

| Signal | Contact | Contact | Signal |
|--------|--------:|--------:|--------|
| +5V | 1 | 2 | +5V |
| GND | 3 | 4 | GND |
| SDA | 5 | 6 | SCL |
| TX | 7 | 8 | RX |
| n/c | 9 | 10 | \\- |
"""

_SEVEN = """\
# Connectors of the mast

Contact 1 is marked on the board.

""" + "\n".join(
    f"""\
## {name}

| Pin | Signal | Remark |
|-----|--------|--------|
| 1 | {power} | |
| 2 | GND | |
| 3 | {one} | |
| 4 | {two} | |
"""
    for name, power, one, two in (
        ("J1 — sensors", "+3V3", "SDA", "SCL"),
        ("J2 — display", "+3V3", "DISP_CLK", "DISP_DATA"),
        ("J3 — radio", "+3V3", "TX", "RX"),
        ("J4 — fan", "+12V", "FAN_PWM", "FAN_TACHO"),
        ("J5 — heater", "+12V", "HEAT_A", "HEAT_B"),
        ("J6 — battery", "VBAT", "NTC", "\\-"),
        ("J7 — debug", "+3V3", "SWDIO", "SWCLK"),
    )
)

_NOTHING = """\
Contact,Signal
1,+5V
2,GND
3,\\-
4,TX
5,–
6,n/c
"""

_LONG = """\
| Pin | Signal | Note |
|-----|--------|------|
| 1 | +5V | |
| 2 | GND | |
| 3 | SDA | pull | up on this board |
| 4 | SCL | |
"""

_CELLS = """\
Connector,Contact,Signal,Note
J1,1,+5V,
J1,2,GND,
J1,3,SDA,pulled up
J1,4,SCL,
"""

_PINOUT = """\
# Power board

## Output connector

| Pin | Signal | Type |
|-----|--------|------|
| 1 | +12V | power |
| 2 | +12V | power |
| 3 | GND | ground |
| 4 | GND | ground |
| 5 | ENABLE | in |
| 6 | FAULT | open drain |
"""


def _files(j2_third: str, j3: str = "") -> dict[str, str]:
    files = {
        "mast/J1.csv": "Contact,Signal\n1,+5V\n2,GND\n3,SDA\n4,SCL\n",
        "mast/J2.csv": f"Contact,Signal\n1,+3V3\n2,GND\n3,{j2_third}\n4,RX\n",
        "mast/parts.csv": "Reference,Value,Package\nJ1,1x4,\nJ2,1x4,\nR1,10k,0603\nR2,10k,0603\n",
    }
    return {**files, "mast/J3.csv": j3} if j3 else files


def _pages(j1: str, j2: str) -> dict[str, str]:
    head = "| Contact | Signal |\n|---------|--------|\n"
    return {
        "docs/connectors/j1.md": f"# Sensor connector J1\n\n{head}| 1 | +3V3 |\n| 2 | GND |\n| 3 | {j1} |\n",
        "docs/connectors/j2.md": f"# Radio connector J2\n\n{head}| 1 | +3V3 |\n| 2 | {j2} |\n| 3 | GND |\n",
        "docs/bom.csv": "Reference,Value,Package\nR1,10k,0603\nR2,10k,0603\nC1,100n,0603\n",
    }


PAIRS = (
    edited(
        "the contacts of two connectors in one table",
        "connectors.csv",
        _TWO,
        ("J2,3,TX,3.3 V", "J2,3,RX,3.3 V"),
        ("J2,4,RX,3.3 V", "J2,4,TX,3.3 V"),
        ("J1,4,SCL,3.3 V", "J1,4,SCL,1.8 V"),
        changes=("contact.swapped J2: TX ↔ RX", "contact.level J1.4: 3.3 V > 1.8 V"),
    ),
    edited(
        "the connector named once, for the rows below it",
        "headers.csv",
        _ONCE,
        (";3;RX", ";3;RX\n;4;ALARM"),
        changes=("contact.added J2.4",),
    ),
    edited(
        "two connectors beside one another, each with its own columns",
        "wiring.md",
        _BESIDE,
        ("| 4 | SCL | 4 | RX |", "| 4 | SCL | 4 | CTS |"),
        changes=("contact.signal J2.4: RX > CTS",),
    ),
    edited(
        "a row for each net, a column for each connector",
        "connections.csv",
        _BY_SIGNAL,
        ("SDA;3;-;to the mast", "SDA;5;-;to the mast"),
        ("SCL;5;3;", "SCL;3;3;"),
        changes=("contact.swapped J1: SDA ↔ SCL: SDA on J1.3, SCL on J1.5 > SDA on J1.5, SCL on J1.3",),
        told=("column-for-each",),
    ),
    edited(
        "the same on a page, with another word for the signals",
        "harness.md",
        _BY_SIGNAL_ON_A_PAGE,
        ("| PUMPE | 3 | 1 |", "| PUMPE | 3 | 5 |"),
        changes=("contact.moved PUMPE",),
        told=("column-for-each",),
    ),
    edited(
        "a header of two rows as it stands on the board, contacts in the middle",
        "radio.md",
        _MIRRORED,
        ("| TX | 7 | 8 | RX |", "| TX | 7 | 8 | IRQ |"),
        ("| n/c | 9 | 10 | \\- |", "| – | 9 | 10 | N/C |"),
        changes=("contact.signal J3.8: RX > IRQ",),
    ),
    edited(
        "Markdown with seven connectors, each under its own heading",
        "connectors.md",
        _SEVEN,
        ("| 3 | FAN_PWM | |", "| 3 | FAN_TACHO | |"),
        ("| 4 | FAN_TACHO | |", "| 4 | FAN_FAIL | |"),
        ("| 3 | SWDIO | |", "| 3 | SWO | |"),
        changes=(
            "contact.moved FAN_TACHO: J4.4 > J4.3",
            "contact.signal J4.3: FAN_PWM > FAN_TACHO",
            "contact.signal J4.4: FAN_TACHO > FAN_FAIL",
            "contact.signal J7.3: SWDIO > SWO",
        ),
    ),
    edited(
        "a dash, an escaped dash and n/c are no signal",
        "J1.csv",
        _NOTHING,
        ("3,\\-", "3,n/c"),
        ("5,–", "5,\\-"),
        ("6,n/c", "6,IRQ"),
        changes=("contact.signal J1.6: n/c > IRQ",),
    ),
    edited(
        "a row with more cells than its header",
        "j5.md",
        _LONG,
        ("| 4 | SCL | |", "| 4 | SCK | |"),
        changes=("contact.signal J5.4: SCL > SCK",),
        faults=("ragged-row",),  # of both revisions, told once
    ),
    edited(
        "a header that lost a column on the way",
        "connectors.csv",
        _CELLS,
        ("Connector,Contact,Signal,Note", "Connector,Contact,Note"),
        refused="no column for signal",
    ),
    edited(
        "a connector without a number is no controller",
        "output.md",
        _PINOUT,
        ("| 5 | ENABLE | in |", "| 5 | ENABLE | out |"),
        ("| 6 | FAULT | open drain |", "| 6 | FAULT | open drain |\n| 7 | SENSE | in |"),
        changes=("contact.direction OUTPUT CONNECTOR.5: in > out", "contact.added OUTPUT CONNECTOR.7"),
    ),
    Pair(
        "a file for each connector, beside the parts list",
        _files("TX"),
        _files("CTS", "Contact,Signal\n1,VBAT\n2,GND\n"),
        ("contact.signal J2.3: TX > CTS", "connector.added J3"),
    ),
    Pair(
        "a page for each connector, named in its heading",
        _pages("SDA", "IRQ"),
        _pages("SDA", "ANT"),
        ("contact.signal J2.2: IRQ > ANT",),
    ),
    Pair(
        "nothing happened: one table, or a page with a heading for each connector",
        {"connectors.csv": _TWO},
        {
            "connectors.md": "## J1\n\n| Pin | Signal | Level |\n|---|---|---|\n| 1 | +5V | 5 V |\n| 2 | GND | |\n"
            "| 3 | SDA | 3.3 V |\n| 4 | SCL | 3.3 V |\n\n## J2\n\n| Pin | Level | Signal |\n|---|---|---|\n"
            "| 1 | 5 V | +5V |\n| 2 | – | GND |\n| 3 | 3.3 V | TX |\n| 4 | 3.3 V | RX |\n"
        },
    ),
)
