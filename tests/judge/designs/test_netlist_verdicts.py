"""A netlist that contradicts tables or manifest: whoever is asked, nobody says that things fit.

The level at rest is V = Σ(V/R) / Σ(1/R) (Kirchhoff's current law; any handbook of circuits).
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from revdiff.cli.group import cli
from revdiff.judge.wired import disputed_pulls
from tests.app.support import Project
from tests.netlists.writing import file356, record
from tests.support import SMALL, edit, load

NETS = {
    "U1": ("LED", "HEAT", "TX", "RX", "VBAT_SENSE", "N/C", "+3V3", "GND"),
    "J1": ("+5V", "GND", "TX", "RX", "HEAT", "N/C"),
    "R1": ("HEAT", "GND"),
    "R2": ("LED", "GND"),
    "C1": ("+3V3", "GND"),
    "C2": ("+5V", "VBAT_SENSE"),
    "U2": ("+5V", "+3V3", "GND"),
    "D1": ("LED", "GND"),
}
LOAD = ("revdiff.toml", "[boards.top]", '[boards.base.switches]\nHEAT = "heater"\n\n[boards.top]')
STATED = ("revdiff.toml", "[boards.top]", '[boards.base.pulls]\nHEAT = "down R1"\n\n[boards.top]')
BARE = (*STATED[:2], STATED[2].replace("down R1", "down 10k"))
# R3 above R4, by the formula that the constant of the firmware comes from.
_ROW = "R2,1,4k7,0603,RA-4K7,1%,,,yes,active,0.01\n"
_ROWS = _ROW + "".join(_ROW.replace("R2", ref).replace("4k7", value) for ref, value in (("R3", "31k6"), ("R4", "10k")))
_RATIO = '[derived.ratio]\nboard = "base"\nformula = "R4 / (R3 + R4)"\nlow = "0.23"\nhigh = "0.25"\n\n[firmware.blink]'
_OUTPUT = '[derived.out]\nboard = "base"\nformula = "VREF * (1 + R3 / R4)"\nunit = "V"\nvalues = { VREF = "0.8 V" }\n'
RATIO = (("base/parts.csv", _ROW, _ROWS), ("revdiff.toml", "[firmware.blink]", _RATIO))
OUTPUT = (RATIO[0], ("revdiff.toml", "[firmware.blink]", _OUTPUT + "\n[firmware.blink]"))
HERE = {"R3_1": "+5V", "R3_2": "FB", "R4_1": "FB", "R4_2": "GND"}
ROUND = HERE | {"R3_1": "GND", "R4_2": "+5V"}
APART = HERE | {"R4_1": "+3V3"}
PROMISE = "Nothing was found in this set that is worse"
FITS, NOT, WHO = "fits", "does not fit", "cannot tell"


def netlist(**moved: str) -> str:
    """``R1_2="+3V3"``: that terminal on another net, or one more terminal."""
    drawn = {f"{ref}_{pin}": net for ref, nets in NETS.items() for pin, net in enumerate(nets, 1)} | moved
    places = ((*place.split("_"), net) for place, net in drawn.items())
    return file356(*(record(net=net, ref=ref, pin=pin) for ref, pin, net in places)).decode()


def design(wiring: str, *edits: tuple[str, str, str]) -> dict[str, str]:
    named = ("revdiff.toml", 'pins = "base/pins.csv"', 'pins = "base/pins.csv"\nnetlist = "base/base.ipc"')
    return {**edit(SMALL, named, LOAD, *edits), "base/base.ipc": wiring}


def asked(folder: Path, *arguments: str) -> Any:
    said = CliRunner().invoke(cli, [*arguments, "--repo", str(folder), "--format", "json"], standalone_mode=False)
    assert said.exception is None, said.output
    return json.loads(said.stdout)


def answers(folder: Path, old: Mapping[str, str], new: Mapping[str, str]) -> dict[str, Any]:
    """What each command says of the new boards."""
    project = Project(folder, old)
    project.release("old")
    project.save(new)
    project.release("new")
    compared = asked(folder, "compare", "old", "new")
    stacks = asked(folder, "matrix")["pairs"]
    cell = next(item for item in stacks if all("new" in one["revisions"] for one in item["boards"]))
    return {
        "stack": asked(folder, "stack", "base@new", "top@new")["stack"]["verdict"],
        "matrix": cell["verdict"],
        "ready": asked(folder, "ready", "new")["verdict"],
        "compare": compared["findings"],
        "status": CliRunner()
        .invoke(cli, ["check", "old", "new", "--repo", str(folder)], standalone_mode=False)
        .return_value,
        "check": asked(folder, "check", "old", "new", "--fail-on", "never")["findings"],
        "notes": PROMISE
        in CliRunner().invoke(cli, ["notes", "old", "new", "--repo", str(folder)], standalone_mode=False).stdout,
    }


SOUND = [
    pytest.param((), {}, id="the resistor pulls down by the netlist"),
    pytest.param((STATED,), {}, id="and the manifest says the same"),
    pytest.param((BARE,), {}, id="and the manifest says so without a designator"),
    pytest.param((), {"J1_4": "IO-RX", "U1_4": "IO-RX"}, id="another name alone"),
    pytest.param((), {"J1_6": "GND"}, id="a spare contact on ground"),
    pytest.param(RATIO, HERE | {"R3_1": "FB", "R3_2": "+5V"}, id="a resistor of a divider turned round"),
    pytest.param(OUTPUT, HERE | {"R3_1": "+3V3"}, id="a divider from another supply, by a formula that names none"),
]
UNSOUND = [
    pytest.param((), {"R1_2": "+3V3"}, NOT, id="pulled up by the netlist"),
    pytest.param((STATED,), {"R1_2": "+3V3"}, NOT, id="and the manifest says down"),
    pytest.param((BARE,), {"R1_2": "+3V3"}, NOT, id="and the manifest says down without a designator"),
    pytest.param((BARE,), {"R1_2": "FLOATING"}, WHO, id="open by the netlist, and the manifest names no designator"),
    pytest.param((STATED,), {"R1_2": "FLOATING"}, WHO, id="open by the netlist, and the manifest says down"),
    pytest.param((STATED,), {"R2_1": "HEAT", "R2_2": "+3V3"}, WHO, id="one resistor more than in the manifest"),
    pytest.param((), {"J1_4": "+5V"}, NOT, id="a supply on the contact of a signal"),
    pytest.param((), {"J1_1": "GND", "J1_2": "+5V"}, NOT, id="supply and ground exchanged"),
    pytest.param((), {"J1_6": "+5V"}, NOT, id="a supply on a spare contact"),
    pytest.param((), {"J1_1": "+3V3"}, NOT, id="a supply of another voltage"),
    pytest.param((), {"J1_4": "HEAT", "J1_5": "RX"}, WHO, id="two signals exchanged at the connector"),
    pytest.param(RATIO, ROUND, WHO, id="the resistors of a divider exchanged"),
    pytest.param(RATIO, APART, WHO, id="the resistors of a divider on no net together"),
    pytest.param(OUTPUT, ROUND, WHO, id="the resistors of a regulator exchanged"),
]


def drawn(edits: Any) -> dict[str, str]:
    """What is drawn beside the usual parts before the change."""
    return HERE if edits in (RATIO, OUTPUT) else {}


@pytest.mark.parametrize("edits", [(), (STATED,)])
def test_a_load_whose_only_resistor_has_no_value_is_not_called_sound(edits: Any, tmp_path: Path) -> None:
    blank = ("base/parts.csv", "R1,1,10k,", "R1,1,,")
    said = answers(tmp_path, design(netlist(), *edits), design(netlist(), *edits, blank))
    assert {said[name] for name in ("stack", "matrix", "ready")} == {WHO}
    assert said["status"] == 1


@pytest.mark.parametrize(("edits", "moved"), SOUND)
def test_documents_that_agree_fit_in_every_command(edits: Any, moved: Any, tmp_path: Path) -> None:
    said = answers(tmp_path, design(netlist(**drawn(edits)), *edits), design(netlist(**moved), *edits))
    assert {said[name] for name in ("stack", "matrix", "ready")} == {FITS}
    assert [item for item in said["compare"] if item["severity"] == "break"] == []
    assert (said["status"], said["notes"]) == (0, True)


@pytest.mark.parametrize(("edits", "moved", "answer"), UNSOUND)
def test_a_netlist_that_says_otherwise_forbids_the_all_clear(
    edits: Any, moved: Any, answer: str, tmp_path: Path
) -> None:
    said = answers(tmp_path, design(netlist(**drawn(edits)), *edits), design(netlist(**moved), *edits))
    assert {name: said[name] for name in ("stack", "matrix", "ready")} == dict.fromkeys(
        ("stack", "matrix", "ready"), answer
    )
    for command in ("compare", "check"):
        told = {item["severity"] for item in said[command]} - {"info"}
        assert ("break" in told) if answer == NOT else bool(told), command
    assert (said["status"], said["notes"]) == (1, False)


@pytest.mark.parametrize(("supply", "expected"), [("+3V3", 0), ("+5V", 1)])
def test_a_pull_to_another_supply_than_the_manifest_says_is_a_contradiction(supply: str, expected: int) -> None:
    raised = (*STATED[:2], STATED[2].replace("down R1", "up R1 to +3V3"))
    board = load(design(netlist(R1_2=supply), raised)).boards["base"]
    assert len(disputed_pulls(board)) == expected
