"""How stacked boards fail, and which rule finds it, with which data; what is not detected is said as well."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Mode:
    """One way to fail. ``rules``: those that find it; empty where nothing does. ``data``: what has to be in the files.

    ``number``: its rank among all failure modes of hardware revisions, worst first; 0 where it isn't ranked.
    """

    number: int
    what: str
    rules: tuple[str, ...]
    data: str


MODES: tuple[Mode, ...] = (
    Mode(
        1,
        "two signals of a joint trade places",
        ("joint-signal-moved", "joint-signal-clash", "joint-renamed-one-side"),
        "contacts with signals, joints",
    ),
    Mode(
        2,
        "a supply or ground moves, goes, or changes its voltage",
        ("joint-supply-clash", "joint-supply-voltage", "joint-signal-lost", "stack-return-lost"),
        "contacts with signal, direction and level",
    ),
    Mode(
        3,
        "a load is on at power-on, or its pull is weaker, opposite, missing",
        ("stack-power-on-load", "stack-pull-weaker", "stack-power-on-drive"),
        "Active and Pull of the pin map, boards.NAME.pulls, Power-on of contacts",
    ),
    Mode(
        4,
        "an input gets more than it stands, or a level it doesn't understand",
        ("stack-overvoltage", "stack-logic-level"),
        "Level, 5V tolerant, Maximum, Family",
    ),
    Mode(
        5,
        "two boards drive one contact, or pull it opposite ways; or nobody drives it",
        ("stack-two-drivers", "stack-pull-conflict", "stack-no-driver"),
        "Direction, Pull, Series resistance",
    ),
    Mode(
        6,
        "pull-ups too strong together, too weak, to two rails, or missing",
        ("stack-bus-pull", "stack-bus-rails", "stack-open-drain-pull"),
        "Pull with values, Level, buses.NAME with speed and capacitance",
    ),
    Mode(7, "another board disturbs a boot strap", ("stack-boot-strap",), "strap pins, Strap, Pull with values"),
    Mode(
        11,
        "contacts are numbered otherwise, seen from the other side, or a plug goes in wrongly",
        ("stack-contact-numbering", "stack-misplug"),
        "Rows, Numbering, View, Board side, Rotation, Keyed",
    ),
    Mode(
        12,
        "a contact that was reserved or free is used now",
        ("stack-reserved-used", "stack-free-contact-taken"),
        "State, or a remark, of contacts",
    ),
    Mode(
        14,
        "two devices of a bus have one address, or a reserved one",
        ("stack-bus-address", "stack-bus-reserved-address"),
        "Address of the pin map, boards.NAME.buses",
    ),
    Mode(
        20,
        "one select or interrupt contact serves two boards",
        ("stack-select-shared", "stack-two-drivers"),
        "Function or name of contacts, Direction",
    ),
    Mode(
        24,
        "connectors don't mate: missing, other size, pitch, gender, place or height",
        (
            "joint-removed",
            "stack-joint-missing",
            "joint-contact-count",
            "joint-pitch",
            "joint-connector-gender",
            "stack-placement",
            "stack-mated-height",
        ),
        "connectors with Contacts, Rows, Pitch, Gender, X, Y, Rotation, Height",
    ),
    Mode(
        25,
        "too much current for contacts, grounds or a rail",
        ("stack-contact-current", "stack-return-current", "stack-rail-budget"),
        "Current, Rating, boards.NAME.feeds and loads",
    ),
    Mode(26, "two supplies feed each other", ("stack-back-feed",), "Direction, boards.NAME.feeds and blocking"),
    Mode(
        34,
        "nobody knows which revisions stack",
        ("joint-signal-lost", "stack-joint-missing"),
        "tags; revdiff matrix judges every pair with all rules of stacking",
    ),
    Mode(
        24,
        "mounting holes, outline, keep-outs or a probe target moved",
        (),
        "their positions, which no table holds yet",
    ),
    Mode(24, "tall parts of two boards touch", (), "heights and positions of parts, which no table holds yet"),
    Mode(
        4,
        "a divider or regulator puts another voltage on a contact",
        (),
        "formulas over part values (derived quantities)",
    ),
    Mode(5, "an output collides only in a state that firmware sets", (), "which firmware drives what when"),
    Mode(25, "a contact that is within its rating gets too warm beside others", (), "derating curves of the connector"),
    Mode(0, "signal quality, crosstalk and timing over the stack", (), "layout, lengths and edge rates"),
    Mode(0, "which board powers up first, and inputs fed while their board is off", (), "the sequence of the rails"),
)
