"""How a new revision fails for its firmware, and which rule finds it, with which data; what is not detected as well."""

from __future__ import annotations

from revdiff.rules.stack_coverage import Mode

MODES: tuple[Mode, ...] = (
    Mode(
        1,
        "signals trade pins: an old pin constant now drives another load",
        ("firmware-drives-other-load", "firmware-pin-moved", "firmware-output-contention", "firmware-output-opposed"),
        "pin map with Signal, Direction, Active; Series resistance; a firmware contract, or the old pin map stands in",
    ),
    Mode(3, "a load's pull at a controller pin changes", ("firmware-pull",), "Pull of the pin map and of the contract"),
    Mode(
        3,
        "the controller's own boot loader toggles a pin, or its reset state changes",
        (),
        "a table of what each pin does in reset and in the boot loader, which no table holds yet",
    ),
    Mode(
        4,
        "a pin sees more than it tolerates; a divider or regulator gives another voltage",
        ("firmware-pin-overstressed", "firmware-level", "derived-limit"),
        "Level and 5V tolerant of the pin map; [derived.NAME] with low and high; [controllers.BOARD.DEVICE]",
    ),
    Mode(
        7,
        "a boot-strap, reset or debug pin gets another use",
        ("firmware-start-pin-reused", "firmware-debug-pin-reused"),
        "function or port names that say so, or boot, reset, debug in [controllers.BOARD.DEVICE]",
    ),
    Mode(
        8,
        "a signal is on a pin that can't do it",
        ("firmware-function",),
        "Function of the pin map; revdiff pins --functions with a table or the open data of controllers",
    ),
    Mode(9, "the active level is inverted", ("firmware-active-level", "firmware-direction"), "Active, Direction"),
    Mode(
        9,
        "a transistor or buffer in the path inverts a signal, and the pin map says nothing",
        (),
        "a netlist with the drive path, which is not followed yet",
    ),
    Mode(
        10,
        "a signal that firmware uses moves, goes, or is only renamed",
        ("firmware-pin-moved", "firmware-signal-lost", "firmware-signal-renamed"),
        "pin map, firmware contract",
    ),
    Mode(
        13,
        "a part that firmware talks to is another one",
        ("firmware-part-substituted",),
        "[software.NAME] with board and part; Part number of the parts list",
    ),
    Mode(
        14,
        "a part answers at another address: by its ordering number, or by a strap",
        ("firmware-address",),
        "addresses in [firmware.NAME]; [software.NAME] with address, by_part_number or straps",
    ),
    Mode(
        15,
        "a sensor is turned or on the other side",
        ("firmware-sensor-turned",),
        "Rotation and Side of the parts list, [software.NAME]",
    ),
    Mode(
        16,
        "the scale of a measurement changes: divider, gain, channel",
        ("derived-constant", "firmware-constant", "firmware-analog-channel"),
        "[derived.NAME] with a constant of the firmware; Analog of the pin map",
    ),
    Mode(
        17,
        "the clock has another frequency, or its crystal another load",
        ("firmware-clock", "derived-limit"),
        "clock in [firmware.NAME], crystals with a value in Hz or clock in [controllers.BOARD.DEVICE]",
    ),
    Mode(17, "the clock starts otherwise: crystal or oscillator, its supply", (), "kind and supply of the clock part"),
    Mode(18, "a bus is on another instance", ("firmware-function",), "Function of the pin map and of the contract"),
    Mode(
        19,
        "two signals share an interrupt line, a timer, or an analog channel",
        (
            "firmware-interrupt-shared",
            "firmware-timer-channel-shared",
            "firmware-timer-shared",
            "firmware-analog-shared",
        ),
        "Interrupt, Function, Analog of the pin map; Frequency or Note of the needs",
    ),
    Mode(19, "two peripherals share a memory channel (DMA)", (), "which channels a firmware uses"),
    Mode(
        22,
        "software can't tell the revision",
        ("firmware-unrecognised", "release-same-label"),
        "[identity.BOARD] with code, or recognises in [firmware.NAME]; revision in [boards.NAME]",
    ),
    Mode(
        23,
        "two revisions answer the same code, or their windows overlap",
        ("firmware-identity-ambiguous",),
        "codes or windows of all revisions in [identity.BOARD]",
    ),
    Mode(
        34,
        "nobody knows which firmware runs on which board",
        ("firmware-signal-lost",),
        "tags; every release is judged on every tagged revision with all rules of firmware",
    ),
    Mode(35, "a pin map is replaced in place and the old one is out of reach", (), "the history of each file"),
)
