"""Rules of what a netlist shows."""

from __future__ import annotations

from tests.judge.pairs.pair import Edit, Pair
from tests.netlists.writing import file356, record

NETS = {
    "U1": ("LED", "HEAT", "TX", "RX", "VBAT_SENSE", "N/C", "+3V3", "GND"),
    "J1": ("+5V", "GND", "TX", "RX", "HEAT", "N/C"),
    "R1": ("+5V", "VBAT_SENSE"),
    "R2": ("VBAT_SENSE", "GND"),
    "C1": ("+3V3", "GND"),
    "C2": ("+5V", "GND"),
    "U2": ("+5V", "+3V3", "GND"),
    "D1": ("LED", "GND"),
}
FILES = {
    "base/base.ipc": file356(
        *(record(net=net, ref=ref, pin=str(pin)) for ref, nets in NETS.items() for pin, net in enumerate(nets, 1))
    ).decode()
}
NAMED: Edit = ("revdiff.toml", 'pins = "base/pins.csv"', 'pins = "base/pins.csv"\nnetlist = "base/base.ipc"')


def wired(ref: str, pin: int, net: str) -> Edit:
    """A terminal on another net."""
    old, new = (record(net=name, ref=ref, pin=str(pin)) for name in (NETS[ref][pin - 1], net))
    return "base/base.ipc", old, new


TURNED = (wired("R1", 1, "VBAT_SENSE"), wired("R1", 2, "+5V"))
RATIO: Edit = (
    "revdiff.toml",
    "[firmware.blink]",
    '[derived.ratio]\nboard = "base"\nformula = "R2 / (R1 + R2)"\n\n[firmware.blink]',
)

WIRING: dict[str, Pair] = {
    "connector-wired-elsewhere": Pair(
        base=(NAMED,),
        files=FILES,
        fires=(wired("J1", 4, "+5V"),),
        near_miss=(wired("J1", 4, "IO-RX"), wired("U1", 4, "IO-RX")),
    ),
    # The light-emitting diode hangs on another net: the controller's pin is alone on its own.
    "firmware-pin-open": Pair(
        base=(NAMED,), files=FILES, fires=(wired("D1", 1, "+3V3"),), near_miss=(wired("C2", 1, "+3V3"),)
    ),
    # The names alone differ: nothing else on the board is called that.
    "firmware-pin-wired-elsewhere": Pair(
        base=(NAMED,),
        files=FILES,
        fires=(wired("U1", 2, "TX"), wired("U1", 3, "HEAT")),
        near_miss=(wired("U1", 2, "MCU-HEAT"), wired("J1", 5, "MCU-HEAT")),
    ),
    "derived-wired-otherwise": Pair(
        base=(NAMED, RATIO), files=FILES, fires=(wired("R1", 1, "GND"), wired("R2", 2, "+5V")), near_miss=TURNED
    ),
    # R2 holds HEAT low; turned round it still does.
    "pull-wired-otherwise": Pair(
        base=(NAMED, wired("R2", 1, "HEAT")),
        files=FILES,
        fires=(wired("R2", 2, "+3V3"),),
        near_miss=(
            ("base/base.ipc", record(net="HEAT", ref="R2", pin="1"), record(net="GND", ref="R2", pin="1")),
            wired("R2", 2, "HEAT"),
        ),
    ),
    "firmware-pin-rewired": Pair(
        base=(NAMED,), files=FILES, fires=(wired("U1", 4, "VBAT_SENSE"), wired("U1", 5, "RX")), near_miss=TURNED
    ),
    "firmware-divider-changed": Pair(
        base=(NAMED,), files=FILES, fires=(wired("R1", 1, "GND"), wired("R2", 2, "+5V")), near_miss=TURNED
    ),
}
