"""Two revisions of a board for tests of pin notices and exports: moved, swapped, renamed, lost and added signals."""

from __future__ import annotations

from revdiff.judge import judge_change
from revdiff.release.review import Review
from tests.support import Files, MemoryRevision, compare

MANIFEST = """\
[design]
name = "lamp"

[boards.base]
revision = "A"
parts = "parts.csv"
pins = "pins.csv"
"""
PARTS = "Designator,Value,Tolerance\nR1,10k,1%\nR2,4k7,1%\nU1,controller,\n"
HEAD = "Device,Pin,Port,Signal,Function,Direction,Active,Pull,Level,Series resistance,Purpose\n"
OLD_PINS = (
    HEAD
    + """\
U1,1,PA0,LAMP,GPIO,out,high,,3.3 V,,lamp
U1,2,PA1,HEAT,GPIO,out,high,down,3.3 V,,heater
U1,3,PB2,TX,USART2_TX,out,,,3.3 V,,
U1,4,PB3,RX,USART2_RX,in,,up,3.3 V,,
U1,5,PB5,nKEY,GPIO,in,low,up,3.3 V,,
U1,6,PB7,FAN,TIM3_CH1,out,high,,3.3 V,,
U1,7,PC0,SPARE_IN,GPIO,in,,,3.3 V,,
U1,8,VDD,+3V3,,supply,,,3.3 V,,
U1,9,PC1,,,,,,,,
"""
)
NEW_PINS = (
    HEAD
    + """\
U1,1,PA0,HEAT,GPIO,out,low,down,3.3 V,,heater
U1,2,PA1,LAMP,GPIO,out,high,,3.3 V,,lamp
U1,3,PB2,TX,USART3_TX,out,,,3.3 V,,
U1,4,PB3,RX,USART2_RX,in,,up,3.3 V,,
U1,5,PB5,nBUTTON,GPIO,in,low,up,3.3 V,,
U1,6,PB7,PULSE,TIM3_CH1,in,high,,3.3 V,,
U1,7,PC0,,,,,,,,
U1,8,VDD,+3V3,,supply,,,3.3 V,,
U1,9,PC1,FAN,TIM4_CH1,out,high,,3.3 V,,
"""
)


def files(pins: str, manifest: str = MANIFEST, **more: str) -> Files:
    return {"revdiff.toml": manifest, "parts.csv": PARTS, "pins.csv": pins, **more}


OLD, NEW = files(OLD_PINS), files(NEW_PINS)


def review(old: Files = OLD, new: Files = NEW) -> Review:
    comparison = compare(old, new)
    identities = MemoryRevision(old, "v1").identity, MemoryRevision(new, "v2").identity
    return Review(*identities, comparison, judge_change(comparison, "v1", "v2"))
