"""Every code that the readers put on a fault or a notice has its meaning, which ``revdiff explain`` tells."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import revdiff
from revdiff.readers.fault_codes import FAULT_CODES
from revdiff.report.explain_text import everything, explained, names

TELLING = {"fault", "notice", "_tell", "_fault", "_notice"}
PACKAGE = Path(revdiff.__file__).parent


def constants(node: ast.expr) -> Iterator[str]:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.IfExp):
        yield from (*constants(node.body), *constants(node.orelse))


def codes() -> Iterator[str]:
    """The codes that stand in calls all over the package; messages and words hold spaces, codes none."""
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            if name in TELLING and len(node.args) > 1:
                yield from constants(node.args[0])
            if name == "Diagnostic":
                yield from (code for item in node.keywords if item.arg == "code" for code in constants(item.value))


def test_every_code_has_a_meaning() -> None:
    used = {code for code in codes() if " " not in code}
    assert len(used) > 80
    assert used - FAULT_CODES.keys() == set()


@pytest.mark.parametrize("code", sorted(FAULT_CODES))
def test_every_code_is_explained_and_listed(code: str) -> None:
    told = explained(code, 88)
    assert told.startswith(f"{code}\n  ")
    assert "About the data" in told
    assert code in names()


def test_codes_are_listed_once() -> None:
    listed = [line.split()[0] for line in everything(120).splitlines() if line.startswith("  ")]
    assert {code for code in FAULT_CODES if listed.count(code) != 1} == set()
    assert explained("no-such-code", 88) == ""
