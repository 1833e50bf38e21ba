"""Pin maps: tables, lists of names, and C and C++ headers in the styles that firmware keeps them in."""

from __future__ import annotations

from tests.corpus.pair import Pair, Sheets, edited
from tests.corpus.parts_lists import PARTS_FOR_REFUSAL

_ALIASES = """\
LED,PA5
BUTTON,PC13
UART_TX,PA9
UART_RX,PA10
SDA,PB7
SCL,PB6
D13,PA5
D2,PA10
HEATER,PB0
"""

_MACROS = """\
// Pins of the weather mast, board Control
#ifndef PINS_H
#define PINS_H

#define LED_PIN        PA5   // status
#define HEATER_PIN     PB0
#define FAN_PIN        PB1   // through R12
#define UART_TX_PIN    PA9
#define UART_RX_PIN    PA10
#define VBAT_SENSE_PIN PC0

#endif
"""

_GENERATED = """\
#define LED_Pin GPIO_PIN_5
#define LED_GPIO_Port GPIOA
#define HEATER_Pin GPIO_PIN_0
#define HEATER_GPIO_Port GPIOB
#define BUTTON_Pin GPIO_PIN_13
#define BUTTON_GPIO_Port GPIOC
#define SPI_NSS_Pin GPIO_PIN_4
#define SPI_NSS_GPIO_Port GPIOA
"""

_NAMESPACE = """\
#pragma once
#include <cstdint>

namespace pins {
constexpr std::uint8_t LED = 13;
constexpr std::uint8_t HEATER = 5;
constexpr std::uint8_t FAN = 6;
constexpr std::uint8_t BUTTON = 2;
constexpr std::uint8_t SDA = 20;
constexpr std::uint8_t SCL = 21;
}  // namespace pins

constexpr long kBaud = 115200;
"""

_ENUM = """\
enum Pin {
    PIN_RX = 0,
    PIN_TX,
    PIN_BUTTON,
    PIN_LED = 13,
    PIN_SDA = 18,
    PIN_SCL,
};
"""

_TYPED = """\
static const gpio_num_t PUMP = GPIO_NUM_4;
static const gpio_num_t VALVE = GPIO_NUM_5;
static const gpio_num_t FLOW_IN = GPIO_NUM_34;
static const gpio_num_t I2C_DATA = GPIO_NUM_21;
static const gpio_num_t I2C_CLOCK = GPIO_NUM_22;
"""

_BARE = """\
/* board file of the plotter */
#define X_STEP          54
#define X_DIR           55
#define X_ENABLE        38
#define Y_STEP          60
#define Y_DIR           61
#define Y_ENABLE        56
#define HEATER_BED      8
#define FAN_0           9
#define LED             13
#define BAUD_RATE       250000
#define STEPS_PER_MM    80
#define SCREEN_WIDTH    128
"""

_SETTINGS = """\
#define MAX_TEMPERATURE  60
#define RETRIES          3
#define TIMEOUT_MS       250
#define VERSION_MAJOR    2
#define LED_PIN          13
#define FAN_PIN          6
#define PUMP             7
"""

_SIGNALS = """\
Signal,GPIO,Direction
LED,GPIO2,out
SD_CS,GPIO5,out
CARD_SELECT,GPIO5,out
SDA,GPIO21,bidirectional
SCL,GPIO22,out
RAIN,GPIO34,in
"""

_STM = """\
Pin,Port,Signal,Function,Direction
14,PA0,VBAT_SENSE,ADC1_IN0,analog in
29,PB10,UART3_TX,USART3_TX,output
30,PB11,UART3_RX,USART3_RX,input
41,PA8,MOTOR1,TIM1_CH1,output
42,PA9,MOTOR2,TIM1_CH2,output
43,PA10,MOTOR3,TIM1_CH3,output
58,PB6,,,
"""

_GERMAN = """\
Anschluss;Portname;Netzname;Funktion;Richtung;Pegel
1;PC13;TASTER;GPIO;Eingang;3,3 V
2;PA0;HEIZUNG;TIM2_CH1;Ausgang;3,3 V
3;PA1;LÜFTER;TIM2_CH2;Ausgang;3,3 V
4;PA2;SENDEN;USART2_TX;Ausgang;3,3 V
5;PA3;EMPFANGEN;USART2_RX;Eingang;3,3 V
"""

_BALLS: Sheets = {
    "Notes": [["Ball map of the radio"], ["see drawing 7"]],
    "Balls": [
        ["Ball", "Pin name", "Net", "I/O"],
        ["A1", "P0_01", "XL1", "I"],
        ["A2", "P0_02", "XL2", "O"],
        ["B1", "VDD", "+1V8", "P"],
        ["B2", "P0_13", "LED_R", "O"],
        ["C1", "P0_14", "LED_G", "O"],
        ["C2", "VSS", "GND", "P"],
    ],
}

_OTHER_WORDS = """\
| Broche MCU | Utilisation | Remarque |
|:-----------|:-----------:|---------:|
| PA0 | Chauffage | MLI |
| PA1 | Ventilateur | MLI |
| PB6 | SCL | |
| PB7 | SDA | |
| PC4 | Tension batterie | diviseur 1:2 |
"""


def _board(controller: str, pins: str) -> dict[str, str]:
    parts = (
        "Reference,Qty,Value,Package,Manufacturer,Part number\n"
        "R1-R4,4,10k,0603,Arden,AR06-103F\nC1-C4,4,100n,0603,Brook,BC06-104K\n"
        f"U1,1,controller,{controller}\nU2,1,regulator 3.3 V,SOT-223,Calder,CVR-33\n"
    )
    return {"control/parts.csv": parts, "control/pins.csv": pins}


_SMALL = """\
Device,Pin,Port,Signal,Direction
U1,1,PA0,LED,out
U1,2,PA1,HEATER,out
U1,3,PA2,TX,out
U1,4,PA3,RX,in
U1,5,PA4,VBAT_SENSE,analog in
U1,6,PA5,BUTTON,in
U1,7,VDD,+3V3,supply
U1,8,VSS,GND,ground
"""
_LARGE = """\
Device,Pin,Port,Signal,Direction
U1,1,P00,HEATER,out
U1,2,P01,LED,out
U1,3,P02,,
U1,4,P03,TX,out
U1,5,P04,RX,in
U1,6,P05,BUTTON,in
U1,7,P06,,
U1,8,P07,FAN,out
U1,9,VDD,+3V3,supply
U1,10,VDD,+3V3,supply
U1,11,VSS,GND,ground
U1,12,VSS,GND,ground
"""

PAIRS = (
    edited(
        "names and pins without a header, some pins under several names",
        "pins.csv",
        _ALIASES,
        ("HEATER,PB0", "HEATER,PB1"),
        ("D2,PA10\n", "D2,PA10\nD8,PA9\n"),
        changes=("pin.moved HEATER: U1.PB0 > U1.PB1", "pin.field UART_TX: Other names  > D8"),
        told=("no-header", "several-names"),
    ),
    edited(
        "C, a macro for each pin",
        "pins.h",
        _MACROS,
        ("FAN_PIN        PB1", "FAN_PIN        PB5"),
        ("#define VBAT_SENSE_PIN PC0", "#define VBAT_SENSE_PIN PC0\n#define PUMP_PIN       PC1"),
        changes=("pin.moved FAN: U1.PB1 > U1.PB5", "pin.added PUMP"),
    ),
    edited(
        "C, port and line as two macros",
        "main.h",
        _GENERATED,
        ("SPI_NSS_Pin GPIO_PIN_4", "SPI_NSS_Pin GPIO_PIN_15"),
        ("HEATER_GPIO_Port GPIOB", "HEATER_GPIO_Port GPIOC"),
        changes=("pin.moved SPI_NSS: U1.PA4 > U1.PA15", "pin.moved HEATER: U1.PB0 > U1.PC0"),
    ),
    edited(
        "C++, constants in a namespace, no word that says pin",
        "pins.hpp",
        _NAMESPACE,
        ("HEATER = 5", "HEATER = 9"),
        ("kBaud = 115200", "kBaud = 230400"),
        changes=("pin.moved HEATER: U1.5 > U1.9",),
    ),
    edited(
        "C++, an enumeration that counts on",
        "pins.hpp",
        _ENUM,
        ("PIN_SDA = 18", "PIN_SDA = 20"),
        changes=("pin.moved SDA: U1.18 > U1.20", "pin.moved SCL: U1.19 > U1.21"),
    ),
    edited(
        "C++, typed constants with the names of a development kit",
        "board.hpp",
        _TYPED,
        ("VALVE = GPIO_NUM_5", "VALVE = GPIO_NUM_18"),
        changes=("pin.moved VALVE: U1.GPIO5 > U1.GPIO18",),
    ),
    edited(
        "C, bare numbers and names without the word pin, in a file that is a pin map by its content",
        "plotter.h",
        _BARE,
        ("Y_ENABLE        56", "Y_ENABLE        57"),
        ("FAN_0           9", "FAN_0           10"),
        ("BAUD_RATE       250000", "BAUD_RATE       115200"),
        changes=("pin.moved Y_ENABLE: U1.56 > U1.57", "pin.moved FAN_0: U1.9 > U1.10"),
    ),
    edited(
        "C, settings with a few pins among them: a number that changed could be a pin",
        "pins_and_settings.h",
        _SETTINGS,
        ("FAN_PIN          6", "FAN_PIN          9"),
        ("PUMP             7", "PUMP             8"),
        changes=("pin.moved FAN: U1.6 > U1.9",),
        unchecked=("board: PUMP",),
    ),
    edited(
        "keyed by signal: two names on one pin, both outputs",
        "signals.csv",
        _SIGNALS,
        ("RAIN,GPIO34,in", "RAIN,GPIO35,in"),
        changes=("pin.moved RAIN: U1.GPIO34 > U1.GPIO35",),
        told=("several-names", "two-uses-of-a-pin"),
    ),
    edited(
        "a pin that sent is a motor's now: told for the pin, and a hazard for the firmware that was",
        "mcu.csv",
        _STM,
        ("29,PB10,UART3_TX,USART3_TX,output", "29,PB10,MOTOR4,TIM2_CH3,output"),
        ("30,PB11,UART3_RX,USART3_RX,input", "30,PB11,,,"),
        changes=("pin.signal U1.29: UART3_TX > MOTOR4", "pin.removed UART3_RX"),
        findings=("firmware-drives-other-load",),
    ),
    edited(
        "German headers and words",
        "belegung.csv",
        _GERMAN,
        ("3;PA1;LÜFTER;TIM2_CH2;Ausgang;3,3 V", "3;PA1;;;;"),
        ("2;PA0;HEIZUNG", "2;PA0;HEIZER"),
        changes=("pin.removed LÜFTER", "signal.renamed HEIZER: HEIZUNG > HEIZER"),
    ),
    Pair(
        "a workbook of balls, beside a sheet of notes",
        {"radio.xlsx": _BALLS},
        {
            "radio.xlsx": {
                **_BALLS,
                "Balls": [
                    *_BALLS["Balls"][:4],
                    ["B2", "P0_13", "LED_G", "O"],
                    ["C1", "P0_14", "LED_R", "O"],
                    *_BALLS["Balls"][6:],
                ],
            }
        },
        ("pin.swapped LED_R ↔ LED_G",),
    ),
    edited(
        "Markdown in words that no table of words holds, port names by sight",
        "brochage.md",
        _OTHER_WORDS,
        ("| PA1 | Ventilateur | MLI |", "| PA6 | Ventilateur | MLI |"),
        changes=("pin.moved Ventilateur: U1.PA1 > U1.PA6",),
        told=("guessed-column",),
    ),
    Pair(
        "another controller: what kept its name moved with it, one was lost, one came",
        _board("QFP-8,Calder,MCX8", _SMALL),
        _board("QFN-12,Esker,EQ12", _LARGE),
        (
            "pin.controller U1: MCX8, 8 pins > EQ12, 12 pins",
            "part.package U1: package QFP-8 > QFN-12; manufacturer Calder > Esker; part_number MCX8 > EQ12",
        ),
    ),
    Pair(
        "the same controller with more memory, and a signal moved",
        _board("QFP-8,Calder,MCX8", _SMALL),
        _board("QFP-8,Calder,MCX8-64", _SMALL.replace("PA0,LED,out", "PA0,,").replace("PA5,BUTTON,in", "PA5,LED,out")),
        (
            "part.substituted U1: part_number MCX8 > MCX8-64",
            "pin.moved LED: U1.1 (PA0) > U1.6 (PA5)",
            "pin.removed BUTTON",
        ),
    ),
    Pair(
        "a parts list against a pin map",
        {"a.csv": PARTS_FOR_REFUSAL},
        {"b.csv": _STM},
        refused="parts list",
    ),
    Pair(
        "nothing happened: a table and a header say the same",
        {
            "pins.csv": "Signal,Port,Note\nLED,PA5,status\nHEATER,PB0,\nFAN,PB1,through R12\nUART_TX,PA9,\n"
            "UART_RX,PA10,\nVBAT_SENSE,PC0,\n"
        },
        {"pins.h": _MACROS},
    ),
)
