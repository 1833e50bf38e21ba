"""For every rule of firmware beyond the plain needs: what fires it, and what nearly does."""

from __future__ import annotations

from tests.rules.case import Case, Edit

PINS, PARTS, BLINK, MANIFEST = "base/pins.csv", "base/parts.csv", "blink.csv", "revdiff.toml"
NEW, BOARDS = "blink 1.0 + base@new", "base@old + base@new"

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

FIRMWARE_CASES: dict[str, Case] = {
    "derived-constant": Case(
        base=(section(DIVIDER), CONSTANT),
        fires=((PARTS, "R2,1,4k7", "R2,1,4k64"), (PARTS, "R1,1,10k,0603,RA-10K,1%", "R1,1,10.5k,0603,RA-10K5,1%")),
        near_miss=((PARTS, "R2,1,4k7", "R2,1,4700"), (PARTS, "R1,1,10k,0603,RA-10K", "R1,1,10k,0603,RB-10K")),
        says=((NEW, "ratio"),),
    ),
    "derived-limit": Case(
        base=(section(DIVIDER),),
        fires=((PARTS, "R2,1,4k7,0603,RA-4K7,1%", "R2,1,4k7,0603,RA-4K7,10%"),),
        near_miss=((PARTS, "R2,1,4k7,0603,RA-4K7,1%", "R2,1,4k7,0603,RA-4K7,2%"),),
        says=((BOARDS, "ratio"),),
    ),
    "firmware-address": Case(
        base=(
            section(
                '[software.sensor]\nboard = "base"\npart = "U2"\nby_part_number = { "-33" = "0x48", "-33B" = "0x49" }'
            ),
            (MANIFEST, 'needs = "blink.csv"', 'needs = "blink.csv"\n[firmware.blink.addresses]\nsensor = "0x48"'),
        ),
        fires=((PARTS, "VR-33", "VR-33B"),),
        near_miss=((PARTS, "VR-33", "VX-33"),),
        says=((NEW, "sensor"),),
    ),
    "firmware-analog-shared": Case(
        base=((BLINK, "TX,3,UART1_TX,out,,,,", "TX,3,UART1_TX,out,,,,\nRX,4,,,,,,"),),
        fires=((PINS, "UART1_RX,in,,up,3.3 V,", "UART1_RX,in,,up,3.3 V,ADC1_IN4"),),
        near_miss=((PINS, "UART1_RX,in,,up,3.3 V,", "UART1_RX,in,,up,3.3 V,ADC1_IN3"),),
        says=((NEW, "RX, VBAT_SENSE"),),
    ),
    "firmware-clock": Case(
        base=(CONSTANT, CRYSTAL),
        fires=((PARTS, "Y1,1,8 MHz", "Y1,1,16 MHz"),),
        near_miss=((PARTS, "Y1,1,8 MHz", "Y1,1,8000 kHz"), (PARTS, "Y-8,", "Y-8B,")),
        says=((NEW, "clock"),),
    ),
    "firmware-constant": Case(
        base=(CONSTANT,),
        fires=((MANIFEST, 'ratio = "0.32"', 'ratio = "0.35"'), (MANIFEST, 'version = "1.0"', 'version = "1.1"')),
        near_miss=((MANIFEST, 'ratio = "0.32"', 'ratio = "0.320"'), (MANIFEST, 'version = "1.0"', 'version = "1.1"')),
        says=((NEW, "ratio"), ("blink 1.1 + base@old", "ratio")),
    ),
    "firmware-debug-pin-reused": Case(
        base=((PINS, FREE, "U1,6,PA5,SWDIO,SYS_SWDIO,bidirectional,,,3.3 V,"),),
        fires=((PINS, "SWDIO,SYS_SWDIO,bidirectional", "BUZZER,GPIO,out"),),
        near_miss=((PINS, "SWDIO,SYS_SWDIO", "PROG_IO,SYS_SWDIO"),),
        says=((BOARDS, "U1.6"),),
    ),
    "firmware-drives-other-load": Case(
        fires=((PINS, LED, LED.replace("LED", "HEAT")), (PINS, HEAT, HEAT.replace("HEAT", "LED"))),
        near_miss=((PINS, LED, LED.replace("LED", "")), (PINS, FREE, FREE.replace("PA5,", "PA5,LED"))),
        says=((NEW, "pin 1"), (NEW, "pin 2")),
    ),
    "firmware-identity-ambiguous": Case(
        base=(IDENTITY,),
        fires=((MANIFEST, 'A = "0x0A"\n', 'A = "0x0A"\nB = "10"\n'),),
        near_miss=((MANIFEST, 'A = "0x0A"\n', 'A = "0x0A"\nB = "11"\n'),),
        says=((BOARDS, "base A/B"),),
    ),
    "firmware-interrupt-shared": Case(
        base=(
            (BLINK, "TX,3,UART1_TX,out,,,,", "TX,3,UART1_TX,out,,,,\nRX,4,,,,,,\nKEY,6,,,,,,"),
            *columns("Interrupt"),
            (PINS, RX, f"{RX},EXTI3"),
            (PINS, FREE, "U1,6,PB3,KEY,GPIO,in,low,up,3.3 V,,"),
        ),
        fires=((PINS, "U1,6,PB3,KEY,GPIO,in,low,up,3.3 V,,", "U1,6,PB3,KEY,GPIO,in,low,up,3.3 V,,yes"),),
        near_miss=((PINS, "U1,6,PB3,KEY,GPIO,in,low,up,3.3 V,,", "U1,6,PB4,KEY,GPIO,in,low,up,3.3 V,,yes"),),
        says=((NEW, "RX, KEY"),),
    ),
    "firmware-output-contention": Case(
        base=columns("Series resistance"),
        fires=((PINS, LED, "U1,1,PA0,LED,GPIO,in,high,,3.3 V,,100R"),),
        near_miss=((PINS, LED, "U1,1,PA0,LED,GPIO,in,high,,3.3 V,,132R"),),
        says=((NEW, "pin 1"),),
    ),
    "firmware-output-opposed": Case(
        base=columns("Series resistance"),
        fires=((PINS, LED, "U1,1,PA0,LED,GPIO,in,high,,3.3 V,,220R"),),
        near_miss=((PINS, LED, "U1,1,PA0,LED,GPIO,in,high,,3.3 V,,100R"),),
        says=((NEW, "pin 1"),),
    ),
    "firmware-part-substituted": Case(
        base=(SENSOR,),
        fires=((PARTS, "VR-33", "VR-34"),),
        near_miss=((PARTS, "MC-8", "MC-9"), (PARTS, "CA-100N", "CB-100N")),
        says=((BOARDS, "sensor"),),
    ),
    "firmware-pin-overstressed": Case(
        base=(*columns("5V tolerant"), (PINS, RX, f"{RX},no")),
        fires=((PINS, f"{RX},no", "U1,4,PA3,RX,UART1_RX,in,,up,5 V,,no"),),
        near_miss=((PINS, f"{RX},no", "U1,4,PA3,RX,UART1_RX,in,,up,5 V,,yes"),),
        says=((BOARDS, "U1.4"),),
    ),
    "firmware-sensor-turned": Case(
        base=(SENSOR, TURN, (PARTS, SENSOR_ROW, f"{SENSOR_ROW},0,top")),
        fires=((PARTS, f"{SENSOR_ROW},0,top", f"{SENSOR_ROW},90,top"),),
        near_miss=((PARTS, f"{SENSOR_ROW},0,top", f"{SENSOR_ROW},360,top"),),
        says=((BOARDS, "sensor"),),
    ),
    "firmware-start-pin-reused": Case(
        base=((PINS, FREE, "U1,6,BOOT0,BOOT0,,in,high,down,3.3 V,"),),
        fires=((PINS, "BOOT0,BOOT0,,in", "BOOT0,KEY,GPIO,in"),),
        near_miss=((PINS, "BOOT0,BOOT0,,in", "BOOT0,BOOT_SEL,,in"),),
        says=((BOARDS, "U1.6"),),
    ),
    "firmware-timer-channel-shared": Case(
        base=((PINS, LED, LED.replace("GPIO", "TIM1_CH2")), (PINS, HEAT, HEAT.replace("GPIO", "TIM1_CH3"))),
        fires=((PINS, "TIM1_CH3", "TIM1_CH2N"),),
        near_miss=((PINS, "TIM1_CH3", "TIM2_CH2"),),
        says=((NEW, "LED, HEAT"),),
    ),
    "firmware-timer-shared": Case(
        base=(
            (PINS, LED, LED.replace("GPIO", "TIM1_CH1")),
            (PINS, HEAT, HEAT.replace("GPIO", "TIM2_CH1")),
            (BLINK, "LED,1,,out,high,,,", "LED,1,,out,high,,,,20 kHz"),
            (BLINK, "HEAT,2,,out,high,,down,3.3 V", "HEAT,2,,out,high,,down,3.3 V,1 Hz"),
            (BLINK, "Pull,Level", "Pull,Level,Note"),
        ),
        fires=((PINS, "TIM2_CH1", "TIM1_CH2"),),
        near_miss=((PINS, "TIM2_CH1", "TIM3_CH1"),),
        says=((NEW, "LED, HEAT"),),
    ),
    "firmware-unrecognised": Case(
        base=(IDENTITY,),
        fires=((PINS, LED, LED.replace("out,high", "out,low")),),
        near_miss=(
            (PINS, LED, LED.replace("out,high", "out,low")),
            (MANIFEST, 'code = "0x0A"', 'code = "0x0B"'),
        ),
        says=((BOARDS, "base"),),
    ),
}

LABEL = "release-same-label"
# Which other rules speak up on each of these cases.
FIRMWARE_OTHERS: dict[str, list[str]] = {
    "derived-constant": ["derived-limit", "part-number-kept"],
    "derived-limit": ["part-rating-reduced"],
    "firmware-address": ["firmware-part-substituted"],
    "firmware-analog-shared": [LABEL],
    "firmware-clock": ["part-number-kept"],
    "firmware-constant": [],
    "firmware-debug-pin-reused": [LABEL],
    "firmware-drives-other-load": ["firmware-pin-moved", "firmware-pull", LABEL],
    "firmware-identity-ambiguous": [],
    "firmware-interrupt-shared": [LABEL],
    "firmware-output-contention": ["firmware-direction", LABEL],
    "firmware-output-opposed": ["firmware-direction", LABEL],
    "firmware-part-substituted": [],
    "firmware-pin-overstressed": [LABEL],
    "firmware-sensor-turned": [],
    "firmware-start-pin-reused": [LABEL],
    "firmware-timer-channel-shared": [LABEL],
    "firmware-timer-shared": [LABEL],
    "firmware-unrecognised": ["firmware-active-level", LABEL],
}
