"""The JSON document: as its published schema says, complete, and free of what only looks like data."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema_rs
import pytest
from msgspec import to_builtins

from revdiff.app.review import review_revisions
from revdiff.compare.kinds import KINDS
from revdiff.release.review import Review
from revdiff.report.document import document, to_json
from revdiff.report.records import SCHEMA_VERSION
from revdiff.report.schemas import schema_text

pytestmark = pytest.mark.slow

PAIRS = [("rev-a", "rev-b"), ("rev-b", "rev-c"), ("rev-c", "rev-d"), ("rev-a", "rev-d")]


@pytest.fixture(scope="module", params=PAIRS, ids="-".join)
def review(request: pytest.FixtureRequest, demo: Path) -> Review:
    old, new = request.param
    return review_revisions(old, new, repository=demo)


def test_the_document_fits_its_schema(review: Review) -> None:
    """JSON Schema draft 2020-12, judged by an independent validator."""
    validator = jsonschema_rs.validator_for(json.loads(schema_text("compare")))
    errors = [f"{error.instance_path}: {error.message}" for error in validator.iter_errors(json.loads(to_json(review)))]
    assert errors == []


@pytest.mark.parametrize("lost", ["changes", "findings", "not_checked", "diagnostics", "old", "schema_version"])
def test_the_schema_misses_what_is_left_out(review: Review, lost: str) -> None:
    data = to_builtins(document(review))
    del data[lost]
    assert not jsonschema_rs.validator_for(json.loads(schema_text("compare"))).is_valid(data)


def test_the_schema_refuses_unknown_fields(review: Review) -> None:
    data = to_builtins(document(review)) | {"score": 1}
    assert not jsonschema_rs.validator_for(json.loads(schema_text("compare"))).is_valid(data)


def test_the_version_is_the_schemas(review: Review) -> None:
    assert json.loads(schema_text("compare"))["properties"]["schema_version"]["enum"] == [SCHEMA_VERSION]
    assert to_builtins(document(review))["schema_version"] == SCHEMA_VERSION


def test_change_ids_are_unique_and_findings_name_changes_that_exist(review: Review) -> None:
    data = to_builtins(document(review))
    ids = [item["id"] for item in data["changes"]]
    assert len(set(ids)) == len(ids)
    assert {name for item in data["findings"] for name in item["changes"]} <= set(ids)


def test_every_change_has_a_place_in_a_file(review: Review) -> None:
    for item in to_builtins(document(review))["changes"]:
        places = [item["origin_before"], item["origin_after"]]
        assert any(places), item["id"]
        for place in filter(None, places):
            assert place["line"] >= 1
            assert place["file"].endswith((".csv", ".toml"))


def test_the_demo_exercises_every_kind(demo: Path) -> None:
    seen: set[str] = set()
    for old, new in PAIRS:
        seen |= {change.kind for change in review_revisions(old, new, repository=demo).changes}
    # A split, a merge, a whole board, column or contract that comes or goes, a pin given from one signal to
    # another, a replaced controller, a contact that behaves otherwise and a connector counted otherwise are exercised
    # by the tests of comparing.
    elsewhere = {"board.added", "board.removed", "connector.split", "connector.merged", "contract.added",
                 "contract.removed", "pin.controller", "pin.port", "pin.signal", "part.column", "pin.column",
                 "contact.column", "connector.column", "contact.behaviour", "connector.numbering"}  # fmt: skip
    # The demo has no netlist; tests/nets/cases.py has a case of each kind that needs one.
    elsewhere |= {
        "pin.opened",
        "pin.connected",
        "signal.voltage",
        "pad.changed",
        *(kind for kind in KINDS if kind.startswith("net.")),
    }
    assert set(KINDS) - seen <= elsewhere
