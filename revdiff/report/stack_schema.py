"""The JSON Schema of what ``revdiff stack`` and ``revdiff matrix`` print."""

from __future__ import annotations

import json
from typing import Any

from revdiff.report.data import json_text
from revdiff.report.document import schema_text


def stack_schema_text() -> str:
    """The JSON Schema (draft 2020-12) of both documents; findings are as in the document of a review."""
    return json_text(_schema())


def _schema() -> dict[str, Any]:
    review = json.loads(schema_text())
    text, count = {"type": "string"}, {"type": "integer", "minimum": 0}
    verdict = {
        "pairing": {**text, "description": "The boards at their revisions, such as 'base@rev-c + radio@rev-b'."},
        "verdict": {"enum": ["fits", "fits with care", "cannot tell", "does not fit"]},
        "checks_made": count,
        "checks": {**count, "description": "Checks made and checks that could not be made."},
        "findings": _list({"$ref": "#/$defs/finding"}),
        "not_checked": _list(_object({"what": text, "why": text, "needs": text, "essential": {"type": "boolean"}})),
    }
    judged = _object({"boards": _list({"$ref": "#/$defs/variant"}), "because": text, **verdict})
    matrix = {
        "title": text,
        "support": _list(text),
        "pairs": _list(judged),
        "stacks": _list(judged),
        "stacks_not_judged": count,
        "left_out": _list(_object({"revision": text, "why": text})),
    }
    version = {"schema_version": text}
    return {
        "$schema": review["$schema"],
        "title": "revdiff stacks",
        "description": "One stack of boards, judged, or the matrix of all pairs and whole stacks.",
        "oneOf": [_object({**version, "stack": _object(verdict)}), _object({**version, **matrix})],
        "$defs": {
            "variant": _object({"board": text, "revisions": _list(text)}),
            "finding": review["$defs"]["finding"],
            "place": review["$defs"]["place"],
        },
    }


def _object(properties: dict[str, Any]) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


def _list(items: dict[str, Any]) -> dict[str, Any]:
    return {"type": "array", "items": items}
