"""``revdiff compare FILE_A FILE_B``: two loose tables or netlists, without manifest or git."""

from __future__ import annotations

import json
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
