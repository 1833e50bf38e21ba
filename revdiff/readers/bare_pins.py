"""Which plain numbers of a C or C++ source are pins, where no word in their names says so: by what the file holds.

Words and shares are common practice, without a source. The name of the file counts for nothing.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from revdiff.quantities.pattern import pattern
from revdiff.readers.c_source import Definition

_HIGHEST = 127  # beyond the lines of any usual controller; larger numbers are something else
_LEAST = 4  # numbers that make a pin map
_MANY, _MOST = 0.6, 0.8  # shares: of names that are signals', of numbers that occur once
_WORD = pattern(r"[A-Z]+(?![a-z])|[A-Z]?[a-z]+")
_SCOPE = pattern(r"(?:^|::|_)(?:pins?|gpios?|pin_?(?:map|out|s)|board_?pins)(?:$|::|_)", re.IGNORECASE)
_SIGNALS = frozenset(
    (
        *(
            "step",
            "dir",
            "enable",
            "en",
            "led",
            "fan",
            "heater",
            "heat",
            "bed",
            "tx",
            "rx",
            "sda",
            "scl",
            "miso",
            "mosi",
        ),
        *("sck", "sclk", "clk", "clock", "cs", "ss", "nss", "csn", "ce", "rst", "reset", "int", "irq", "drdy", "busy"),
        *("button", "btn", "key", "switch", "sw", "pwm", "relay", "rly", "buzzer", "beeper", "speaker", "sensor"),
        *("sense", "trig", "trigger", "echo", "servo", "motor", "mot", "enc", "encoder", "data", "latch", "oe", "dio"),
        *("dout", "din", "adc", "dac", "thermistor", "therm", "temp", "probe", "valve", "pump", "solenoid", "laser"),
        *("spindle", "endstop", "stop", "limit", "home", "cts", "rts", "dtr", "red", "green", "blue", "backlight"),
        *("detect", "tacho", "tach", "hall", "alarm", "fault", "wake", "boot", "power", "vbat", "gate", "phase"),
    )
)
_SETTINGS = frozenset(
    (
        *(
            "baud",
            "rate",
            "size",
            "width",
            "height",
            "count",
            "num",
            "max",
            "min",
            "timeout",
            "ms",
            "us",
            "sec",
            "delay",
        ),
        *("version", "major", "minor", "patch", "freq", "frequency", "hz", "khz", "mhz", "period", "len", "length"),
        *("addr", "address", "speed", "retries", "retry", "per", "level", "threshold", "limits", "interval", "steps"),
        *(
            "ratio",
            "gain",
            "offset",
            "scale",
            "resolution",
            "bits",
            "channel",
            "channels",
            "port",
            "id",
            "mode",
            "state",
        ),
        *(
            "buffer",
            "depth",
            "priority",
            "stack",
            "default",
            "temperature",
            "percent",
            "index",
            "rows",
            "cols",
            "debug",
        ),
    )
)


def bare_pins(definitions: Sequence[Definition], says: Callable[[str], bool]) -> frozenset[str]:
    """The names of plain numbers that are pins: those in a scope for pins, or all where most names are signals'.

    ``says``: whether a name says by a word that it is a pin's; where some do, those that don't are none.
    """
    marked = {item.scope for item in definitions if says(item.name) and item.value.number is not None}
    numbers = [item for item in definitions if item.scope not in marked and could_be_pin(item)]
    scoped = {item.name for item in numbers if _SCOPE.search(item.scope)}
    rest = [item for item in numbers if item.name not in scoped]
    signals = sum(bool(_SIGNALS & _words(item.name)) for item in rest)
    distinct = len({item.value.number for item in rest})
    if len(rest) >= _LEAST and signals >= _MANY * len(rest) and distinct >= _MOST * len(rest):
        scoped.update(item.name for item in rest)
    return frozenset(scoped)


def could_be_pin(item: Definition) -> bool:
    """Whether a definition is a plain number that a pin can have, and no word in its name says what else it is."""
    number = item.value.number
    plain = number is not None and not item.value.text and not item.mask and not item.counted and not item.parameters
    return plain and 0 <= (number or 0) <= _HIGHEST and not _SETTINGS & _words(item.name)


def _words(name: str) -> frozenset[str]:
    return frozenset(word.lower() for word in _WORD.findall(name))
