"""No report says that pins, boards or firmware are untouched where the nets behind them changed."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema_rs
import pytest

from revdiff.app.review import review_revisions
from revdiff.release.pin_notice import pin_notice
from revdiff.release.review import Review
from revdiff.release.scope import scope_of
from revdiff.release.verdicts import verdicts
from revdiff.report.document import to_json
from revdiff.report.schemas import schema_text
from tests.nets.cases import BOARD, PARTS
from tests.nets.writing import as_356, files, parsed

PINS = "U1.3 VBAT_SENSE U1.4 TEMP_SENSE U1.5 SDA U1.7 IRQ"
EXCHANGED = (("U1.3", "U9.9"), ("U1.4", "U1.3"), ("U9.9", "U1.4"))
PULLED = (("R7.2 J2.3", "J2.3"), ("LED: U1.6", "LED: U1.6 R7.2"))
AWAY = ((" R2.2", ""), ("R7.1", "R7.1 R2.2"))  # a divider that no pin of the pin map hangs on
PROBED = (("SDA: U1.5", "SDA: TP1.1 U1.5"),)


def review(folder: Path, edits: tuple[tuple[str, str], ...], pins: tuple[str, str] = (PINS, PINS)) -> Review:
    new = BOARD
    for before, after in edits:
        assert before in new
        new = new.replace(before, after, 1)
    for name, nets, table in (("old", BOARD, pins[0]), ("new", new, pins[1])):
        (folder / name).mkdir()
        for path, data in files(as_356(parsed(nets)), "ipc", PARTS, table).items():
            (folder / name / path).write_bytes(data if isinstance(data, bytes) else data.encode())
    return review_revisions(f"folder:{folder / 'old'}", f"folder:{folder / 'new'}", repository=folder)


def firmware(found: Review) -> tuple[str, str]:
    return next((item.answer, item.sentence) for item in verdicts(found) if item.reader == "Firmware")


@pytest.mark.parametrize(
    ("edits", "answer", "names"),
    [
        (EXCHANGED, "no", ()),
        (PULLED, "unknown", ("U1.5",)),
        (AWAY, "yes", ()),
        (PROBED, "yes", ()),
        ((), "yes", ()),
    ],
)
def test_firmware_is_called_untouched_only_where_its_nets_are(
    tmp_path: Path, edits: tuple[tuple[str, str], ...], answer: str, names: tuple[str, ...]
) -> None:
    given, sentence = firmware(review(tmp_path, edits))
    assert given == answer
    assert all(name in sentence for name in names)


def test_the_pin_notice_calls_no_firmware_untouched_whose_nets_changed(tmp_path: Path) -> None:
    new = PINS.replace("SDA", "I2C_DATA")
    renamed = (("SDA:", "I2C_DATA:"),)
    (tmp_path / "only").mkdir()
    (tmp_path / "more").mkdir()
    for folder, edits, untouched in (("only", renamed, True), ("more", (*renamed, ("R7.2 J2.3", "J2.3")), False)):
        found = pin_notice(review(tmp_path / folder, edits, (PINS, new)))
        (line,) = [line for item in found.controllers for line in item.lines if line.signal == "I2C_DATA"]
        assert ("a built firmware is not touched" in line.todo) == untouched, line
        assert ("leads elsewhere" in line.what) != untouched


def test_terminals_are_counted_and_the_document_fits_its_schema(tmp_path: Path) -> None:
    found = review(tmp_path, EXCHANGED)
    assert "41 terminals" in scope_of(found.comparison).counts
    data = json.loads(to_json(found))
    validator = jsonschema_rs.validator_for(json.loads(schema_text("compare")))
    assert [str(error) for error in validator.iter_errors(data)] == []
    (change,) = [item for item in data["changes"] if item["kind"] == "net.swapped"]
    assert change["wires"][0] == {
        "before": "U1.3",
        "after": "U1.3",
        "net_before": "VBAT_SENSE",
        "net_after": "TEMP_SENSE",
    }
