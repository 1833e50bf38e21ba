"""A merge that was left half-way is told in every kind of text, and nothing behind its marks is lost."""

from __future__ import annotations

import pytest

from revdiff.app.reading import with_firmware
from revdiff.readers.faults import Faults
from revdiff.readers.loader import Loader
from revdiff.readers.merge_marks import without_merge_marks
from tests.support import SMALL, MemoryRevision, edit

MARKS = ("<<<<<<< ours\n", "=======\n", ">>>>>>> theirs\n")


def torn(head: str, one: str, two: str, tail: str) -> str:
    return f"{head}{MARKS[0]}{one}{MARKS[1]}{two}{MARKS[2]}{tail}"


FILES = {
    "pins.csv": torn("Pin,Signal\n1,A\n", "2,B\n", "2,C\n", "3,D\n"),
    "pins.md": torn("| Pin | Signal |\n|---|---|\n| 1 | A |\n", "| 2 | B |\n", "| 2 | C |\n", "| 3 | D |\n"),
    "pins.h": torn("#define A_PIN 1\n", "#define B_PIN 2\n", "#define C_PIN 2\n", "#define D_PIN 3\n"),
}


@pytest.mark.parametrize("name", FILES)
def test_each_mark_is_a_fault_and_the_rows_behind_it_are_read(name: str) -> None:
    files = {"revdiff.toml": f'[design]\nname = "d"\n[boards.m]\npins = "{name}"\n', name: FILES[name]}
    design = Loader().load(MemoryRevision(files))
    marks = [item.origin.line for item in design.diagnostics if item.code == "conflict-marker"]
    assert marks == [
        number for number, line in enumerate(FILES[name].splitlines(), 1) if line[:7] in "<<<<<<< ======= >>>>>>>"
    ]
    assert {pin.signal.raw for pin in design.boards["m"].pins.values()} >= {"A", "D"}


def test_a_firmware_header_with_marks_is_told() -> None:
    header = torn("#define PIN_LED 1\n", "#define PIN_HEAT 2\n", "#define PIN_HEAT 3\n", "#define PIN_TX 3\n")
    files = edit({**SMALL, "pins.h": header}, ("revdiff.toml", 'needs = "blink.csv"', 'header = "pins.h"'))
    revision = MemoryRevision(files)
    design = with_firmware(Loader().load(revision), revision)
    assert [item.severity for item in design.diagnostics if item.code == "conflict-marker"] == ["fault"] * 3


@pytest.mark.parametrize(
    "text", ["Title\n=======\n\ntext\n", "a <<<<<<< b\n>>>>>>> c\n", "// =======\n", "<<<<<<< a\n"]
)
def test_lines_that_only_look_like_marks_stay(text: str) -> None:
    """A heading of Markdown is underlined with equals signs (CommonMark 0.31, setext headings)."""
    faults = Faults()
    assert (without_merge_marks(text, "a.md", faults), faults.found) == (text, [])
