"""Each rule is documented, and named so that people can point at it."""

from __future__ import annotations

import re

import pytest

from revdiff.design import Design
from revdiff.judge.fact import Ask
from revdiff.judge.items import nodes
from revdiff.judge.registry import ALL, rule_named
from revdiff.judge.rule import Declared, Item, Margin, Rule
from tests.judge.support import Row, c, changed, design, p, rules, stacked

GND = c("GND", "ground")


def test_names_are_unique_and_sorted() -> None:
    names = [rule.name for rule in ALL]
    assert names == sorted(set(names))
    assert rule_named(names[0]) is ALL[0]


@pytest.mark.parametrize("rule", ALL, ids=lambda rule: rule.name)
def test_a_rule_says_why_how_and_what_to_do(rule: Declared) -> None:
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)+", rule.name)
    assert all(len(text) > 8 for text in (rule.title, rule.why, rule.how, rule.remedy, rule.witness, rule.source))


def test_a_change_does_not_raise_its_own_limit() -> None:
    def boards(limit: str, direction: str) -> Design:
        return design(
            {"base": (GND, c("D", "out", "3.3 V")), "top": (GND, c("D", direction, "3.3 V"))},
            {"base": (p("D", "out", "3.3 V", series_resistance="1k"),)},
            more=f'[controllers.base.U1]\noutput_current = "{limit}"\n',
        )

    told = changed(boards("2 mA", "in"), boards("20 mA", "out")).findings
    assert [item.hazard for item in told if item.rule == "stack-two-drivers"] == [True] * 2


def test_a_change_does_not_take_back_what_switches_a_load() -> None:
    def boards(pull: str, board: str) -> Design:
        row: Row = c("EN_2", "in", "3.3 V", active="high", pull=pull)
        return design({"base": (GND, c("EN_2", "out", "3.3 V")), "top": (GND, row)}, board={"top": board})

    old = boards("down 10k", 'switches = { EN_2 = "heater" }\n')
    told = changed(old, boards("up 10k", "")).findings
    assert any(item.rule == "stack-power-on-load" and item.hazard for item in told)


def test_a_rule_that_the_design_does_without_is_silent_and_a_change_cannot_allow_it() -> None:
    def boards(direction: str, allow: str) -> Design:
        return design({"base": (GND, c("D", "out", "3.3 V")), "top": (GND, c("D", direction, "3.3 V"))}, more=allow)

    allow = '[stacking]\nallow = ["stack-two-drivers"]\n'
    assert rules(stacked(boards("out", allow))) == []
    assert "stack-two-drivers" in rules(changed(boards("in", ""), boards("out", allow)))


def test_a_rule_is_added_as_the_guide_for_developers_says(monkeypatch: pytest.MonkeyPatch) -> None:
    """One declaration: an item, a margin, texts. What isn't known, what is new and who is concerned come by itself."""

    def margin(ask: Ask, item: Item) -> Margin | None:
        volts = ask(item.what.sides[0].level)
        return Margin(4 - volts, f"{item.what.name} is at {volts} V", f"4 − {volts}", "4 V")

    rule = Rule(
        name="test-high",
        title="A level above 4 V",
        audience="stacking",
        step="minor",
        over=nodes,
        margin=margin,
        danger="caution",
        why="for this test",
        how="for this test",
        remedy="for this test",
        witness="for this test",
    )
    monkeypatch.setattr("revdiff.judge.engine.OF_ARRANGEMENTS", (rule,))

    def boards(volts: str) -> Design:
        return design({"base": (GND, c("D", "out", volts)), "top": (GND, c("D", "in", volts))})

    assert stacked(boards("3.3 V")).findings == ()
    [found] = stacked(boards("5 V")).findings
    assert (found.rule, found.limit, found.subject) == ("test-high", "4 V", "base.J1.2–top.J1.2")
    [missing] = [item for item in stacked(boards("")).not_checked if "Level" in item.needs]
    assert missing.needs == "the column Level"
    assert {item.crossing for item in changed(boards("3.3 V"), boards("5 V")).findings} >= {"new base with new top"}
    assert changed(boards("5 V"), boards("5 V")).findings == ()
