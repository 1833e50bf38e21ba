"""``revdiff init``: from a folder of tables to a manifest that the first compare works with."""

from __future__ import annotations

import json
import shutil
import tomllib
from pathlib import Path
from typing import Any

import pytest

from revdiff.cli.init import command
from revdiff.errors import DataFault
from revdiff.readers.proposal import Proposal
from tests.cli.test_compare import write
from tests.conftest import Run
from tests.netlists.writing import file356, record
from tests.support import SMALL

DEMO = Path(__file__).parents[2] / "example_revs"


@pytest.fixture
def bare(tmp_path: Path) -> Path:
    """Revision B of the demo design without its manifest."""
    folder = tmp_path / "greenhouse"
    shutil.copytree(DEMO / "rev-b", folder)
    (folder / "revdiff.toml").unlink()
    return folder


def test_it_finds_the_boards_tables_joints_and_contracts_of_the_demo(run: Run, bare: Path) -> None:
    assert run("init", bare).returncode == 0
    written = tomllib.loads((bare / "revdiff.toml").read_text())
    kept = tomllib.loads((DEMO / "rev-b/revdiff.toml").read_text())
    assert set(written["boards"]) == set(kept["boards"])
    for name, board in kept["boards"].items():
        for table in ("pins", "connectors", "contacts"):
            assert written["boards"][name][table] == board[table]
        assert written["boards"][name]["parts"] == board["parts"]["file"]
    assert {frozenset((item["a"], item["b"])) for item in written["joints"]} == {
        frozenset((item["a"], item["b"])) for item in kept["joints"]
    }
    assert {(item["board"], item["device"], item["needs"]) for item in written["firmware"].values()} == {
        (item["board"], item["device"], item["needs"]) for item in kept["firmware"].values()
    }


def test_the_first_compare_works(run: Run, bare: Path) -> None:
    run("init", bare)
    done = run("compare", f"{bare}/", f"{DEMO / 'rev-b'}/", "--format", "json")
    assert done.returncode == 0
    kinds = {item["kind"] for item in json.loads(done.stdout)["changes"]}
    assert kinds <= {"design.field", "contract.changed"}


def test_only_the_manifest_is_written(run: Run, bare: Path) -> None:
    before = {path: path.read_bytes() for path in bare.rglob("*") if path.is_file()}
    run("init", bare)
    after = {path: path.read_bytes() for path in bare.rglob("*") if path.is_file()}
    assert after.pop(bare / "revdiff.toml")
    assert after == before


def test_a_dry_run_writes_nothing(run: Run, bare: Path) -> None:
    done = run("init", bare, "--dry-run")
    assert tomllib.loads(done.stdout)["boards"]
    assert not (bare / "revdiff.toml").exists()


def test_it_says_what_it_found_and_why(run: Run, bare: Path) -> None:
    told = run("init", bare).stderr
    assert "base/parts.csv: base: parts; 140 parts; columns designator" in told
    assert "joint base.J1 with valves.J1, contacts same: 20 of 20 meet their own signal" in told


def test_a_manifest_that_is_there_is_left_alone(run: Run, bare: Path) -> None:
    (bare / "revdiff.toml").write_text("mine")
    done = run("init", bare)
    assert done.returncode == 2
    assert (bare / "revdiff.toml").read_text() == "mine"


def test_a_single_board_in_one_folder_is_named_after_the_folder(run: Run, tmp_path: Path) -> None:
    folder = write(
        tmp_path / "Weather Station",
        {"bom.csv": SMALL["base/parts.csv"], "pinout.csv": SMALL["base/pins.csv"], "notes.txt": "nothing to see\n"},
    )
    assert run("init", folder).returncode == 0
    boards = tomllib.loads((folder / "revdiff.toml").read_text())["boards"]
    assert boards == {"weather-station": {"revision": "", "parts": "bom.csv", "pins": "pinout.csv"}}


def test_files_named_after_boards_make_boards(run: Run, tmp_path: Path) -> None:
    files = {
        f"{board}_{table}.csv": SMALL[f"{board}/{table}.csv"]
        for board in ("base", "top")
        for table in ("parts", "contacts")
    }
    folder = write(tmp_path / "flat", files)
    assert run("init", folder).returncode == 0
    manifest = tomllib.loads((folder / "revdiff.toml").read_text())
    assert set(manifest["boards"]) == {"base", "top"}
    assert manifest["joints"] == [{"a": "base.J1", "b": "top.J1", "contacts": "same"}]


def test_a_folder_without_tables_is_told(run: Run, tmp_path: Path) -> None:
    folder = write(tmp_path / "empty", {"README.md": "# Nothing\n"})
    done = run("init", folder)
    assert done.returncode == 3
    assert "header row" in done.stderr
    assert not (folder / "revdiff.toml").exists()


def test_odd_names_stay_inside_their_strings(run: Run, tmp_path: Path) -> None:
    folder = write(tmp_path / "odd", {'a"b\\c/parts list.csv': SMALL["base/parts.csv"]})
    done = run("init", folder)
    if done.returncode == 0:
        assert tomllib.loads((folder / "revdiff.toml").read_text())["boards"]


def manifest_of(run: Run, folder: Path) -> dict[str, Any]:
    assert run("init", folder).returncode == 0
    return tomllib.loads((folder / "revdiff.toml").read_text())


def contacts(*signals: str, number: str = "Contact") -> str:
    return f"{number},Signal\n" + "".join(f"{at},{signal}\n" for at, signal in enumerate(signals, 1))


BUS = ("+5V", "GND", "TX", "RX", "HEAT")
POWER = ("+12V", "SENSE", "EN", "FAULT")


def test_contracts_of_equal_file_names_have_keys_of_their_own(run: Run, tmp_path: Path) -> None:
    needs = "Signal,Active\nLED,high\nHEAT,high\n"
    paths = ("alpha/needs.csv", "beta/needs.csv", "beta/gamma/needs.csv", "x/beta/needs.csv")
    folder = write(tmp_path / "keys", {"base/pins.csv": SMALL["base/pins.csv"], **dict.fromkeys(paths, needs)})
    assert {item["needs"] for item in manifest_of(run, folder)["firmware"].values()} == set(paths)


@pytest.mark.parametrize("number", ["Contact", "Way", "Pin", "No"])
def test_a_table_named_after_its_connector_holds_contacts(run: Run, tmp_path: Path, number: str) -> None:
    table = contacts(*BUS, number=number)
    folder = write(tmp_path / "named", {"main/J1.csv": table, "radio/J1.csv": table})
    manifest = manifest_of(run, folder)
    assert manifest["boards"]["main"]["contacts"] == {"file": "main/J1.csv", "connector": "J1"}
    assert manifest["joints"] == [{"a": "main.J1", "b": "radio.J1", "contacts": "same"}]
    assert "firmware" not in manifest
    assert run("compare", f"{folder}/", f"{folder}/").returncode == 0


def test_a_table_of_pins_in_a_file_of_another_name_holds_no_contacts(run: Run, tmp_path: Path) -> None:
    folder = write(tmp_path / "main", {"main/list.csv": contacts(*BUS, number="Pin")})
    assert manifest_of(run, folder)["boards"]["main"] == {"revision": "", "pins": "main/list.csv"}


def test_tables_beside_each_other_are_told_apart_by_board_and_connector(run: Run, tmp_path: Path) -> None:
    table = contacts(*BUS)
    folder = write(tmp_path / "flat", {"main_J1.csv": table, "radio_J2.csv": table})
    assert manifest_of(run, folder)["joints"] == [{"a": "main.J1", "b": "radio.J2", "contacts": "same"}]


def test_several_connectors_are_one_pattern_that_has_exactly_their_files(run: Run, tmp_path: Path) -> None:
    files = {"main/J1.csv": contacts(*BUS), "main/J12.csv": contacts(*POWER), "main/bom.csv": SMALL["base/parts.csv"]}
    folder = write(tmp_path / "several", {**files, "top/J7.csv": contacts(*POWER)})
    manifest = manifest_of(run, folder)
    assert manifest["boards"]["main"] == {"revision": "", "parts": "main/bom.csv", "contacts": "main/J*.csv"}
    assert manifest["joints"] == [{"a": "main.J12", "b": "top.J7", "contacts": "same"}]
    assert run("compare", f"{folder}/", f"{folder}/").returncode == 0


def test_no_pattern_takes_in_a_file_that_is_no_contact_table(run: Run, tmp_path: Path) -> None:
    files = {"main/J1.csv": contacts(*BUS), "main/J2.csv": contacts(*POWER), "main/Jumpers.csv": "a,b\n1,2\n"}
    folder = write(tmp_path / "main", files)
    done = run("init", folder)
    board = tomllib.loads((folder / "revdiff.toml").read_text())["boards"]["main"]
    assert board["contacts"] == {"file": "main/J1.csv", "connector": "J1"}
    assert "main/J2.csv: not used; main already has a contacts table, main/J1.csv" in done.stderr


def test_of_two_pin_maps_of_a_board_the_second_is_told_as_not_used(run: Run, tmp_path: Path) -> None:
    pins = SMALL["base/pins.csv"]
    files = {"main/pins.csv": pins, "main/pins_old.csv": pins, "main/bom.csv": SMALL["base/parts.csv"]}
    folder = write(tmp_path / "main", files)
    done = run("init", folder)
    board = tomllib.loads((folder / "revdiff.toml").read_text())["boards"]["main"]
    assert board == {"revision": "", "parts": "main/bom.csv", "pins": "main/pins.csv"}
    assert "main/pins_old.csv: not used; main already has a pins table, main/pins.csv" in done.stderr


@pytest.mark.parametrize("ending", ["ipc", "356", "d356", "net", "cvg"])
def test_a_netlist_is_known_by_its_content(run: Run, tmp_path: Path, ending: str) -> None:
    netlist = file356(*(record(net=f"NET{at}", ref="U1", pin=str(at)) for at in range(1, 21)))
    folder = write(tmp_path / "base", {f"base/out.{ending}": netlist, "base/other.xml": b"<none/>\n"})
    done = run("init", folder)
    board = tomllib.loads((folder / "revdiff.toml").read_text())["boards"]["base"]
    assert board == {"revision": "", "netlist": f"base/out.{ending}"}
    assert f"base/out.{ending}: base: netlist; 20 terminals in IPC-D-356" in done.stderr
    assert "base/other.xml: passed over; no netlist" in done.stderr


@pytest.mark.parametrize(("bad", "said"), [(1, "1 fault in it"), (2, "2 faults in it")])
def test_faults_of_a_table_are_counted_and_told_and_hinder_nothing(
    run: Run, tmp_path: Path, bad: int, said: str
) -> None:
    rows = "".join(f"R{at},1,10k\n" for at in range(1, 9)) + "".join(f"R{at}-R,1,1k\n" for at in range(20, 20 + bad))
    folder = write(tmp_path / "faulty", {"bom.csv": "Designator,Quantity,Value\n" + rows})
    done = run("init", folder)
    assert done.returncode == 0
    assert said in done.stderr
    assert done.stderr.count("to mend: bom.csv:") == bad
    assert (folder / "revdiff.toml").exists()


def test_a_manifest_that_its_reader_refuses_is_not_written(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def twice(_: Proposal) -> str:
        return "[boards.a]\nparts = 'bom.csv'\n[boards.a]\n"

    folder = write(tmp_path / "refused", {"bom.csv": SMALL["base/parts.csv"]})
    monkeypatch.setattr("revdiff.readers.proposal_text.manifest_text", twice)
    with pytest.raises(DataFault, match="no manifest was written"):
        command.main([str(folder)], standalone_mode=False)
    assert not (folder / "revdiff.toml").exists()
