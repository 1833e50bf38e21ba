"""``revdiff init --update``: what is new is added, and nothing that a person wrote is changed."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from revdiff.readers.proposal import propose
from revdiff.readers.proposal_update import Update, updated
from revdiff.readers.survey import survey
from tests.cli.test_compare import write
from tests.conftest import Run
from tests.support import SMALL, MemoryRevision

WRITTEN = """\
# our design
[design]
name = "pair"   # kept
status = "draft"

[boards.base]   # the lower one
revision = "C"
parts = { file = "base/parts.csv", package_code = "inch" }

[boards.base.pulls]
HEAT = "down 10k"
"""
FILES = {path: text for path, text in SMALL.items() if path != "revdiff.toml"}


def update_of(text: str, files: dict[str, str]) -> Update:
    revision = MemoryRevision({**files, "revdiff.toml": text})
    return updated(text.encode(), propose(survey(revision), "pair"), revision)


def test_tables_boards_joints_and_contracts_that_are_new_are_added() -> None:
    found = update_of(WRITTEN, FILES)
    parsed = tomllib.loads(found.text)
    assert parsed["boards"]["base"]["pins"] == "base/pins.csv"
    assert parsed["boards"]["base"]["contacts"] == "base/contacts.csv"
    assert parsed["boards"]["top"]["parts"] == "top/parts.csv"
    assert parsed["joints"] == [{"a": "base.J1", "b": "top.J1", "contacts": "same"}]
    assert parsed["firmware"]["blink"]["needs"] == "blink.csv"
    assert found.added == (
        "pins of base: base/pins.csv",
        "connectors of base: base/connectors.csv",
        "contacts of base: base/contacts.csv",
        "board top",
        "joint base.J1 with top.J1",
        "firmware blink: blink.csv",
    )


def test_every_line_that_was_there_is_there_still_in_its_order() -> None:
    lines = update_of(WRITTEN, FILES).text.splitlines()
    places = [lines.index(line) for line in WRITTEN.splitlines() if line]
    assert places == sorted(places)


def test_what_is_named_already_is_not_added_again() -> None:
    once = update_of(WRITTEN, FILES).text
    again = update_of(once, FILES)
    assert again.added == ()
    assert tomllib.loads(again.text) == tomllib.loads(once)


@pytest.mark.parametrize(
    "text", [SMALL["revdiff.toml"], SMALL["revdiff.toml"].replace("[boards.base]", "[boards.lower]")]
)
def test_a_manifest_that_names_everything_gets_nothing(text: str) -> None:
    text = (
        text.replace('"base.J1"', '"lower.J1"').replace('board = "base"', 'board = "lower"')
        if "lower" in text
        else text
    )
    assert update_of(text, FILES).added == ()


def test_a_pattern_or_a_list_names_its_files() -> None:
    text = '[boards.base]\nparts = ["old.csv", "base/parts.csv"]\npins = "base/pi*.csv"\n'
    files = {path: FILES[path] for path in ("base/parts.csv", "base/pins.csv")}
    assert update_of(text, files).added == ()


def test_a_file_that_is_gone_is_told_with_what_may_have_taken_its_place() -> None:
    text = '[boards.base]\nparts = "base/parts_v1.csv"\n'
    found = update_of(text, {"base/parts.csv": FILES["base/parts.csv"]})
    assert found.asked == (
        "base: parts names base/parts_v1.csv, which isn't there; "
        'parts = ["base/parts_v1.csv", "base/parts.csv"] would read base/parts.csv',
    )
    assert tomllib.loads(found.text) == tomllib.loads(text)


def test_the_command_writes_and_says_what_it_added(run: Run, tmp_path: Path) -> None:
    folder = write(tmp_path / "pair", {**FILES, "revdiff.toml": WRITTEN})
    shown = run("init", folder, "--update", "--dry-run")
    assert (folder / "revdiff.toml").read_text() == WRITTEN
    done = run("init", folder, "--update")
    assert done.returncode == 0
    assert "added pins of base: base/pins.csv" in done.stdout
    assert (folder / "revdiff.toml").read_text() == shown.stdout
    assert "left as it is" in run("init", folder, "--update").stdout
    assert run("compare", f"{folder}/", f"{folder}/").returncode == 0


def test_without_a_manifest_there_is_nothing_to_update(run: Run, tmp_path: Path) -> None:
    folder = write(tmp_path / "pair", FILES)
    assert run("init", folder, "--update").returncode == 2
    broken = write(tmp_path / "broken", {**FILES, "revdiff.toml": "[boards.base"})
    assert run("init", broken, "--update").returncode == 3
    assert (broken / "revdiff.toml").read_text() == "[boards.base"


def test_lines_that_end_as_on_other_systems_go_on_doing_so() -> None:
    found = update_of(WRITTEN.replace("\n", "\r\n"), FILES)
    assert found.added
    assert found.text.count("\n") == found.text.count("\r\n")
