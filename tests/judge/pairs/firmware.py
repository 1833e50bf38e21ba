"""Rules of firmware, and of what it relies on."""

from __future__ import annotations

from tests.judge.pairs.pair import Edit, Pair

PINS, PARTS, BLINK, MANIFEST = "base/pins.csv", "base/parts.csv", "blink.csv", "revdiff.toml"
BASE, TOP = "base/contacts.csv", "top/contacts.csv"

HEAD = "Device,Pin,Port,Signal,Function,Direction,Active,Pull,Level,Analog"
LED, HEAT = "U1,1,PA0,LED,GPIO,out,high,,3.3 V,", "U1,2,PA1,HEAT,GPIO,out,high,down,3.3 V,"
FREE = "U1,6,PA5,,,,,,,"
RX = "U1,4,PA3,RX,UART1_RX,in,,up,3.3 V,"


def columns(*extra: str) -> tuple[Edit, ...]:
    """Further columns for the pin map, empty but for the lines that the case edits."""
    return ((PINS, HEAD, ",".join((HEAD, *extra))),)


def section(text: str) -> Edit:
    """A further section of the manifest."""
    return (MANIFEST, '[[joints]]\na = "base.J1"', f'{text}\n[[joints]]\na = "base.J1"')


DIVIDER = """[derived.ratio]
board = "base"
formula = "R2 / (R1 + R2)"
constant = "ratio"
low = "0.31"
high = "0.33"
"""
CONSTANT = (
    MANIFEST,
    'needs = "blink.csv"',
    'needs = "blink.csv"\nclock = "8 MHz"\n[firmware.blink.constants]\nratio = "0.32"',
)
CRYSTAL = (PARTS, "U2,1,regulator", "Y1,1,8 MHz,3225,Y-8,20ppm,,,yes,active,0.2\nU2,1,regulator")
SENSOR = section('[software.sensor]\nboard = "base"\npart = "U2"\naddress = "0x48"')
TURN = (PARTS, "Life cycle,Cost", "Life cycle,Cost,Rotation,Side")
SENSOR_ROW = "U2,1,regulator 3.3 V,SOT-23,VR-33,,,,yes,active,0.30"
IDENTITY = section('[identity.base]\nby = "strap"\ncode = "0x0A"\n[identity.base.codes]\nA = "0x0A"\n')

ANSWERING = {"top/pins.csv": "Device,Pin,Signal,Level,Address\nU5,1,TX,3.3 V,0x48\nU5,2,RX,3.3 V,\n"}
LISTS = '[boards.top.buses.I2C1]\naddresses = ["0x48"]\n\n'
LISTENING = (
    (MANIFEST, 'contacts = "top/contacts.csv"', 'contacts = "top/contacts.csv"\npins = "top/pins.csv"'),
    (PINS, "TX,UART1_TX", "TX,I2C1_SDA"),
    (BLINK, "TX,3,UART1_TX", "TX,3,I2C1_SDA"),
    (MANIFEST, 'needs = "blink.csv"', 'needs = "blink.csv"\n[firmware.blink.addresses]\nsensor = "0x48"'),
)

FIRMWARE: dict[str, Pair] = {
    "derived-constant": Pair(
        base=(section(DIVIDER), CONSTANT),
        fires=((PARTS, "R2,1,4k7", "R2,1,4k64"), (PARTS, "R1,1,10k,0603,RA-10K,1%", "R1,1,10.5k,0603,RA-10K5,1%")),
        near_miss=((PARTS, "R2,1,4k7", "R2,1,4700"), (PARTS, "R1,1,10k,0603,RA-10K", "R1,1,10k,0603,RB-10K")),
    ),
    "derived-limit": Pair(
        base=(section(DIVIDER),),
        fires=((PARTS, "R2,1,4k7,0603,RA-4K7,1%", "R2,1,4k7,0603,RA-4K7,10%"),),
        near_miss=((PARTS, "R2,1,4k7,0603,RA-4K7,1%", "R2,1,4k7,0603,RA-4K7,2%"),),
    ),
    "firmware-address": Pair(
        base=(
            section(
                '[software.sensor]\nboard = "base"\npart = "U2"\nby_part_number = { "-33" = "0x48", "-33B" = "0x49" }'
            ),
            (MANIFEST, 'needs = "blink.csv"', 'needs = "blink.csv"\n[firmware.blink.addresses]\nsensor = "0x48"'),
        ),
        fires=((PARTS, "VR-33", "VR-33B"),),
        near_miss=((PARTS, "VR-33", "VX-33"),),
    ),
    "firmware-address-unanswered": Pair(
        files=ANSWERING,
        base=LISTENING,
        fires=(("top/pins.csv", "0x48", "0x49"),),
        near_miss=(("top/pins.csv", "0x48", "48h"),),
    ),
    "firmware-address-unlisted": Pair(
        files=ANSWERING,
        base=LISTENING,
        fires=((MANIFEST, "[boards.top]", LISTS + "[boards.top]"), (MANIFEST, 'sensor = "0x48"', 'sensor = "0x4A"')),
        near_miss=((MANIFEST, "[boards.top]", LISTS + "[boards.top]"), (MANIFEST, 'sensor = "0x48"', 'sensor = "72"')),
    ),
    "firmware-analog-shared": Pair(
        base=((BLINK, "TX,3,UART1_TX,out,,,,", "TX,3,UART1_TX,out,,,,\nRX,4,,,,,,"),),
        fires=((PINS, "UART1_RX,in,,up,3.3 V,", "UART1_RX,in,,up,3.3 V,ADC1_IN4"),),
        near_miss=((PINS, "UART1_RX,in,,up,3.3 V,", "UART1_RX,in,,up,3.3 V,ADC1_IN3"),),
    ),
    "firmware-pin-doubled": Pair(
        files={PINS: "Signal,Port,Direction\nLED,PA0,out\nHEAT,PA1,out\nTX,PA2,out\nHORN,PA3,out\n"},
        fires=((PINS, "HORN,PA3,out", "HORN,PA1,out"),),
        near_miss=((PINS, "HORN,PA3,out", "HORN,PA1,"),),
    ),
    "firmware-clock": Pair(
        base=(CONSTANT, CRYSTAL),
        fires=((PARTS, "Y1,1,8 MHz", "Y1,1,16 MHz"),),
        near_miss=((PARTS, "Y1,1,8 MHz", "Y1,1,8000 kHz"), (PARTS, "Y-8,", "Y-8B,")),
    ),
    "firmware-constant": Pair(
        base=(CONSTANT,),
        fires=((MANIFEST, 'ratio = "0.32"', 'ratio = "0.35"'), (MANIFEST, 'version = "1.0"', 'version = "1.1"')),
        near_miss=((MANIFEST, 'ratio = "0.32"', 'ratio = "0.320"'), (MANIFEST, 'version = "1.0"', 'version = "1.1"')),
    ),
    "firmware-debug-pin-reused": Pair(
        base=((PINS, FREE, "U1,6,PA5,SWDIO,SYS_SWDIO,bidirectional,,,3.3 V,"),),
        fires=((PINS, "SWDIO,SYS_SWDIO,bidirectional", "BUZZER,GPIO,out"),),
        near_miss=((PINS, "SWDIO,SYS_SWDIO", "PROG_IO,SYS_SWDIO"),),
    ),
    "firmware-drives-other-load": Pair(
        fires=((PINS, LED, LED.replace("LED", "HEAT")), (PINS, HEAT, HEAT.replace("HEAT", "LED"))),
        near_miss=((PINS, LED, LED.replace("LED", "")), (PINS, FREE, FREE.replace("PA5,", "PA5,LED"))),
    ),
    "firmware-identity-ambiguous": Pair(
        base=(IDENTITY,),
        fires=((MANIFEST, 'A = "0x0A"\n', 'A = "0x0A"\nB = "10"\n'),),
        near_miss=((MANIFEST, 'A = "0x0A"\n', 'A = "0x0A"\nB = "11"\n'),),
    ),
    "firmware-interrupt-shared": Pair(
        base=(
            (BLINK, "TX,3,UART1_TX,out,,,,", "TX,3,UART1_TX,out,,,,\nRX,4,,,,,,\nKEY,6,,,,,,"),
            *columns("Interrupt"),
            (PINS, RX, f"{RX},EXTI3"),
            (PINS, FREE, "U1,6,PB3,KEY,GPIO,in,low,up,3.3 V,,"),
        ),
        fires=((PINS, "U1,6,PB3,KEY,GPIO,in,low,up,3.3 V,,", "U1,6,PB3,KEY,GPIO,in,low,up,3.3 V,,yes"),),
        near_miss=((PINS, "U1,6,PB3,KEY,GPIO,in,low,up,3.3 V,,", "U1,6,PB4,KEY,GPIO,in,low,up,3.3 V,,yes"),),
    ),
    "firmware-load-left-on": Pair(
        base=(
            (PINS, FREE, "U1,6,PA5,FAN,GPIO,out,high,down 10k,3.3 V,"),
            (MANIFEST, '[boards.base]\nrevision = "A"', '[boards.base]\nrevision = "A"\nswitches = { FAN = "fan" }'),
        ),
        fires=((PINS, "down 10k", "up 10k"),),
        near_miss=((PINS, "down 10k", "down 4k7"),),
    ),
    "firmware-output-contention": Pair(
        base=columns("Series resistance"),
        fires=((PINS, LED, "U1,1,PA0,LED,GPIO,in,high,,3.3 V,,100R"),),
        near_miss=((PINS, LED, "U1,1,PA0,LED,GPIO,bidirectional,high,,3.3 V,,100R"),),
    ),
    "firmware-part-substituted": Pair(
        base=(SENSOR,),
        fires=((PARTS, "VR-33", "VR-34"),),
        near_miss=((PARTS, "MC-8", "MC-9"), (PARTS, "CA-100N", "CB-100N")),
    ),
    "firmware-pin-overstressed": Pair(
        base=(*columns("5V tolerant"), (PINS, RX, f"{RX},no")),
        fires=((PINS, f"{RX},no", "U1,4,PA3,RX,UART1_RX,in,,up,5 V,,no"),),
        near_miss=((PINS, f"{RX},no", "U1,4,PA3,RX,UART1_RX,in,,up,5 V,,yes"),),
    ),
    "firmware-sensor-turned": Pair(
        base=(SENSOR, TURN, (PARTS, SENSOR_ROW, f"{SENSOR_ROW},0,top")),
        fires=((PARTS, f"{SENSOR_ROW},0,top", f"{SENSOR_ROW},90,top"),),
        near_miss=((PARTS, f"{SENSOR_ROW},0,top", f"{SENSOR_ROW},360,top"),),
    ),
    "firmware-start-pin-reused": Pair(
        base=((PINS, FREE, "U1,6,BOOT0,BOOT0,,in,high,down,3.3 V,"),),
        fires=((PINS, "BOOT0,BOOT0,,in", "BOOT0,KEY,GPIO,in"),),
        near_miss=((PINS, "BOOT0,BOOT0,,in", "BOOT0,BOOT_SEL,,in"),),
    ),
    "firmware-timer-channel-shared": Pair(
        base=((PINS, LED, LED.replace("GPIO", "TIM1_CH2")), (PINS, HEAT, HEAT.replace("GPIO", "TIM1_CH3"))),
        fires=((PINS, "TIM1_CH3", "TIM1_CH2N"),),
        near_miss=((PINS, "TIM1_CH3", "TIM2_CH2"),),
    ),
    "firmware-timer-shared": Pair(
        base=(
            (PINS, LED, LED.replace("GPIO", "TIM1_CH1")),
            (PINS, HEAT, HEAT.replace("GPIO", "TIM2_CH1")),
            (BLINK, "LED,1,,out,high,,,", "LED,1,,out,high,,,,20 kHz"),
            (BLINK, "HEAT,2,,out,high,,down,3.3 V", "HEAT,2,,out,high,,down,3.3 V,1 Hz"),
            (BLINK, "Pull,Level", "Pull,Level,Note"),
        ),
        fires=((PINS, "TIM2_CH1", "TIM1_CH2"),),
        near_miss=((PINS, "TIM2_CH1", "TIM3_CH1"),),
    ),
    "firmware-identity-changed": Pair(
        base=((MANIFEST, 'needs = "blink.csv"', 'needs = "blink.csv"\nrecognises = "RX is high from B on"'),),
        fires=((PINS, "UART1_RX,in,,up,", "UART1_RX,in,,down,"),),
        near_miss=(
            (PINS, "UART1_RX,in,,up,", "UART1_RX,in,,down,"),
            (MANIFEST, 'recognises = "RX is high from B on"', 'recognises = "RX is low from C on"'),
        ),
    ),
    "firmware-port-changed": Pair(
        fires=((PINS, "U1,1,PA0", "U1,1,PB0"),),
        near_miss=((PINS, "U1,1,PA0", "U1,1,PA00"), (PINS, "U1,7,VDD", "U1,7,VDD1")),
    ),
    "firmware-unrecognised": Pair(
        base=(IDENTITY,),
        fires=((PINS, LED, LED.replace("out,high", "out,low")),),
        near_miss=(
            (PINS, LED, LED.replace("out,high", "out,low")),
            (MANIFEST, 'code = "0x0A"', 'code = "0x0B"'),
        ),
    ),
    "firmware-active-level": Pair(
        fires=((PINS, "LED,GPIO,out,high", "LED,GPIO,out,low"),),
        near_miss=((PINS, "RX,UART1_RX,in,,", "RX,UART1_RX,in,low,"),),
    ),
    "firmware-analog-channel": Pair(
        fires=((PINS, "ADC1_IN4", "ADC2_IN4"),),
        near_miss=((PINS, "UART1_RX,in,,up,3.3 V,", "UART1_RX,in,,up,3.3 V,ADC1_IN3"),),
    ),
    "firmware-direction": Pair(
        fires=((PINS, "LED,GPIO,out", "LED,GPIO,in"),),
        near_miss=((PINS, "UART1_RX,in", "UART1_RX,bidirectional"),),
    ),
    "firmware-function": Pair(
        fires=((PINS, "UART1_TX", "UART2_TX"),),
        near_miss=((PINS, "UART1_RX", "UART2_RX"),),
    ),
    "firmware-level": Pair(
        fires=((PINS, "high,down,3.3 V", "high,down,5 V"),),
        near_miss=(
            (PINS, "high,down,3.3 V", "high,down,3300 mV"),
            (PINS, "LED,GPIO,out,high,,3.3 V", "LED,GPIO,out,high,,5 V"),
        ),
    ),
    "firmware-pin-moved": Pair(
        fires=(
            (PINS, "U1,1,PA0,LED,GPIO,out,high,,3.3 V,", "U1,1,PA0,,,,,,,"),
            (PINS, "U1,6,PA5,,,,,,,", "U1,6,PA5,LED,GPIO,out,high,,3.3 V,"),
        ),
        near_miss=(
            (PINS, "U1,4,PA3,RX,UART1_RX,in,,up,3.3 V,", "U1,4,PA3,,,,,,,"),
            (PINS, "U1,6,PA5,,,,,,,", "U1,6,PA5,RX,UART1_RX,in,,up,3.3 V,"),
        ),
    ),
    "firmware-pull": Pair(
        fires=((PINS, "high,down,3.3 V", "high,up,3.3 V"),),
        near_miss=((PINS, "high,down,3.3 V", "high,down 10k,3.3 V"),),
    ),
    "firmware-signal-lost": Pair(
        fires=((PINS, "VBAT_SENSE,ADC,analog in,,,3.3 V,ADC1_IN4", ",,,,,,"),),
        near_miss=((PINS, "RX,UART1_RX,in,,up,3.3 V,", ",,,,,,"),),
    ),
    "firmware-signal-renamed": Pair(
        fires=((PINS, "LED,GPIO", "LAMP,GPIO"),),
        near_miss=((PINS, "RX,UART1", "RXD,UART1"), (BASE, "RX,in", "RXD,in"), (TOP, "RX,out", "RXD,out")),
    ),
}
