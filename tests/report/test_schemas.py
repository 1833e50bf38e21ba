"""What each command prints as JSON is as its published schema says, judged by a validator of its own."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema_rs
import msgspec
import pytest

from revdiff.report.schemas import COMMANDS
from tests.conftest import Run

CALLS = [
    ("compare", "compare rev-b rev-c"),
    ("check", "check rev-b rev-c"),
    ("check", "check rev-a rev-d"),
    ("ready", "ready rev-c"),
    ("stack", "stack base@rev-b valves@rev-c"),
    ("matrix", "matrix"),
    ("matrix", "matrix --firmware"),
    ("pins", "pins rev-b rev-c"),
]


def validator(run: Run, command: str) -> jsonschema_rs.Validator:
    schema = json.loads(run("schema", command).stdout)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    return jsonschema_rs.validator_for(schema)


def check_fits(found: jsonschema_rs.Validator, text: str) -> None:
    assert text.isascii()
    data = json.loads(text)
    assert [f"{error.instance_path}: {error.message}" for error in found.iter_errors(data)] == []
    assert not found.is_valid({**data, "score": 1})
    for name in data:
        assert not found.is_valid({key: item for key, item in data.items() if key != name}), name


@pytest.mark.parametrize(("command", "call"), CALLS)
def test_the_document_fits_its_schema(run: Run, demo: Path, command: str, call: str) -> None:
    done = run(*call.split(), "--repo", demo, "--format", "json")
    check_fits(validator(run, command), done.stdout)


@pytest.mark.parametrize(("command", "call"), CALLS)
def test_the_document_is_read_back_into_the_records_that_the_schema_is_made_of(
    run: Run, demo: Path, command: str, call: str
) -> None:
    done = run(*call.split(), "--repo", demo, "--format", "json")
    kind = COMMANDS[command][-1 if "--firmware" in call else 0]
    read: object = msgspec.json.decode(done.stdout, type=kind)
    assert json.loads(msgspec.json.encode(read)) == json.loads(done.stdout)


def test_an_exported_pin_map_fits_the_schema_of_pins(run: Run, demo: Path) -> None:
    done = run("pins", "rev-c", "--repo", demo, "--board", "base", "--export", "json")
    check_fits(validator(run, "pins"), done.stdout)


def test_contradictions_faults_and_waivers_fit_it_too(run: Run, tmp_path: Path) -> None:
    from tests.cli.test_compare import write
    from tests.cli.test_ready import LISTED, WRONG
    from tests.support import edit

    waiver = '\n[[waivers]]\nrule = "firmware-pin-moved"\nsubject = "LED"\nreason = "known"\nwho = "a person"\n'
    write(tmp_path / "old", {**LISTED, "revdiff.toml": LISTED["revdiff.toml"] + waiver})
    write(tmp_path / "new", edit(WRONG, ("base/parts.csv", "R2,1,4k7", "R2,3,4k7")))
    for command, call in (("check", "check folder:old folder:new"), ("ready", "ready folder:new")):
        done = run(*call.split(), "--format", "json", cwd=tmp_path)
        assert done.returncode == 3
        data = json.loads(done.stdout)
        assert data["diagnostics"]
        assert data.get("contradictions", data.get("contradictions_brought"))
        check_fits(validator(run, command), done.stdout)


def test_every_command_that_prints_json_has_a_schema(run: Run) -> None:
    from revdiff.cli.overview import COMMANDS as ALL

    printing = {name for name in ALL if "json" in run(name, "--help").stdout.partition("[terminal|markdown")[2][:40]}
    assert printing <= set(COMMANDS)
    assert {"check", "compare", "pins", "stack", "matrix"} <= set(COMMANDS)


def test_a_command_that_prints_no_json_is_told(run: Run) -> None:
    done = run("schema", "notes")
    assert (done.returncode, done.stdout) == (2, "")
    assert "compare, check, ready, stack, matrix, pins" in done.stderr
