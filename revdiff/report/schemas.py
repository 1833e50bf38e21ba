"""The JSON Schema (draft 2020-12) of what each command prints as JSON, made from the records that are printed."""

from __future__ import annotations

from collections.abc import Mapping
from inspect import cleandoc
from typing import Final

from msgspec.json import schema_components

from revdiff.report.check_document import CheckedChange
from revdiff.report.data import json_text
from revdiff.report.document import Comparison
from revdiff.report.drift import Readiness
from revdiff.report.pins import Notice
from revdiff.report.pins_matrix import ReleaseMatrix
from revdiff.report.pins_table import PinMap
from revdiff.report.stack_document import OneStack, StackMatrix

# Command -> the documents that it prints, one of them at a time.
COMMANDS: Final[Mapping[str, tuple[type, ...]]] = {
    "compare": (Comparison,),
    "check": (CheckedChange,),
    "ready": (Readiness,),
    "stack": (OneStack,),
    "matrix": (StackMatrix, ReleaseMatrix),
    "pins": (Notice, PinMap),
}


def schema_text(command: str) -> str:
    """The schema of one of ``COMMANDS``."""
    kinds = COMMANDS[command]
    found, parts = schema_components(kinds, ref_template="#/$defs/{name}")
    whole = parts.pop(kinds[0].__name__) if len(kinds) == 1 else {"oneOf": list(found)}
    for item in (whole, *parts.values()):
        if "description" in item:
            item["description"] = cleandoc(item["description"])
    headed = {"$schema": "https://json-schema.org/draft/2020-12/schema", **whole, "title": f"revdiff {command}"}
    return json_text({**headed, "$defs": dict(sorted(parts.items()))})
