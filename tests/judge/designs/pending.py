"""The records that don't come right yet, with what is missing; each entry goes with the mend."""

from __future__ import annotations

PENDING: frozenset[str] = frozenset(
    {
        "−12 V meets −12 V",
        "a supply renamed with its voltage kept",
        "an output meets an open drain",
        "receive meets receive",
        "two analog outputs",
        "an open drain becomes push-pull on a line that the other side pulls low",
        "a driver goes",
        "firmware reads a pin that another board drives",
        "only the controller's own pull-down holds the heater",
        "the pull-down of a heater becomes 1 MΩ",
        "a strap of 10k down loses to 4k7 up on the board above",
        "a boot pin that the manifest names is pulled the wrong way by another board",
        "a strap stated in its own column is pulled the wrong way by another board",
        "0x48 written as 48h and 72",
        "a signal moves to a free contact on one board",
        "nothing is said but names",
        "firmware for a board of which no pin map is kept",
        "a designator names another part",
        "the same printed revision over other parts",
    }
)
