"""Documents of one revision that contradict each other: each kind once, and the near miss that agrees."""

from __future__ import annotations

import pytest

from revdiff.judge.drift import drifts
from tests.netlists.writing import file356, record
from tests.support import SMALL, edit, load

NETS = {
    ("U1", "1"): "LED", ("U1", "2"): "HEAT", ("U1", "3"): "TX", ("U1", "4"): "RX", ("U1", "5"): "VBAT_SENSE",
    ("U1", "6"): "", ("U1", "7"): "+3V3", ("U1", "8"): "GND",
    ("J1", "1"): "+5V", ("J1", "2"): "GND", ("J1", "3"): "TX", ("J1", "4"): "RX", ("J1", "5"): "HEAT", ("J1", "6"): "",
    ("R1", "1"): "VBAT_SENSE", ("R1", "2"): "GND", ("R2", "1"): "LED", ("R2", "2"): "GND",
    ("C1", "1"): "+3V3", ("C1", "2"): "GND", ("C2", "1"): "+5V", ("C2", "2"): "GND",
    ("U2", "1"): "+5V", ("D1", "1"): "LED",
}  # fmt: skip


def netlist(nets: dict[tuple[str, str], str]) -> str:
    return file356(*(record(net=net or "N/C", ref=ref, pin=pin) for (ref, pin), net in nets.items())).decode()


def design(nets: dict[tuple[str, str], str], *edits: tuple[str, str, str]) -> dict[str, str]:
    files = edit(SMALL, ("revdiff.toml", "[boards.top]", 'netlist = "base.ipc"\n\n[boards.top]'), *edits)
    files = edit(files, ("base/parts.csv", "D1,1,LED", "J1,1,header,THT,PH-6,,,,yes,active,0.10\nD1,1,LED"))
    files = edit(files, ("top/parts.csv", "R1,1,10k,0603,RA-10K", "R1,1,10k,0603,RA-10K\nJ1,1,socket,THT,PS-6"))
    return {**files, "base.ipc": netlist(nets)}


def said(files: dict[str, str]) -> list[tuple[str, str, str]]:
    return [(item.code, item.board, item.subject) for item in drifts(load(files))]


def test_documents_that_agree_say_nothing() -> None:
    assert said(design(NETS)) == []


@pytest.mark.parametrize(
    ("changed", "expected"),
    [
        ({("U1", "1"): "LAMP"}, [("terminal-net", "base", "U1.1")]),
        ({("U1", "1"): ""}, [("terminal-net", "base", "U1.1")]),
        ({("U1", "6"): "SPARE"}, [("terminal-net", "base", "U1.6")]),
        ({("J1", "5"): "FAN"}, [("terminal-net", "base", "J1.5")]),
        ({("R9", "1"): "GND"}, [("part-not-listed", "base", "R9")]),
        ({("TP9", "1"): "GND"}, []),
    ],
)
def test_a_netlist_that_differs_is_told(
    changed: dict[tuple[str, str], str], expected: list[tuple[str, str, str]]
) -> None:
    assert said(design({**NETS, **changed})) == expected


def test_a_part_that_the_netlist_lacks_is_told_unless_it_is_not_fitted() -> None:
    nets = {key: net for key, net in NETS.items() if key[0] != "D1"}
    assert said(design(nets)) == [("part-not-drawn", "base", "D1")]
    assert said(design(nets, ("base/parts.csv", "LR-1,,,,yes", "LR-1,,,,DNP"))) == []


def test_a_pin_that_the_netlist_lacks_is_told() -> None:
    nets = {key: net for key, net in NETS.items() if key != ("U1", "3")}
    assert said(design(nets)) == [("terminal-not-drawn", "base", "U1.3")]


def test_a_name_that_the_format_cut_is_no_contradiction() -> None:
    """IPC-D-356A holds 14 characters of a net name (AN40, columns 4 to 17)."""
    long = "BATTERY_SENSE_FILTERED"
    edits = (("base/pins.csv", "VBAT_SENSE", long), ("blink.csv", "VBAT_SENSE", long))
    nets = {key: long[:14] if net == "VBAT_SENSE" else net for key, net in NETS.items()}
    assert said(design(nets, *edits)) == []
    nets[("U1", "5")] = long[:13]
    assert ("terminal-net", "base", "U1.5") in said(design(nets, *edits))


@pytest.mark.parametrize(
    ("edits", "code"),
    [
        ([("blink.csv", "LED,1", "LAMP,1")], "need-not-met"),
        ([("blink.csv", "LED,1", "LED,6")], "need-pin"),
        ([("blink.csv", "LED,1,,out,high", "LED,1,,out,low")], "need-active"),
        ([("blink.csv", "LED,1,,out", "LED,1,,in")], "need-direction"),
        ([("blink.csv", "UART1_TX", "UART2_TX")], "need-function"),
        ([("blink.csv", "ADC1_IN4", "ADC1_IN5")], "need-analog"),
    ],
)
def test_a_contract_that_the_pin_map_does_not_meet_is_told_at_both_places(
    edits: list[tuple[str, str, str]], code: str
) -> None:
    found = drifts(load(design(NETS, *edits)))
    assert [item.code for item in found] == [code]
    assert found[0].here.file == "blink.csv"
    assert found[0].there is None or found[0].there.file == "base/pins.csv"


def test_a_connector_and_a_device_that_the_parts_list_lacks_are_told() -> None:
    files = edit(SMALL, ("base/parts.csv", "U1,1,controller,QFP-8,MC-8,,,,yes,active,2.00\n", ""))
    assert said(files) == [
        ("connector-not-listed", "base", "J1"),
        ("device-not-listed", "base", "U1"),
        ("connector-not-listed", "top", "J1"),
    ]
