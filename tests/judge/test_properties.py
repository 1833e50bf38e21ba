"""One verdict for one arrangement: whatever the order, the names of revisions, the spelling of headers, the command."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from revdiff.compare.comparison import compare_designs
from revdiff.design import Design
from revdiff.judge import judge_change, judge_stack, member
from revdiff.judge.causes import OUTCOMES, outcome
from revdiff.judge.digest import digest
from tests.judge.support import Row, c, changed, design, rules, stacked
from tests.support import SMALL, edit, load

pytestmark = pytest.mark.slow

GND = c("GND", "ground")
SIGNALS = ("A", "B", "UART_TX", "UART_RX", "HEAT_EN", "+3V3", "+5V", "GND", "")


@st.composite
def contacts(draw: st.DrawFn, size: int) -> tuple[Row, ...]:
    """Contacts of a connector."""
    found = []
    for _ in range(size):
        signal = draw(st.sampled_from(SIGNALS))
        supply = signal.startswith("+")
        ways = (
            ("supply in", "supply out")
            if supply
            else ("ground",)
            if signal == "GND"
            else ("in", "out", "open drain", "bidirectional", "")
        )
        found.append(
            c(
                signal,
                draw(st.sampled_from(ways)),
                draw(st.sampled_from(("3.3 V", "5 V", ""))),
                active=draw(st.sampled_from(("high", "low", ""))),
                pull=draw(st.sampled_from(("up 10k", "down 10k", "no", ""))),
                maximum=draw(st.sampled_from(("3.6 V", "5.5 V", ""))),
                switches=draw(st.sampled_from(("heater", ""))) if signal == "HEAT_EN" else "",
            )
        )
    return tuple(found)


BOARDS = st.tuples(contacts(4), contacts(4))
FEW = settings(max_examples=40, deadline=None)


def of(one: tuple[Row, ...], two: tuple[Row, ...]) -> Design:
    return design({"base": (GND, *one), "top": (GND, *two)})


@FEW
@given(BOARDS)
def test_the_order_of_naming_has_no_effect(boards: tuple[tuple[Row, ...], tuple[Row, ...]]) -> None:
    found = of(*boards)
    assert stacked(found, "base", "top") == stacked(found, "top", "base")


def test_the_order_of_three_boards_has_no_effect() -> None:
    line = c("SDA", "open drain", "3.3 V", pull="up 1k")
    found = design({"base": (GND, line), "mid": (GND, line), "top": (GND, line)})
    verdicts = [stacked(found, *names) for names in permutations(found.boards)]
    assert all(item == verdicts[0] for item in verdicts)


@FEW
@given(BOARDS)
def test_names_of_revisions_have_no_effect(boards: tuple[tuple[Row, ...], tuple[Row, ...]]) -> None:
    found = of(*boards)
    one, two = (judge_stack([member(found, "base", x), member(found, "top", y)]) for x, y in (("a", "z"), ("z", "a")))
    assert (one.answer, [item.item.key for item in one.judged]) == (two.answer, [item.item.key for item in two.judged])


@FEW
@given(BOARDS, BOARDS)
def test_comparing_and_stacking_agree_on_what_is_a_break(
    before: tuple[tuple[Row, ...], tuple[Row, ...]], after: tuple[tuple[Row, ...], tuple[Row, ...]]
) -> None:
    """What a crossing breaks that worked, the same boards stacked by themselves don't call a fit."""
    old, new = of(*before), of(*after)
    verdict = changed(old, new)
    for crossing in verdict.crossings:
        if crossing.answer == "does not fit":
            members = [
                member(new if "new" in label.rpartition("@")[2] else old, label.rpartition("@")[0], "r")
                for label in crossing.title.split(" + ")
            ]
            assert judge_stack(members).answer in ("does not fit", "cannot tell", "fits with care") or any(
                getattr(item.rule, "worse", None) is not None or item.rule.name.startswith(("joint-signal", "firmware"))
                for item in crossing.judged
            )


@FEW
@given(BOARDS)
def test_the_same_twice_brings_nothing(boards: tuple[tuple[Row, ...], tuple[Row, ...]]) -> None:
    assert rules(changed(of(*boards), of(*boards))) == []


def test_spelling_of_headers_has_no_effect() -> None:
    other = edit(SMALL, ("base/contacts.csv", "Signal,Direction,Level", "SIGNAL,direction,LEVEL"))
    assert stacked(load(SMALL)) == stacked(load(other))
    assert digest(load(SMALL), "base") == digest(load(other), "base")


def test_a_stated_maximum_never_quiets_a_break() -> None:
    """More data, no less warning: a limit that is stated turns what nobody could tell into a verdict."""
    bare = of((c("D", "out", "5 V", family="HCT"),), (c("D", "in", "3.3 V", family="LVTTL"),))
    full = of((c("D", "out", "5 V", family="HCT"),), (c("D", "in", "3.3 V", family="LVTTL", maximum="3.6 V"),))
    assert stacked(bare).answer == "cannot tell"
    assert stacked(full).answer == "does not fit"


PULLED = edit(SMALL, ("revdiff.toml", "[boards.top]", '[boards.base.pulls]\nHEAT = "down R2"\n[boards.top]'))
COLUMNS = {
    "tolerance": ("base/parts.csv", "R2,1,4k7,0603,RA-4K7,1%", "R2,1,4k7,0603,RA-4K7,10%"),
    "fitted": ("base/parts.csv", "R2,1,4k7,0603,RA-4K7,1%,,,yes", "R2,1,4k7,0603,RA-4K7,1%,,,no"),
    "pin level": ("base/pins.csv", "GPIO,out,high,down,3.3 V", "GPIO,out,high,down,5 V"),
    "pin pull": ("base/pins.csv", "GPIO,out,high,down,3.3 V", "GPIO,out,high,up,3.3 V"),
    "contact current": ("base/contacts.csv", "+5V,supply,5 V,1 A", "+5V,supply,5 V,2 A"),
    "pitch": ("base/connectors.csv", "2.54 mm", "2.00 mm"),
    "a column of no name": (
        "base/contacts.csv",
        "Level,Current\nJ1,1,+5V,supply,5 V,1 A",
        "Level,Maximum\nJ1,1,+5V,supply,5 V,1 A",
    ),
    "a section": ("revdiff.toml", "[boards.base]\n", '[boards.base]\nloads = { "+5V" = "1 A" }\n'),
}


@pytest.mark.parametrize("column", COLUMNS)
def test_no_column_that_a_rule_can_reach_is_forgotten(column: str) -> None:
    assert digest(load(PULLED), "base") != digest(load(edit(PULLED, COLUMNS[column])), "base")


def test_a_price_is_nothing_that_a_stack_can_tell() -> None:
    assert digest(load(SMALL), "base") == digest(
        load(edit(SMALL, ("base/parts.csv", "yes,active,2.00", "yes,active,3.00"))), "base"
    )


@FEW
@given(BOARDS, BOARDS)
def test_every_finding_has_one_cause_and_hangs_below_one_that_is_no_weaker(
    before: tuple[tuple[Row, ...], tuple[Row, ...]], after: tuple[tuple[Row, ...], tuple[Row, ...]]
) -> None:
    comparison = compare_designs(of(*before), of(*after))
    verdict = judge_change(comparison, "old", "new")
    fresh = [item for item in verdict.judged if item.state in ("new", "worse")]
    assert len(verdict.findings) == len(fresh)  # grouping loses nothing and tells nothing twice
    assert len({cause.id for cause in verdict.causes}) == len(verdict.causes)
    changes = {change.id for change in comparison.changes}
    for cause in verdict.causes:
        heads = {item.id: item for item in cause.findings if not item.below}
        assert heads
        assert set(cause.changes) <= changes
        for item in cause.findings:
            assert item.cause == cause.id
            if item.below:
                assert OUTCOMES.index(outcome(heads[item.below])) <= OUTCOMES.index(outcome(item))
    ranks = [OUTCOMES.index(cause.outcome) for cause in verdict.causes]
    assert ranks == sorted(ranks)
    again = judge_change(replace(comparison, changes=comparison.changes[::-1]), "old", "new")
    assert {item.id: sorted(item.changes) for item in again.causes} == {
        item.id: sorted(item.changes) for item in verdict.causes
    }
