"""Who is who among parts: what a person would say of small parts lists (``part_cases``)."""

from __future__ import annotations

import pytest

from revdiff.compare.change import Change
from revdiff.compare.comparison import compare_designs
from revdiff.design import Design
from revdiff.quantities.designator import expand
from tests.compare.part_cases import CASES, STAY_PUT, Case
from tests.support import load

_TOML = '[design]\nname = "d"\n[boards.main]\nparts = "parts.csv"\n'
_ROWS = "Designator;Value;MPN;Fitted;Remark\n"

Fact = tuple[str, ...]


def _design(text: str) -> Design:
    """The list as a file."""
    lines = []
    for item in text.split(", "):
        refs, value, *rest = item.split(" ")
        number, more = (*rest, "", "")[:2]
        fitted, remark = ("no", "") if more == "no" or value == "x" else ("", more)
        lines.append(";".join((refs, value.replace("x", ""), number.replace("-", ""), fitted, remark)))
    return load({"revdiff.toml": _TOML, "parts.csv": _ROWS + "\n".join(lines) + "\n"})


def _said(account: str) -> tuple[set[Fact], int]:
    """The facts of an account, and how many renumberings it names."""
    facts: set[Fact] = set()
    renumberings = 0
    for statement in filter(None, account.split(", ")):
        one, arrow, two = statement.partition(" > ")
        if arrow:
            facts |= {("moved", *pair) for pair in zip(expand(one), expand(two), strict=True)}
        elif "=" in statement:
            facts |= {("moved", *pair.split("=")) for pair in statement.split()}
        elif statement.startswith("~"):
            refs, *columns = statement[1:].split()
            facts |= {("changed", ref, column) for ref in expand(refs) for column in columns}
        else:
            facts |= {("gone" if item[0] == "-" else "come", item[1:]) for item in statement.split()}
        renumberings += bool(arrow) or "=" in statement
    return facts, renumberings


def _facts(change: Change) -> set[Fact]:
    if change.kind == "part.renumbered":
        return {("moved", one, two) for one, two in change.pairs}
    if change.kind in ("part.added", "part.removed"):
        return {("come", two) if two else ("gone", one) for one, two in change.pairs}
    found: set[Fact] = set()
    for item in change.fields:
        ref, dot, name = item.name.rpartition(".")
        refs = [ref] if dot else [two for _, two in change.pairs]
        found |= {("changed", other, name.casefold()) for other in refs}
    return found


@pytest.mark.parametrize("case", STAY_PUT, ids=[item.about for item in STAY_PUT])
def test_parts_that_nobody_touched_stay_put(case: Case) -> None:
    test_parts_are_told_as_a_person_would(case)


@pytest.mark.parametrize("case", CASES, ids=[item.about for item in CASES])
def test_parts_are_told_as_a_person_would(case: Case) -> None:
    changes = compare_designs(_design(case.before), _design(case.after)).changes
    told = set().union(*map(_facts, changes))
    accounts = [_said(account) for account in case.said]
    assert told in [facts for facts, _ in accounts], [f"{item.kind} {item.subject}" for item in changes]
    renumberings = sum(item.kind == "part.renumbered" for item in changes)
    assert renumberings <= max(number for facts, number in accounts if facts == told)
