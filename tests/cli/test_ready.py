"""``revdiff ready``."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.test_compare import write
from tests.conftest import Run
from tests.support import SMALL, edit

LISTED = edit(
    SMALL,
    ("base/parts.csv", "D1,1,LED", "J1,1,header,THT,PH-6,,,,yes,active,0.10\nD1,1,LED"),
    ("top/parts.csv", "R1,1,10k,0603,RA-10K", "R1,1,10k,0603,RA-10K\nJ1,1,socket,THT,PS-6"),
)
WRONG = edit(LISTED, ("blink.csv", "LED,1", "LED,6"))


@pytest.mark.parametrize("revision", ["rev-a", "rev-b", "rev-c", "rev-d"])
def test_the_demo_agrees_with_itself(run: Run, demo: Path, revision: str) -> None:
    done = run("ready", revision, "--repo", demo, "--fail-on", "contradiction")
    assert done.returncode == 0
    assert "No contradiction was found, in " in done.stdout


def test_without_a_revision_the_work_tree_or_the_folder_is_taken(run: Run, demo: Path, tmp_path: Path) -> None:
    assert run("ready", "--repo", demo).stdout.startswith("work tree: its own boards and firmware fit; 0 contra")
    write(tmp_path / "plain", LISTED)
    assert "0 contradictions" in run("ready", "--repo", tmp_path / "plain").stdout


def test_a_contradiction_is_located_on_both_sides(run: Run, tmp_path: Path) -> None:
    write(tmp_path / "wrong", WRONG)
    done = run("ready", "wrong/", cwd=tmp_path)
    assert "on pin 6 in the contract, on 1 in the pin map (blink.csv:2:2 and base/pins.csv:2:2) [need-pin]" in " ".join(
        done.stdout.split()
    )
    assert done.returncode == 0
    assert run("ready", "wrong/", "--fail-on", "contradiction", cwd=tmp_path).returncode == 1


def test_json_holds_the_same(run: Run, tmp_path: Path) -> None:
    write(tmp_path / "wrong", WRONG)
    data = json.loads(run("ready", "wrong/", "--format", "json", cwd=tmp_path).stdout)
    assert [item["id"] for item in data["contradictions"]] == ["need-pin/base/blink 1.0: LED"]


def test_data_faults_end_with_status_3(run: Run, tmp_path: Path) -> None:
    write(tmp_path / "faulty", edit(LISTED, ("base/parts.csv", "R2,1,4k7", "R2,3,4k7")))
    done = run("ready", "faulty/", cwd=tmp_path)
    assert done.returncode == 3
    assert "base/parts.csv:3:2" in done.stdout


HEADER = edit(LISTED, ("revdiff.toml", 'needs = "blink.csv"', 'header = "pins.h"'))
TREE = edit(
    LISTED, ("revdiff.toml", 'needs = "blink.csv"', 'devicetree = { file = "board.dts", port = "P{bank}{line}" }')
)


@pytest.mark.parametrize(("pin", "contradictions"), [("PA0", 0), ("PA5", 1)])
def test_pins_of_a_firmware_header_are_held_against_the_pin_map(
    run: Run, tmp_path: Path, pin: str, contradictions: int
) -> None:
    write(tmp_path / "design", {**HEADER, "pins.h": f"#define PIN_LED {pin}\n#define PIN_TX PA2\n"})
    done = run("ready", "folder:design", "--fail-on", "contradiction", cwd=tmp_path)
    assert f"{contradictions} contradiction" in done.stdout
    assert done.returncode == contradictions
    assert ("[need-pin]" in done.stdout) == bool(contradictions)


@pytest.mark.parametrize(("names", "contradictions"), [('"LED", "HEAT", "TX"', 0), ('"HEAT", "LED", "TX"', 2)])
def test_pins_of_a_devicetree_are_held_against_the_pin_map(
    run: Run, tmp_path: Path, names: str, contradictions: int
) -> None:
    node = f"gpio-controller; #gpio-cells = <2>; gpio-line-names = {names};"
    source = f"/dts-v1/;\n/ {{\n\tgpioa: gpio-a {{ {node} }};\n}};\n"
    write(tmp_path / "design", {**TREE, "board.dts": source})
    done = run("ready", "folder:design", cwd=tmp_path)
    assert f"{contradictions} contradiction" in done.stdout


@pytest.mark.parametrize("command", [("ready", "folder:design"), ("check", "folder:design", "folder:design")])
def test_a_header_that_does_not_exist_is_a_fault(run: Run, tmp_path: Path, command: tuple[str, ...]) -> None:
    write(tmp_path / "design", HEADER)
    done = run(*command, cwd=tmp_path)
    assert done.returncode == 3
    assert "there is no file pins.h" in " ".join((done.stdout + done.stderr).split())


def test_a_check_tells_a_pin_of_a_header_that_a_change_makes_wrong(run: Run, tmp_path: Path) -> None:
    for name, pin in (("old", "PA0"), ("new", "PA5")):
        write(tmp_path / name, {**HEADER, "pins.h": f"#define PIN_LED {pin}\n"})
    done = run("check", "folder:old", "folder:new", "--fail-on", "contradiction", cwd=tmp_path)
    assert done.returncode == 1
    assert "1 new contradiction" in done.stdout
