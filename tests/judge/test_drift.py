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
    long = [net for net in dict.fromkeys(nets.values()) if len(net) > 20]
    aliases = [f"P  NNAME{index}    {net}" for index, net in enumerate(long)]
    names = {net: f"NNAME{index}" for index, net in enumerate(long)}
    records = [record(net=names.get(net, net) or "N/C", ref=ref, pin=pin) for (ref, pin), net in nets.items()]
    return file356(*aliases, *records).decode()


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
        ({("U1", "1"): "HEAT"}, [("terminal-net", "base", "U1.1")]),
        ({("U1", "1"): ""}, [("terminal-open", "base", "U1.1")]),
        ({("U1", "6"): "TX"}, [("terminal-net", "base", "U1.6")]),
        # Alone on its net it leads nowhere, whatever the net is called; and so does what it was wired to.
        ({("U1", "1"): "LAMP"}, [("terminal-open", "base", "U1.1")]),
        ({("U1", "6"): "SPARE"}, []),
        ({("J1", "5"): "FAN"}, [("terminal-open", "base", "J1.5"), ("terminal-open", "base", "U1.2")]),
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
    assert said(design(nets)) == [("terminal-not-drawn", "base", "U1.3"), ("terminal-open", "base", "J1.3")]


def test_in_a_netlist_that_lacks_parts_a_pin_alone_may_lead_on() -> None:
    nets = {key: net for key, net in NETS.items() if key[0] not in ("D1", "R1", "R2")} | {("U1", "1"): "LAMP"}
    found = said(design(nets))
    assert ("terminal-net", "base", "U1.1") in found
    assert "terminal-open" not in {code for code, _, _ in found}


_BY_PORT = (
    ("base/pins.csv", "U1,1,PA0,LED", "U1,PA0,PA0,LED"),
    ("base/pins.csv", "U1,2,PA1", "U1,PA1,PA1"),
    ("base/pins.csv", "U1,3,PA2", "U1,PA2,PA2"),
    ("base/pins.csv", "U1,4,PA3", "U1,PA3,PA3"),
    ("base/pins.csv", "U1,5,PA4", "U1,PA4,PA4"),
    ("base/pins.csv", "U1,6,PA5", "U1,PA5,PA5"),
    ("blink.csv", "LED,1", "LED,PA0"),
    ("blink.csv", "HEAT,2", "HEAT,PA1"),
    ("blink.csv", "TX,3", "TX,PA2"),
    ("blink.csv", "VBAT_SENSE,5", "VBAT_SENSE,PA4"),
)


@pytest.mark.parametrize(
    ("changed", "expected"),
    [
        ({}, []),
        # What only the signal joins says nothing; the name of an open pin's net says which pin is meant.
        (
            {("U1", "2"): "UNCONNECTED-(U1-PA1-PAD2)"},
            [("terminal-open", "base", "J1.5"), ("terminal-open", "base", "U1.PA1")],
        ),
    ],
)
def test_a_pin_map_by_ports_is_joined_with_a_netlist_by_numbers(
    changed: dict[tuple[str, str], str], expected: list[tuple[str, str, str]]
) -> None:
    assert said(design({**NETS, **changed}, *_BY_PORT)) == expected


def test_a_controller_of_another_name_is_known_by_its_signals() -> None:
    files = design(NETS)
    files["base/pins.csv"] = files["base/pins.csv"].replace("U1,", "MCU,")
    files["revdiff.toml"] = files["revdiff.toml"].replace('device = "U1"', 'device = "MCU"')
    assert said(files) == [("device-not-listed", "base", "MCU")]
    files["base.ipc"] = netlist({**NETS, ("U1", "1"): "HEAT"})
    assert ("terminal-net", "base", "MCU.1") in said(files)


def test_names_that_cannot_be_joined_say_nothing() -> None:
    files = design(NETS)
    files["base/pins.csv"] = "Device,Pin,Signal\nMCU,1,A\nMCU,2,B\n"
    assert {code for code, _, _ in said(files)} & {"terminal-net", "terminal-open", "terminal-not-drawn"} == set()


def test_a_name_that_the_format_cut_is_no_contradiction() -> None:
    """IPC-D-356A holds 14 characters of a net name (AN40, columns 4 to 17)."""
    long = "BATTERY_SENSE_FILTERED"
    edits = (("base/pins.csv", "VBAT_SENSE", long), ("blink.csv", "VBAT_SENSE", long))
    nets = {key: long[:14] if net == "VBAT_SENSE" else net for key, net in NETS.items()}
    assert said(design(nets, *edits)) == []
    nets[("U1", "5")] = nets[("R1", "1")] = long[:13]
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


@pytest.mark.parametrize(
    ("stated", "expected"),
    [
        ("down R1", []),
        ("up R1", [("pull-net", "base", "VBAT_SENSE")]),
        ("down 10k", []),
        ("up 10k", [("pull-net", "base", "VBAT_SENSE")]),
        ("down R2", [("pull-net", "base", "VBAT_SENSE")]),
        ("down 10k0 R1", []),
        ("down 22k R1", [("pull-value", "base", "VBAT_SENSE")]),
    ],
)
def test_resistors_of_the_manifest_that_the_netlist_has_not(stated: str, expected: list[tuple[str, str, str]]) -> None:
    pulls = ("revdiff.toml", "[boards.top]", f'[boards.base.pulls]\nVBAT_SENSE = "{stated}"\n\n[boards.top]')
    assert said(design(NETS, pulls)) == expected


@pytest.mark.parametrize(
    ("edits", "expected"),
    [
        ([("base/contacts.csv", "J1,3,TX,out", "J1,3,TX,in")], [("contact-direction", "base", "TX")]),
        ([("base/contacts.csv", "J1,3,TX,out", "J1,3,TX,supply out")], [("contact-direction", "base", "TX")]),
        ([("base/contacts.csv", "J1,3,TX,out", "J1,3,TX,bidirectional")], []),
        # Told as the mate sees it, throughout.
        (
            [
                ("base/contacts.csv", "J1,3,TX,out", "J1,3,TX,in"),
                ("base/contacts.csv", "J1,4,RX,in", "J1,4,RX,out"),
                ("base/contacts.csv", "J1,5,HEAT,out", "J1,5,HEAT,in"),
            ],
            [],
        ),
    ],
)
def test_contacts_and_pins_that_say_opposite_directions(
    edits: list[tuple[str, str, str]], expected: list[tuple[str, str, str]]
) -> None:
    assert said(design(NETS, *edits)) == expected
