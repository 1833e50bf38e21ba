"""What the program knows of a column stands in one line, and everything follows from it."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import revdiff
from revdiff.compare.kinds import KINDS
from revdiff.design.fields import Field
from revdiff.design.tables import CONTACTS, TABLES, Table
from revdiff.judge.digest import digest
from revdiff.quantities.text import squeeze
from revdiff.readers.cells import READERS
from revdiff.report.guide import topic_text
from tests.support import load

_GUIDE = topic_text("data")
_COLUMNS = [(table, field) for table in TABLES for field in table.columns]
_UNITS = {"V", "A", "W", "Ω", "Hz", "m", "°"}
_CELLS = {"quantity": "3 V", "length": "3 mm", "angle": "90", "number": "2", "signal": "IRQ", "tolerant": "yes"}


def _id(value: object) -> str:
    return getattr(value, "name", "")


def contacts(header: str, cell: str) -> str:
    return f'Connector,Contact,Signal,{header}\nJ1,1,IRQ,"{cell}"\n'


@pytest.mark.parametrize(("table", "field"), _COLUMNS, ids=_id)
def test_a_column_says_how_it_is_read_and_who_sees_a_change_of_it(table: Table, field: Field) -> None:
    assert field.cell in (*READERS, "own", "quantity")
    assert field.unit in _UNITS if field.cell in ("quantity", "length", "angle", "turn") else not field.unit
    assert field.kind in KINDS or table.family in ("contract", "joint")
    assert field.seen_by
    assert field.seen_by <= {"stacking", "firmware", "assembly", "buying"}


@pytest.mark.parametrize("table", TABLES, ids=_id)
def test_no_spelling_names_two_columns_of_one_table(table: Table) -> None:
    for field in table.by_name.values():
        for spelling in field.names:
            assert table.aliases[squeeze(spelling)] == field.name, spelling


@pytest.mark.parametrize("table", TABLES, ids=_id)
def test_the_readme_lists_the_columns(table: Table) -> None:
    assert f"| {', '.join(field.title for field in table.by_name.values())} |" in _GUIDE


@pytest.mark.parametrize("field", [field for field in CONTACTS.columns if field.name != "signal"], ids=_id)
def test_every_spelling_fills_the_field_and_counts_for_the_digest(field: Field) -> None:
    files = {"revdiff.toml": '[design]\nname = "d"\n[boards.b]\ncontacts = "c.csv"\n'}
    cell = _CELLS.get(field.cell, "high")
    empty = load({**files, "c.csv": contacts(field.title, "")})
    for spelling in field.names:
        design = load({**files, "c.csv": contacts(spelling.upper(), cell)})
        [contact] = design.boards["b"].connectors["J1"].contacts.values()
        assert getattr(contact, field.name), spelling
        assert contact.extra == ()
        assert digest(design, "b") != digest(empty, "b")


_LINE = '    torque: Reading = column("torque,tightening torque", kind="contact.behaviour")\n'
_RULE = """
from revdiff.judge.items import nodes


def _torque(ask: Ask, item: Item) -> Margin | None:
    said = [ask(side.cell("torque")).raw for side in item.what.sides]
    return Margin(Decimal(0 if len(set(said)) == 1 else -1), "torques differ: " + ", ".join(said), "")


RULES = (
    *RULES,
    Rule(
        name="test-torque",
        title="Two torques",
        audience="stacking",
        step="minor",
        over=nodes,
        margin=_torque,
        danger="caution",
        why="",
        how="",
        remedy="",
        witness="",
    ),
)
"""
_ASK = """
from revdiff.judge.digest import digest
from tests.judge.support import c, changed, design, stacked

def boards(one, two):
    gnd = c("GND", "ground")
    return design({"base": (gnd, c("D", "out", "3.3 V", **one)), "top": (gnd, c("D", "in", "3.3 V", **two))})

told = lambda verdict: [item.message for item in verdict.findings if item.rule == "test-torque"]
same, other = boards({"torque": "1"}, {"torque": "1"}), boards({"tightening_torque": "1"}, {"torque": "2"})
missing = boards({"torque": "1"}, {})
verdict = changed(same, other)
print(told(stacked(same)), told(stacked(other)))
print("the column Torque" in [item.needs for item in stacked(missing).not_checked])
print(sorted({item.kind for item in verdict.comparison.changes}), bool(told(verdict)))
print(digest(same, "top") != digest(other, "top"), digest(same, "base") == digest(other, "base"))
"""


def test_a_column_is_one_line_and_a_rule_that_reads_it(tmp_path: Path) -> None:
    """As DEVELOPERS.md says, in a copy of the package: a line among the contacts, and a rule."""
    root = Path(revdiff.__file__).parents[1]
    for name in ("revdiff", "tests"):
        shutil.copytree(root / name, tmp_path / name, ignore=shutil.ignore_patterns("__pycache__"))
    record = tmp_path / "revdiff/design/connectors.py"
    text = record.read_text(encoding="utf-8")
    first = "    state: Reading"
    assert text.count(first) == 1
    record.write_text(text.replace(first, _LINE + first), encoding="utf-8")
    family = tmp_path / "revdiff/judge/rules/levels.py"
    family.write_text(family.read_text(encoding="utf-8") + _RULE, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-c", _ASK], cwd=tmp_path, capture_output=True, text=True, encoding="utf-8", check=False
    )
    assert done.stdout.splitlines() == [
        "[] ['torques differ: 1, 2']",
        "True",
        "['contact.behaviour'] True",
        "True True",
    ], done.stderr
