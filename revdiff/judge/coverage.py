"""How a new revision fails, and which rules find it; what nothing finds yet. The data needed is what the rules declare.

Numbers are the rank among the failure modes of hardware revisions, worst first; 0 where a mode isn't ranked.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from msgspec import Struct

from revdiff.judge.registry import ALL
from revdiff.judge.rule import Declared

Concern = Literal["Stacked boards", "Firmware", "Parts and papers"]


class Mode(Struct, frozen=True):
    """One way to fail, and the rules that find it."""

    number: int
    what: str
    rules: tuple[str, ...]

    @property
    def data(self) -> tuple[str, ...]:
        """The columns and keys that its rules look at."""
        by_name: dict[str, Declared] = {rule.name: rule for rule in ALL}
        return tuple(dict.fromkeys(item for name in self.rules for item in by_name[name].needs))


class Gap(Struct, frozen=True):
    """One way to fail that nothing finds; ``data`` would let it be found."""

    number: int
    what: str
    data: str


FOUND: Mapping[Concern, tuple[Mode, ...]] = {
    "Stacked boards": (
        Mode(
            1,
            "two signals of a joint trade places, or meet what they are not",
            ("joint-signal-moved", "joint-signal-clash", "joint-renamed-one-side", "joint-names-differ"),
        ),
        Mode(
            2,
            "a supply or ground moves, goes, or changes its voltage, inside the stack or where it leaves it",
            (
                "joint-supply-clash",
                "joint-supply-voltage",
                "joint-signal-lost",
                "stack-signal-parted",
                "stack-return-lost",
                "joint-ground-lost",
                "connector-supply-changed",
                "part-supply-changed",
                "cable-pinout-changed",
                "cable-connector-changed",
                "connector-wired-elsewhere",
                "stack-rail-unfed",
                "joint-supply-given-twice",
            ),
        ),
        Mode(
            3,
            "a load is on at power-on, or its pull is weaker, opposite, missing",
            ("stack-power-on-load", "stack-pull-weaker", "stack-power-on-drive"),
        ),
        Mode(
            4,
            "an input gets more than it stands, or a level it doesn't understand",
            ("stack-overvoltage", "stack-logic-level"),
        ),
        Mode(5, "two boards drive one contact, or nobody drives it", ("stack-two-drivers", "stack-no-driver")),
        Mode(
            6,
            "pull-ups too strong together, too weak, to two rails, or missing; a bus with too much capacitance",
            (
                "stack-bus-pull",
                "stack-bus-rails",
                "stack-open-drain-pull",
                "stack-bus-held-low",
                "stack-bus-capacitance",
            ),
        ),
        Mode(0, "a pull is too strong for the output that has to overcome it", ("stack-pull-overload",)),
        Mode(7, "another board disturbs a boot strap", ("stack-boot-strap", "stack-strap-level")),
        Mode(9, "one board is on where the other is off", ("stack-active-level",)),
        Mode(
            11,
            "contacts are numbered otherwise, seen from the other side, or a plug goes in wrongly",
            ("stack-contact-numbering", "stack-misplug", "joint-turned", "joint-rotations-disagree"),
        ),
        Mode(
            12,
            "a contact that was reserved or free is used now",
            ("stack-reserved-used", "stack-free-contact-taken"),
        ),
        Mode(
            14,
            "two devices of a bus have one address, or a reserved one",
            ("stack-bus-address", "stack-bus-reserved-address"),
        ),
        Mode(20, "one select or interrupt contact serves two boards", ("stack-select-shared", "stack-two-drivers")),
        Mode(
            24,
            "connectors don't mate: missing, other size, pitch, gender, place or height",
            (
                "stack-joint-missing",
                "joint-contact-count",
                "joint-pitch",
                "joint-connector-gender",
                "stack-placement",
                "stack-mated-height",
                "joint-height-changed",
                "stack-lies-otherwise",
            ),
        ),
        Mode(
            25,
            "too much current for contacts, grounds or a rail",
            (
                "stack-contact-current",
                "stack-contact-rating",
                "stack-return-current",
                "stack-rail-budget",
                "stack-contact-budget",
                "stack-return-budget",
            ),
        ),
        Mode(26, "two supplies feed each other", ("stack-back-feed",)),
        Mode(34, "nobody knows which revisions stack", ("joint-signal-lost", "stack-joint-missing")),
    ),
    "Firmware": (
        Mode(
            1,
            "signals trade pins: an old pin constant now drives another load, or drives against an output",
            ("firmware-drives-other-load", "firmware-pin-moved", "firmware-output-contention"),
        ),
        Mode(
            3,
            "a load that firmware leaves alone, or whose pull changes at a controller pin",
            ("firmware-load-left-on", "firmware-pull", "pull-wired-otherwise"),
        ),
        Mode(
            4,
            "a pin sees more than it tolerates; a divider or regulator gives another voltage",
            ("firmware-pin-overstressed", "firmware-level", "derived-limit", "firmware-divider-changed"),
        ),
        Mode(
            7,
            "a boot-strap, reset or debug pin gets another use",
            ("firmware-start-pin-reused", "firmware-debug-pin-reused"),
        ),
        Mode(8, "a signal is on a pin that can't do it", ("firmware-function",)),
        Mode(9, "the active level is inverted", ("firmware-active-level", "firmware-direction")),
        Mode(
            10,
            "a signal that firmware uses moves, goes, or is only renamed; a pin leads elsewhere, or nowhere",
            (
                "firmware-pin-moved",
                "firmware-signal-lost",
                "firmware-signal-renamed",
                "firmware-pin-open",
                "firmware-pin-rewired",
                "firmware-pin-wired-elsewhere",
                "firmware-port-changed",
            ),
        ),
        Mode(13, "a part that firmware talks to is another one", ("firmware-part-substituted",)),
        Mode(
            14,
            "a part answers at another address: by its ordering number, or by a strap",
            ("firmware-address", "firmware-address-unanswered", "firmware-address-unlisted"),
        ),
        Mode(15, "a sensor is turned or on the other side", ("firmware-sensor-turned",)),
        Mode(
            16,
            "the scale of a measurement changes: divider, gain, channel",
            ("derived-constant", "derived-wired-otherwise", "firmware-constant", "firmware-analog-channel"),
        ),
        Mode(
            17,
            "the clock has another frequency, or its crystal another load",
            ("firmware-clock", "derived-limit"),
        ),
        Mode(18, "a bus is on another instance", ("firmware-function",)),
        Mode(
            19,
            "two signals share an interrupt line, a timer, or an analog channel",
            (
                "firmware-interrupt-shared",
                "firmware-timer-channel-shared",
                "firmware-timer-shared",
                "firmware-pin-doubled",
                "firmware-analog-shared",
            ),
        ),
        Mode(22, "software can't tell the revision", ("firmware-unrecognised", "release-same-label")),
        Mode(
            23,
            "two revisions answer the same code, or their windows overlap",
            ("firmware-identity-ambiguous", "firmware-identity-changed"),
        ),
        Mode(34, "nobody knows which firmware runs on which board", ("firmware-signal-lost",)),
    ),
    "Parts and papers": (
        Mode(0, "a value slips by a prefix or a digit", ("part-value-magnitude",)),
        Mode(0, "the value changes and the part number stays, or the other way round", ("part-number-kept",)),
        Mode(0, "a part is rated lower behind an unchanged place", ("part-rating-reduced",)),
        Mode(0, "a designator means another part than the papers say", ("part-designator-reused",)),
        Mode(0, "a regulator of another voltage sits on the same pads", ("part-output-voltage",)),
        Mode(
            0, "a part that protects is left out, or lets more through", ("part-protection-removed", "part-fuse-raised")
        ),
        Mode(0, "a part goes out of production", ("part-life-ending",)),
    ),
}
NOT_FOUND: Mapping[Concern, tuple[Gap, ...]] = {
    "Stacked boards": (
        Gap(
            24,
            "mounting holes, outline, keep-outs or a probe target moved",
            "their positions, which no table holds yet",
        ),
        Gap(24, "tall parts of two boards touch", "heights and positions of parts, which no table holds yet"),
        Gap(4, "a divider or regulator puts another voltage on a contact", "a formula that names the contact's signal"),
        Gap(5, "an output collides only in a state that firmware sets", "which firmware drives what when"),
        Gap(25, "a contact that is within its rating gets too warm beside others", "derating curves of the connector"),
        Gap(0, "signal quality, crosstalk and timing over the stack", "layout, lengths and edge rates"),
        Gap(
            0,
            "which board powers up first, and inputs fed while their board is off",
            "the sequence of the rails",
        ),
    ),
    "Firmware": (
        Gap(
            3,
            "the controller's own boot loader toggles a pin, or its reset state changes",
            "a table of what each pin does in reset and in the boot loader, which no table holds yet",
        ),
        Gap(
            9,
            "a transistor or buffer in the path inverts a signal, and the pin map says nothing",
            "a netlist with the drive path, which is not followed yet",
        ),
        Gap(17, "the clock starts otherwise: crystal or oscillator, its supply", "kind and supply of the clock part"),
        Gap(19, "two peripherals share a memory channel (DMA)", "which channels a firmware uses"),
        Gap(35, "a pin map is replaced in place and the old one is out of reach", "the history of each file"),
    ),
    "Parts and papers": (
        Gap(0, "a part of equal value and rating behaves otherwise: noise, start-up, aging", "data sheets"),
    ),
}
