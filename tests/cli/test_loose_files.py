"""``revdiff compare FILE_A FILE_B``: two loose tables or netlists, without manifest or git."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from tests.cli.test_compare import write
from tests.conftest import Run
from tests.netlists.writing import file356, record
from tests.support import SMALL

PAIRS = {
    "parts": (SMALL["base/parts.csv"], ("R2,1,4k7", "R2,1,5k6"), "part.value", "R2"),
    "pins": (SMALL["base/pins.csv"], ("LED,GPIO,out,high", "LED,GPIO,out,low"), "pin.active", "LED"),
    "contacts": (SMALL["base/contacts.csv"], ("supply,5 V", "supply,12 V"), "contact.level", "J1.1"),
    "connectors": (SMALL["base/connectors.csv"], ("2.54 mm", "2.00 mm"), "connector.pitch", "J1"),
}


@pytest.mark.parametrize("name", list(PAIRS))
def test_two_tables_of_a_kind_are_compared(run: Run, tmp_path: Path, name: str) -> None:
    text, (before, after), kind, subject = PAIRS[name]
    write(tmp_path, {"one.csv": text, "two.csv": text.replace(before, after)})
    done = run("compare", "one.csv", "two.csv", "--format", "json", cwd=tmp_path)
    document = json.loads(done.stdout)
    assert [(item["kind"], item["subject"]) for item in document["changes"]] == [(kind, subject)]
    assert document["old"]["name"] == "one.csv"
    assert done.returncode == 0


def test_the_same_file_twice_has_no_changes(run: Run, tmp_path: Path) -> None:
    write(tmp_path, {"one.csv": SMALL["base/parts.csv"]})
    assert json.loads(run("compare", "one.csv", "one.csv", "--format", "json", cwd=tmp_path).stdout)["changes"] == []


def test_two_netlists_are_compared_by_pins_and_contacts(run: Run, tmp_path: Path) -> None:
    def netlist(third: str) -> bytes:
        pins = [
            record(net=third if number == 3 else f"NET{number}", ref="U1", pin=str(number)) for number in range(1, 21)
        ]
        return file356(*pins)

    write(tmp_path, {"one.ipc": netlist("NET3"), "two.ipc": netlist("")})
    document = json.loads(run("compare", "one.ipc", "two.ipc", "--format", "json", cwd=tmp_path).stdout)
    assert [(item["kind"], item["subject"]) for item in document["changes"]] == [("pin.removed", "NET3")]


@pytest.mark.parametrize("content", ["", "nothing here\n", "a,b\n1,2\n"])
def test_a_file_that_is_no_table_is_told(run: Run, tmp_path: Path, content: str) -> None:
    write(tmp_path, {"one.csv": content, "two.csv": SMALL["base/parts.csv"]})
    done = run("compare", "one.csv", "two.csv", cwd=tmp_path)
    assert done.returncode == 3
    assert "one.csv" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("number", ["Contact", "Pin"])
def test_contact_tables_named_after_a_connector_are_of_the_same_one(run: Run, tmp_path: Path, number: str) -> None:
    text = f"{number},Signal\n1,+5V\n2,GND\n3,TX\n"
    write(tmp_path, {"J1.csv": text, "J1b.csv": text.replace("TX", "RX")})
    document = json.loads(run("compare", "J1.csv", "J1b.csv", "--format", "json", cwd=tmp_path).stdout)
    assert [(item["kind"], item["subject"]) for item in document["changes"]] == [("contact.signal", "J1.3")]


@pytest.mark.parametrize("header", ["Pin,Signal", "Signal,Pin"])
def test_signals_with_pins_are_a_pin_map_whatever_the_file_is_called(run: Run, tmp_path: Path, header: str) -> None:
    rows = ("1,LED", "2,HEAT") if header == "Pin,Signal" else ("LED,1", "HEAT,2")
    text = "\n".join((header, *rows, ""))
    write(tmp_path, {"one.csv": text, "firmware.csv": text.replace("HEAT", "COOL")})
    document = json.loads(run("compare", "one.csv", "firmware.csv", "--format", "json", cwd=tmp_path).stdout)
    assert [(item["kind"], item["subject"]) for item in document["changes"]] == [("pin.signal", "U1.2")]


@pytest.mark.parametrize(
    ("rows", "said"),
    [("R1-R,1,1k\n", "one.csv:2:1: "), ("R2-R1,2,1k\n", "one.csv:2:1: "), ("", "has a header but no rows")],
)
def test_faulty_rows_below_a_right_header_are_told_where_they_are(
    run: Run, tmp_path: Path, rows: str, said: str
) -> None:
    write(tmp_path, {"one.csv": f"Designator,Qty,Value\n{rows}", "two.csv": SMALL["base/parts.csv"]})
    done = run("compare", "one.csv", "two.csv", cwd=tmp_path)
    assert done.returncode == 3
    assert said in done.stderr
    assert "found no header" not in done.stderr


@pytest.mark.parametrize("what", ["nothing", "folder", "pipe"])
@pytest.mark.parametrize("first", [True, False])
def test_a_file_that_is_none_is_told_as_such(run: Run, tmp_path: Path, what: str, first: bool) -> None:
    write(tmp_path, {"one.csv": SMALL["base/parts.csv"]})
    if what == "folder":
        (tmp_path / "nope.csv").mkdir()
    elif what == "pipe":
        os.mkfifo(tmp_path / "nope.csv")
    names = ("nope.csv", "one.csv") if first else ("one.csv", "nope.csv")
    done = run("compare", *names, cwd=tmp_path)
    assert done.returncode == 2
    assert "there is no file 'nope.csv'" in done.stderr
    assert "git" not in done.stderr
