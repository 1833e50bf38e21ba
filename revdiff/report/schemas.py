"""The JSON Schema (draft 2020-12) of what each command prints as JSON."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from importlib.resources import files
from typing import Any, Final

from revdiff.report.data import SCHEMA_VERSION, json_text
from revdiff.report.pins_table import COLUMNS

_Schema = dict[str, Any]
_TEXT: Final[_Schema] = {"type": "string"}
_TEXTS: Final[_Schema] = {"type": "array", "items": _TEXT}
_ANSWER: _Schema = {"enum": ["fits", "fits with care", "cannot tell", "does not fit", "not judged"]}
_YES: Final[_Schema] = {"type": "boolean"}
_COUNT: Final[_Schema] = {"type": "integer", "minimum": 0}
_VERSION: Final[_Schema] = {"schema_version": {"const": SCHEMA_VERSION}}
_SEVERITY: Final[_Schema] = {"enum": ["break", "caution", "info"]}
_READINGS: Final[_Schema] = {"type": "array", "items": {"enum": ["own", "change-paths", "base-paths"]}}


def schema_text(command: str) -> str:
    """The schema of one of ``COMMANDS``."""
    return json_text(COMMANDS[command]())


@cache
def _review() -> _Schema:
    import json

    schema: _Schema = json.loads(files("revdiff.report").joinpath("schema.json").read_text(encoding="utf-8"))
    return schema


def _check() -> _Schema:
    names = dict.fromkeys(("asked", "kind", "name", "commit", "date"), _TEXT)
    finding = {
        "against": _TEXTS,
        "readings": _READINGS,
        "standing": _YES,
    }
    setting = {
        "id": _TEXT,
        "code": _TEXT,
        "severity": _SEVERITY,
        "meaning": _TEXT,
        "subject": _TEXT,
        "before": _TEXT,
        "after": _TEXT,
        "origin_before": _place(),
        "origin_after": _place(),
    }
    return _document(
        "check",
        "A change, judged as its base says, against the base and all that was shipped.",
        {
            "title": _TEXT,
            "base": _object(names),
            "tip": _object(names),
            "change": _object(names),
            "chosen": _TEXT,
            "date": _TEXT,
            "held": _list(_object({**names, "boards": _TEXTS, "also": _TEXTS})),
            "settings": _list(_object(setting)),
            "findings": _list(_more("finding", finding)),
            "contradictions_brought": _list(_contradiction()),
            "contradictions_cured": _list(_contradiction()),
            "changes": _list(_more("change", {"readings": _READINGS, "mention": _TEXT})),
            "not_checked": _list(_not_checked()),
            "diagnostics": _list(_ref("diagnostic")),
            "waivers": _waivers(),
            "commits": _list(_object({"id": _TEXT, "message": _TEXT})),
        },
    )


def _ready() -> _Schema:
    return _document(
        "ready",
        "Where one revision contradicts itself: its documents, its own boards and firmware.",
        {
            "revision": _TEXT,
            "commit": _TEXT,
            "contradicts_itself": _YES,
            "verdict": _ANSWER,
            "findings": _list(_ref("finding")),
            "not_checked": _list(_not_checked()),
            "contradictions": _list(_contradiction()),
            "not_compared": _TEXTS,
            "diagnostics": _list(_ref("diagnostic")),
            "places_left": _TEXTS,
        },
    )


def _verdict() -> _Schema:
    return {
        "pairing": {**_TEXT, "description": "The boards at their revisions, such as 'base@rev-c + radio@rev-b'."},
        "verdict": _ANSWER,
        "checks_made": _COUNT,
        "checks": {**_COUNT, "description": "Checks made and checks that could not be made."},
        "findings": _list(_ref("finding")),
        "not_checked": _list(_object({"what": _TEXT, "why": _TEXT, "needs": _TEXT, "essential": _YES})),
    }


def _stack() -> _Schema:
    return _document("stack", "One stack of boards, judged.", {"stack": _object(_verdict()), "waivers": _waivers()})


def _matrix() -> _Schema:
    variant = _object({"board": _TEXT, "revisions": _TEXTS})
    judged = _list(_object({"boards": _list(variant), "because": _TEXT, **_verdict()}))
    left_out = _list(_object({"revision": _TEXT, "why": _TEXT}))
    boards = {
        "title": _TEXT,
        "support": _TEXTS,
        "pairs": judged,
        "stacks": judged,
        "stacks_not_judged": _COUNT,
        "left_out": left_out,
        "held": _TEXTS,
        "waivers": _waivers(),
    }
    finding = {**dict.fromkeys(("id", "rule", "subject", "message"), _TEXT), "severity": _SEVERITY, "hazard": _YES}
    cell = {
        "firmware": _TEXT,
        "revision": _TEXT,
        "answer": _TEXT,
        "by_pin_map": _YES,
        "findings": _list(_object(finding)),
    }
    grids = _list(_object({"board": _TEXT, "device": _TEXT, "cells": _list(_object(cell))}))
    return _one_of(
        "matrix",
        "All pairs and whole stacks of boards; or, with --firmware, every firmware release on every board.",
        boards,
        {"title": _TEXT, "grids": grids, "left_out": left_out, "held": _TEXTS, "waivers": _waivers()},
    )


def _pins() -> _Schema:
    finding = dict.fromkeys(
        ("id", "rule", "pairing", "crossing", "cause", "subject", "message", "arithmetic", "limit", "source", "remedy"),
        _TEXT,
    )
    findings = _list(_object({**finding, "severity": _SEVERITY, "waiver": _or_null(_ref("waiver"))}))
    line = {
        **dict.fromkeys(("peripheral", "signal", "before", "after", "todo", "old_pin", "new_pin"), _TEXT),
        "what": _TEXTS,
    }
    stays = {"type": "object", "additionalProperties": _TEXTS}
    controller = {"board": _TEXT, "device": _TEXT, "changes": _list(_object(line)), "stays": stays}
    identity = _object(dict.fromkeys(("kind", "name", "commit"), _TEXT))
    notice = {
        "title": _TEXT,
        "old": identity,
        "new": identity,
        "causes": _list(_ref("cause")),
        "hazards": findings,
        "breaks": findings,
        "cautions": findings,
        "controllers": _list(_object(controller)),
        "not_checked": _list(_not_checked()),
        "waivers": _waivers(),
    }
    pin = _object(dict.fromkeys(COLUMNS, _TEXT))
    pin_map = {"board": _TEXT, "device": _TEXT, "revision": _TEXT, "pins": _list(pin)}
    return _one_of("pins", "What changed at the pins; or, with --export json, one pin map.", notice, pin_map)


def _contradiction() -> _Schema:
    return _object(dict.fromkeys(("id", "code", "board", "subject", "message", "here", "there"), _TEXT))


def _not_checked() -> _Schema:
    return _object({"what": _TEXT, "why": _TEXT, "needs": _TEXT})


def _waivers() -> _Schema:
    return _list(_ref("waiver_use"))


def _place() -> _Schema:
    return _or_null(_ref("place"))


def _or_null(schema: _Schema) -> _Schema:
    return {"anyOf": [schema, {"type": "null"}]}


def _more(name: str, properties: _Schema) -> _Schema:
    """A record of the review with further fields."""
    known: _Schema = _review()["$defs"][name]
    return _object({**known["properties"], **properties})


def _document(command: str, text: str, properties: _Schema) -> _Schema:
    return _headed(command, text) | _object({**_VERSION, **properties}) | {"$defs": _review()["$defs"]}


def _one_of(command: str, text: str, *documents: _Schema) -> _Schema:
    choices = [_object({**_VERSION, **properties}) for properties in documents]
    return _headed(command, text) | {"oneOf": choices, "$defs": _review()["$defs"]}


def _headed(command: str, text: str) -> _Schema:
    return {"$schema": _review()["$schema"], "title": f"revdiff {command}", "description": text}


def _ref(name: str) -> _Schema:
    return {"$ref": f"#/$defs/{name}"}


def _object(properties: Mapping[str, Any]) -> _Schema:
    return {
        "type": "object",
        "properties": dict(properties),
        "required": list(properties),
        "additionalProperties": False,
    }


def _list(items: _Schema) -> _Schema:
    return {"type": "array", "items": items}


# Command -> what makes its schema.
COMMANDS: Final[Mapping[str, Callable[[], _Schema]]] = {
    "compare": _review,
    "check": _check,
    "ready": _ready,
    "stack": _stack,
    "matrix": _matrix,
    "pins": _pins,
}
